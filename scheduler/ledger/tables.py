"""The SQL of the first versions: events, what belongs to each kind, and triggers that keep them."""

RECORD = """
CREATE TABLE events (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    kind TEXT NOT NULL CHECK (kind IN ('pass', 'reset', 'round', 'setting', 'withdrawal')),
    at_ms INTEGER NOT NULL CHECK (at_ms > 0),
    offset_minutes INTEGER NOT NULL CHECK (offset_minutes BETWEEN -1440 AND 1440),
    entry TEXT NOT NULL CHECK (length(entry) = 36),
    UNIQUE (id, kind)
) STRICT;
CREATE INDEX events_in_time ON events (at_ms, id);
CREATE INDEX events_by_entry ON events (entry);
CREATE TABLE passes (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'pass' CHECK (kind = 'pass'),
    box INTEGER NOT NULL CHECK (box BETWEEN 1 AND 5),
    coupling INTEGER NOT NULL CHECK (coupling IN (0, 1)),
    direction TEXT NOT NULL CHECK (direction IN ('asc', 'desc')),
    stroke TEXT NOT NULL CHECK (stroke IN ('down', 'up')),
    fret INTEGER NOT NULL CHECK (fret BETWEEN 0 AND 36),
    notes INTEGER NOT NULL CHECK (notes BETWEEN 6 AND 200),
    tempo REAL NOT NULL CHECK (tempo BETWEEN 20 AND 400),
    notes_per_beat INTEGER NOT NULL CHECK (notes_per_beat IN (3, 4, 6)),
    clean INTEGER NOT NULL CHECK (clean IN (0, 1)),
    errors INTEGER,
    fault TEXT CHECK (fault IN ('ringing', 'sync', 'notes')),
    note TEXT NOT NULL DEFAULT '' CHECK (length(note) <= 500),
    CHECK (CASE clean WHEN 1 THEN errors IS 0 AND fault IS NULL
           ELSE errors IS NULL OR errors BETWEEN 1 AND 999 END),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE INDEX passes_by_item ON passes (box, coupling, direction, stroke, fret);
CREATE TABLE resets (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'reset' CHECK (kind = 'reset'),
    box INTEGER NOT NULL CHECK (box BETWEEN 1 AND 5),
    coupling INTEGER NOT NULL CHECK (coupling IN (0, 1)),
    direction TEXT NOT NULL CHECK (direction IN ('asc', 'desc')),
    stroke TEXT NOT NULL CHECK (stroke IN ('down', 'up')),
    fret INTEGER NOT NULL CHECK (fret BETWEEN 0 AND 36),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE TABLE rounds (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'round' CHECK (kind = 'round'),
    number INTEGER NOT NULL CHECK (number BETWEEN 1 AND 9999),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE TABLE settings (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'setting' CHECK (kind = 'setting'),
    name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 40),
    value TEXT NOT NULL CHECK (length(value) <= 200),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE TABLE withdrawals (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'withdrawal' CHECK (kind = 'withdrawal'),
    target TEXT NOT NULL REFERENCES events (id) CHECK (target <> event_id),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE INDEX withdrawals_by_target ON withdrawals (target);
CREATE VIEW pass_log AS
SELECT strftime('%Y-%m-%dT%H:%M:%S', at_ms / 1000 + 60 * offset_minutes, 'unixepoch')
           AS played_at_local,
       box || CASE WHEN coupling THEN '+' || (box % 5 + 1) ELSE '' END
           || ':' || direction || ':' || stroke || ':' || fret AS item,
       tempo, notes_per_beat, clean, errors, fault, note, id
FROM events JOIN passes ON passes.event_id = events.id
WHERE id NOT IN (SELECT target FROM withdrawals)
ORDER BY at_ms, id;
"""

DERIVED = """
CREATE TABLE checkpoints (
    name TEXT PRIMARY KEY,
    seq INTEGER NOT NULL,
    body TEXT NOT NULL,
    digest TEXT NOT NULL
) STRICT;
CREATE TABLE plans (
    day INTEGER PRIMARY KEY,
    made_at_ms INTEGER NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE TABLE done (
    day INTEGER NOT NULL REFERENCES plans (day) ON DELETE CASCADE,
    block INTEGER NOT NULL CHECK (block >= 1),
    event_id TEXT NOT NULL REFERENCES events (id),
    PRIMARY KEY (day, block, event_id)
) STRICT;
"""

NO_CHANGES = """
CREATE TRIGGER {table}_stay BEFORE UPDATE ON {table}
BEGIN SELECT RAISE(ABORT, 'the record is only added to'); END;
CREATE TRIGGER {table}_are_kept BEFORE DELETE ON {table}
BEGIN SELECT RAISE(ABORT, 'the record is only added to'); END;
CREATE TRIGGER {table}_once BEFORE INSERT ON {table}
WHEN EXISTS (SELECT 1 FROM {table} WHERE {key} = NEW.{key})
BEGIN SELECT RAISE(ABORT, 'the record is only added to'); END;
"""
"""No row is changed, deleted, or put in the place of another: INSERT OR REPLACE would do both."""
