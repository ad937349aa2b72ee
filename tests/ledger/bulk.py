"""A ledger with many passes, written quickly."""

from pathlib import Path

from scheduler.ledger.events import EventIds, rows_of
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Pass
from tests.benchmarks.belief_speed import record


def write_passes(path: Path, number: int) -> None:
    """Append passes in one transaction, spread over some years."""
    ledger = Ledger(path)
    events, passes = [], []
    for fact in record(number):
        assert isinstance(fact, Pass)
        event_id = EventIds(fact.moment.utc_ms).next()
        _, _, row = rows_of(fact)
        events.append((event_id, "pass", fact.moment.utc_ms, 0, event_id))
        passes.append((event_id, *row.values()))
    with ledger.writing():
        ledger.db.conn.executemany(
            "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) VALUES (?, ?, ?, ?, ?)",
            events,
        )
        ledger.db.conn.executemany(
            "INSERT INTO passes (event_id, box, coupling, direction, stroke, fret, notes, tempo, "
            f"notes_per_beat, clean, errors, fault, note) VALUES ({', '.join('?' * 13)})",
            passes,
        )
    ledger.close()
