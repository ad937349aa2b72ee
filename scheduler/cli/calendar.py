"""The command `calendar`: months behind and ahead, and when what will be finished."""

from dataclasses import dataclass
from datetime import date, time
from pathlib import Path

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.options import read_day, read_days_off, read_months
from scheduler.cli.today import moment_on
from scheduler.errors import TimeError
from scheduler.plan.ahead import Ahead
from scheduler.plan.pace import Pace, pace_of
from scheduler.plan.projection import Projection, project
from scheduler.plan.settings import (
    Settings,
    format_days,
    parse_clean_target,
    parse_days,
    parse_minutes,
)
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

    def changes(self, settings: Settings) -> list[str]:
        """What is other, in words."""
        said = []
        if self.minutes is not None:
            said.append(
                f"{parse_minutes(self.minutes):g} minutes a day instead of {settings.minutes:g}"
            )
        if self.days is not None:
            said.append(
                f"practice on {format_days(parse_days(self.days))} instead of "
                f"{format_days(settings.days)}"
            )
        if self.off is not None:
            said.append(f"days off {self.off}")
        if self.clean_target is not None:
            said.append(
                f"a clean target of {parse_clean_target(self.clean_target):g} instead of "
                f"{settings.clean_target:g}"
            )
        return said


@dataclass(frozen=True, slots=True)
class AsFile:
    """A calendar file that is asked for.

    Attributes:
        path: Where to write it.
        start: When sessions begin, in words.
        force: Whether a file that is there may be written over.
    """

    path: str
    start: str
    force: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """A projection and what it was made of."""

    ahead: Ahead
    pace: Pace
    projection: Projection


def calendar(
    desk: Desk,
    what_if: WhatIf,
    as_file: AsFile | None,
    *,
    months: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Show the calendar as of a day; with other circumstances, beside the present answer."""
    day = desk.now.date if on is None else read_day(on, desk.now.date)
    moment = moment_on(desk, day.toordinal())
    state = desk.state_at(moment)
    wanted = None if months is None else read_months(months)
    outcome = _outcome(desk, what_if, moment, state)
    present = _outcome(desk, WhatIf(), moment, state) if what_if else None
    shown = _months(day, state, outcome.projection, wanted)
    if as_file is not None:
        _write_file(desk, as_file, day, state, outcome)
    if as_json:
        _print_json(day, shown, state, outcome)
        return
    from scheduler.show.calendar import calendar_screen, compared_line
    from scheduler.show.terminal import console

    screen = console()
    screen.print(
        calendar_screen(
            day, shown, state.days, outcome.ahead, outcome.projection, outcome.pace,
            state.round.number, screen.width,
        )
    )  # fmt: skip
    if present is not None:
        changes = what_if.changes(desk.settings)
        screen.print(compared_line(changes, outcome.projection, present.projection, day))


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
    return Outcome(ahead, pace, project(bench, desk.trips(state), pace, ahead, SEED))


def _write_file(desk: Desk, as_file: AsFile, day: date, state: State, outcome: Outcome) -> None:
    from scheduler.ledger.files import write_whole
    from scheduler.show.calendar_file import calendar_file

    try:
        start = time.fromisoformat(as_file.start)
    except ValueError as problem:
        msg = f"no time {as_file.start!r}: write it as 18:30"
        raise TimeError(msg) from problem
    content = calendar_file(
        desk.ledger.first_id(), desk.now.as_datetime(), day, start,
        outcome.ahead, outcome.projection, state.round.number,
    )  # fmt: skip
    write_whole(Path(as_file.path), content, force=as_file.force)
    typer.echo(f"wrote {as_file.path}", err=True)


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
        day, days, state.days, outcome.ahead, outcome.projection, outcome.pace, state.round.number
    )
    typer.echo(as_text(plain))
