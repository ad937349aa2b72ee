"""The projection: seeded simulated futures over the items that remain.

In each future a shared shift of the error rate says how well the coming parts go, every weekday
has its chance of being practised, every practised day its minutes, and every trip of the round
its time. Out come the days on which each trip, part and the round are finished.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import accumulate
from math import ceil, expm1, log
from random import Random
from typing import NamedTuple

from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import Part
from scheduler.plan.cautions import shares_of_return
from scheduler.plan.effort import SHIFTS, Stretch, stretches_of
from scheduler.plan.obstacles import NO_END, obstacle
from scheduler.plan.pace import Pace, weekday_belief
from scheduler.plan.practice_days import FURTHEST_DAYS, PracticeDays, weekday_of
from scheduler.player.tempo import Ability

FUTURES = 1000

EARLY, MIDDLE, LATE = 0.1, 0.5, 0.9
"""A window holds eight of ten futures (our choice: a rarer miss makes it too wide to plan with)."""
LEAST_RATIO, LEAST_TIME, NEVER = 0.05, 0.2, 1e-6
MOST_STRAGGLING_DAYS = 30
"""Guards: no draw is below these shares, and the last items take no longer (our choice)."""


class Window(NamedTuple):
    """The days before which 1, 5 and 9 of 10 futures have an end; None: not in five years.

    Before the first pass nobody knows how late it may be: then there is no late day.
    """

    early: date | None
    middle: date | None
    late: date | None
    is_open: bool = False


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
class Projection:
    """When what will be finished.

    Attributes:
        items_total: Items of the round.
        items_clean: Those done in it.
        milestones: Every trip, part, and the round last.
        expected_clean: Items expected to become clean, by day (ordinal).
        obstacle: What stands in the way of an end, in a sentence; None if nothing does.
    """

    items_total: int
    items_clean: int
    milestones: tuple[Milestone, ...]
    expected_clean: dict[int, float]
    obstacle: str | None = None

    @property
    def finish(self) -> Window:
        """The window of the whole round."""
        return self.milestones[-1].window


def project(
    ability: Ability,
    trips: Sequence[Trip],
    pace: Pace,
    practice_days: PracticeDays,
    seed: int,
    futures: int = FUTURES,
) -> Projection:
    """Project the end of every trip, part and the round.

    Args:
        ability: The record so far, the moment and the settings.
        trips: The trips of the round, in order.
        pace: How the player practises.
        practice_days: Budget, weekdays and days off.
        seed: The same seed gives the same futures.
        futures: How many are simulated.
    """
    stretches = stretches_of(ability, trips)
    blocked = obstacle(ability, trips, practice_days)
    if blocked is not None:
        futures = 1
        practice_days = replace(practice_days, weekdays=frozenset())
    ends = _futures(ability, stretches, pace, practice_days, Random(seed), futures)
    by_trip = {trip: [future[place] for future in ends] for place, trip in enumerate(trips)}
    groups: list[tuple[Part | None, Trip | None, Sequence[Trip]]] = [
        (trip.part, trip, [trip]) for trip in trips
    ]
    for part in Part:
        of_part = [trip for trip in trips if trip.part is part]
        if of_part:
            groups.append((part, None, of_part))
    groups.append((None, None, trips))
    milestones = [_milestone(ability, *group, by_trip) for group in groups]
    projection = Projection(
        items_total=sum(len(trip.items) for trip in trips),
        items_clean=sum(len(trip.items) for trip in trips) - sum(s.items for s in stretches),
        milestones=tuple(milestones),
        expected_clean=_expected_clean(ability, stretches, pace, practice_days),
        obstacle=blocked,
    )
    if blocked is None and projection.finish.middle is None:
        return replace(projection, obstacle=NO_END)
    return projection


def _work_a_day(pace: Pace, practice_days: PracticeDays) -> float:
    """Seconds on new ground that a day yields which is practised for the whole budget."""
    return practice_days.minutes * pace.seconds_per_minute * pace.new_share


def _share_of_budget(ability: Ability, practice_days: PracticeDays) -> Callable[[int], float]:
    """What of the budget is played on the n-th practice day from now on, counted from 0."""
    days, budget = ability.state.days, practice_days.minutes * 60
    shares = shares_of_return(days, ability.now.day, budget)
    return lambda number: shares[number] if number < len(shares) else 1.0


def _done_today(ability: Ability) -> float:
    """Seconds on new ground that were recorded today already."""
    today = ability.state.days.get(ability.now.day)
    return today.new_seconds if today else 0.0


def _futures(
    ability: Ability,
    stretches: Sequence[Stretch],
    pace: Pace,
    practice_days: PracticeDays,
    random: Random,
    futures: int,
) -> list[list[int | None]]:
    """For every future the day on which each stretch ends; 0 if nothing of it remains."""
    today = ability.now.day
    planned = [day for day in range(today, today + FURTHEST_DAYS) if practice_days.is_planned(day)]
    remaining = [(place, stretch) for place, stretch in enumerate(stretches) if stretch.items]
    if not remaining:
        return [[0] * len(stretches)] * futures
    a_day, share = _work_a_day(pace, practice_days), _share_of_budget(ability, practice_days)
    found = []
    for number in range(futures):
        shift = number % SHIFTS
        ends = list(accumulate(_time(stretch, shift, random) for _, stretch in remaining))
        practised, works = _practised(
            ability, planned, pace, a_day, share, random, max(ends, default=0)
        )
        days: list[int | None] = [0] * len(stretches)
        for (place, stretch), end in zip(remaining, ends, strict=True):
            last = bisect_left(works, end) + _stragglers(stretch, shift, a_day, random)
            days[place] = practised[last] if last < len(practised) else None
        found.append(days)
    return found


def _time(stretch: Stretch, shift: int, random: Random) -> float:
    """The seconds that a stretch takes in one future."""
    mean = stretch.means[shift]
    return max(random.gauss(mean, stretch.deviations[shift]), LEAST_TIME * mean)


def _stragglers(stretch: Stretch, shift: int, a_day: float, random: Random) -> int:
    """How many extra days the last items of a stretch take.

    An item that fails comes again only on another day, so the slowest one decides: the largest of
    as many geometric numbers as items fit into a day, less the first visit.
    """
    failing = stretch.failing[shift]
    if failing <= 0:
        return 0
    a_visit = stretch.means[shift] / stretch.items * (1 - failing)
    items = max(1.0, min(float(stretch.items), a_day / a_visit))
    none_left = log(-expm1(log(max(random.random(), 1e-12)) / items))
    return min(max(0, ceil(none_left / log(failing)) - 1), MOST_STRAGGLING_DAYS)


def _day_chances(pace: Pace, random: Random) -> list[float]:
    """Draw one future's chance of practising on each weekday.

    First one for all days together, as unsure as that is, then each weekday's around it: without
    what they share, good and bad weeks would cancel out and windows be too narrow.
    """
    together = min(max(random.betavariate(*pace.planned), NEVER), 1 - NEVER)
    beliefs = (weekday_belief(together, count) for count in pace.counts)
    return [random.betavariate(belief.yes, belief.no) for belief in beliefs]


def _practised(
    ability: Ability,
    planned: Sequence[int],
    pace: Pace,
    a_day: float,
    share: Callable[[int], float],
    random: Random,
    enough: float,
) -> tuple[list[int], list[float]]:
    """The practised days of one future, and the work done by the end of each."""
    today, done_today = ability.now.day, _done_today(ability)
    chances = _day_chances(pace, random)
    ratio = max(random.gauss(pace.ratio, pace.ratio_error), LEAST_RATIO)
    days: list[int] = []
    works: list[float] = []
    work, beyond = 0.0, 0
    for day in planned:
        has_begun = day == today and done_today > 0
        if has_begun or random.random() < chances[weekday_of(day)]:
            gain = max(random.gauss(ratio, pace.ratio_sd), LEAST_RATIO) * a_day * share(len(days))
            work += max(gain - done_today, 0.0) if has_begun else gain
            days.append(day)
            works.append(work)
            beyond += work >= enough
            if beyond > MOST_STRAGGLING_DAYS:
                break
    return days, works


def _expected_clean(
    ability: Ability, stretches: Sequence[Stretch], pace: Pace, practice_days: PracticeDays
) -> dict[int, float]:
    """Items expected to become clean on the days ahead, along the mean path."""
    left = [(float(s.items), s.means[SHIFTS // 2]) for s in reversed(stretches) if s.items]
    a_day = _work_a_day(pace, practice_days) * pace.ratio
    done_today, share = _done_today(ability), _share_of_budget(ability, practice_days)
    expected: dict[int, float] = {}
    for day in range(ability.now.day, ability.now.day + FURTHEST_DAYS):
        if not left:
            break
        if not practice_days.is_planned(day):
            continue
        most = a_day * share(len(expected))
        if day == ability.now.day and done_today:
            work = max(0.0, most - done_today)
        else:
            work = most * pace.weekdays[weekday_of(day)].mean
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
    ability: Ability,
    part: Part | None,
    trip: Trip | None,
    trips: Sequence[Trip],
    by_trip: dict[Trip, list[int | None]],
) -> Milestone:
    reached = [
        ability.state.history(item).reached_on(ability.floor_speed)
        for each in trips
        for item in each.items
    ]
    if not reached:
        return Milestone(part, trip, Window(None, None, None), None)
    if all(day is not None for day in reached):
        done_on = date.fromordinal(max(day for day in reached if day is not None))
        return Milestone(part, trip, Window(done_on, done_on, done_on), done_on)
    lasts = [
        None if None in days else max(day for day in days if day is not None)
        for days in zip(*(by_trip[each] for each in trips), strict=True)
    ]
    window = window_of(lasts)
    if ability.state.knows_nothing and window.middle is not None:
        window = window._replace(late=None, is_open=True)
    return Milestone(part, trip, window, None)


def window_of(days: Sequence[int | None]) -> Window:
    """The early, middle and late day of futures given as ordinals, None being later than all."""
    ordered = sorted(days, key=lambda day: (day is None, day or 0))

    def at(share: float) -> date | None:
        day = ordered[min(int(share * len(ordered)), len(ordered) - 1)]
        return None if day is None else date.fromordinal(day)

    return Window(at(EARLY), at(MIDDLE), at(LATE))
