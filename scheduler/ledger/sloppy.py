"""The sloppy passes of a record, read without the others."""

from scheduler.ledger.events import passes_from
from scheduler.ledger.record import OF_PASS, WHEN, Ledger
from scheduler.player.facts import Pass


def sloppy_passes(ledger: Ledger) -> list[Pass]:
    """The sloppy passes that stand, in no order, each with the fault that was said of it.

    Raises:
        LedgerError: The file can't be read.
    """
    # From the passes to their events: one in ten is sloppy, and the others aren't looked up.
    query = (
        f"SELECT {WHEN}, {OF_PASS} FROM passes "
        "CROSS JOIN events ON events.id = passes.event_id WHERE NOT clean"
    )
    with ledger.reading():
        rows = ledger.with_faults(ledger.standing(ledger.db.execute(query)))
        return list(passes_from(rows, ledger.routines))
