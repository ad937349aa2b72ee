"""The projection: seeded simulated futures over the items that remain.

In each future a shared shift of the error rate says how well the coming parts go, every weekday
has its chance of being practised, every practised day its minutes, and every trip of the round
its time. Out come the days on which each trip, part and the round are finished.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from math import inf, sqrt
from random import Random
from typing import NamedTuple

from scheduler.guitar.durations import opening_seconds, pass_seconds, settle_seconds
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.rounds import Part, Trip
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.pace import Pace, weekday_of
from scheduler.player.belief import BASE, Outlook
from scheduler.player.quadrature import Gaussian, clean_chance
from scheduler.player.standing import done_in_round
from scheduler.player.tempo import Bench, onward_tempo

FUTURES = 1000
FURTHEST_DAYS = 5 * 366
"""A future that has no end in five years has no day."""

EARLY, MIDDLE, LATE = 0.1, 0.5, 0.9
SHIFTS = 9
"""The shared shift is drawn from so many equally likely values."""

SHIFT_SD = 0.15
"""Uncertainty about how well the coming parts go, beside that of the base weight (our choice)."""

LEAST_RATIO = 0.05
LEAST_CHANCE = 0.02
"""An item is not thought to need more than fifty passes."""

_NORMAL_MIDDLES = (-1.593, -0.967, -0.589, -0.282, 0.0, 0.282, 0.589, 0.967, 1.593)
"""Standard normal quantiles at 1/18, 3/18, ..., 17/18."""


class Window(NamedTuple):
    """The days before which 1, 5 and 9 of 10 futures have an end; None: not in five years."""

    early: date | None
    middle: date | None
    late: date | None


class Milestone(NamedTuple):
    """A part of the round that gets finished.

    Attributes:
        part: The part, or None for the whole round.
        trip: The trip, or None for a whole part.
        window: When it will be finished.
        done_on: When it was finished, if it is.
    """

    part: Part | None
    trip: Trip | None
    window: Window
    done_on: date | None


@dataclass(frozen=True, slots=True)
class Ahead:
    """What the days ahead hold, as far as it can be planned.

    Attributes:
        minutes: The budget of a practised day.
        weekdays: The weekdays with practice.
        off: Days (ordinals) without practice.
    """

    minutes: float
    weekdays: frozenset[int]
    off: frozenset[int] = frozenset()

    def is_planned(self, day: int) -> bool:
        """Whether practice is planned on a day."""
        return weekday_of(day) in self.weekdays and day not in self.off


@dataclass(frozen=True, slots=True)
class Projection:
    """When what will be finished.

    Attributes:
        items_total: Items of the round.
        items_clean: Those done in it.
        milestones: Every trip, part, and the round last.
        expected_clean: Items expected to become clean, by day (ordinal).
    """

    items_total: int
    items_clean: int
    milestones: tuple[Milestone, ...]
    expected_clean: dict[int, float]

    @property
    def finish(self) -> Window:
        """The window of the whole round."""
        return self.milestones[-1].window


class _Stretch(NamedTuple):
    """The items of a trip that remain: mean and deviation of their time, by shared shift."""

    items: int
    means: tuple[float, ...]
    deviations: tuple[float, ...]


def project(
    bench: Bench,
    trips: Sequence[Trip],
    pace: Pace,
    ahead: Ahead,
    seed: int,
    futures: int = FUTURES,
) -> Projection:
    """Project the end of every trip, part and the round.

    Args:
        bench: The record so far, the moment and the settings.
        trips: The trips of the round, in order.
        pace: How the player practises.
        ahead: Budget, weekdays and days off.
        seed: The same seed gives the same futures.
        futures: How many are simulated.
    """
    stretches = [_stretch(bench, trip) for trip in trips]
    ends = _futures(bench, stretches, pace, ahead, Random(seed), futures)
    by_trip = {trip: [future[place] for future in ends] for place, trip in enumerate(trips)}
    milestones = [
        _milestone(bench, trip.part, trip, [trip], by_trip) for trip in trips
    ] + [
        _milestone(bench, part, None, [trip for trip in trips if trip.part is part], by_trip)
        for part in Part
    ] + [_milestone(bench, None, None, trips, by_trip)]  # fmt: skip
    return Projection(
        items_total=sum(len(trip.items) for trip in trips),
        items_clean=sum(len(trip.items) for trip in trips) - sum(s.items for s in stretches),
        milestones=tuple(milestones),
        expected_clean=_expected_clean(bench, stretches, pace, ahead),
    )


def _stretch(bench: Bench, trip: Trip) -> _Stretch:
    means, variances = [0.0] * SHIFTS, [0.0] * SHIFTS
    remaining = [
        item for item in trip.items
        if not done_in_round(bench.state.history(item), bench.floor_speed)
    ]  # fmt: skip
    base = bench.state.belief.weight(BASE, bench.now.day).variance
    for item in remaining:
        outlook = bench.outlook(item)
        tempo = max(onward_tempo(bench, item, outlook), bench.floor_tempo)
        one = pass_seconds(outlook.notes, speed_of(tempo, bench.notes_per_beat))
        one += settle_seconds(tempo)
        for place, chance in enumerate(_chances(bench, outlook, tempo, base)):
            visits = 1 / (1 - (1 - chance) ** PASSES_A_VISIT)
            means[place] += one / chance + (visits - 1) * opening_seconds(tempo)
            variances[place] += one * one * (1 - chance) / chance**2
    if remaining:
        means = [mean + 2 * opening_seconds(bench.floor_tempo) for mean in means]
    return _Stretch(len(remaining), tuple(means), tuple(sqrt(v) for v in variances))


def _chances(
    bench: Bench, outlook: Outlook, tempo: BeatsPerMinute, base_variance: float
) -> Iterable[float]:
    """The chance of a clean pass under each shared shift of the log error rate."""
    eta = outlook.eta(speed_of(tempo, bench.notes_per_beat))
    own = max(eta.variance - base_variance, 0.0)
    spread = sqrt(min(base_variance, eta.variance) + SHIFT_SD**2)
    for middle in _NORMAL_MIDDLES:
        shifted = Gaussian(eta.mean + middle * spread, own)
        yield max(clean_chance(shifted, outlook.notes), LEAST_CHANCE)


def _work_a_day(pace: Pace, ahead: Ahead) -> float:
    """Seconds on new ground that a day yields which is practised for the whole budget."""
    return ahead.minutes * pace.seconds_per_minute * pace.new_share


def _done_today(bench: Bench) -> float:
    """Seconds on new ground that were recorded today already."""
    today = bench.state.days.get(bench.now.day)
    return today.new_seconds if today else 0.0


def _futures(
    bench: Bench,
    stretches: Sequence[_Stretch],
    pace: Pace,
    ahead: Ahead,
    random: Random,
    futures: int,
) -> list[list[int | None]]:
    """For every future the day on which each stretch ends; 0 if nothing of it remains."""
    today = bench.now.day
    planned = [day for day in range(today, today + FURTHEST_DAYS) if ahead.is_planned(day)]
    remaining = [place for place, stretch in enumerate(stretches) if stretch.items]
    found = []
    for number in range(futures):
        shift = number % SHIFTS
        times = []
        for place in remaining:
            mean, deviation = stretches[place].means[shift], stretches[place].deviations[shift]
            times.append(max(random.gauss(mean, deviation), 0.2 * mean))
        works = _work_by_day(bench, planned, pace, ahead, random)
        days: list[int | None] = [0] * len(stretches)
        for place, day in zip(remaining, _days_of(accumulate(times), works), strict=True):
            days[place] = day
        found.append(days)
    return found


def _work_by_day(
    bench: Bench, planned: Sequence[int], pace: Pace, ahead: Ahead, random: Random
) -> Iterator[tuple[int, float]]:
    """The practised days of one future, each with the work done by its end."""
    a_day = _work_a_day(pace, ahead)
    done_today = _done_today(bench)
    chances = [random.betavariate(beta.yes, beta.no) for beta in pace.weekdays]
    ratio = max(random.gauss(pace.ratio, pace.ratio_error), LEAST_RATIO)
    work = 0.0
    for day in planned:
        has_begun = day == bench.now.day and done_today > 0
        if has_begun or random.random() < chances[weekday_of(day)]:
            gain = max(random.gauss(ratio, pace.ratio_sd), LEAST_RATIO) * a_day
            work += max(gain - done_today, 0.0) if has_begun else gain
            yield day, work


def _days_of(ends: Iterable[float], works: Iterator[tuple[int, float]]) -> Iterator[int | None]:
    """The day on which the work reaches each of the ends, which only grow."""
    day, work = next(works, (None, inf))
    for end in ends:
        while work < end:
            day, work = next(works, (None, inf))
        yield day


def _expected_clean(
    bench: Bench, stretches: Sequence[_Stretch], pace: Pace, ahead: Ahead
) -> dict[int, float]:
    """Items expected to become clean on the days ahead, along the mean path."""
    left = [(float(s.items), s.means[SHIFTS // 2]) for s in reversed(stretches) if s.items]
    a_day = _work_a_day(pace, ahead) * pace.ratio
    done_today = _done_today(bench)
    expected: dict[int, float] = {}
    for day in range(bench.now.day, bench.now.day + FURTHEST_DAYS):
        if not left:
            break
        if not ahead.is_planned(day):
            continue
        if day == bench.now.day and done_today:
            work = max(0.0, a_day - done_today)
        else:
            work = a_day * pace.weekdays[weekday_of(day)].mean
        expected[day] = _advance(left, work)
    return expected


def _advance(left: list[tuple[float, float]], work: float) -> float:
    """Take work off the stretches left (items and seconds, the next one last); items gained."""
    gained = 0.0
    while left:
        items, seconds = left.pop()
        if work < seconds:
            share = work / seconds
            left.append((items * (1 - share), seconds * (1 - share)))
            return gained + items * share
        gained += items
        work -= seconds
    return gained


def _milestone(
    bench: Bench,
    part: Part | None,
    trip: Trip | None,
    trips: Sequence[Trip],
    by_trip: dict[Trip, list[int | None]],
) -> Milestone:
    reached = [
        bench.state.history(item).reached_on(bench.floor_speed)
        for each in trips
        for item in each.items
    ]
    if all(day is not None for day in reached):
        done_on = date.fromordinal(max(day for day in reached if day is not None))
        return Milestone(part, trip, Window(done_on, done_on, done_on), done_on)
    lasts = [
        None if None in days else max(day for day in days if day is not None)
        for days in zip(*(by_trip[each] for each in trips), strict=True)
    ]
    return Milestone(part, trip, window_of(lasts), None)


def window_of(days: Sequence[int | None]) -> Window:
    """The early, middle and late day of futures given as ordinals, None being later than all."""
    ordered = sorted(days, key=lambda day: (day is None, day or 0))

    def at(share: float) -> date | None:
        day = ordered[min(int(share * len(ordered)), len(ordered) - 1)]
        return None if day is None else date.fromordinal(day)

    return Window(at(EARLY), at(MIDDLE), at(LATE))
