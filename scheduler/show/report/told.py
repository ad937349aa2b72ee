"""The fourth picture: was it right? What chance was told, and how often it was clean."""

from collections.abc import Iterator

from scheduler.player.chronicle import Told
from scheduler.practice.report.report import Report
from scheduler.show.dates import day_words
from scheduler.show.report.chart import (
    BOTTOM,
    FIRST,
    LEFT,
    RIGHT,
    THIRD,
    TOP,
    WIDTH,
    Bar,
    Chart,
    Line,
    Mark,
    Scale,
    Words,
    points,
)
from scheduler.show.report.values import Cell, Column, Picture, Table, number, percent
from scheduler.show.words import count, share

HEIGHT = 250
NEAR = 0.03
"""So far apart, what was told and what came are called about the same (our choice)."""
FEW = 20
"""Of fewer passes nothing is said of whether the chances were right (our choice)."""


def told_picture(report: Report) -> Picture:
    """What chance was told and how often it was clean, in fifths."""
    return Picture(
        title="Were the forecasts right?",
        sentences=[*_sentences(report)],
        charts=[_chart(report)] if report.told_since is not None else [],
        tables=[_table(report)],
    )


def _sentences(report: Report) -> Iterator[str]:
    passes = sum(each.passes for each in report.told)
    if report.told_since is None:
        yield "Nothing was played yet that could tell."
        return
    told = sum(each.chances for each in report.told) / passes
    came = sum(each.clean for each in report.told) / passes
    since = day_words(report.told_since, report.as_of)
    yield (
        f"Since {since}, of {count(passes, 'pass', 'passes')} Upneck expected {share(told)} to be "
        f"clean; {share(came)} were."
    )
    if passes < FEW:
        yield "That is too few to judge it by."
    elif abs(told - came) <= NEAR:
        yield "On the whole the forecasts were right."
    elif told < came:
        yield "You play cleaner than it thought."
    else:
        yield "You play less clean than it thought."
    yield (
        "Above the dotted line: better than expected. Bars and numbers: how many passes a dot "
        f"stands for; of fewer than {FEW} none is drawn."
    )


def fifth_words(place: int, fifths: int) -> str:
    """A fifth of the chances in words.

    Example:
        >>> fifth_words(4, 5)
        '80 to 100%'
    """
    return f"{100 * place // fifths} to {100 * (place + 1) // fifths}%"


def _chart(report: Report) -> Chart:
    across = Scale(0, 1, LEFT, WIDTH - RIGHT)
    up = Scale(0, 1, HEIGHT - BOTTOM - 14, TOP)
    tens = [0, 0.2, 0.4, 0.6, 0.8, 1]
    words = [Words(across(x), HEIGHT - 22, share(x)) for x in tens]
    words += [Words(LEFT - 6, up(y) + 4, share(y), "end") for y in tens]
    words.append(Words((LEFT + WIDTH - RIGHT) / 2, HEIGHT - 6, "expected to be clean"))
    most = max(each.passes for each in report.told)
    bars, marks = [], []
    for place, each in enumerate(report.told):
        if not each.passes:
            continue
        tall = round(each.passes / most * 40, 1)
        x = across((place + 0.1) / len(report.told))
        wide = round(across(0.8 / len(report.told)) - across(0), 1)
        bars.append(Bar(x, up(0) - tall, wide, tall, THIRD))
        words.append(Words(x + wide / 2, up(0) - tall - 4, f"{each.passes:,}"))
        if each.passes >= FEW:
            mark = Mark(across(each.chances / each.passes), up(each.clean / each.passes), FIRST)
            marks.append(mark)
    return Chart(
        name="Clean passes beside what was expected",
        height=HEIGHT,
        grid=[up(y) for y in tens],
        bars=bars,
        lines=[
            Line(points([(across(0), up(0)), (across(1), up(1))]), THIRD),
        ],
        marks=marks,
        words=words,
    )


def _table(report: Report) -> Table:
    rows = [_row(place, each, len(report.told)) for place, each in enumerate(report.told)]
    columns = [
        Column("chance", "chance"), Column("passes", "passes"),
        Column("told", "expected to be clean"),
        Column("came", "were clean"),
    ]  # fmt: skip
    return Table("told", "What was expected before each pass, and what came", columns, rows)


def _row(place: int, each: Told, fifths: int) -> list[Cell]:
    words = fifth_words(place, fifths)
    told = each.chances / each.passes if each.passes else None
    came = each.clean / each.passes if each.passes else None
    return [Cell(words, words), number(each.passes), percent(told), percent(came)]
