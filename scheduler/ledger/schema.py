"""The ledger's schema, its migrations, and how the file is opened.

The record is a list of events that is only ever added to; triggers keep it so. Everything that
can be worked out again (checkpoints, plans) stands in tables of its own.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from sqlite_utils import Database
from sqlite_utils.migrations import Migrations

from scheduler.errors import AddressError, LedgerError

APPLICATION_ID = 0x75706E6B
"""The letters "upnk" in the file's header (SQLite's PRAGMA application_id)."""

BUSY_SECONDS = 5.0
OWNER_ONLY = 0o600

migrations = Migrations("ledger")

RECORD_TABLES = ("events", "passes", "resets", "rounds", "settings", "withdrawals")

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
"""The third keeps INSERT OR REPLACE from changing a row by the back door."""


@migrations()
def m001_record(db: Database) -> None:
    """The events and what belongs to each kind, never changed once written."""
    db.executescript(RECORD)
    for table in RECORD_TABLES:
        key = "id" if table == "events" else "event_id"
        db.executescript(NO_CHANGES.format(table=table, key=key))


@migrations()
def m002_derived(db: Database) -> None:
    """What can be thrown away and built again."""
    db.executescript(DERIVED)


@migrations()
def m003_rounds_of_some_items(db: Database) -> None:
    """A round may visit only some items: their addresses, with blanks between; "" for all."""
    db.execute(
        "ALTER TABLE rounds ADD COLUMN items TEXT NOT NULL DEFAULT '' "
        "CHECK (length(items) <= 40000)"
    )


SCHEMA_VERSION = 3
"""The number of migrations; the file keeps it as PRAGMA user_version."""


DAMAGE = (sqlite3.Error, ValueError, OverflowError, AddressError)
"""What reading a ledger may raise: SQLite's errors, and values that no ledger holds."""


def ledger_error(path: Path, problem: Exception) -> LedgerError:
    """One line for what SQLite or the file system says of a ledger; all else is damage of it."""
    name = getattr(problem, "sqlite_errorname", "")
    reasons = {
        "SQLITE_NOTADB": "it is not a ledger: name another file with --ledger",
        "SQLITE_CORRUPT": "it is damaged: put a backup in its place",
        "SQLITE_CANTOPEN": "it can't be opened: check the folder and its permissions",
        "SQLITE_READONLY": "it can't be written: check its permissions",
        "SQLITE_READONLY_DIRECTORY": "its folder can't be written: check the permissions",
        "SQLITE_BUSY": "another program is writing it: try again in a moment",
        "SQLITE_BUSY_SNAPSHOT": "another program is writing it: try again in a moment",
        "SQLITE_LOCKED": "another program is writing it: try again in a moment",
        "SQLITE_FULL": "the disk is full: make room and try again; nothing was recorded",
        "SQLITE_IOERR_WRITE": "the disk can't be written; nothing was recorded",
    }
    reason = reasons.get(name)
    if isinstance(problem, PermissionError):
        reason = reasons["SQLITE_CANTOPEN"]
    if not isinstance(problem, (sqlite3.Error, OSError)):
        reason = reasons["SQLITE_CORRUPT"]
    if reason is None and name.startswith("SQLITE_READONLY"):
        reason = reasons["SQLITE_READONLY"]
    return LedgerError(f"ledger {path}: {reason or getattr(problem, 'strerror', None) or problem}")


@contextmanager
def reading(path: Path) -> Iterator[None]:
    """Turn what SQLite says, and values that no ledger holds, into a ledger error.

    Raises:
        LedgerError: The file can't be read.
    """
    try:
        yield
    except DAMAGE as problem:
        raise ledger_error(path, problem) from problem


def is_sound(connection: sqlite3.Connection) -> bool:
    """Whether SQLite's own check finds nothing wrong with pages, indexes, types and rules."""
    try:
        (found,) = connection.execute("PRAGMA integrity_check(1)").fetchone()
    except DAMAGE:
        return False
    return bool(found == "ok")


def file_uri(path: Path, how: str) -> str:
    """A file as SQLite's URIs name it, and how it is opened; its name may hold any bytes.

    Example:
        >>> file_uri(Path("what?.db"), "mode=ro")
        'file:what%3F.db?mode=ro'
    """
    return f"file:{quote(os.fsencode(path))}?{how}"


def open_file(path: Path) -> Database:
    """Open a ledger, making it on first use, and bring its schema up to date.

    Raises:
        LedgerError: It can't be opened, is no ledger, or is newer than this program.
    """
    if path.is_dir():
        msg = f"ledger {path}: it is a folder: name a file"
        raise LedgerError(msg)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        is_new = not path.exists() or path.stat().st_size == 0
        if is_new:
            path.touch(mode=OWNER_ONLY, exist_ok=True)
            path.chmod(OWNER_ONLY)
        connection = sqlite3.connect(file_uri(path, "mode=rw"), uri=True, timeout=BUSY_SECONDS)
    except (sqlite3.Error, OSError) as problem:
        raise ledger_error(path, problem) from problem
    try:
        return _prepared(connection, path)
    except DAMAGE as problem:
        connection.close()
        raise ledger_error(path, problem) from problem
    except LedgerError:
        connection.close()
        raise


def _prepared(connection: sqlite3.Connection, path: Path) -> Database:
    version = _version(connection, path)
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA synchronous=FULL")
    db = Database(connection, execute_plugins=False)
    if 0 < version < SCHEMA_VERSION:
        _keep_copy(connection, path, version)
    if version < SCHEMA_VERSION:
        connection.execute("PRAGMA journal_mode=WAL")
        db.execute("BEGIN IMMEDIATE")
        try:
            # Another process may have done it while this one waited for the lock.
            if _version(connection, path) < SCHEMA_VERSION:
                migrations.apply(db)
                connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
                connection.execute(f"PRAGMA user_version={SCHEMA_VERSION}")
            db.commit()
        except BaseException:
            db.rollback()
            raise
    return db


def _keep_copy(connection: sqlite3.Connection, path: Path, version: int) -> None:
    """A copy of the ledger as it was before its schema is brought up to date."""
    copy = sqlite3.connect(path.with_name(f"{path.stem}-before-version-{version + 1}.db"))
    try:
        connection.backup(copy)
    finally:
        copy.close()


def _version(connection: sqlite3.Connection, path: Path) -> int:
    """The schema version of a file that is a ledger or empty; 0 if it is empty."""
    tables = connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
    application = connection.execute("PRAGMA application_id").fetchone()[0]
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    if tables and application != APPLICATION_ID:
        msg = f"ledger {path}: it is another program's database: name another file with --ledger"
        raise LedgerError(msg)
    if version > SCHEMA_VERSION:
        msg = f"ledger {path}: it was written by a newer upneck: bring this program up to date"
        raise LedgerError(msg)
    return version
