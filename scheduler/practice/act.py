"""One act of a player: what it changes is one transaction, and what the clock did is told."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date

from scheduler.ledger.clock import SetRight
from scheduler.ledger.doing import Doing, doing
from scheduler.player.moments import MS_PER_DAY
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
    tell_clock(practice, being_done.clock)
    practice.look_again()


def player_ids_known(practice: Practice) -> list[str]:
    """The ids of the player, who gets one now if there is none yet.

    Raises:
        LedgerError: The file can't be written.
    """
    if not practice.ledger.player_ids():
        with doing(practice.ledger, "player", practice.now) as being_done:
            being_done.know_player()
    return sorted(practice.ledger.player_ids())


def tell_clock(practice: Practice, clock: SetRight) -> None:
    """Tell what became of events that are dated later than the clock."""
    day = practice.now.date
    if clock.moved:
        practice.tell(
            f"the clock was ahead before, and says {day} now: what was recorded then counts as "
            "done just before this"
        )
    if clock.now.utc_ms - practice.now.utc_ms > MS_PER_DAY:
        last = date.fromordinal(clock.now.day)
        practice.tell(
            f"the clock says {day}, but the record goes on to {last}: this counts as done after "
            "that; set the clock right, or if it is right: upneck check --clock-is-right"
        )


def say_clock_is_right(practice: Practice) -> int:
    """Set right what is dated later than the clock, as an act; how many events that is.

    Raises:
        LedgerError: The file can't be written.
    """
    with doing(practice.ledger, "clock", practice.now, clock_is_right=True) as being_done:
        being_done.correct()
    practice.look_again()
    return len(being_done.clock.moved)
