"""What the record says about a clock that is or was wrong.

Acts done on a machine count in the order in which they were done. So what is dated later than the
clock was dated by one that was ahead, and is moved to just before now, the times between kept; or
the clock is behind now, and what is done counts as done after the rest. Which of them, the clock's
own earlier words tell: what it said at acts here, in their order. What came from elsewhere or was
dated by hand says nothing about it. Where they tell too little, nothing is moved, and the player
is asked.
"""

from collections.abc import Sequence
from typing import NamedTuple

from scheduler.ledger.events import uuid7
from scheduler.ledger.record import Ledger
from scheduler.player.moments import MS_PER_DAY, Moment

FEW_DAYS = 2
"""On so many days a clock may have been ahead, if it was right before (our choice). What is ahead
by no more is moved whatever was before: there is little to lose."""

FAR_AHEAD_MS = 30 * MS_PER_DAY
"""So far from the clock nothing is dated by practice alone (our choice)."""

TIMES_AS_FAR = 10
"""Many days were dated wrongly if they lie so many times as far from the clock's last right word
as the clock does now (our choice)."""


class Dated(NamedTuple):
    """An event whose time, or whose id, is later than the clock: when it counts as done."""

    at_ms: int
    id: str
    offset_minutes: int


class Before(NamedTuple):
    """What was there before the first event that is dated later than the clock.

    Attributes:
        clock_ms: What the clock said at the last act here; None if there was none.
        at_ms: The latest instant of an event; None if there is none.
    """

    clock_ms: int | None
    at_ms: int | None


NOTHING_BEFORE = Before(None, None)


class SetRight(NamedTuple):
    """What becomes of events that are dated later than the clock.

    Attributes:
        now: The moment at which what is done now counts as done.
        moved: The instants (UTC, ms) that events are moved to, by their ids.
    """

    now: Moment
    moved: dict[str, int]


def set_right(
    now: Moment, later: Sequence[Dated], before: Before, *, is_right: bool = False
) -> SetRight:
    """Bring the record and the clock together.

    Args:
        now: What the clock says.
        later: The events that are dated later than that, or have ids of later times.
        before: What was there before them.
        is_right: Whether the player says that the clock is right.
    """
    ahead = sorted(event for event in later if event.at_ms > now.utc_ms)
    # Dated by hand under a clock that was ahead: the time is right, the id is not.
    by_hand = {event.id: event.at_ms for event in later if event.at_ms <= now.utc_ms}
    if not ahead:
        return SetRight(now, by_hand)
    if not (is_right or _was_ahead(now, ahead, before)):
        return SetRight(now._replace(utc_ms=ahead[-1].at_ms + 1), {})
    moved, place = {}, now.utc_ms - 1
    after = ahead[-1]
    for event in reversed(ahead):
        # Nobody knows how long a gap of years really was.
        place -= min(after.at_ms - event.at_ms, FAR_AHEAD_MS)
        moved[event.id] = max(place, before.at_ms or 1)
        after = event
    return SetRight(now, by_hand | moved)


def _was_ahead(now: Moment, ahead: Sequence[Dated], before: Before) -> bool:
    """Whether a clock was ahead then, rather than being behind now."""
    if ahead[-1].at_ms - now.utc_ms <= FEW_DAYS * MS_PER_DAY:
        return True
    if before.clock_ms is None:
        return False
    days = {Moment(event.at_ms, event.offset_minutes).day for event in ahead}
    away = ahead[0].at_ms - before.clock_ms
    is_far = away > FAR_AHEAD_MS and away > TIMES_AS_FAR * (now.utc_ms - before.clock_ms)
    return len(days) <= FEW_DAYS or is_far


LATER = "SELECT at_ms, id, offset_minutes, seq FROM events WHERE at_ms > :now OR id > :bound"
CLOCK_BEFORE = """
SELECT max(clock_ms) FROM (
    SELECT coalesce(clock_ms, at_ms) AS clock_ms FROM acts WHERE first_seq < :seq
    UNION ALL SELECT max(at_ms) FROM events WHERE at_ms <= :now
    AND seq < min(:seq, coalesce((SELECT min(first_seq) FROM acts), :seq)))
WHERE clock_ms <= :now
"""
"""What was entered before the first act is of an older version, which kept none."""


def clock_set_right(ledger: Ledger, now: Moment, *, is_right: bool = False) -> SetRight:
    """What becomes of events of any kind that are dated later than the clock, stand or not.

    Args:
        ledger: The ledger.
        now: What the clock says.
        is_right: Whether the player says that the clock is right.

    Raises:
        LedgerError: The file can't be read.
    """
    values = {"now": now.utc_ms, "bound": uuid7(now.utc_ms + MS_PER_DAY, 0xFFF, -1 & (1 << 62) - 1)}
    rows = ledger.rows(LATER, values)
    moved = ledger.amendments.moved if rows else {}
    rows = [row for row in rows if moved.get(row[1], now.utc_ms + 1) > now.utc_ms]
    if not rows:
        return SetRight(now, {})
    later = [Dated(moved.get(row[1], row[0]), *row[1:3]) for row in rows]
    values = {"now": now.utc_ms, "seq": min(row[3] for row in rows)}
    ((clock_ms,),) = ledger.rows(CLOCK_BEFORE, values)
    query = "SELECT max(at_ms) FROM events WHERE at_ms <= :now AND seq < :seq"
    ((at_ms,),) = ledger.rows(query, values)
    return set_right(now, later, Before(clock_ms, at_ms), is_right=is_right)
