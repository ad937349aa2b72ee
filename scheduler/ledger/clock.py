"""What the record says about a clock that is or was wrong.

Acts done on a machine count in the order in which they were done. So what is dated later than the
clock, which had been ahead then, is moved to just before now, with the times between kept. Where
much of the record is dated later, the clock is behind now, and what is done counts as done after
the rest.
"""

from collections.abc import Sequence
from typing import NamedTuple

from scheduler.player.moments import MS_PER_DAY, Moment

FEW_DAYS = 2
"""On so many days a clock may have been ahead, whatever lies before them (our choice)."""

FAR_AHEAD_MS = 30 * MS_PER_DAY
"""What is dated so far from the clock, with something before it, was dated wrongly (our choice)."""


class Dated(NamedTuple):
    """An event that is dated later than the clock: when it counts as done, and its id."""

    at_ms: int
    id: str
    offset_minutes: int


class SetRight(NamedTuple):
    """What becomes of events that are dated later than the clock.

    Attributes:
        now: The moment at which what is done now counts as done.
        moved: The instants (UTC, ms) that events are moved to, by their ids.
    """

    now: Moment
    moved: dict[str, int]


def set_right(now: Moment, later: Sequence[Dated], before_ms: int | None) -> SetRight:
    """Bring the record and the clock together.

    Args:
        now: What the clock says.
        later: The events that are dated later than that, in order of time.
        before_ms: The latest instant of the others; None if there are none.
    """
    if not later:
        return SetRight(now, {})
    days = {Moment(event.at_ms, event.offset_minutes).day for event in later}
    is_far = before_ms is not None and later[0].at_ms - now.utc_ms > FAR_AHEAD_MS
    if len(days) > FEW_DAYS and not is_far:
        return SetRight(now._replace(utc_ms=later[-1].at_ms + 1), {})
    ahead_ms = later[-1].at_ms - (now.utc_ms - 1)
    earliest = before_ms or 0
    return SetRight(now, {event.id: max(event.at_ms - ahead_ms, earliest) for event in later})
