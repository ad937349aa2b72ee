"""The command `calendar`: months behind and ahead, and when what will be finished."""

from datetime import date, time
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.options import read_day, read_days_off, read_months
from scheduler.cli.telling import tell
from scheduler.errors import TimeError
from scheduler.plan.settings import Settings
from scheduler.plan.values import format_days, parse_clean_of_ten, parse_days
from scheduler.plan.values import parse_minutes as read_minutes
from scheduler.practice.calendar import Outcome, WhatIf, outcomes
from scheduler.practice.practice import Practice
from scheduler.practice.routines import routine_named

MONTHS_AHEAD = 2


class Words(NamedTuple):
    """The words of what is other than the settings."""

    minutes: str | None = None
    days: str | None = None
    off: str | None = None
    clean_of_ten: str | None = None
    routine: str | None = None

    def read(self, today: date, practice: Practice) -> WhatIf:
        """Read them.

        Raises:
            UsageError: A word can't be read.
        """
        return WhatIf(
            minutes=None if self.minutes is None else read_minutes(self.minutes),
            days=None if self.days is None else parse_days(self.days),
            off=None if self.off is None else read_days_off(self.off, today),
            clean_of_ten=(
                None if self.clean_of_ten is None else parse_clean_of_ten(self.clean_of_ten)
            ),
            routine=None if self.routine is None else routine_named(practice, self.routine),
        )

    def changes(self, what_if: WhatIf, settings: Settings) -> list[str]:
        """What is other, in words."""
        said = []
        if what_if.minutes is not None:
            minutes = "minute" if what_if.minutes == 1 else "minutes"
            said.append(f"{what_if.minutes:g} {minutes} a day instead of {settings.minutes:g}")
        if what_if.days is not None:
            days = format_days(what_if.days)
            said.append(f"practice on {days} instead of {format_days(settings.days)}")
        if what_if.off is not None:
            said.append(f"days off {self.off}")
        if what_if.clean_of_ten is not None:
            said.append(
                f"{what_if.clean_of_ten:g} clean of ten instead of {settings.clean_of_ten:g}"
            )
        if what_if.routine is not None:
            said.append(f"{what_if.routine.name} begun today")
        return said


class AsFile(NamedTuple):
    """A calendar file that is asked for.

    Attributes:
        path: Where to write it.
        start: When sessions begin, in words.
        force: Whether a file that is there may be written over.
    """

    path: str
    start: str
    force: bool


def calendar(
    practice: Practice,
    words: Words,
    as_file: AsFile | None,
    *,
    months: str | None,
    on: str | None,
    as_json: bool,
) -> None:
    """Show the calendar as of a day; with other circumstances, beside the present answer."""
    day = practice.now.date if on is None else read_day(on, practice.now.date)
    what_if = words.read(day, practice)
    wanted = None if months is None else read_months(months)
    outcome, present = outcomes(practice, what_if, day)
    shown = _months(outcome, wanted)
    if as_file is not None:
        _write_file(practice, as_file, outcome)
    if as_json:
        _print_json(shown, outcome)
        return
    from scheduler.show.calendar import calendar_screen, compared_line
    from scheduler.show.terminal import console

    screen = console()
    screen.print(calendar_screen(outcome, shown, screen.width))
    if present is not None:
        changes = words.changes(what_if, practice.settings)
        screen.print(compared_line(changes, outcome.projection, present.projection, day))


def _write_file(practice: Practice, as_file: AsFile, outcome: Outcome) -> None:
    from scheduler.ledger.files import write_whole
    from scheduler.show.calendar_file import calendar_file

    try:
        start = time.fromisoformat(as_file.start)
    except ValueError as problem:
        msg = f"no time {as_file.start!r}: write it as 18:30"
        raise TimeError(msg) from problem
    owner = next(iter(practice.ledger.player_ids()), "")
    content = calendar_file(owner, practice.now.as_datetime(), start, outcome)
    write_whole(Path(as_file.path), content, force=as_file.force)
    tell(f"wrote {as_file.path}", err=True)


def _months(outcome: Outcome, wanted: int | None) -> tuple[int, int]:
    """How many months before and after this one are drawn."""
    today, finish = outcome.day, outcome.projection.finish
    first = date.fromordinal(min(outcome.state.days)) if outcome.state.days else today
    last = finish.late or finish.middle or today
    before = max(0, (today.year - first.year) * 12 + today.month - first.month)
    after = max(0, (last.year - today.year) * 12 + last.month - today.month)
    if wanted is not None:
        return min(before, wanted), wanted
    return min(before, 1), min(after, MONTHS_AHEAD)


def _print_json(shown: tuple[int, int], outcome: Outcome) -> None:
    from dateutil.relativedelta import relativedelta

    from scheduler.show.as_json import as_text, calendar_json

    first = outcome.day.replace(day=1) - relativedelta(months=shown[0])
    end = outcome.day.replace(day=1) + relativedelta(months=shown[1] + 1)
    typer.echo(as_text(calendar_json(outcome, range(first.toordinal(), end.toordinal()))))
