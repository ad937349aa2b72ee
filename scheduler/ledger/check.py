"""Whether a ledger is sound, and its derived state built again."""

import sqlite3
from collections.abc import Sequence

from scheduler.ledger.cache import current_state, has_fitting_state
from scheduler.ledger.clock import clock_set_right
from scheduler.ledger.definitions import routines_bound
from scheduler.ledger.events import EventIds
from scheduler.ledger.events_table import TABLE_OF_KIND, Row, all_events
from scheduler.ledger.intake import problems_of_rows
from scheduler.ledger.record import Ledger
from scheduler.ledger.same_pass import knows_told_alike, note_all_told_alike
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
        if not found and not (knows_told_alike(ledger.db.conn) and has_fitting_state(ledger)):
            found.append("what is derived doesn't fit the record: upneck check --repair")
    except sqlite3.Error as problem:
        found.append(f"the file can't be read ({problem}): put a backup in its place")
    return found


def _odd_events(ledger: Ledger, now: Moment) -> list[str]:
    """Events that would not be taken in today: other machines refuse them."""
    rows = list(all_events(ledger.db.conn))
    ids = {row["id"] for row in rows}
    if any(row.get("target", row["id"]) not in ids for row in rows if row["kind"] != "undo"):
        return ["an event says something of one that doesn't go out: put a backup in its place"]
    problems = problems_of_rows(rows, now, routines=routines_bound(ledger.db.conn))
    if not problems:
        return []
    more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
    return [f"{problems[0].message}{more}: {_way_out(ledger, rows, now)}"]


def _way_out(ledger: Ledger, rows: Sequence[Row], now: Moment) -> str:
    """What mends events that no clock gives, if anything does."""
    for is_right, what in (
        (False, "the next that is recorded here sets it right"),
        (True, "set the clock right; if it is right: upneck check --clock-is-right"),
    ):
        moved = clock_set_right(ledger, now, is_right=is_right).moved
        if moved and not problems_of_rows(
            [*rows, *_as_corrections(moved, now)], now, routines=routines_bound(ledger.db.conn)
        ):
            return what
    return "put a backup in its place"


def _as_corrections(moved: dict[str, int], now: Moment) -> list[Row]:
    ids = EventIds(now.utc_ms)
    return [
        {
            "id": (event_id := ids.next()), "kind": "correction", "at_ms": now.utc_ms,
            "offset_minutes": 0, "entry": event_id, "target": target, "moved_ms": moved_ms,
        }
        for target, moved_ms in moved.items()
    ]  # fmt: skip


def repair(ledger: Ledger) -> None:
    """Throw away what is derived and build it again; the record is not touched.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        ledger.db.execute("DELETE FROM checkpoints")
        note_all_told_alike(ledger.db.conn)
    current_state(ledger)
