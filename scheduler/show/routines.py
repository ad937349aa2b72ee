"""The routines on the screen: all of them, or one with its boxes as charts."""

from collections.abc import Iterator, Sequence
from datetime import date

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.guitar.routine import Routine
from scheduler.plan.projection import Window
from scheduler.practice.routines import RoutineLine, RoutineReport
from scheduler.show.dates import finish_words
from scheduler.show.tablature import chart_lines
from scheduler.show.words import count, round_words, sentence, tempo_words

GAP = 3


def routines_screen(lines: Sequence[RoutineLine]) -> RenderableType:
    """Every routine: what it is, and where its round stands."""
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    table.add_column("routine", no_wrap=True)
    table.add_column("what it is", ratio=1)
    for name in ("round", "clean", "of"):
        table.add_column(name, justify="right", no_wrap=True)
    table.add_column("", no_wrap=True)
    for line in lines:
        report = line.round
        table.add_row(
            line.routine.name,
            line.routine.title,
            str(report.number) if line.is_begun else "-",
            str(report.clean) if line.is_begun else "-",
            str(report.total) if report.total else "-",
            state_words(line),
            style="bold" if line.goes_onward else "",
        )
    hint = "upneck routine NAME shows one; --begin makes it the one you work on."
    return Group(table, Text(hint))


def state_words(line: RoutineLine) -> str:
    """What a routine is in today's session."""
    if line.goes_onward:
        return "current"
    if line.rests:
        return "rests"
    return "revisits" if line.is_begun else ""


def routine_screen(report: RoutineReport, today: date, width: int) -> RenderableType:
    """One routine: its notes and boxes, how much it is on this neck, what it would take."""
    routine, stands = report.line.routine, report.line.round
    parts = [Text(f"{routine.name}: {routine.title}", style="bold"), Text(_made_of(routine))]
    if routine.notes_a_string % 2:
        parts.append(
            Text("All is alternate picking: strings begin with down- and upstrokes in turn.")
        )
    if report.misfit:
        return Group(*parts, Text(f"Not on your neck: {report.misfit}."))
    number = round_words(stands.number, routine)
    total = count(stands.total, "item")
    parts.append(Text(f"On your neck a round has {total} and {report.notes:,} notes."))
    if report.line.is_begun:
        floor = tempo_words(stands.floor_tempo)
        done = f"{stands.clean} of {total} clean"
        parts.append(Text(f"{sentence(number)}, floor tempo {floor}: {done}."))
    if not stands.is_finished:
        parts.append(Text(_end(report, today)))
    parts += [Text(""), *map(Text, _charts(report, width))]
    return Group(*parts)


def _made_of(routine: Routine) -> str:
    scale = " ".join(map(str, routine.scale))
    later = count(routine.step, "note")
    return (
        f"Scale {scale} (semitones above the root); {count(len(routine.boxes), 'box', 'boxes')}, "
        f"{count(routine.notes_a_string, 'note')} a string; groups of {routine.group}, each "
        f"{later} later."
    )


def _end(report: RoutineReport, today: date) -> str:
    begun = "" if report.line.goes_onward else "Begun today, it"
    if report.obstacle is not None:
        return report.obstacle
    assert report.finish is not None, "what fits the neck has a projection"  # noqa: S101
    return f"{begun or 'It'} would be finished {finish_words(report.finish, today)}."


def _charts(report: RoutineReport, width: int) -> Iterator[str]:
    """The boxes as charts, side by side as far as they fit."""
    charts = [
        [f"box {sheet.item.box}, {sheet.key}", *chart_lines(sheet, sheet.boxes()[0])[1:]]
        for sheet in report.boxes
    ]
    row: list[list[str]] = []
    for chart in charts:
        wide = sum(max(map(len, each)) + GAP for each in [*row, chart]) - GAP
        if row and wide > width:
            yield from _beside(row)
            row = []
        row.append(chart)
    yield from _beside(row)


def _beside(charts: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(map(len, chart)) + GAP for chart in charts]
    for lines in zip(*charts, strict=True):
        yield "".join(line.ljust(width) for line, width in zip(lines, widths, strict=True)).rstrip()
    yield ""


def another_lines(routine: Routine, finish: Window | None, today: date) -> list[str]:
    """Lines about a routine that could come next."""
    lines = [
        f"- begin another routine: upneck routine {routine.name} --begin",
        f"  ({routine.title}),",
    ]
    if finish is not None:
        lines.append(f"  finished {finish_words(finish, today)};")
    return [*lines, "  upneck routines lists them all"]
