"""The calendar: months drawn as a wall calendar does, a row a week, a cell a day."""

from calendar import Calendar
from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from dateutil.relativedelta import relativedelta
from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.plan.pace import Pace
from scheduler.plan.practice_days import PracticeDays
from scheduler.plan.projection import Milestone, Projection
from scheduler.practice.calendar import Outcome
from scheduler.show.dates import day_words, finish_words, middle_words, window_words
from scheduler.show.words import count, listed, milestone_words, round_words, sentence, share

WIDE_CELL, NARROW_CELL = 8, 6
WIDE_FROM_COLUMNS = 72
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ"


def calendar_screen(outcome: Outcome, months: tuple[int, int], width: int) -> RenderableType:
    """Months behind and ahead, and under them what gets finished when.

    Args:
        outcome: What was practised, what is planned, and what gets finished.
        months: How many months before and after this one are drawn.
        width: Columns of the terminal.
    """
    today, projection = outcome.day, outcome.projection
    first = today.replace(day=1)
    shown = [first + relativedelta(months=step) for step in range(-months[0], months[1] + 1)]
    letters = _lettered(projection.milestones)
    cell = WIDE_CELL if width >= WIDE_FROM_COLUMNS else NARROW_CELL
    of_round = round_words(outcome.round_number, outcome.routine)
    parts: list[RenderableType] = []
    for month in shown:
        parts += [_month(month, outcome, letters, cell), Text("")]
    parts.append(Text(_legend()))
    parts.append(_milestones(letters, of_round, today))
    parts.append(Text(""))
    lines = finish_lines(projection, outcome.pace, outcome.practice_days, of_round, today)
    parts += [Text(line) for line in lines]
    return Group(*parts)


def _lettered(milestones: Iterable[Milestone]) -> dict[str, Milestone]:
    """Milestones by letter, in the order of their middle days; without an end they come last."""
    ordered = sorted(
        (milestone for milestone in milestones),
        key=lambda m: (m.window.middle is None, m.window.middle or date.max),
    )
    return dict(zip(LETTERS, ordered, strict=False))


def _month(month: date, outcome: Outcome, letters: Mapping[str, Milestone], cell: int) -> Table:
    table = Table(
        title=f"{month:%B %Y}", title_style="bold", title_justify="left",
        box=box.SQUARE, show_lines=True, padding=(0, 0),
    )  # fmt: skip
    table.add_column("wk", justify="right", width=3, vertical="top")
    for name in ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"):
        table.add_column(name, width=cell, no_wrap=True)
    for week in Calendar(0).monthdatescalendar(month.year, month.month):
        cells = [
            _cell(day, outcome, letters) if day.month == month.month else Text("") for day in week
        ]
        table.add_row(Text(str(week[0].isocalendar().week)), *cells)
    return table


def _cell(day: date, outcome: Outcome, letters: Mapping[str, Milestone]) -> Text:
    today, number, finish = outcome.day, day.toordinal(), outcome.projection.milestones[-1]
    text = Text(f"{day.day}{' *' if day == today else ''}\n", style="bold" if day == today else "")
    practised = outcome.state.days.get(number)
    over = finish.done_on is not None or (
        finish.window.late is not None and day > finish.window.late
    )
    if practised is not None and practised.passes:
        text.append(f"{max(1, round(practised.practised_seconds / 60))} min", style="green")
    elif day >= today and outcome.practice_days.is_planned(number) and not over:
        text.append(f"({outcome.minutes_on(number):g})", style="cyan")
    found = [
        letter
        for letter, milestone in letters.items()
        if (milestone.done_on or milestone.window.middle) == day
    ]
    if found:
        text.append(f"\n{''.join(found)}", style="bold")
    return text


def _legend() -> str:
    return "20 min: practised   (20): planned   *: today   wk: ISO week"


def _milestones(letters: Mapping[str, Milestone], of_round: str, today: date) -> Table:
    table = Table(box=None, show_header=True, padding=(0, 2, 0, 0), pad_edge=False)
    table.add_column("", no_wrap=True)
    table.add_column("what")
    table.add_column("finished", no_wrap=True)
    table.add_column("likely between")
    for letter, milestone in letters.items():
        name = milestone_words(milestone, of_round)
        if milestone.done_on is not None:
            table.add_row(letter, name, day_words(milestone.done_on, today), "done")
        else:
            window = milestone.window
            table.add_row(letter, name, middle_words(window, today), window_words(window, today))
    return table


def finish_lines(
    projection: Projection, pace: Pace, practice_days: PracticeDays, of_round: str, today: date
) -> list[str]:
    """When the round will be finished, and what that is made of."""
    name = sentence(of_round)
    done = f"{projection.items_clean} of {count(projection.items_total, 'item')} clean"
    finish = projection.milestones[-1]
    if finish.done_on is not None:
        return [f"{name}: finished on {day_words(finish.done_on, today)}, {done}."]
    if projection.obstacle is not None:
        return [f"{name}: {done}.", projection.obstacle]
    lines = [f"{name}: {done}; finished {finish_words(finish.window, today)}."]
    days = pace.days_per_week(practice_days.weekdays)
    learnt = (
        f"based on your {count(pace.practised_days, 'practice day')}"
        if pace.practised_days
        else "from your settings; from your own record after the first day"
    )
    clean = "" if pace.clean_share is None else f", {share(pace.clean_share)} of passes clean"
    lines.append(
        f"Pace expected: {days:.1f} days a week, {practice_days.minutes * pace.ratio:.0f} minutes "
        f"a day{clean}; {learnt}."
    )
    if finish.window.late is not None:
        lines[-1] += " Eight times in ten it ends between the two dates, if you go on like this."
    return lines


def compared_line(
    changes: Sequence[str], projection: Projection, present: Projection, today: date
) -> str:
    """The answer under other circumstances, beside the one under the settings."""
    said = f"With {listed(changes)}"
    early = ""
    if any(each.finish.is_open for each in (projection, present)):
        early = " It is early to say: a session or two will tell."
    other, now = (
        middle_words(each.finish, today) if early
        else finish_words(each.finish, today).removeprefix("about ")
        for each in (projection, present)
    )  # fmt: skip
    if projection.obstacle or present.obstacle:
        other, now = (
            f"{each.obstacle[0].lower()}{each.obstacle[1:]}" if each.obstacle else f"about {end}."
            for each, end in ((projection, other), (present, now))
        )
        return f"{said}: {other} As the settings are: {now}{early}"
    if other == now:
        return f"{said} nothing changes: {now}.{early}"
    return f"{said}: {other} instead of {now}.{early}"
