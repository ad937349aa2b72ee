"""The SQL of versions 4 and 5: acts, their undo, and what is derived from the record."""

KINDS = (
    "pass", "reset", "round", "setting", "withdrawal", "player", "fault", "correction", "undo",
)  # fmt: skip
"""The kinds of events since version 4."""

RECORD_OF_ACTS = """
CREATE TABLE events_now (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE CHECK (length(id) = 36),
    kind TEXT NOT NULL CHECK (kind IN ({kinds})),
    at_ms INTEGER NOT NULL CHECK (at_ms > 0),
    offset_minutes INTEGER NOT NULL CHECK (offset_minutes BETWEEN -1440 AND 1440),
    entry TEXT NOT NULL CHECK (length(entry) = 36),
    UNIQUE (id, kind)
) STRICT;
INSERT INTO events_now SELECT seq, id, kind, at_ms, offset_minutes, entry FROM events;
DROP VIEW pass_log;
DROP TABLE events;
ALTER TABLE events_now RENAME TO events;
CREATE INDEX events_in_time ON events (at_ms, id);
CREATE INDEX events_by_entry ON events (entry);
CREATE TABLE players (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'player' CHECK (kind = 'player'),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE TABLE faults (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'fault' CHECK (kind = 'fault'),
    target TEXT NOT NULL REFERENCES passes (event_id),
    fault TEXT NOT NULL CHECK (fault IN ('ringing', 'sync', 'notes')),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE INDEX faults_by_target ON faults (target);
CREATE TABLE corrections (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'correction' CHECK (kind = 'correction'),
    target TEXT NOT NULL REFERENCES events (id) CHECK (target <> event_id),
    moved_ms INTEGER NOT NULL CHECK (moved_ms > 0),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE INDEX corrections_by_target ON corrections (target);
CREATE TABLE undos (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'undo' CHECK (kind = 'undo'),
    target TEXT NOT NULL CHECK (length(target) = 36),
    redone INTEGER NOT NULL CHECK (redone IN (0, 1)),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
CREATE INDEX undos_by_target ON undos (target);
"""
"""An undo's target is an entry; `redone` says that the entry is brought back again."""

ACTS = """
CREATE TABLE acts (
    number INTEGER PRIMARY KEY,
    what TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    offset_minutes INTEGER NOT NULL,
    first_seq INTEGER NOT NULL,
    last_seq INTEGER NOT NULL,
    undone INTEGER UNIQUE,
    redoable INTEGER NOT NULL DEFAULT 1 CHECK (redoable IN (0, 1)),
    CHECK (first_seq <= last_seq + 1)
) STRICT;
CREATE INDEX acts_taken_back ON acts (number) WHERE undone IS NOT NULL;
CREATE TABLE brought_again (
    event_id TEXT NOT NULL REFERENCES events (id),
    act INTEGER NOT NULL REFERENCES acts (number) ON UPDATE CASCADE,
    PRIMARY KEY (act, event_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX brought_again_by_event ON brought_again (event_id);
CREATE VIEW set_aside AS
SELECT events.id AS id
FROM acts CROSS JOIN events ON events.seq BETWEEN acts.first_seq AND acts.last_seq
WHERE acts.undone IS NOT NULL AND acts.what IN ('import', 'merge') AND NOT EXISTS (
    SELECT 1 FROM brought_again CROSS JOIN acts AS later ON later.number = brought_again.act
    WHERE brought_again.event_id = events.id AND later.undone IS NULL);
CREATE VIEW undone_entries AS
SELECT target AS entry FROM undos WHERE event_id NOT IN (SELECT id FROM set_aside)
GROUP BY target HAVING sum(1 - 2 * redone) > 0;
CREATE VIEW gone AS
SELECT id FROM set_aside
UNION ALL
SELECT withdrawals.target FROM withdrawals CROSS JOIN events ON events.id = withdrawals.event_id
WHERE events.id NOT IN (SELECT id FROM set_aside)
AND events.entry NOT IN (SELECT entry FROM undone_entries)
UNION ALL
SELECT events.id FROM undone_entries CROSS JOIN events ON events.entry = undone_entries.entry;
CREATE VIEW moved AS
SELECT target AS id, min(events.at_ms, min(moved_ms)) AS at_ms
FROM corrections JOIN events ON events.id = target
WHERE event_id NOT IN (SELECT id FROM gone) GROUP BY target;
CREATE VIEW pass_log AS
SELECT strftime('%Y-%m-%dT%H:%M:%S',
                coalesce(moved.at_ms, events.at_ms) / 1000 + 60 * offset_minutes, 'unixepoch')
           AS played_at_local,
       box || CASE WHEN coupling THEN '+' || (box % 5 + 1) ELSE '' END
           || ':' || direction || ':' || stroke || ':' || fret AS item,
       tempo, notes_per_beat, clean, errors,
       coalesce((SELECT faults.fault FROM faults WHERE target = events.id
                 AND faults.event_id NOT IN (SELECT id FROM gone)
                 ORDER BY faults.event_id DESC LIMIT 1), passes.fault) AS fault,
       note, events.id
FROM events JOIN passes ON passes.event_id = events.id LEFT JOIN moved ON moved.id = events.id
WHERE events.id NOT IN (SELECT id FROM gone)
ORDER BY coalesce(moved.at_ms, events.at_ms), events.id;
"""
"""An act's number is its place in the order in which acts were last done here; its events have the
numbers of entry `first_seq` to `last_seq`. Once another act is done, undone ones can't be redone.
`set_aside`: events whose imports and merges were all undone. `gone`: events that don't count.
`moved`: times that a wrong clock gave, set right."""

DERIVED_NOW = """
DROP TABLE done;
DROP TABLE plans;
DROP TABLE checkpoints;
CREATE TABLE checkpoints (
    name TEXT PRIMARY KEY,
    last_ms INTEGER NOT NULL,
    last_id TEXT NOT NULL,
    body TEXT NOT NULL,
    digest TEXT NOT NULL
) STRICT;
CREATE TABLE plans (
    number INTEGER PRIMARY KEY,
    day INTEGER NOT NULL,
    made_at_ms INTEGER NOT NULL,
    made_for TEXT NOT NULL,
    settings TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE INDEX plans_by_day ON plans (day);
CREATE TABLE played_for (
    plan INTEGER NOT NULL REFERENCES plans (number) ON DELETE CASCADE,
    block INTEGER NOT NULL CHECK (block >= 1),
    event_id TEXT NOT NULL REFERENCES events (id),
    PRIMARY KEY (plan, block, event_id)
) STRICT;
"""
"""A plan knows the round and neck it was made for, and the settings; `played_for`: which passes
were played for which of its blocks."""

ALIKE = """
DROP VIEW pass_log;
DROP VIEW moved;
DROP VIEW gone;
CREATE TABLE passes_now (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'pass' CHECK (kind = 'pass'),
    box INTEGER NOT NULL CHECK (box BETWEEN 1 AND 5),
    coupling INTEGER NOT NULL CHECK (coupling IN (0, 1)),
    direction TEXT NOT NULL CHECK (direction IN ('asc', 'desc')),
    stroke TEXT NOT NULL CHECK (stroke IN ('down', 'up')),
    fret INTEGER NOT NULL CHECK (fret BETWEEN 0 AND 36),
    notes INTEGER NOT NULL CHECK (notes BETWEEN 6 AND 200),
    tempo REAL NOT NULL CHECK (tempo BETWEEN 20 AND 400),
    notes_per_beat INTEGER NOT NULL CHECK (notes_per_beat IN (1, 2, 3, 4, 6)),
    clean INTEGER NOT NULL CHECK (clean IN (0, 1)),
    errors INTEGER,
    fault TEXT CHECK (fault IN ('ringing', 'sync', 'notes')),
    note TEXT NOT NULL DEFAULT '' CHECK (length(note) <= 500),
    CHECK (CASE clean WHEN 1 THEN errors IS 0 AND fault IS NULL
           ELSE errors IS NULL OR errors BETWEEN 1 AND 999 END),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
INSERT INTO passes_now SELECT * FROM passes;
DROP TABLE passes;
ALTER TABLE passes_now RENAME TO passes;
CREATE INDEX passes_by_item ON passes (box, coupling, direction, stroke, fret);
CREATE TRIGGER faults_are_of_sloppy_passes BEFORE INSERT ON faults
WHEN EXISTS (SELECT 1 FROM passes WHERE event_id = NEW.target AND clean)
BEGIN SELECT RAISE(ABORT, 'a fault is of a sloppy pass'); END;
CREATE TABLE told_alike (
    words INTEGER NOT NULL,
    event_id TEXT NOT NULL REFERENCES events (id),
    number INTEGER CHECK (number >= 1),
    PRIMARY KEY (words, event_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX told_alike_by_event ON told_alike (event_id);
CREATE VIEW taken_back AS
SELECT id FROM set_aside
UNION ALL
SELECT withdrawals.target FROM withdrawals CROSS JOIN events ON events.id = withdrawals.event_id
WHERE events.id NOT IN (SELECT id FROM set_aside)
AND events.entry NOT IN (SELECT entry FROM undone_entries)
AND withdrawals.target NOT IN (SELECT event_id FROM told_alike WHERE number IS NOT NULL)
UNION ALL
SELECT events.id FROM undone_entries CROSS JOIN events ON events.entry = undone_entries.entry;
CREATE VIEW copies AS
WITH there AS MATERIALIZED (
    SELECT words, event_id, number FROM told_alike
    WHERE event_id NOT IN (SELECT id FROM taken_back)),
recorded AS MATERIALIZED (
    SELECT words, count(*) AS passes FROM there WHERE number IS NULL GROUP BY words),
first AS MATERIALIZED (
    SELECT words, number, min(event_id) AS event_id FROM there
    WHERE number IS NOT NULL GROUP BY words, number)
SELECT DISTINCT there.event_id AS id
FROM there LEFT JOIN recorded USING (words) LEFT JOIN first USING (words, number)
WHERE there.number <= coalesce(recorded.passes, 0) OR there.event_id > first.event_id;
CREATE VIEW gone AS SELECT id FROM taken_back UNION ALL SELECT id FROM copies;
CREATE VIEW moved AS
SELECT target AS id, min(events.at_ms, min(moved_ms)) AS at_ms
FROM corrections JOIN events ON events.id = target
WHERE event_id NOT IN (SELECT id FROM taken_back) GROUP BY target;
CREATE VIEW pass_log AS
SELECT strftime('%Y-%m-%dT%H:%M:%S',
                coalesce(moved.at_ms, events.at_ms) / 1000 + 60 * offset_minutes, 'unixepoch')
           AS played_at_local,
       box || CASE WHEN coupling THEN '+' || (box % 5 + 1) ELSE '' END
           || ':' || direction || ':' || stroke || ':' || fret AS item,
       tempo, notes_per_beat, clean, errors,
       coalesce((SELECT faults.fault FROM faults WHERE target = events.id
                 AND faults.event_id NOT IN (SELECT id FROM taken_back)
                 ORDER BY faults.event_id DESC LIMIT 1), passes.fault) AS fault,
       note, events.id
FROM events JOIN passes ON passes.event_id = events.id LEFT JOIN moved ON moved.id = events.id
WHERE events.id NOT IN (SELECT id FROM gone)
ORDER BY coalesce(moved.at_ms, events.at_ms), events.id;
ALTER TABLE acts ADD COLUMN clock_ms INTEGER;
"""
"""`told_alike`: passes that say the same, of which a log told at least one; `number` is the place
among like lines of a log, NULL where it was recorded directly. `copies`: passes of a log that don't
count, because the pass they tell is there. They are hidden, not withdrawn: version 4 withdrew them,
and a pass could be lost on every machine. Acts keep what the clock showed."""
