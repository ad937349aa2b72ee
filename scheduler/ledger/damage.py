"""What can be wrong with a ledger's file, told in one line each."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from scheduler.errors import AddressError, LedgerError

VERSIONS, NO_LOG = slice(18, 20), b"\1\1"
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


@contextmanager
def writing(path: Path) -> Iterator[None]:
    """Turn what SQLite says into a ledger error.

    Raises:
        LedgerError: The file can't be written.
    """
    try:
        yield
    except sqlite3.Error as problem:
        raise ledger_error(path, problem) from problem


def has_foreign_log(path: Path) -> bool:
    """Whether a write-ahead log lies beside a file that isn't the file's own.

    A ledger in use says in its header that it has such a log, and says so before the log is made;
    a backup says that it has none. A log beside it was left by the ledger whose place it took.

    Source:
        SQLite's file format, section 1.3.3: bytes 18 and 19 of the header are 2 for a database
        with a write-ahead log, else 1.
    """
    if not Path(f"{path}-wal").exists():
        return False
    with path.open("rb") as file:
        return file.read(VERSIONS.stop)[VERSIONS] == NO_LOG


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
