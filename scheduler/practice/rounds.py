"""Where the round stands."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from scheduler.guitar.items import Item
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import PENTATONIC, Part, Routine
from scheduler.player.lookback import LookBack, look_back
from scheduler.player.replay import State
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
        routine: The routine.
    """

    number: int
    floor_tempo: float
    started_on: date | None
    trips: tuple[TripProgress, ...]
    visits_all: bool = True
    look_back: LookBack | None = None
    routine: Routine = PENTATONIC

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


def round_report(practice: Practice, routine: Routine | None = None) -> RoundReport:
    """Where the round of a routine stands; of the one that goes onward, where none is given."""
    routine = routine or practice.state.routine
    ability = practice.ability(routine=routine)
    this_round, trips = ability.round, trips_progress(practice, routine)
    return RoundReport(
        number=this_round.number,
        floor_tempo=this_round.floor_tempo,
        visits_all=not this_round.only,
        look_back=look_back(ability, practice.order_of(routine)),
        started_on=date.fromordinal(this_round.started) if this_round.started else None,
        trips=trips,
        routine=routine,
    )


def trips_progress(practice: Practice, routine: Routine) -> tuple[TripProgress, ...]:
    """How many items of each trip of a routine's round are clean."""
    trips = practice.trips(routine=routine)
    return tuple(TripProgress(trip, clean_in_round(practice.state, trip.items)) for trip in trips)


def clean_in_round(state: State, items: Sequence[Item]) -> int:
    """How many of some items are clean in the rounds of their routines."""
    return sum(
        counts_in_round(state.history(item), state.floor_speed_of(item.routine)) for item in items
    )
