"""The third picture: tempo over time."""

from collections.abc import Callable, Iterator
from datetime import date

from scheduler.player.chronicle import Tempos
from scheduler.practice.report.periods import MOST_WEEKS
from scheduler.practice.report.report import Report
from scheduler.show.dates import day_words
from scheduler.show.report.chart import (
    BOTTOM,
    FIRST,
    LEFT,
    RIGHT,
    SECOND,
    THIRD,
    TOP,
    WIDTH,
    Chart,
    Line,
    Mark,
    Scale,
    Words,
    apart,
    dates_below,
    heights,
    points,
    steps,
)
from scheduler.show.report.values import Cell, Column, Picture, Table, day
from scheduler.show.words import tempo_words

HEIGHT = 220
Speed = Callable[[Tempos], float]
SERIES: tuple[tuple[str, str, str, Speed], ...] = (
    ("singles", "boxes", FIRST, lambda each: each.singles[0]),
    ("singles_slowest", "boxes, slow", "first-slow", lambda each: each.singles[1]),
    ("couplings", "couplings", SECOND, lambda each: each.couplings[0]),
    ("couplings_slowest", "couplings, slow", "second-slow", lambda each: each.couplings[1]),
    ("floor", "floor", THIRD, lambda each: each.floor),
)
"""Name in JSON, label, kind of line, and what of the tempos is drawn."""


def tempos_picture(report: Report) -> Picture:
    """The working tempos of boxes and couplings over time, and the floor tempo of each round."""
    has_any = any(each.singles[0] or each.couplings[0] for each in report.tempos)
    return Picture(
        title="Tempo over time",
        sentences=[*_sentences(report)],
        charts=[_chart(report)] if has_any else [],
        tables=[_table(report)],
    )


def _sentences(report: Report) -> Iterator[str]:
    now = report.tempos[-1]
    if not (now.singles[0] or now.couplings[0]):
        yield "No item was played clean yet."
        return
    for name, pairs in (
        ("Boxes", [each.singles for each in report.tempos]),
        ("Couplings", [each.couplings for each in report.tempos]),
    ):
        if not pairs[-1][0]:
            continue
        middle, slowest = (tempo_words(round(report.tempo(speed))) for speed in pairs[-1])
        place = next(n for n, (speed, _) in enumerate(pairs) if speed)
        before = tempo_words(round(report.tempo(pairs[place][0])))
        since = day_words(date.fromordinal(report.tempos[place].day), report.as_of)
        was = "" if place == len(pairs) - 1 else f" ({before} on {since})"
        yield f"{name}: half at {middle} or faster{was}, the slowest tenth at {slowest} or slower."
    yield (
        "Thick: half of the items are as fast or faster. Thin: the slowest tenth. Dotted: the "
        "floor tempo of the round. Places that you have just begun pull a line down."
    )


def _chart(report: Report) -> Chart:
    first = report.tempos[0].day - 1
    across = Scale(first, max(report.tempos[-1].day, first + 7), LEFT, WIDTH - RIGHT)
    drawn = {
        key: [(each.day, report.tempo(of(each))) for each in report.tempos if of(each)]
        for key, _, _, of in SERIES
    }
    values = [tempo for line in drawn.values() for _, tempo in line]
    up = Scale(min(values) * 0.95, max(values) * 1.05, HEIGHT - BOTTOM, TOP)
    grid, numbers = heights(up)
    lines, marks, labels = [], [], []
    for key, label, kind, _ in SERIES:
        if not drawn[key]:
            continue
        places = [(across(each), up(tempo)) for each, tempo in drawn[key]]
        lines.append(Line(points(steps(places) if kind == THIRD else places), kind))
        if kind in {FIRST, SECOND} and len(places) <= MOST_WEEKS:
            marks += [Mark(x, y, kind) for x, y in places]
        labels.append(Words(places[-1][0] + 8, places[-1][1] + 4, label, "start"))
    return Chart(
        name="Working tempos over time, in beats a minute",
        height=HEIGHT,
        grid=grid,
        lines=lines,
        marks=marks,
        words=[*numbers, *dates_below(across, HEIGHT - 8), *apart(labels)],
    )


def thinned(tempos: tuple[Tempos, ...]) -> list[Tempos]:
    """The last of each week, or of each month where weeks are many: what a table has room for."""
    if len(tempos) <= MOST_WEEKS:
        return list(tempos)
    by_month = {}
    for each in tempos:
        day_of = date.fromordinal(each.day)
        by_month[day_of.year, day_of.month] = each
    return list(by_month.values())


def _table(report: Report) -> Table:
    rows = []
    for each in thinned(report.tempos):
        when = date.fromordinal(each.day)
        rows.append([
            day(when, day_words(when, report.as_of)),
            *(_tempo_cell(report, of(each)) for *_, of in SERIES),
        ])  # fmt: skip
    heads = (
        "boxes, median", "boxes, slowest tenth", "couplings, median", "couplings, slowest tenth",
        "floor tempo",
    )  # fmt: skip
    columns = [
        Column("day", "by"),
        *(Column(key, head) for (key, *_), head in zip(SERIES, heads, strict=True)),
    ]
    return Table("tempos", "Tempos in beats a minute", columns, rows)


def _tempo_cell(report: Report, speed: float) -> Cell:
    if not speed:
        return Cell(None, "-")
    tempo = round(report.tempo(speed), 1)
    return Cell(tempo, tempo_words(round(tempo)))
