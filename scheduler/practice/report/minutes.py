"""Time: minutes beside the budget, what they went to, and how long a practised minute is."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.ledger.plans import reasons_of
from scheduler.plan.session import Reason
from scheduler.player.day import Day
from scheduler.player.facts import Pass
from scheduler.player.moments import start_of_day
from scheduler.practice.practice import Practice
from scheduler.practice.report.periods import Period

RECENT_DAYS = 56
"""What the minutes went to is told of the last eight weeks: so far back the pace looks, too."""


class Minutes(NamedTuple):
    """The minutes of a period.

    Attributes:
        period: The period.
        practised: Minutes that were practised.
        planned: Minutes that were set aside: the budgets of its planned days, from the first one
            with passes on.
        days: Days with passes.
        planned_days: Days on which practice was planned.
        new: The share of the work that went to items not done in their round, 0 to 1; None without
            any work.
    """

    period: Period
    practised: float
    planned: float
    days: int
    planned_days: int
    new: float | None


class TimeSpent(NamedTuple):
    """Where the time went.

    Attributes:
        minutes: By period, oldest first.
        reasons: Minutes of the last eight weeks, by why it was in the session; None is for what
            was played in none and clean before. What was new in none counts as onward.
        seconds_per_minute: Seconds of planned work that a practised minute yields.
        budget: Minutes a day by the settings in force.
    """

    minutes: tuple[Minutes, ...]
    reasons: dict[Reason | None, float]
    seconds_per_minute: float
    budget: float


def time_spent(practice: Practice, periods: Iterable[Period]) -> TimeSpent:
    """Where the time went.

    Raises:
        LedgerError: The ledger can't be read.
    """
    return TimeSpent(
        minutes=tuple(_minutes(practice, period) for period in periods),
        reasons=_reasons(practice),
        seconds_per_minute=practice.pace().seconds_per_minute,
        budget=practice.settings.minutes,
    )


def _minutes(practice: Practice, period: Period) -> Minutes:
    all_days, today = practice.state.days, practice.now.day
    budget, was_planned = practice.budget_minutes(), practice.was_planned()
    days = [all_days[day] for day in period.days if day in all_days]
    began = min((day for day, tally in all_days.items() if tally.passes), default=today + 1)
    planned = [
        day for day in period.days
        if began <= day <= today and was_planned(day) and (day != today or day in all_days)
    ]  # fmt: skip
    work = sum(day.work_seconds for day in days)
    return Minutes(
        period=period,
        practised=sum(day.practised_seconds for day in days) / 60,
        planned=sum(budget(day) for day in planned),
        days=sum(day.passes > 0 for day in days),
        planned_days=len(planned),
        new=sum(day.new_seconds for day in days) / work if work else None,
    )


def _reasons(practice: Practice) -> dict[Reason | None, float]:
    now = practice.now
    since = start_of_day(now.day - RECENT_DAYS + 1, now.offset_minutes)
    passes = list(practice.ledger.passes(since.utc_ms))
    reasons = _with_repeats(passes, reasons_of(practice.ledger, since.day))
    told: defaultdict[int, defaultdict[Reason, float]] = defaultdict(lambda: defaultdict(float))
    unsaid: defaultdict[int, float] = defaultdict(float)
    for played in passes:
        reason, day = reasons.get(played.id), min(played.moment.day, now.day)
        if reason is None:
            unsaid[day] += played.seconds
        else:
            told[day][reason] += played.seconds
    found: defaultdict[Reason | None, float] = defaultdict(float)
    for day in {*told, *unsaid}:
        for reason, seconds in told[day].items():
            found[reason] += seconds / 60
        total = sum(told[day].values()) + unsaid[day]
        onward = _new_seconds(practice.state.days.get(day), total, told[day][Reason.ONWARD])
        new = min(unsaid[day], onward)
        found[Reason.ONWARD] += new / 60
        found[None] += (unsaid[day] - new) / 60
    return {reason: minutes for reason, minutes in found.items() if minutes}


def _new_seconds(tally: Day | None, passes: float, told: float) -> float:
    """Seconds of passes on new ground of a day beside those that a session told.

    Args:
        tally: The day.
        passes: Seconds of its passes.
        told: Seconds of passes that a session had as new ground.
    """
    if tally is None or not tally.work_seconds:
        return 0.0
    # The tally counts the ways between passes, too: its share of new ground is taken.
    return max(0.0, tally.new_seconds / tally.work_seconds * passes - told)


def _with_repeats(passes: Sequence[Pass], reasons: dict[str, Reason]) -> dict[str, Reason]:
    """Why passes were played: those that are repeated have the reason of the one that ends it."""
    found = dict(reasons)
    later: dict[tuple[int, Item], Reason] = {}
    for played in reversed(passes):
        place = (played.moment.day, played.item)
        if played.id in reasons:
            later[place] = reasons[played.id]
        elif place in later:
            found[played.id] = later[place]
    return found
