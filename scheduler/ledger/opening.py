"""How the ledger's file is opened, made on first use, and brought up to date."""

import sqlite3
import time
from pathlib import Path

from sqlite_utils import Database

from scheduler.errors import LedgerError
from scheduler.ledger.damage import DAMAGE, file_uri, has_foreign_log, ledger_error
from scheduler.ledger.schema import SCHEMA_VERSION, migrations

APPLICATION_ID = 0x75706E6B
"""The letters "upnk" in the file's header (SQLite's PRAGMA application_id)."""

OWNER_ONLY = 0o600
BUSY_SECONDS = 5.0
SWITCH_SECONDS = 0.05
MISSING = "it is damaged, an event refers to one that isn't there: put a backup in its place"


def open_file(path: Path) -> Database:
    """Open a ledger, making it on first use, and bring its schema up to date.

    Raises:
        LedgerError: It can't be opened, is no ledger, or is newer than this program.
    """
    if path.is_dir():
        msg = f"ledger {path}: it is a folder: name a file"
        raise LedgerError(msg)
    if path.exists() and not path.is_file():
        msg = f"ledger {path}: it is no file of its own: name another"
        raise LedgerError(msg)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        is_new = not path.exists() or path.stat().st_size == 0
        if is_new:
            path.touch(mode=OWNER_ONLY, exist_ok=True)
            path.chmod(OWNER_ONLY)
        elif has_foreign_log(path):
            _put_log_aside(path)
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


def _put_log_aside(path: Path) -> None:
    """Rename the log that was left beside a backup: its pages would be taken for the backup's."""
    for left_over in (Path(f"{path}-wal"), Path(f"{path}-shm")):
        if left_over.exists():
            left_over.replace(left_over.with_name(f"{left_over.name}-of-the-ledger-before"))


def _prepared(connection: sqlite3.Connection, path: Path) -> Database:
    version = _version(connection, path)
    connection.execute("PRAGMA synchronous=FULL")
    db = Database(connection, execute_plugins=False)
    if 0 < version < SCHEMA_VERSION:
        # A copy is worth keeping only of a ledger that can be brought up to date.
        _migrate(Database(_in_memory(connection), execute_plugins=False), path)
        from scheduler.ledger.backup import keep_copy

        keep_copy(connection, path, f"before-version-{SCHEMA_VERSION}")
    if version < SCHEMA_VERSION:
        _write_ahead(connection)
        _migrate(db, path)
    elif connection.execute("PRAGMA journal_mode").fetchone() != ("wal",):
        # A backup that was put in the ledger's place.
        _write_ahead(connection)
    connection.execute("PRAGMA foreign_keys=ON")
    return db


def _write_ahead(connection: sqlite3.Connection) -> None:
    """Switch to write-ahead logging; SQLite doesn't wait for others who switch at that moment."""
    for left in reversed(range(int(BUSY_SECONDS / SWITCH_SECONDS))):
        try:
            connection.execute("PRAGMA journal_mode=WAL")
        except sqlite3.OperationalError as problem:
            if problem.sqlite_errorcode != sqlite3.SQLITE_BUSY or not left:
                raise
            time.sleep(SWITCH_SECONDS)
        else:
            return


def _in_memory(connection: sqlite3.Connection) -> sqlite3.Connection:
    copy = sqlite3.connect(":memory:")
    connection.backup(copy)
    return copy


def _migrate(db: Database, path: Path) -> None:
    """Bring the schema up to date; references are checked once all tables are there again."""
    db.execute("BEGIN IMMEDIATE")
    try:
        # Another process may have done it while this one waited for the lock.
        if _version(db.conn, path) < SCHEMA_VERSION:
            migrations.apply(db)
            if db.execute("PRAGMA foreign_key_check").fetchone() is not None:
                raise sqlite3.DatabaseError(MISSING)
            db.execute(f"PRAGMA application_id={APPLICATION_ID}")
            db.execute(f"PRAGMA user_version={SCHEMA_VERSION}")
        db.commit()
    except BaseException:
        db.rollback()
        raise


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
