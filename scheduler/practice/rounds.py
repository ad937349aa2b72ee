"""Where the round stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from scheduler.guitar.items import Item
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import Part
from scheduler.player.lookback import LookBack, look_back
from scheduler.player.standing import counts_in_round
from scheduler.practice.practice import Practice


@dataclass(frozen=True, slots=True)
class TripProgress:
    """How many items of a trip are clean in the round."""

    trip: Trip
    clean: int

    @property
    def total(self) -> int:
        """All its items."""
        return len(self.trip.items)


@dataclass(frozen=True, slots=True)
class RoundReport:
    """Where a round stands.

    Attributes:
        number: Its number.
        floor_tempo: The slowest tempo that counts in it.
        started_on: The day on which it began; None before its first pass.
        trips: Its trips, in order.
        visits_all: Whether it visits all items.
        look_back: What it was like so far; None before its first clean pass.
    """

    number: int
    floor_tempo: float
    started_on: date | None
    trips: tuple[TripProgress, ...]
    visits_all: bool = True
    look_back: LookBack | None = None

    @property
    def total(self) -> int:
        """All items."""
        return sum(each.total for each in self.trips)

    @property
    def clean(self) -> int:
        """Those that are clean."""
        return sum(each.clean for each in self.trips)

    @property
    def is_finished(self) -> bool:
        """Whether nothing is left; a round of which the neck has nothing isn't finished."""
        return 0 < self.total == self.clean

    def parts(self) -> list[tuple[Part, list[TripProgress]]]:
        """Trips by part, in order."""
        return [(part, list(group)) for part, group in groupby(self.trips, lambda t: t.trip.part)]


def round_report(practice: Practice) -> RoundReport:
    """Where the round stands."""
    state, settings = practice.state, practice.settings
    return RoundReport(
        number=state.round.number,
        floor_tempo=settings.floor_tempo,
        visits_all=not state.round.only,
        look_back=look_back(practice.ability(), practice.order),
        started_on=date.fromordinal(state.round.started) if state.round.started else None,
        trips=tuple(
            TripProgress(trip, clean_in_round(practice, trip.items)) for trip in practice.trips()
        ),
    )


def clean_in_round(practice: Practice, items: Sequence[Item]) -> int:
    """How many of some items are clean in the round."""
    floor = practice.settings.floor_speed
    return sum(counts_in_round(practice.state.history(item), floor) for item in items)
