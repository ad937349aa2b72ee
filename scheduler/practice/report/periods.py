"""Stretches of time that a report adds up: weeks, or months where there are many."""

from datetime import date
from typing import NamedTuple

MOST_WEEKS = 60
"""More weeks than this are told as months: a table stays one that is read (our choice)."""


class Period(NamedTuple):
    """Days that are added up.

    Attributes:
        first: The first day (ordinal).
        last: The last day.
        is_month: Whether it is a month of the calendar, not a week.
    """

    first: int
    last: int
    is_month: bool

    @property
    def days(self) -> range:
        """Its days."""
        return range(self.first, self.last + 1)


def periods_of(first: int, last: int) -> list[Period]:
    """The weeks (ISO 8601: from Monday on) that some days lie in; months where those are many.

    Example:
        >>> [each.days for each in periods_of(1, 8)]
        [range(1, 8), range(8, 15)]
    """
    begin = first - (first - 1) % 7
    if last - begin < 7 * MOST_WEEKS:
        return [Period(monday, monday + 6, False) for monday in range(begin, last + 1, 7)]
    found, month = [], date.fromordinal(first).replace(day=1)
    while month.toordinal() <= last:
        following = month.replace(
            year=month.year + month.month // 12, month=month.month % 12 + 1
        )  # fmt: skip
        found.append(Period(month.toordinal(), following.toordinal() - 1, True))
        month = following
    return found
