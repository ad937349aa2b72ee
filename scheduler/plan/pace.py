"""The pace: what the record says about days, minutes, and what a practised minute yields.

Every figure starts from the settings and is moved by what was recorded.

Source:
    The starting values and their strengths: our choice (docs/how-it-decides.md); what comes of them
    is measured on simulated players (docs/measurements.md).
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

from scheduler.plan.planner import LONGEST_WARM_UP_SECONDS, WARM_UP_SHARE
from scheduler.plan.practice_days import weekday_of
from scheduler.player.day import Day

LOOK_BACK_DAYS = 56
"""Eight weeks: what was before says little about a player's weeks now (our choice)."""
LONGEST_BREAK_DAYS = 21
"""A longer gap is time away, not practice days that were missed (our choice)."""

BEFORE_A_BREAK = 0.5
"""What was practised before such a break counts half (our choice)."""

PLANNED_DAY_CHANCE = 0.85
"""How likely a planned day is really practised, before anything is recorded."""

POOLED_STRENGTH, WEEKDAY_STRENGTH = 3.0, 6.0
"""How many recorded days the starting value counts for: for all weekdays together, and for one."""

RATIO_STRENGTH, RATIO_SD = 3.0, 0.25
YIELD_STRENGTH_MINUTES = 30.0
NEW_SHARE_STRENGTH_SECONDS = 3600.0
"""How many recorded days, minutes and seconds the starting values count for; `RATIO_SD` is how much
the minutes of a day vary before that is known (our choice)."""

REVISITS_USED = 0.1
"""How much of the share allowed for repair and refresh is really used, before anything is recorded:
few items are weak early in a round (our choice)."""


class Beta(NamedTuple):
    """A belief about a share."""

    yes: float
    no: float

    @property
    def mean(self) -> float:
        """The expected share."""
        return self.yes / (self.yes + self.no)


@dataclass(frozen=True, slots=True)
class Pace:
    """How the player practises.

    Attributes:
        planned: The chance that a planned day is practised, for all weekdays together.
        weekdays: The same of each weekday alone, Monday first.
        counts: The days practised and missed of each weekday that this was learnt from, by weight.
        ratio: Minutes practised on a practised day, as a share of the budget of that day.
        ratio_sd: How much that varies from day to day.
        ratio_error: How well the mean is known.
        seconds_per_minute: Seconds of planned work that a practised minute yields.
        new_share: The share of the work that goes to items not yet clean in the round.
        clean_share: Clean passes among all; None before the first pass.
        practised_days: The days with passes that all this was learnt from.
    """

    planned: Beta
    weekdays: tuple[Beta, ...]
    counts: tuple[tuple[float, float], ...]
    ratio: float
    ratio_sd: float
    ratio_error: float
    seconds_per_minute: float
    new_share: float
    clean_share: float | None
    practised_days: int

    def days_per_week(self, planned: frozenset[int]) -> float:
        """Expected practised days in a week with practice planned on these weekdays."""
        return sum(self.weekdays[weekday].mean for weekday in planned)


def pace_of(
    days: Mapping[int, Day],
    until: int,
    planned: frozenset[int],
    budget_minutes: Callable[[int], float],
    revisit_share: float,
    was_planned: Callable[[int], bool] | None = None,
) -> Pace:
    """Learn the pace from the days that are over and could be practice.

    A day counts as missed if practice was planned on it and the player wasn't away for weeks.

    Args:
        days: What was recorded, by day (ordinal).
        until: The first day that isn't over.
        planned: The weekdays with practice.
        budget_minutes: The budget in force on a day.
        revisit_share: The most of a session that goes to repair and refresh, 0 to 1.
        was_planned: Whether practice was planned on a day by the settings then in force; None
            takes `planned`.
    """
    weights = _weights([day for day in days if day < until and days[day].passes], until)
    practised = {day: days[day] for day in weights if day in days and days[day].passes}
    ratios = [d.practised_seconds / 60 / budget_minutes(day) for day, d in practised.items()]
    count = len(ratios)
    ratio = (RATIO_STRENGTH + sum(ratios)) / (RATIO_STRENGTH + count)
    spread = sum((value - ratio) ** 2 for value in ratios)
    variance = (RATIO_STRENGTH * RATIO_SD**2 + spread) / (RATIO_STRENGTH + count)
    passes = sum(d.passes for d in practised.values())
    counts = _counts(weights, practised, was_planned or (lambda day: weekday_of(day) in planned))
    pooled = _pooled(counts, planned)
    return Pace(
        planned=pooled,
        weekdays=tuple(weekday_belief(pooled.mean, count) for count in counts),
        counts=counts,
        ratio=ratio,
        ratio_sd=sqrt(variance),
        ratio_error=sqrt(variance / (RATIO_STRENGTH + count)),
        seconds_per_minute=_seconds_per_minute(practised),
        new_share=_new_share(practised, revisit_share, budget_minutes(until)),
        clean_share=sum(d.clean for d in practised.values()) / passes if passes else None,
        practised_days=count,
    )


def _weights(practised: Sequence[int], until: int) -> dict[int, float]:
    """The last days that could be practice, each with its weight."""
    found: dict[int, float] = {}
    later, weight = until, 1.0
    for day in sorted(practised, reverse=True):
        if later - day - 1 > LONGEST_BREAK_DAYS:
            weight *= BEFORE_A_BREAK
        else:
            found |= dict.fromkeys(range(later - 1, day, -1), weight)
        found[day] = weight
        later = day
    return dict(list(found.items())[:LOOK_BACK_DAYS])


def _counts(
    weights: Mapping[int, float],
    practised: Mapping[int, Day],
    was_planned: Callable[[int], bool],
) -> tuple[tuple[float, float], ...]:
    """Days practised and missed by weekday, Monday first, weighted.

    The first day is left out: a record begins with a practised day, which says nothing.
    """
    counts = [[0.0, 0.0] for _ in range(7)]
    for day in sorted(weights)[1:]:
        if day in practised or was_planned(day):
            counts[weekday_of(day)][day not in practised] += weights[day]
    return tuple((yes, no) for yes, no in counts)


def _pooled(counts: Sequence[tuple[float, float]], planned: frozenset[int]) -> Beta:
    done = sum(counts[weekday][0] for weekday in planned)
    missed = sum(counts[weekday][1] for weekday in planned)
    strength = POOLED_STRENGTH
    return Beta(strength * PLANNED_DAY_CHANCE + done, strength * (1 - PLANNED_DAY_CHANCE) + missed)


def weekday_belief(pooled: float, count: tuple[float, float]) -> Beta:
    """The chance of one weekday, given that of all together and its own days."""
    strength = WEEKDAY_STRENGTH
    return Beta(strength * pooled + count[0], strength * (1 - pooled) + count[1])


def _seconds_per_minute(practised: Mapping[int, Day]) -> float:
    work = sum(d.work_seconds for d in practised.values())
    minutes = sum(d.practised_seconds for d in practised.values()) / 60
    return (60 * YIELD_STRENGTH_MINUTES + work) / (YIELD_STRENGTH_MINUTES + minutes)


def _new_share(practised: Mapping[int, Day], revisit_share: float, minutes: float) -> float:
    warm_up = min(WARM_UP_SHARE, LONGEST_WARM_UP_SECONDS / (60 * minutes))
    expected = 1 - warm_up - REVISITS_USED * revisit_share
    work = sum(d.work_seconds for d in practised.values())
    new = sum(d.new_seconds for d in practised.values())
    return (NEW_SHARE_STRENGTH_SECONDS * expected + new) / (NEW_SHARE_STRENGTH_SECONDS + work)
