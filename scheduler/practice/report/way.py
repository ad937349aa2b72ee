"""The way to the end of the round: what is clean by now, what is ahead, and earlier forecasts."""

from collections import Counter
from datetime import date, timedelta
from itertools import accumulate
from typing import NamedTuple

from scheduler.plan.projection import Milestone, Window
from scheduler.practice.calendar import Outcome, WhatIf, outcomes
from scheduler.practice.practice import Practice
from scheduler.practice.report.periods import Period, periods_of

WEEKS_BEFORE = (1, 2, 4)
"""How many weeks back an earlier forecast is looked up (our choice)."""


class Forecast(NamedTuple):
    """What was forecast on an earlier day, with the settings of today.

    Attributes:
        day: The day.
        window: When the round would be finished.
        obstacle: What stood in the way of an end; "" if nothing did.
    """

    day: date
    window: Window
    obstacle: str


class Way(NamedTuple):
    """The way of a round.

    Attributes:
        items_total: Its items.
        done: How many were clean by the end of a day (ordinal); only days on which it changed.
        ahead: How many are likely clean by the middle end of every trip that isn't finished.
        early: The same on the fast edge of the window of 8 in 10, where a trip is finished.
        late: The same on the slow edge.
        planned: The minutes of the planned days (ordinals) until the late end.
        milestones: The end of every trip, part and the round.
        before: What was forecast earlier in this round, newest first.
        obstacle: What stands in the way of an end; "" if nothing does.
        periods: The weeks or months from its beginning to its likely end.
    """

    items_total: int
    done: dict[int, int]
    ahead: dict[int, int]
    early: dict[int, int]
    late: dict[int, int]
    planned: dict[int, float]
    milestones: tuple[Milestone, ...]
    before: tuple[Forecast, ...]
    obstacle: str
    periods: tuple[Period, ...]

    @property
    def finish(self) -> Milestone:
        """The end of the round."""
        return self.milestones[-1]

    @property
    def items_clean(self) -> int:
        """How many items are clean now."""
        return max(self.done.values(), default=0)


def way_of(practice: Practice) -> Way:
    """The way of the round that goes onward.

    Raises:
        LedgerError: The ledger can't be read.
    """
    outcome, _ = outcomes(practice, WhatIf(), practice.now.date)
    projection = outcome.projection
    last = projection.finish.late or projection.finish.middle
    done, ahead = _done(practice), _edge(practice, outcome, "middle")
    planned = _planned(outcome, last)
    known = [*done, *ahead, practice.now.day]
    return Way(
        items_total=projection.items_total,
        done=done,
        ahead=ahead,
        early=_edge(practice, outcome, "early"),
        late=_edge(practice, outcome, "late"),
        planned=planned,
        milestones=projection.milestones,
        before=_before(practice, projection.milestones[-1].done_on),
        obstacle=projection.obstacle or "",
        periods=tuple(periods_of(min(known), max(known))),
    )


def _done(practice: Practice) -> dict[int, int]:
    state, floor = practice.state, practice.state.floor_speed_of(practice.state.routine)
    reached = (state.history(item).reached_on(floor) for item in practice.order)
    # What a clock that was ahead dated later is done today all the same.
    today = practice.now.day
    by_day = Counter(min(day, today) for day in reached if day is not None)
    days = sorted(by_day)
    return dict(zip(days, accumulate(by_day[day] for day in days), strict=True))


def _edge(practice: Practice, outcome: Outcome, which: str) -> dict[int, int]:
    """How many items are clean by the early, middle or late end of every trip to come."""
    finish = outcome.projection.milestones[-1]
    if outcome.projection.obstacle or finish.done_on is not None:
        return {}
    floor = practice.state.floor_speed_of(outcome.routine)
    clean, found = outcome.projection.items_clean, {outcome.day.toordinal(): 0}
    found[outcome.day.toordinal()] = clean
    for milestone in outcome.projection.milestones:
        end: date | None = getattr(milestone.window, which)
        if milestone.trip is None or milestone.done_on is not None or end is None:
            continue
        histories = map(practice.state.history, milestone.trip.items)
        clean += sum(each.reached_on(floor) is None for each in histories)
        found[end.toordinal()] = clean
    return found


def _planned(outcome: Outcome, last: date | None) -> dict[int, float]:
    if last is None or outcome.projection.milestones[-1].done_on is not None:
        return {}
    days = range(outcome.day.toordinal(), last.toordinal() + 1)
    return {day: outcome.minutes_on(day) for day in days if outcome.practice_days.is_planned(day)}


def _before(practice: Practice, done_on: date | None) -> tuple[Forecast, ...]:
    """Earlier forecasts of this round, of the last weeks before now or before its end."""
    found, this_round = [], practice.state.round
    for weeks in WEEKS_BEFORE:
        day = (done_on or practice.now.date) - timedelta(weeks=weeks)
        if not 0 < this_round.started <= day.toordinal():
            break
        outcome, _ = outcomes(practice, WhatIf(), day)
        if outcome.routine is practice.state.routine and outcome.round_number == this_round.number:
            projection = outcome.projection
            found.append(Forecast(day, projection.finish, projection.obstacle or ""))
    return tuple(found)
