"""What the record says about a clock that is or was wrong.

Acts on one machine count in the order in which they were done. So where earlier acts bear later
times than the clock shows now, one of two things is true. Either the clock was ahead then: those
events are moved to just before now, the gaps between them kept. Or the clock is behind now: new
events are dated after the old ones. What the clock showed at each act, which the ledger keeps,
decides which. Events from other machines and times typed by hand are no evidence. Where the
readings don't decide it, nothing is moved, and the player can say that the clock is right (`check
--clock-is-right`).
"""

from bisect import bisect_right
from collections.abc import Sequence
from operator import itemgetter
from typing import NamedTuple

from scheduler.ledger.events import uuid7
from scheduler.ledger.record import Ledger
from scheduler.player.moments import FIRST_MS, MS_PER_DAY, Moment

TAKINGS_IN = frozenset({"import", "merge"})
"""Acts that bring what was entered elsewhere, under other clocks."""

FEW_DAYS = 2
"""A clock is judged to have been ahead where the later times are at most so many days ahead, for
then a mistake costs little; else only where they fall on at most so many days and it had been right
on as many before (our choice)."""

HIGHEST_ID = "g"
"""Sorts after every id: ids are lower-case hexadecimal."""

LONGEST_GAP_MS = 30 * MS_PER_DAY
"""Of a gap between times that a wrong clock gave, no more is kept (our choice)."""


class Dated(NamedTuple):
    """An event that was entered here and whose time, or whose id, is later than the clock.

    Attributes:
        at_ms: When it counts as done.
        id: Its id.
        offset_minutes: Its offset from UTC.
        clock_ms: What the clock said when it was entered; None if that isn't known.
    """

    at_ms: int
    id: str
    offset_minutes: int
    clock_ms: int | None = None


class Before(NamedTuple):
    """What was there before the first event that is dated later than the clock.

    Attributes:
        clock_days: On how many days the clock had said something that isn't later than now.
        at_ms: The latest instant of an event; None if there is none.
    """

    clock_days: int
    at_ms: int | None


NOTHING_BEFORE = Before(0, None)


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
    """Bring what was entered here and the clock together.

    Args:
        now: What the clock says.
        later: The events entered here that are dated later than that, or have ids of later times.
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
    moved = _moved(now, ahead, max(before.at_ms or 0, FIRST_MS))
    last_ms = max(moved.values())
    earlier = {event.id: moved[event.id] for event in ahead if moved[event.id] < event.at_ms}
    return SetRight(now._replace(utc_ms=max(now.utc_ms, last_ms + 1)), by_hand | earlier)


def _moved(now: Moment, ahead: Sequence[Dated], earliest_ms: int) -> dict[str, int]:
    """Where events come to lie: at what the clock said, if that may be, else by their gaps."""
    moved: dict[str, int] = {}
    place, after = now.utc_ms - 1, None
    for event in reversed(ahead):
        if event.clock_ms is not None and earliest_ms <= event.clock_ms <= now.utc_ms:
            # Entered under a right clock, but counted as done after what lay ahead.
            place, after = min(place, event.clock_ms), None
        elif after is not None:
            place -= min(after.at_ms - event.at_ms, LONGEST_GAP_MS)
            after = event
        else:
            place, after = place - bool(moved), event
        moved[event.id] = place
    # Of two at one instant the one with the smaller id counts as the earlier.
    least, last_id = earliest_ms, HIGHEST_ID
    for event in ahead:
        least = max(moved[event.id], least + (event.id < last_id))
        moved[event.id], last_id = least, event.id
    return moved


def _was_ahead(now: Moment, ahead: Sequence[Dated], before: Before) -> bool:
    """Whether a clock was ahead then, rather than being behind now."""
    if ahead[-1].at_ms - now.utc_ms <= FEW_DAYS * MS_PER_DAY:
        return True
    days = len({Moment(event.at_ms, event.offset_minutes).day for event in ahead})
    return days <= min(FEW_DAYS, before.clock_days)


LATER = "SELECT at_ms, id, offset_minutes, seq FROM events WHERE at_ms > :now OR id > :bound"
ACTS_IN_ORDER = "SELECT first_seq, last_seq, clock_ms, what FROM acts ORDER BY first_seq, last_seq"
CLOCK_BEFORE = """
SELECT count(DISTINCT clock_ms / 86400000) FROM (
    SELECT coalesce(clock_ms, at_ms) AS clock_ms FROM acts WHERE first_seq < :seq
    UNION ALL SELECT at_ms FROM events WHERE at_ms <= :now
    AND seq < min(:seq, coalesce((SELECT min(first_seq) FROM acts), :seq)))
WHERE clock_ms <= :now
"""
"""What was entered before the first act is of an older version, which kept none."""


def clock_set_right(ledger: Ledger, now: Moment, *, is_right: bool = False) -> SetRight:
    """What becomes of events of any kind that are dated later than the clock, stand or not.

    What came from elsewhere is moved only if the player says that the clock is right; else what is
    done now counts as done after it.

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
    acts = ledger.rows(ACTS_IN_ORDER)
    here: list[Dated] = []
    first_seq, latest_ms = ledger.last_seq(), now.utc_ms
    for dated_ms, event_id, offset_minutes, seq in rows:
        at_ms = moved.get(event_id, dated_ms)
        clock_ms, is_from_here = _entered(acts, seq)
        if is_from_here or is_right:
            here.append(Dated(at_ms, event_id, offset_minutes, clock_ms if is_from_here else None))
            first_seq = min(first_seq, seq)
        else:
            latest_ms = max(latest_ms, at_ms + 1)
    right = set_right(now, here, _before(ledger, now, first_seq), is_right=is_right)
    return right._replace(now=now._replace(utc_ms=max(right.now.utc_ms, latest_ms)))


def _entered(acts: Sequence[tuple[int, int, int | None, str]], seq: int) -> tuple[int | None, bool]:
    """What the clock said when an event was entered, and whether that was done here."""
    place = bisect_right(acts, seq, key=itemgetter(0)) - 1
    if place < 0 or seq > acts[place][1]:
        return None, True
    return acts[place][2], acts[place][3] not in TAKINGS_IN


def _before(ledger: Ledger, now: Moment, seq: int) -> Before:
    """What was there before an event, by its number of entry."""
    values = {"now": now.utc_ms, "seq": seq}
    ((clock_days,),) = ledger.rows(CLOCK_BEFORE, values)
    query = "SELECT max(at_ms) FROM events WHERE at_ms <= :now AND seq < :seq"
    ((at_ms,),) = ledger.rows(query, values)
    return Before(clock_days, at_ms)
