"""Another ledger, read to be merged: two records become one, the union of their events."""

import sqlite3
from collections.abc import Iterable, Sequence
from contextlib import closing
from dataclasses import dataclass
from operator import itemgetter
from pathlib import Path

from scheduler.errors import LedgerError
from scheduler.ledger.damage import DAMAGE, file_uri, has_foreign_log, is_sound, ledger_error
from scheduler.ledger.events_table import Row, all_events
from scheduler.ledger.opening import APPLICATION_ID
from scheduler.ledger.record import Ledger
from scheduler.ledger.schema import SCHEMA_VERSION
from scheduler.plan.settings import OF_ROUTINE

IN_TIME = itemgetter("at_ms", "id")


@dataclass(frozen=True, slots=True)
class SettingClash:
    """A setting that was changed in both ledgers: the later value stands."""

    name: str
    stands: str
    older: str
    is_ours: bool


def read_other(path: Path) -> list[Row]:
    """All events of another ledger, which is only read.

    Raises:
        LedgerError: It can't be read, is no ledger, or has another version's schema.
    """
    if not path.is_file():
        msg = f"ledger {path}: there is no such file"
        raise LedgerError(msg)
    try:
        with closing(sqlite3.connect(":memory:")) as other:
            _copy(path, other)
            _check_other(other, path)
            return list(all_events(other))
    except DAMAGE as problem:
        if getattr(problem, "sqlite_errorname", "") == "SQLITE_NOTADB":
            msg = f"{path} is not a ledger: a log or record is taken in with upneck import"
            raise LedgerError(msg) from problem
        raise ledger_error(path, problem) from problem


def _copy(path: Path, copy: sqlite3.Connection) -> None:
    """Copy a ledger that is only read, for SQLite checks no rules of such a file."""
    has_log = Path(f"{path}-wal").exists() and not has_foreign_log(path)
    mode = "mode=ro" if has_log else "mode=ro&immutable=1"
    with closing(sqlite3.connect(file_uri(path, mode), uri=True)) as other:
        other.backup(copy)


def _check_other(other: sqlite3.Connection, path: Path) -> None:
    application = other.execute("PRAGMA application_id").fetchone()[0]
    version = other.execute("PRAGMA user_version").fetchone()[0]
    if application != APPLICATION_ID:
        msg = f"ledger {path}: it is not a ledger of this program"
        raise LedgerError(msg)
    if version != SCHEMA_VERSION:
        msg = (
            f"ledger {path}: it was written by another version of upneck: run upneck "
            f"--ledger {path} round with the newest version, then merge again"
        )
        raise LedgerError(msg)
    if not is_sound(other):
        msg = f"ledger {path}: it is damaged, and nothing was taken: merge a backup of it"
        raise LedgerError(msg)


def setting_clashes(ledger: Ledger, theirs: Sequence[Row]) -> list[SettingClash]:
    """Settings that both ledgers changed since they parted, and which value stands.

    Raises:
        LedgerError: The ledger can't be read.
    """
    with ledger.reading():
        ours = [row for row in all_events(ledger.db.conn) if row["kind"] == "setting"]
    theirs = [row for row in theirs if row["kind"] == "setting"]
    our_ids, their_ids = ({row["id"] for row in rows} for rows in (ours, theirs))
    mine = _latest(row for row in ours if row["id"] not in their_ids)
    other = _latest(row for row in theirs if row["id"] not in our_ids)
    clashes = []
    # A routine's definition never is another one: that is refused before.
    both = (name for name in mine.keys() & other.keys() if not name.startswith(OF_ROUTINE))
    for name in sorted(both):
        older, later = sorted((mine[name], other[name]), key=IN_TIME)
        if older["value"] != later["value"]:
            is_ours = later is mine[name]
            clashes.append(SettingClash(name, later["value"], older["value"], is_ours))
    return clashes


def _latest(settings: Iterable[Row]) -> dict[str, Row]:
    """The latest change of each setting."""
    return {row["name"]: row for row in sorted(settings, key=IN_TIME)}
