"""Charts as places in a picture: lines, bands, bars, marks and words. A template draws them.

What a line or bar means is told by its shape as well as by its colour: the first kind is whole,
the second broken or hatched, the third dotted or empty.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import pairwise
from math import ceil, floor, log10
from typing import NamedTuple

WIDTH, LEFT, RIGHT, TOP, BOTTOM = 640, 60, 144, 18, 26
"""The measures of every chart, in its own units: a letter is 11 high."""
FIRST, SECOND, THIRD = "first", "second", "third"
DOTTED, EMPTY = "dotted", "empty"
"""Kinds of lines, bars and marks; the last two are bars only."""
STEPS = (1, 2, 2.5, 5, 10)
MOST_TICKS = 8


class Scale(NamedTuple):
    """From a value to its place.

    Example:
        >>> Scale(0, 10, 100, 200)(5)
        150.0
    """

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """The place of a value."""
        span = self.high - self.low or 1
        return round(self.start + (value - self.low) / span * (self.end - self.start), 1)


class Line(NamedTuple):
    """Points that a line goes through, as SVG writes them."""

    points: str
    kind: str


class Mark(NamedTuple):
    """A dot, a square or a diamond: what it is depends on its kind."""

    x: float
    y: float
    kind: str


class Bar(NamedTuple):
    """A bar, from its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    kind: str


class Words(NamedTuple):
    """Words in a picture; `anchor` is which end of them lies there: start, middle or end."""

    x: float
    y: float
    text: str
    anchor: str = "middle"
    kind: str = ""


class Chart(NamedTuple):
    """A chart.

    Attributes:
        name: What it shows, for people who use a screen reader.
        height: In its own units; it is `WIDTH` wide.
        grid: The heights of its thin lines.
        bands: Areas, as the points of their edge.
        bars: Bars.
        lines: Lines.
        marks: Dots.
        words: Words.
        width: In its own units.
    """

    name: str
    height: float
    grid: Sequence[float] = ()
    bands: Sequence[str] = ()
    bars: Sequence[Bar] = ()
    lines: Sequence[Line] = ()
    marks: Sequence[Mark] = ()
    words: Sequence[Words] = ()
    width: float = WIDTH


def points(places: Iterable[tuple[float, float]]) -> str:
    """Places as SVG writes them.

    Example:
        >>> points([(1, 2.5), (3, 4)])
        '1,2.5 3,4'
    """
    return " ".join(f"{x:g},{y:g}" for x, y in places)


def steps(places: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Places as a staircase: a value holds until the next one.

    Example:
        >>> steps([(0, 1), (2, 3)])
        [(0, 1), (2, 1), (2, 3)]
    """
    found = list(places[:1])
    for (_, before), (x, y) in pairwise(places):
        found += [(x, before), (x, y)]
    return found


def ticks(low: float, high: float, most: int = 5) -> list[float]:
    """Round numbers in a range, at most so many.

    Example:
        >>> ticks(0, 516), ticks(40, 72)
        ([0, 200, 400], [40, 50, 60, 70])
    """
    rough = max(high - low, 1e-9) / most
    power = 10 ** floor(log10(rough))
    step = next(step * power for step in STEPS if step * power >= rough)
    first = ceil(low / step - 1e-9)
    last = floor(high / step + 1e-9)
    return [tidy(n * step) for n in range(first, last + 1)]


def tidy(value: float) -> float:
    """A number without a tail of rounding; whole ones as whole numbers."""
    rounded = round(value, 6)
    return int(rounded) if rounded == int(rounded) else rounded


def heights(scale: Scale, most: int = 5) -> tuple[list[float], list[Words]]:
    """The thin lines of a chart and the numbers on its left, whole ones."""
    found = [value for value in ticks(scale.low, scale.high, most) if value == int(value)]
    grid = [scale(value) for value in found]
    words = [
        Words(LEFT - 6, y + 4, f"{value:g}", "end") for value, y in zip(found, grid, strict=True)
    ]
    return grid, words


def dates_below(scale: Scale, y: float) -> list[Words]:
    """The dates under a chart whose places are days (ordinals): Mondays, months or years."""
    return [
        Words(scale(day.toordinal()), y, text)
        for day, text in _days_named(int(scale.low), int(scale.high))
    ]


def _days_named(first: int, last: int) -> Iterator[tuple[date, str]]:
    weeks, months = (last - first) / 7, (last - first) / 30
    if weeks <= MOST_TICKS:
        for day in range(first + (1 - first) % 7, last + 1, 7):
            found = date.fromordinal(day)
            yield found, f"{found.day} {found:%b}"
    elif months <= 6 * MOST_TICKS:
        yield from _months_named(first, last, ceil(months / MOST_TICKS))
    else:
        every = ceil(months / 12 / MOST_TICKS)
        for year in range(date.fromordinal(first).year + 1, date.fromordinal(last).year + 1, every):
            yield date(year, 1, 1), str(year)


def _months_named(first: int, last: int, every: int) -> Iterator[tuple[date, str]]:
    start = date.fromordinal(first)
    number = start.year * 12 + start.month
    while date(number // 12, number % 12 + 1, 1).toordinal() <= last:
        found = date(number // 12, number % 12 + 1, 1)
        yield found, f"{found:%b %Y}" if found.month == 1 else f"{found:%b}"
        number += every


def apart(labels: Iterable[Words], least: float = 12) -> list[Words]:
    """Labels at the right end of lines, moved apart where they would lie on each other."""
    found: list[Words] = []
    for label in sorted(labels, key=lambda each: each.y):
        low = found[-1].y + least if found else label.y
        found.append(label._replace(y=max(label.y, low)))
    return found
