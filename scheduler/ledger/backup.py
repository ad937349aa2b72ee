"""Copies of the ledger, made while other programs may write it."""

import os
import re
import sqlite3
from contextlib import closing
from pathlib import Path

from scheduler.errors import LedgerError
from scheduler.ledger.damage import ledger_error
from scheduler.ledger.opening import OWNER_ONLY

KEPT_BACKUPS = 5
BACKUP_FOLDER = "backups"
ASKED_FOR = "asked-for"
"""What a backup is called that the player asked for."""


def back_up(connection: sqlite3.Connection, path: Path, *, force: bool) -> None:
    """Copy a ledger by SQLite's own backup, safe while another program writes it.

    Raises:
        LedgerError: The file exists and `force` wasn't said, or it can't be written.
    """
    if path.exists() and not path.is_file():
        msg = f"{path} is no file: name one"
        raise LedgerError(msg)
    if path.exists() and not force:
        msg = f"{path} exists already: --force writes over it"
        raise LedgerError(msg)
    # Two programs may make a backup at once.
    beside = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        beside.unlink(missing_ok=True)
        beside.touch(mode=OWNER_ONLY)
        with closing(sqlite3.connect(beside)) as copy:
            connection.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        beside.replace(path)
    except (sqlite3.Error, OSError) as problem:
        beside.unlink(missing_ok=True)
        raise ledger_error(path, problem) from problem


def keep_copy(connection: sqlite3.Connection, ledger: Path, what: str) -> Path:
    """A backup beside a ledger, numbered; the last five of the program's own are kept.

    What a player asked for is never removed. Numbers tell which is newest, for a clock may have
    gone back.

    Args:
        connection: The ledger, open.
        ledger: Where it lies.
        what: What it is made before, as part of its name.

    Raises:
        LedgerError: It can't be written.
    """
    folder = ledger.parent / BACKUP_FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as problem:
        raise ledger_error(folder, problem) from problem
    number = 1 + max((known for known, _ in _in_order(folder, ledger.stem)), default=0)
    path = folder / f"{ledger.stem}-b{number:06d}-{what}.db"
    back_up(connection, path, force=True)
    kept = [each for _, each in _in_order(folder, ledger.stem)]
    own = [each for each in kept if not each.stem.endswith(f"-{ASKED_FOR}")]
    for old in own[:-KEPT_BACKUPS]:
        old.unlink(missing_ok=True)
    return path


def _in_order(folder: Path, stem: str) -> list[tuple[int, Path]]:
    """The backups of a ledger with their numbers, oldest first; those of older versions are 0."""
    names = re.compile(rf"{re.escape(stem)}-(?:b(\d+)|\d{{8}}-\d{{6}})-.*\.db")
    found = ((names.fullmatch(path.name), path) for path in folder.iterdir())
    return sorted((int(match[1] or 0), path) for match, path in found if match)
