"""Whether a ledger is sound, and its derived state built again."""

import sqlite3

from scheduler.ledger.cache import current_state, has_fitting_state
from scheduler.ledger.events_table import TABLE_OF_KIND, all_events
from scheduler.ledger.intake import problems_of_rows
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment


def problems_of(ledger: Ledger, now: Moment) -> list[str]:
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
        if not found:
            found += _odd_events(ledger, now)
        if not found and not has_fitting_state(ledger):
            found.append("what is derived doesn't fit the record: upneck check --repair")
    except sqlite3.Error as problem:
        found.append(f"the file can't be read ({problem}): put a backup in its place")
    return found


def _odd_events(ledger: Ledger, now: Moment) -> list[str]:
    """Events that would not be taken in today: other machines refuse them."""
    problems = problems_of_rows(list(all_events(ledger.db.conn)), now)
    if not problems:
        return []
    more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
    return [f"{problems[0].message}{more}: set the clock right, or put a backup in its place"]


def repair(ledger: Ledger) -> None:
    """Throw away what is derived and build it again; the record is not touched.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        ledger.db.execute("DELETE FROM checkpoints")
    current_state(ledger)
