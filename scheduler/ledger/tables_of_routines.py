"""The SQL of version 6: items of several routines, on necks of up to 48 frets."""

OF_ITEM = """
    box INTEGER NOT NULL CHECK (box BETWEEN 1 AND 12),
    coupling INTEGER NOT NULL CHECK (coupling BETWEEN 0 AND 12 AND coupling <> box),
    direction TEXT NOT NULL CHECK (direction IN ('asc', 'desc')),
    stroke TEXT NOT NULL CHECK (stroke IN ('down', 'up')),
    fret INTEGER NOT NULL CHECK (fret BETWEEN 0 AND 48),
    routine TEXT NOT NULL DEFAULT '' CHECK (length(routine) <= 20),"""
"""`coupling` is the higher box, 0 for a single; `routine` is empty for the first one."""

SEVERAL = f"""
DROP VIEW pass_log;
DROP TRIGGER faults_are_of_sloppy_passes;
CREATE TABLE passes_now (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'pass' CHECK (kind = 'pass'),{OF_ITEM}
    notes INTEGER NOT NULL CHECK (notes BETWEEN 2 AND 2000),
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
INSERT INTO passes_now SELECT event_id, kind, box,
    CASE WHEN coupling THEN box % 5 + 1 ELSE 0 END, direction, stroke, fret, '', notes, tempo,
    notes_per_beat, clean, errors, fault, note FROM passes;
DROP TABLE passes;
ALTER TABLE passes_now RENAME TO passes;
CREATE INDEX passes_by_item ON passes (box, coupling, direction, stroke, fret);
CREATE TRIGGER faults_are_of_sloppy_passes BEFORE INSERT ON faults
WHEN EXISTS (SELECT 1 FROM passes WHERE event_id = NEW.target AND clean)
BEGIN SELECT RAISE(ABORT, 'a fault is of a sloppy pass'); END;
CREATE TABLE resets_now (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'reset' CHECK (kind = 'reset'),{OF_ITEM}
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
INSERT INTO resets_now SELECT event_id, kind, box,
    CASE WHEN coupling THEN box % 5 + 1 ELSE 0 END, direction, stroke, fret, '' FROM resets;
DROP TABLE resets;
ALTER TABLE resets_now RENAME TO resets;
CREATE TABLE rounds_now (
    event_id TEXT PRIMARY KEY,
    kind TEXT NOT NULL DEFAULT 'round' CHECK (kind = 'round'),
    number INTEGER NOT NULL CHECK (number BETWEEN 1 AND 9999),
    items TEXT NOT NULL DEFAULT '' CHECK (length(items) <= 200000),
    routine TEXT NOT NULL DEFAULT '' CHECK (length(routine) <= 20),
    FOREIGN KEY (event_id, kind) REFERENCES events (id, kind)
) STRICT;
INSERT INTO rounds_now SELECT event_id, kind, number, items, '' FROM rounds;
DROP TABLE rounds;
ALTER TABLE rounds_now RENAME TO rounds;
CREATE VIEW pass_log AS
SELECT strftime('%Y-%m-%dT%H:%M:%S',
                coalesce(moved.at_ms, events.at_ms) / 1000 + 60 * offset_minutes, 'unixepoch')
           AS played_at_local,
       CASE routine WHEN '' THEN '' ELSE routine || '/' END
           || box || CASE coupling WHEN 0 THEN '' ELSE '+' || coupling END
           || ':' || direction || ':' || stroke || ':' || fret AS item,
       tempo, notes_per_beat, clean, errors,
       coalesce((SELECT faults.fault FROM faults WHERE target = events.id
                 AND faults.event_id NOT IN (SELECT id FROM taken_back)
                 ORDER BY faults.event_id DESC LIMIT 1), passes.fault) AS fault,
       note, events.id
FROM events JOIN passes ON passes.event_id = events.id LEFT JOIN moved ON moved.id = events.id
WHERE events.id NOT IN (SELECT id FROM gone)
ORDER BY coalesce(moved.at_ms, events.at_ms), events.id;
"""
