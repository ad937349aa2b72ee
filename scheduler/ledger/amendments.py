"""What later events say of earlier ones: which don't stand any more, were moved, had a fault."""

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import Any, NamedTuple


class Amendments(NamedTuple):
    """What is to be kept in mind when events are read.

    Attributes:
        gone: Ids of events that don't stand: undone, withdrawn, set aside, or told twice.
        moved: The instants (UTC, ms) at which events count that a wrong clock had dated, by id;
            nothing is ever moved to a later time.
        faults: What was said afterwards to have been sloppy, by the id of the pass.
    """

    gone: frozenset[str] = frozenset()
    moved: dict[str, int] = {}  # noqa: RUF012
    faults: dict[str, str] = {}  # noqa: RUF012


ANY = """
SELECT EXISTS (SELECT 1 FROM withdrawals) OR EXISTS (SELECT 1 FROM undos)
       OR EXISTS (SELECT 1 FROM told_alike) OR EXISTS (SELECT 1 FROM acts WHERE undone IS NOT NULL),
       EXISTS (SELECT 1 FROM corrections), EXISTS (SELECT 1 FROM faults)
"""
"""Asked first, for most ledgers have little of it, and the views take long to look through."""


def read_amendments(connection: sqlite3.Connection) -> Amendments:
    """Read what amends the record.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    any_gone, any_moved, any_faults = connection.execute(ANY).fetchone()
    gone: frozenset[str] = frozenset()
    moved: dict[str, int] = {}
    faults: dict[str, str] = {}
    if any_gone:
        gone = frozenset(row[0] for row in connection.execute("SELECT id FROM gone"))
    if any_moved:
        moved = dict(connection.execute("SELECT id, at_ms FROM moved"))
    if any_faults:
        said = connection.execute("SELECT event_id, target, fault FROM faults ORDER BY event_id")
        faults = {target: fault for event_id, target, fault in said if event_id not in gone}
    return Amendments(gone, moved, faults)


def standing_among(events: Iterable[Mapping[str, Any]]) -> Callable[[Mapping[str, Any]], bool]:
    """Whether each of some events stands, by what the others say of it.

    Args:
        events: Events as rows, or as JSON tells them: their values may be anything.
    """
    told = [event for event in events if event.get("kind") in ("undo", "withdrawal")]
    balance: Counter[str] = Counter()
    for event in told:
        if event["kind"] == "undo":
            balance[str(event.get("target"))] += -1 if event.get("redone") else 1

    def is_in_force(event: Mapping[str, Any]) -> bool:
        return balance[str(event.get("entry"))] <= 0

    withdrawn = {
        str(event.get("target"))
        for event in told
        if event["kind"] == "withdrawal" and is_in_force(event)
    }
    return lambda event: is_in_force(event) and str(event.get("id")) not in withdrawn
