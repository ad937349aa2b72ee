"""What a report is made of: pictures, each with what it says in words and in numbers."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from scheduler.show.report.chart import Chart

Plain = str | int | float | bool | None


class Cell(NamedTuple):
    """A number or word as it is told to a program, and as it is told to a reader."""

    value: Plain
    text: str


class Column(NamedTuple):
    """A column: its name in JSON, and its head."""

    key: str
    head: str


class Table(NamedTuple):
    """The numbers of a picture.

    Attributes:
        key: Its name in JSON.
        caption: What stands over it.
        columns: Its columns.
        rows: Its rows, a cell for each column.
    """

    key: str
    caption: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]


class Picture(NamedTuple):
    """A picture, what it says, and its numbers.

    Attributes:
        title: Its heading.
        sentences: What it shows, in words.
        charts: The drawings; none where there is nothing to draw yet.
        tables: The numbers.
    """

    title: str
    sentences: Sequence[str]
    charts: Sequence[Chart]
    tables: Sequence[Table]


def number(value: float, digits: int = 0) -> Cell:
    """A number, told to so many digits behind the point.

    Example:
        >>> number(1234.567, 1), number(12)
        (Cell(value=1234.6, text='1,234.6'), Cell(value=12, text='12'))
    """
    rounded = round(value, digits) if digits else round(value)
    return Cell(rounded, f"{rounded:,.{digits}f}")


def percent(share: float | None) -> Cell:
    """A share, told in percent.

    Example:
        >>> percent(0.9312), percent(None)
        (Cell(value=0.931, text='93%'), Cell(value=None, text='-'))
    """
    return Cell(None, "-") if share is None else Cell(round(share, 3), f"{share:.0%}")


def day(value: date | None, text: str) -> Cell:
    """A day, as ISO 8601 and as it is said."""
    return Cell(None if value is None else value.isoformat(), text)


def word(text: str) -> Cell:
    """A word."""
    return Cell(text, text)
