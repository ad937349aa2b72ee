"""Dates and windows in words."""

from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # Not imported for every command: few need it.
    from scheduler.plan.projection import Window


SHORT = "%b"
"""The form of a month where room is scarce."""


def day_words(day: date, today: date | None = None, month: str = "%B") -> str:
    """A date; the year only where it isn't this year's.

    Example:
        >>> day_words(date(2026, 12, 9)), day_words(date(2026, 12, 9), date(2026, 11, 25), SHORT)
        ('9 December 2026', '9 Dec')
    """
    short = f"{day.day} {day.strftime(month)}"
    return short if today is not None and day.year == today.year else f"{short} {day.year}"


def span_words(
    first: date, last: date, today: date, between: str = " to ", month: str = "%B"
) -> str:
    """From one day to another; the first year only where the second doesn't tell it.

    Example:
        >>> span_words(date(2026, 12, 9), date(2027, 1, 3), date(2026, 11, 25))
        '9 December to 3 January 2027'
        >>> span_words(date(2027, 1, 3), date(2027, 2, 3), date(2026, 11, 25))
        '3 January to 3 February 2027'
    """
    clear = last if first.year == last.year else today
    return f"{day_words(first, clear, month)}{between}{day_words(last, today, month)}"


def window_words(window: "Window", today: date) -> str:
    """The window of 8 in 10, or the day if it is only one.

    Example:
        >>> from scheduler.plan.projection import Window
        >>> window_words(Window(*(date(2026, 12, d) for d in (2, 4, 9))), date(2026, 11, 25))
        '2 to 9 December'
    """
    if window.early is None:
        return "not within five years"
    if window.is_open:
        return f"{day_words(window.early, today)} or later"
    if window.late is None:
        return f"{day_words(window.early, today)} at the earliest, maybe not within five years"
    if window.early == window.late:
        return day_words(window.late, today)
    if (window.early.year, window.early.month) == (window.late.year, window.late.month):
        return f"{window.early.day} to {day_words(window.late, today)}"
    return span_words(window.early, window.late, today)


def middle_words(window: "Window", today: date) -> str:
    """The middle day of a window."""
    return "-" if window.middle is None else day_words(window.middle, today)


def finish_words(window: "Window", today: date) -> str:
    """The middle day and the window in one sentence."""
    if window.middle is None:
        return "not within five years at this pace"
    if window.is_open and window.early is not None:
        return (
            f"about {middle_words(window, today)}, hardly before "
            f"{day_words(window.early, today)}; a session or two will tell"
        )
    return f"about {middle_words(window, today)} (likely {window_words(window, today)})"
