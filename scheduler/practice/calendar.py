"""The calendar: what was practised, and when what will be finished, as it is or what if."""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import accumulate

from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import Routine
from scheduler.plan.assignment import trips_first
from scheduler.plan.cautions import shares_of_return
from scheduler.plan.pace import Pace
from scheduler.plan.practice_days import FURTHEST_DAYS, PracticeDays
from scheduler.plan.projection import Projection, project
from scheduler.player.moments import Moment
from scheduler.player.replay import State
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import Ability
from scheduler.practice.assignment import comes_first
from scheduler.practice.practice import Practice
from scheduler.practice.session import moment_on

SEED = 20_250_101


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Other circumstances than the settings'; None leaves them as they are."""

    minutes: float | None = None
    days: frozenset[int] | None = None
    off: frozenset[int] | None = None
    clean_of_ten: float | None = None
    routine: Routine | None = None

    def __bool__(self) -> bool:
        """Whether anything is other."""
        return self != WhatIf()


@dataclass(frozen=True, slots=True)
class Outcome:
    """A projection and what it was made of.

    Attributes:
        day: The day from which it looks ahead.
        state: What was concluded from the record up to then.
        practice_days: The budget and the days with practice.
        pace: How the player practises.
        projection: When what will be finished.
        routine: The routine that goes onward.
        fewer_minutes: The minutes of planned days (ordinals) that have less than the budget.
        trips_on: The boxes and couplings that are likely played on planned days (ordinals).
    """

    day: date
    state: State
    practice_days: PracticeDays
    pace: Pace
    projection: Projection
    routine: Routine
    fewer_minutes: dict[int, float] = field(default_factory=dict)
    trips_on: dict[int, tuple[Trip, ...]] = field(default_factory=dict)

    @property
    def round_number(self) -> int:
        """The number of its round."""
        return self.state.round_of(self.routine).number

    def minutes_on(self, day: int) -> float:
        """The minutes of a planned day (ordinal)."""
        return self.fewer_minutes.get(day, self.practice_days.minutes)


def outcomes(practice: Practice, what_if: WhatIf, day: date) -> tuple[Outcome, Outcome | None]:
    """The outcome as of a day, and beside it the one as the settings are, if it is another."""
    moment = moment_on(practice, day.toordinal())
    state = practice.state_at(moment)
    outcome = _outcome(practice, what_if, moment, state)
    return outcome, _outcome(practice, WhatIf(), moment, state) if what_if else None


def _outcome(practice: Practice, what_if: WhatIf, moment: Moment, state: State) -> Outcome:
    settings = practice.settings
    practice_days = PracticeDays(
        settings.minutes if what_if.minutes is None else what_if.minutes,
        settings.days if what_if.days is None else what_if.days,
        what_if.off or frozenset(),
    )
    pace = practice.pace(state, min(moment.day, practice.now.day))
    target = None if what_if.clean_of_ten is None else what_if.clean_of_ten / 10
    routine = what_if.routine or state.routine
    ability = practice.ability(moment, target, state, routine)
    trips = practice.trips(state, routine)
    first = comes_first(practice, moment.day, state)
    if first and routine is state.routine:
        trips = trips_first(trips, first)
    projection = project(ability, trips, pace, practice_days, SEED)
    fewer = _fewer_minutes(state, practice_days, moment.day)
    on = _trips_on(ability, trips, projection.expected_clean)
    return Outcome(moment.date, state, practice_days, pace, projection, routine, fewer, on)


def _trips_on(
    ability: Ability, trips: Sequence[Trip], expected: Mapping[int, float]
) -> dict[int, tuple[Trip, ...]]:
    """The trips that are likely played on each day, along the mean path."""
    left = [
        (trip, sum(not counts_in_round(ability.state.history(item), ability.floor_speed)
                   for item in trip.items))
        for trip in trips
    ]  # fmt: skip
    ends = list(accumulate(items for _, items in left))
    found: dict[int, tuple[Trip, ...]] = {}
    before = 0.0
    for day, gain in expected.items():
        first = bisect_right(ends, before)
        last = bisect_left(ends, before + gain)
        found[day] = tuple(trip for trip, items in left[first : last + 1] if items)
        before += gain
    return found


def _fewer_minutes(state: State, practice_days: PracticeDays, today: int) -> dict[int, float]:
    """The minutes of the planned days that have less than the budget, after weeks away."""
    shares = shares_of_return(state.days, today, practice_days.minutes * 60)
    planned = filter(practice_days.is_planned, range(today, today + FURTHEST_DAYS))
    return {day: share * practice_days.minutes for share, day in zip(shares, planned, strict=False)}
