"""The diary on the screen and as JSON."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.player.moments import Moment
from scheduler.practice.diary import DiaryDay, Line
from scheduler.practice.undoing import Done
from scheduler.show.acts import act_words, done_words
from scheduler.show.dates import day_words
from scheduler.show.words import count, duration, sentence, share

FROM_ELSEWHERE = " from an import, or from another machine"
HOW_TO_TAKE_BACK = "upneck diary --take-back NUMBER takes a line back."


def diary_screen(days: Sequence[DiaryDay], now: Moment, day: date | None) -> RenderableType:
    """The days, newest first, each with its entries; the day alone that was asked for."""
    if not days:
        return Text("Nothing is recorded yet." if day is None else _nothing_on(day, now))
    parts: list[RenderableType] = []
    for each in days:
        lines = _lines(each) if each.lines else Text(FROM_ELSEWHERE)
        parts += [Text(_head(each, now), style="bold"), lines, Text("")]
    return Group(*parts, Text(HOW_TO_TAKE_BACK))


def _nothing_on(day: date, now: Moment) -> str:
    return f"Nothing was recorded on {day_words(day, now.date)}."


def _head(day: DiaryDay, now: Moment) -> str:
    when = f"{day.day:%A} {day_words(day.day, now.date)}"
    if not day.passes:
        return when
    passes = count(day.passes, "pass", "passes")
    return f"{when}: {passes}, {share(day.clean / day.passes)} clean, {duration(day.seconds)}"


def _lines(day: DiaryDay) -> Table:
    table = Table(box=None, show_header=False, padding=(0, 1), pad_edge=True)
    table.add_column(justify="right", no_wrap=True)
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    for line in day.lines:
        when = line.done.moment.as_datetime()
        table.add_row(str(line.number), f"{when:%H:%M}", Text(_what(line, day)))
    return table


def _what(line: Line, day: DiaryDay) -> str:
    done = line.done
    words = done_words(done) or [act_words(done.what)]
    if done.passes:
        words.append(_verdicts(done))
    if done.moment.date != day.day:
        words.append(f"entered on {day_words(done.moment.date)}")
    return sentence(", ".join(words))


def _verdicts(done: Done) -> str:
    if done.clean == done.passes:
        return "clean"
    return "sloppy" if not done.clean else f"{done.passes - done.clean} of them sloppy"


def diary_json(days: Sequence[DiaryDay]) -> dict[str, Any]:
    """The days and their entries."""
    return {
        "days": [
            {
                "date": each.day.isoformat(),
                "passes": each.passes,
                "clean": each.clean,
                "practised_seconds": each.seconds,
                "lines": [
                    {
                        "number": line.number,
                        "at": line.done.moment.isoformat(),
                        "what": line.done.what,
                        "passes": line.done.passes,
                        "clean": line.done.clean,
                        "items": [item.address for item in line.done.items],
                        "settings": line.done.settings,
                        "round": line.done.round_number,
                        "ids": list(line.done.ids),
                    }
                    for line in each.lines
                ],
            }
            for each in days
        ]
    }
