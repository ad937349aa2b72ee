"""The way back: whose record a file holds, and what is new with it."""

from dataclasses import dataclass

from scheduler.guitar.routine import Routine
from scheduler.player.progress import TripKey
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import clean_in_round


@dataclass(frozen=True, slots=True)
class Before:
    """What was there before something came in.

    Attributes:
        round: The routine that went onward, and the number of its round.
        passes: Passes by day (ordinal).
        clean: Items that are clean in the round.
        begun: The boxes and couplings that were begun in it.
    """

    round: tuple[Routine, int]
    passes: dict[int, int]
    clean: int
    begun: frozenset[TripKey]


@dataclass(frozen=True, slots=True)
class News:
    """What came in.

    Attributes:
        passes: Passes more than before; fewer where some were taken back.
        days: Days on which there are others than before.
        clean: Items of the round that are clean.
        total: All its items.
        more_clean: How many more are clean than before; 0 in another round.
        begun: The boxes and couplings that were begun.
        last_played: The last day (ordinal) with passes; None if there is none.
        new_round: The number of the round, where another one was begun; else None.
    """

    passes: int
    days: int
    clean: int
    total: int
    more_clean: int
    begun: tuple[TripKey, ...]
    last_played: int | None
    new_round: int | None

    def __bool__(self) -> bool:
        """Whether anything is other than before."""
        return bool(self.passes or self.days or self.more_clean or self.begun or self.new_round)


def as_it_is(practice: Practice) -> Before:
    """A copy of the figures before an import: the state of a practice is changed in place."""
    state = practice.state
    return Before(
        round=(state.routine, state.round.number),
        passes={day: tally.passes for day, tally in state.days.items() if tally.passes},
        clean=clean_in_round(state, practice.order),
        begun=frozenset(state.round.trips),
    )


def news_since(practice: Practice, before: Before) -> News:
    """What is new by now."""
    now = as_it_is(practice)
    days = now.passes.keys() | before.passes.keys()
    is_same = now.round == before.round
    return News(
        passes=sum(now.passes.values()) - sum(before.passes.values()),
        days=sum(now.passes.get(day) != before.passes.get(day) for day in days),
        clean=now.clean,
        total=len(practice.order),
        more_clean=now.clean - before.clean if is_same else 0,
        begun=tuple(sorted(now.begun - before.begun if is_same else now.begun)),
        last_played=max(now.passes, default=None),
        new_round=None if is_same else now.round[1],
    )
