"""Events written into a ledger, as acts and in bulk."""

from collections.abc import Iterable, Sequence
from pathlib import Path

from scheduler.ledger.doing import doing
from scheduler.ledger.events import Event, EventIds, row_of
from scheduler.ledger.events_table import insert_rows
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fact
from scheduler.player.moments import Moment
from tests.benchmarks.belief_speed import record


def append(ledger: Ledger, events: Sequence[Event], what: str = "record") -> None:
    """Add events as one act, done when all that the ledger holds had been done."""
    if not events:
        return
    ((latest,),) = ledger.rows("SELECT coalesce(max(at_ms), 0) FROM events")
    latest = max(latest, *(event.moment.utc_ms for event in events))
    with doing(ledger, what, Moment(latest, 60)) as act:
        act.add(events)


def write(ledger: Ledger, facts: Iterable[Fact]) -> None:
    """Add facts in one transaction, each with an id of its time, as no act."""
    rows = []
    for fact in facts:
        event_id = EventIds(fact.moment.utc_ms).next()
        rows.append(row_of(fact._replace(id=event_id), event_id))
    with ledger.writing():
        insert_rows(ledger.db.conn, rows)


def write_passes(path: Path, number: int) -> None:
    """Add passes in one transaction, spread over some years."""
    ledger = Ledger(path)
    write(ledger, record(number))
    ledger.close()
