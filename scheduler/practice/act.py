"""One act of a player: what it changes is one transaction, and what the clock did is told."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from scheduler.ledger.acts import Doing, doing
from scheduler.practice.practice import Practice


@contextmanager
def act(practice: Practice, what: str) -> Iterator[Doing]:
    """Do something; afterwards settings and state are those of after it.

    Args:
        practice: The player's practice.
        what: What is done, a word that `upneck undo` says.

    Raises:
        LedgerError: The file can't be written.
    """
    with doing(practice.ledger, what, practice.now) as being_done:
        yield being_done
    clock, day = being_done.clock, practice.now.date
    if clock.moved:
        number = len(clock.moved)
        events = f"{number} events" if number != 1 else "an event"
        practice.tell(
            f"{events} lay ahead of the clock ({day}): they count as done just before now"
        )
    if clock.now != practice.now:
        last = date.fromordinal(clock.now.day)
        practice.tell(
            f"the clock says {day}, but the record goes on to {last}: this counts as done after "
            "that; set the clock right"
        )
    practice.look_again()
