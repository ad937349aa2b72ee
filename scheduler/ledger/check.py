"""Whether a ledger is sound, and its derived state built again."""

import sqlite3

from scheduler.ledger.cache import current_state, has_fitting_state
from scheduler.ledger.events_table import TABLE_OF_KIND
from scheduler.ledger.record import Ledger


def problems_of(ledger: Ledger) -> list[str]:
    """What is wrong with a ledger, each with what to do."""
    found: list[str] = []
    try:
        broken = [row[0] for row in ledger.db.execute("PRAGMA integrity_check").fetchall()]
        if broken != ["ok"]:
            return [f"the file is damaged ({broken[0]}): put a backup in its place"]
        if ledger.db.execute("PRAGMA foreign_key_check").fetchone() is not None:
            found.append("an event refers to one that isn't there: put a backup in its place")
        for kind, table in TABLE_OF_KIND.items():
            (bare,) = ledger.db.execute(
                f"SELECT count(*) FROM events WHERE kind = ? "
                f"AND id NOT IN (SELECT event_id FROM {table})",
                [kind],
            ).fetchone()
            if bare:
                found.append(f"{bare} events of kind {kind} say nothing: put a backup in its place")
        if not found and not has_fitting_state(ledger):
            found.append("what is derived doesn't fit the record: upneck check --repair")
    except sqlite3.Error as problem:
        found.append(f"the file can't be read ({problem}): put a backup in its place")
    return found


def repair(ledger: Ledger) -> None:
    """Throw away what is derived and build it again; the record is not touched.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        ledger.db.execute("DELETE FROM checkpoints")
    current_state(ledger)
