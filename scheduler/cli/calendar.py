"""The command `calendar`: months behind and ahead, and when what will be finished."""

from dataclasses import dataclass
from datetime import date

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.options import read_day, read_days_off, read_months
from scheduler.cli.today import moment_on
from scheduler.plan.pace import Pace, pace_of
from scheduler.plan.projection import Ahead, Projection, project
from scheduler.plan.settings import parse_clean_target, parse_days, parse_minutes
from scheduler.player.moments import Moment
from scheduler.player.replay import State

MONTHS_AHEAD = 2
SEED = 20_250_101


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Other circumstances than the settings', in words."""

    minutes: str | None = None
    days: str | None = None
    off: str | None = None
    clean_target: str | None = None

    def __bool__(self) -> bool:
        """Whether anything is other."""
        return any((self.minutes, self.days, self.off, self.clean_target))


@dataclass(frozen=True, slots=True)
class Outcome:
    """A projection and what it was made of."""

    ahead: Ahead
    pace: Pace
    projection: Projection


def calendar(
    desk: Desk, what_if: WhatIf, *, months: str | None, on: str | None, as_json: bool
) -> None:
    """Show the calendar as of a day; with other circumstances, beside the present answer."""
    day = desk.now.date if on is None else read_day(on, desk.now.date)
    moment = moment_on(desk, day.toordinal())
    state = desk.state_at(moment)
    wanted = None if months is None else read_months(months)
    outcome = _outcome(desk, what_if, moment, state)
    present = _outcome(desk, WhatIf(), moment, state) if what_if else None
    shown = _months(day, state, outcome.projection, wanted)
    if as_json:
        _print_json(day, shown, state, outcome)
        return
    from scheduler.show.calendar import calendar_screen, compared_lines
    from scheduler.show.terminal import console

    screen = console()
    screen.print(
        calendar_screen(
            day, shown, state.days, outcome.ahead, outcome.projection, outcome.pace,
            state.round_number, screen.width,
        )
    )  # fmt: skip
    if present is not None:
        for line in compared_lines(outcome.projection, present.projection, day):
            screen.print(line)


def _outcome(desk: Desk, what_if: WhatIf, moment: Moment, state: State) -> Outcome:
    settings = desk.settings
    weekdays = settings.days if what_if.days is None else parse_days(what_if.days)
    minutes = settings.minutes if what_if.minutes is None else parse_minutes(what_if.minutes)
    off = frozenset() if what_if.off is None else read_days_off(what_if.off, moment.date)
    target = None if what_if.clean_target is None else parse_clean_target(what_if.clean_target)
    ahead = Ahead(minutes, weekdays, off)
    pace = pace_of(
        state.days, moment.day, settings.days, desk.budget_minutes(), settings.revisit / 100
    )
    bench = desk.bench(moment, target, state)
    return Outcome(ahead, pace, project(bench, desk.trips, pace, ahead, SEED))


def _months(
    today: date, state: State, projection: Projection, wanted: int | None
) -> tuple[int, int]:
    """How many months before and after this one are drawn."""
    first = date.fromordinal(min(state.days)) if state.days else today
    last = projection.finish.late or projection.finish.middle or today
    before = max(0, (today.year - first.year) * 12 + today.month - first.month)
    after = max(0, (last.year - today.year) * 12 + last.month - today.month)
    if wanted is not None:
        return min(before, wanted), wanted
    return min(before, 1), min(after, MONTHS_AHEAD)


def _print_json(day: date, shown: tuple[int, int], state: State, outcome: Outcome) -> None:
    from dateutil.relativedelta import relativedelta

    from scheduler.show.as_json import as_text, calendar_json

    first = day.replace(day=1) - relativedelta(months=shown[0])
    end = day.replace(day=1) + relativedelta(months=shown[1] + 1)
    days = range(first.toordinal(), end.toordinal())
    plain = calendar_json(
        day, days, state.days, outcome.ahead, outcome.projection, outcome.pace, state.round_number
    )
    typer.echo(as_text(plain))
