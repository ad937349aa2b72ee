"""The clock: the only place that reads the time.

UPNECK_NOW (ISO 8601) sets it for tests and screenshots of the program as a whole.
"""

import os
from datetime import UTC, datetime

from scheduler.errors import TimeError
from scheduler.player.moments import FIRST_YEAR, LAST_YEAR, Moment, moment_of

NOW_VARIABLE = "UPNECK_NOW"


def now() -> Moment:
    """The time now, with the local offset.

    Raises:
        TimeError: UPNECK_NOW isn't a time, or the clock can't be right.
    """
    when = _read()
    # A day of room on both sides, for offsets.
    if not FIRST_YEAR < when.year < LAST_YEAR:
        msg = f"the clock says the year {when.year}: set it right; nothing was done"
        raise TimeError(msg)
    return moment_of(when)


def _read() -> datetime:
    text = os.environ.get(NOW_VARIABLE)
    if not text:
        return datetime.now(UTC).astimezone()
    try:
        return local(datetime.fromisoformat(text))
    except (ValueError, OverflowError) as problem:
        msg = f"{NOW_VARIABLE} is no ISO 8601 time: {text!r}"
        raise TimeError(msg) from problem


def local(when: datetime) -> datetime:
    """A time that says no offset is local time."""
    return when if when.tzinfo is not None else when.astimezone()
