"""A moment: an instant and the offset of the place where the player was.

A player's day is the local day of the place: a pass at 23:50 belongs to that evening wherever
the ledger is read later.
"""

from datetime import UTC, date, datetime, timedelta, timezone
from functools import lru_cache
from typing import NamedTuple

MS_PER_MINUTE = 60_000
MS_PER_DAY = 86_400_000
MINUTES_PER_DAY = 1440
FIRST_YEAR, LAST_YEAR = 1971, 2200
"""Days and times of a player lie in these years, in every offset."""
FIRST_MS = 365 * MS_PER_DAY
"""The beginning of 1971 (UTC, ms)."""
EPOCH_ORDINAL = date(1970, 1, 1).toordinal()


@lru_cache(maxsize=64)
def _zone(offset_minutes: int) -> timezone:
    return timezone(timedelta(minutes=offset_minutes))


class Moment(NamedTuple):
    """An instant in milliseconds since 1970 (UTC), and the local offset in minutes."""

    utc_ms: int
    offset_minutes: int

    @property
    def day(self) -> int:
        """The local day as a proleptic Gregorian ordinal, `date.toordinal`'s number.

        Example:
            >>> Moment(0, -60).day == date(1969, 12, 31).toordinal()
            True
        """
        minutes = self.utc_ms // MS_PER_MINUTE + self.offset_minutes
        return minutes // MINUTES_PER_DAY + EPOCH_ORDINAL

    @property
    def date(self) -> date:
        """The local day."""
        return date.fromordinal(self.day)

    def as_datetime(self) -> datetime:
        """The moment as an aware datetime in its own offset."""
        seconds, ms = divmod(self.utc_ms, 1000)
        when = datetime.fromtimestamp(seconds, _zone(self.offset_minutes))
        return when.replace(microsecond=ms * 1000) if ms else when

    def isoformat(self) -> str:
        """ISO 8601 with offset, to the second where nothing is lost by it."""
        return self.as_datetime().isoformat(
            timespec="milliseconds" if self.utc_ms % 1000 else "seconds"
        )


def moment_of(when: datetime) -> Moment:
    """The moment of an aware datetime.

    Example:
        >>> moment_of(datetime(1970, 1, 2, tzinfo=UTC))
        Moment(utc_ms=86400000, offset_minutes=0)
    """
    offset = when.utcoffset()
    assert offset is not None, "a datetime without an offset is no moment"  # noqa: S101
    elapsed = when - datetime(1970, 1, 1, tzinfo=UTC)
    return Moment(elapsed // timedelta(milliseconds=1), offset // timedelta(minutes=1))


def parse_moment(text: str) -> Moment:
    """Read a time in ISO 8601 with an offset.

    Raises:
        ValueError: It is none, has no offset, or lies outside the years 1971 to 2200.

    Example:
        >>> parse_moment("1971-01-01T01:00:00+01:00").isoformat()
        '1971-01-01T01:00:00+01:00'
    """
    try:
        when = datetime.fromisoformat(text)
    except ValueError as problem:
        msg = f"no time {text!r}: write it as 2026-11-25T19:30:00+01:00"
        raise ValueError(msg) from problem
    if when.tzinfo is None:
        msg = f"the time {text} has no time zone, such as +01:00"
        raise ValueError(msg)
    if not FIRST_YEAR <= when.year <= LAST_YEAR:
        msg = f"the time {text} lies outside the years {FIRST_YEAR} to {LAST_YEAR}"
        raise ValueError(msg)
    return moment_of(when)


def start_of_day(day: int, offset_minutes: int) -> Moment:
    """Midnight of a local day, given as an ordinal."""
    minutes = (day - EPOCH_ORDINAL) * MINUTES_PER_DAY - offset_minutes
    return Moment(minutes * MS_PER_MINUTE, offset_minutes)
