"""Where the round stands, and the beginning of the next one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from scheduler.errors import RecordError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.rounds import Part, Trip
from scheduler.ledger.acts import MEANWHILE
from scheduler.ledger.events import Event, SettingChanged
from scheduler.plan.settings import with_values
from scheduler.player.facts import RoundStarted
from scheduler.player.lookback import LookBack, look_back
from scheduler.player.standing import Standing, counts_in_round
from scheduler.practice.act import act
from scheduler.practice.practice import Practice
from scheduler.practice.settings import changed_words


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


def weak_or_stale(practice: Practice) -> tuple[Item, ...]:
    """The items of the round that are weak or stale now, in order.

    Raises:
        RecordError: There are none.
    """
    worn = {Standing.WEAK, Standing.STALE}
    judgements = practice.judge_all(practice.order)
    only = tuple(item for item, judged in judgements.items() if judged.standing in worn)
    if not only:
        msg = "nothing is weak or stale: leave --weak out for a whole round"
        raise RecordError(msg)
    return only


def begin_next_round(
    practice: Practice,
    *,
    only_weak: bool,
    floor_tempo: BeatsPerMinute | None,
    although_unfinished: bool,
) -> None:
    """Begin the next round, with its floor tempo if it gets another one: one act.

    Args:
        practice: The player's practice.
        only_weak: Whether it visits only what is weak or stale now.
        floor_tempo: The slowest tempo that counts in it; None leaves it as it is.
        although_unfinished: Whether it begins although the one under way isn't finished.

    Raises:
        RecordError: The round isn't finished, or nothing is weak.
        LedgerError: The file can't be written.
    """
    report = round_report(practice)
    if not report.is_finished and not although_unfinished:
        msg = (
            f"round {report.number} is not finished, {report.clean} of {report.total} items are "
            "clean: --yes begins the next one all the same"
        )
        raise RecordError(msg)
    only = weak_or_stale(practice) if only_weak else ()
    values: dict[str, object] = {} if floor_tempo is None else {"floor_tempo": float(floor_tempo)}
    words = changed_words(practice.settings, with_values(practice.settings, values))
    with act(practice, "round") as doing:
        if any(begun.number > report.number for begun in practice.ledger.rounds()):
            raise RecordError(MEANWHILE)
        events: list[Event] = [
            RoundStarted(doing.ids.next(), doing.moment, report.number + 1, only)
        ]
        events += [
            SettingChanged(doing.ids.next(), doing.moment, name, text)
            for name, text in words.items()
        ]
        doing.add(events)
