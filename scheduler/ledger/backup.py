"""Copies of the ledger, made while other programs may write it."""

import sqlite3
from pathlib import Path

from scheduler.errors import LedgerError
from scheduler.ledger.record import Ledger
from scheduler.ledger.schema import OWNER_ONLY, ledger_error
from scheduler.player.moments import Moment

KEPT_BACKUPS = 5
BACKUP_FOLDER = "backups"


def back_up(ledger: Ledger, path: Path, *, force: bool) -> None:
    """Copy the ledger by SQLite's own backup, safe while another program writes it.

    Raises:
        LedgerError: The file exists and `force` wasn't said, or it can't be written.
    """
    if path.exists() and not path.is_file():
        msg = f"{path} is no file: name one"
        raise LedgerError(msg)
    if path.exists() and not force:
        msg = f"{path} exists already: --force writes over it"
        raise LedgerError(msg)
    beside = path.with_name(f".{path.name}.part")
    try:
        beside.unlink(missing_ok=True)
        beside.touch(mode=OWNER_ONLY)
        copy = sqlite3.connect(beside)
        try:
            ledger.db.conn.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        finally:
            copy.close()
        beside.replace(path)
    except (sqlite3.Error, OSError) as problem:
        beside.unlink(missing_ok=True)
        raise ledger_error(path, problem) from problem


def back_up_before(ledger: Ledger, what: str, now: Moment) -> Path:
    """A backup of the program's own before something that changes much; the last five are kept.

    Raises:
        LedgerError: It can't be written.
    """
    folder = ledger.path.parent / BACKUP_FOLDER
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as problem:
        raise ledger_error(folder, problem) from problem
    stem = f"{ledger.path.stem}-{now.as_datetime():%Y%m%d-%H%M%S}-{now.utc_ms % 1000:03d}-{what}"
    path = folder / f"{stem}.db"
    back_up(ledger, path, force=True)
    kept = sorted(folder.glob(f"{ledger.path.stem}-*.db"))
    for old in kept[:-KEPT_BACKUPS]:
        old.unlink(missing_ok=True)
    return path
