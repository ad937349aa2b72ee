"""The ledger's tables and their migrations.

The record is a list of events that is only ever added to; triggers keep it so. What is this
machine's own (its acts) and what can be worked out again (checkpoints, plans) stands in tables
beside it.
"""

from sqlite3 import complete_statement

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from scheduler.ledger.events import EventIds
from scheduler.ledger.tables import DERIVED, NO_CHANGES, RECORD
from scheduler.ledger.tables_of_acts import ACTS, ALIKE, DERIVED_NOW, KINDS, RECORD_OF_ACTS
from scheduler.ledger.tables_of_routines import SEVERAL

migrations = Migrations("ledger")


@migrations()
def m001_record(db: Database) -> None:
    """The events and what belongs to each kind, never changed once written."""
    _run(db, RECORD)
    for table in ("events", "passes", "resets", "rounds", "settings", "withdrawals"):
        _only_add_to(db, table)


@migrations()
def m002_derived(db: Database) -> None:
    """What can be thrown away and built again."""
    _run(db, DERIVED)


@migrations()
def m003_rounds_of_some_items(db: Database) -> None:
    """A round may visit only some items: their addresses, with blanks between; "" for all."""
    db.execute(
        "ALTER TABLE rounds ADD COLUMN items TEXT NOT NULL DEFAULT '' "
        "CHECK (length(items) <= 40000)"
    )


@migrations()
def m004_acts(db: Database) -> None:
    """Acts that are undone whole, a player's id, corrected times, faults said afterwards."""
    kinds = ", ".join(f"'{kind}'" for kind in KINDS)
    _run(db, RECORD_OF_ACTS.format(kinds=kinds))
    _run(db, ACTS)
    _run(db, DERIVED_NOW)
    _know_player(db)
    for table in ("events", "players", "faults", "corrections", "undos"):
        _only_add_to(db, table)


@migrations()
def m005_copies(db: Database) -> None:
    """What a log told counts while what it told of doesn't; 1 and 2 notes a beat."""
    _run(db, ALIKE)
    _only_add_to(db, "passes")


@migrations()
def m006_routines(db: Database) -> None:
    """Items of several routines, necks of up to 48 frets; what is told alike is noted here."""
    from scheduler.ledger.same_pass import note_all_told_alike

    _run(db, SEVERAL)
    for table in ("passes", "resets", "rounds"):
        _only_add_to(db, table)
    note_all_told_alike(db.conn)


def _run(db: Database, script: str) -> None:
    """Run statements, each beginning on a line of its own.

    sqlite-utils' own `executescript` looks for a statement's end at every letter: most of the time
    that a new ledger took.
    """
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if complete_statement(statement):
            db.execute(statement)
            statement = ""
    if statement.strip():
        db.execute(statement)


def _only_add_to(db: Database, table: str) -> None:
    key = "id" if table == "events" else "event_id"
    _run(db, NO_CHANGES.format(table=table, key=key))


def _know_player(db: Database) -> None:
    """Give the player of a record from before an id, as old as the record."""
    first = db.execute(
        "SELECT at_ms, offset_minutes FROM events ORDER BY at_ms, id LIMIT 1"
    ).fetchone()
    if first is None:
        return
    player = EventIds(first[0]).next()
    db.execute(
        "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) VALUES (?, 'player', ?, ?, ?)",
        [player, *first, player],
    )
    db.execute("INSERT INTO players (event_id) VALUES (?)", [player])


SCHEMA_VERSION = 6
"""The number of migrations; the file keeps it as PRAGMA user_version."""
