"""Where the round stands, by part and box."""

from collections.abc import Sequence
from datetime import date

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.player.lookback import LookBack
from scheduler.practice.rounds import RoundReport, TripProgress
from scheduler.show.dates import day_words
from scheduler.show.words import (
    PART_WORDS,
    count,
    duration,
    key_words,
    listed,
    round_words,
    sentence,
    share,
    tempo_words,
    trip_words,
)

WIDE_BAR, NARROW_BAR = 20, 8
WIDE_FROM_COLUMNS = 72
HARD = 0.9
"""What is clean as often as this isn't called hard: tempos are chosen for nine in ten."""


def round_screen(
    report: RoundReport,
    today: date,
    width: int,
    another: Sequence[str] = (),
    assigned: Sequence[str] = (),
) -> RenderableType:
    """A round by part and box.

    Args:
        report: Where it stands.
        today: The day.
        width: Columns of the terminal.
        another: Lines about another routine that could come next.
        assigned: Lines about what a teacher assigned.
    """
    began = (
        f"begun on {day_words(report.started_on, today)}" if report.started_on else "not begun yet"
    )
    name = round_words(report.number, report.routine)
    some = "" if report.visits_all else ", only what was weak or stale"
    parts: list[RenderableType] = [
        Text(
            f"{sentence(name)}{some}, floor tempo {tempo_words(report.floor_tempo)}",
            style="bold",
        ),
        Text(f"{report.clean} of {count(report.total, 'item')} clean, {began}."),
        *map(Text, assigned),
        Text(""),
        _table(report, WIDE_BAR if width >= WIDE_FROM_COLUMNS else NARROW_BAR),
    ]
    if report.look_back is not None:
        parts += [Text(""), *map(Text, _look_back_lines(report, report.look_back, another))]
    return Group(*parts)


def _look_back_lines(report: RoundReport, back: LookBack, another: Sequence[str]) -> list[str]:
    """What the round took and gained; when it is finished, also what could come next."""
    total = back.total
    spent = duration(round(total.seconds, -1))
    passes = count(total.passes, "pass", "passes")
    took = f"{spent} on {count(back.days, 'day')}, {passes}"
    first, last = tempo_words(back.first_tempo), tempo_words(back.last_tempo)
    lines = [
        (
            f"{'It took' if report.is_finished else 'So far'} {took}, "
            f"{share(total.clean / total.passes)} of them clean."
        ),
        f"Median tempo of its items: {first} when first clean, {last} at their fastest.",
    ]
    if back.hardest:
        hard = [
            f"{key_words(key, report.routine)} ({share(clean)} clean)"
            for key, clean in back.hardest
        ]
        lines.append(f"Hardest: {listed(hard)}.")
    if report.is_finished and back.next_floor is not None:
        floor = tempo_words(back.next_floor)
        lines += [
            "",
            f"The round is finished. At {floor} you would still play nine in ten of its items",
            "clean, most of the time. What now?",
            f"- go round again, starting the other way: upneck round --next --floor-tempo {floor},",
            "  or at any other tempo",
            "- take up only what is weak or stale by now: upneck round --next --weak",
            *another,
            "- or stop here: upneck today keeps refreshing what goes stale.",
        ]
    return lines


def _table(report: RoundReport, bar: int) -> Table:
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    table.add_column("part")
    table.add_column("clean", justify="right", no_wrap=True)
    table.add_column("of", justify="right", no_wrap=True)
    table.add_column("", no_wrap=True)
    for part, trips in report.parts():
        table.add_row(*_row(PART_WORDS[part], trips, bar), style="bold")
        for each in trips:
            table.add_row(*_row(f"  {trip_words(each.trip)}", [each], bar))
    return table


def _row(name: str, trips: Sequence[TripProgress], bar: int) -> tuple[str, str, str, str]:
    clean, total = sum(each.clean for each in trips), sum(each.total for each in trips)
    filled = bar * clean // total if total else 0
    return name, str(clean), str(total), "#" * filled + "." * (bar - filled)
