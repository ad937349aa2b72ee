"""Options that several commands share, read from their words."""

import re
from datetime import date, datetime, time, timedelta
from pathlib import Path

from scheduler.cli.clock import local
from scheduler.errors import SettingError, TimeError, UsageError
from scheduler.guitar.patterns import nearest
from scheduler.plan.values import parse_minutes, whole_number
from scheduler.player.facts import MOST_ERRORS, Fault
from scheduler.player.moments import FIRST_YEAR, LAST_YEAR, Moment, moment_of

STANDARD = "-"
"""In place of a file: standard input, or the screen."""

MOST_MONTHS = 60
LAST_EVENING_MS = 18 * 3_600_000
"""A time alone that is still to come means yesterday if that is no longer ago (our choice)."""


def read_day(text: str, today: date) -> date:
    """Read a day: ISO 8601, `today`, `tomorrow`, `yesterday`, or days from today such as +3.

    Raises:
        TimeError: It is no day.
    """
    word = text.strip().lower()
    shifts = {"today": 0, "tomorrow": 1, "yesterday": -1}
    try:
        if word in shifts:
            return today + timedelta(days=shifts[word])
        if re.fullmatch(r"[+-]\d{1,4}d?", word):
            return today + timedelta(days=int(word.removesuffix("d")))
        day = date.fromisoformat(word)
    except (ValueError, OverflowError) as problem:
        hint = nearest(word, list(shifts))
        msg = f"no day {text!r}: write it as {today.isoformat()}, or today, tomorrow, +3{hint}"
        raise TimeError(msg) from problem
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        msg = f"the year {day.year} is out of range: {FIRST_YEAR} to {LAST_YEAR}"
        raise TimeError(msg)
    return day


def read_output(text: str, what: str, *endings: str) -> Path:
    """Read where something is written whose ending says what it is.

    Args:
        text: The file.
        what: What is written, in words.
        endings: The endings that it may have.

    Raises:
        UsageError: It has another ending.
    """
    path = Path(text)
    if path.suffix.lower() not in endings:
        msg = f"{text} has an ending that isn't known: {what} is written as {' or '.join(endings)}"
        raise UsageError(msg)
    return path


def read_page(text: str) -> Path:
    """Read where a page is written.

    Raises:
        UsageError: It has another ending than a page.
    """
    return read_output(text, "a page", ".html", ".htm")


def read_budget(minutes: str | None) -> float | None:
    """The time there is, in seconds; None where no minutes were said.

    Raises:
        SettingError: They are no minutes of a day.
    """
    return None if minutes is None else parse_minutes(minutes) * 60


def read_days_off(text: str, today: date) -> frozenset[int]:
    """Read days and ranges of days (with ..), as ordinals.

    Raises:
        TimeError: A piece is no day or range.
    """
    days: set[int] = set()
    for piece in text.split(","):
        ends = [read_day(end, today).toordinal() for end in piece.split("..", 1)]
        if ends[-1] < ends[0]:
            msg = f"the days {piece} run backwards"
            raise TimeError(msg)
        days.update(range(ends[0], ends[-1] + 1))
    return frozenset(days)


def read_moment(text: str, now: Moment) -> Moment:
    """Read when something was played: an ISO 8601 day, time or both.

    A time alone that is still to come was yesterday's: at half past midnight, 23:50 was last
    evening. A day alone is its noon, or now if that is today and noon is still to come. A time may
    say its own offset.

    Raises:
        TimeError: It is no time, or lies in the future.
    """
    when = _read_time(text.strip(), now)
    try:
        moment = moment_of(local(when))
    except OverflowError as problem:
        msg = f"the year {when.year} is out of range: {FIRST_YEAR} to {LAST_YEAR}"
        raise TimeError(msg) from problem
    if moment.utc_ms > now.utc_ms:
        msg = f"{text} lies in the future: nothing can have been played then"
        raise TimeError(msg)
    if moment.date.year < FIRST_YEAR:
        msg = f"the year {moment.date.year} is too long ago"
        raise TimeError(msg)
    return moment


def _read_time(text: str, now: Moment) -> datetime:
    day, _, clock = re.sub(r"(?<=\d)[Tt](?=\d)", " ", text, count=1).partition(" ")
    try:
        if ":" in day and not clock:
            return _last(time.fromisoformat(day), now)
        if not clock:
            noon = datetime.combine(read_day(day, now.date), time(12))
            is_ahead = moment_of(local(noon)).utc_ms > now.utc_ms
            return now.as_datetime() if is_ahead and noon.date() == now.date else noon
        return datetime.combine(read_day(day, now.date), time.fromisoformat(clock))
    except (ValueError, OverflowError) as problem:
        day = now.date.isoformat()
        msg = f"no time {text!r}: write it as 19:30, {day} or {day}T19:30"
        raise TimeError(msg) from problem


def _last(clock: time, now: Moment) -> datetime:
    """The last time that a clock, here or where its offset is, showed a time.

    What was so long ago is rather a slip of the keys: it stays in the future, and is refused.
    """
    here = now.as_datetime() if clock.tzinfo is None else now.as_datetime().astimezone(clock.tzinfo)
    when = datetime.combine(here.date(), clock)
    before = when - timedelta(days=1)
    is_ahead = moment_of(local(when)).utc_ms > now.utc_ms
    is_recent = now.utc_ms - moment_of(local(before)).utc_ms < LAST_EVENING_MS
    return before if is_ahead and is_recent else when


def read_errors(text: str) -> int:
    """Read a number of errors.

    Raises:
        SettingError: It isn't a whole number from 1 to 999.
    """
    number = whole_number(text)
    if number is not None and 1 <= number <= MOST_ERRORS:
        return number
    msg = f"errors are a whole number from 1 to {MOST_ERRORS}, not {text!r}"
    raise SettingError(msg)


def read_fault(text: str) -> Fault:
    """Read a fault.

    Raises:
        SettingError: There is no such fault.
    """
    if text in list(Fault):
        return Fault(text)
    words = [str(fault) for fault in Fault]
    msg = f"no fault {text!r}: it is {', '.join(words)}{nearest(text, words)}"
    raise SettingError(msg)


def read_months(text: str) -> int:
    """Read a number of months.

    Raises:
        SettingError: It isn't a whole number from 0 to 60.
    """
    number = whole_number(text)
    if number is not None and number <= MOST_MONTHS:
        return number
    msg = f"months are a whole number from 0 to {MOST_MONTHS}, not {text!r}"
    raise SettingError(msg)
