"""The round under way: its number, when it began, and how its parts went."""

from dataclasses import dataclass, field

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import DEFAULT_FLOOR_TEMPO, BeatsPerMinute

TripKey = tuple[int, bool, str]
"""Box, coupling, and for a coupling the direction it starts in ("" for singles)."""


def trip_key(item: Item) -> TripKey:
    """The trip that an item belongs to."""
    return (item.box, item.coupling, str(item.direction) if item.coupling else "")


@dataclass(slots=True)
class Tally:
    """Passes of a trip in the round, and the seconds they took with the ways between them."""

    passes: int = 0
    clean: int = 0
    seconds: float = 0.0


@dataclass(slots=True)
class RoundProgress:
    """How the round of a routine that is under way went so far.

    Attributes:
        number: Its number, from 1.
        started: The local day it began, as an ordinal; 0 before the first pass.
        only: The items of a round that doesn't visit all; empty otherwise.
        trips: Tallies by trip.
        floor_tempo: The slowest tempo that counts in it.
        days: Days with passes of it.
        last_day: The last of them (ordinal).
    """

    number: int = 1
    started: int = 0
    only: tuple[Item, ...] = ()
    trips: dict[TripKey, Tally] = field(default_factory=dict)
    floor_tempo: BeatsPerMinute = DEFAULT_FLOOR_TEMPO
    days: int = 0
    last_day: int = 0

    def add(self, item: Item, day: int, seconds: float, *, clean: bool) -> None:
        """Take in a pass."""
        self.started = self.started or day
        self.days += day != self.last_day
        self.last_day = day
        tally = self.trips.setdefault(trip_key(item), Tally())
        tally.passes += 1
        tally.clean += clean
        tally.seconds += seconds

    @property
    def total(self) -> Tally:
        """All trips together."""
        return Tally(
            sum(tally.passes for tally in self.trips.values()),
            sum(tally.clean for tally in self.trips.values()),
            sum(tally.seconds for tally in self.trips.values()),
        )
