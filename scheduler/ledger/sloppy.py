"""The sloppy passes of a record, read without the others, and since when each item counts."""

from scheduler.guitar.items import Item
from scheduler.ledger.events import passes_from, resets_from
from scheduler.ledger.record import OF_ITEM, OF_PASS, WHEN, Ledger
from scheduler.player.facts import Pass
from scheduler.player.replay import place_in_time


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


def last_resets(ledger: Ledger) -> dict[Item, tuple[int, str]]:
    """The last reset of every item that was reset: its time (UTC, ms) and id.

    Raises:
        LedgerError: The file can't be read.
    """
    query = f"SELECT {WHEN}, {OF_ITEM} FROM resets CROSS JOIN events ON events.id = resets.event_id"
    with ledger.reading():
        rows = ledger.standing(ledger.db.execute(query))
        resets = sorted(resets_from(rows, ledger.routines), key=place_in_time)
    return {reset.item: place_in_time(reset) for reset in resets}
