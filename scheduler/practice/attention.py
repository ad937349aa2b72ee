"""Who of several players needs a look first, and why."""

from enum import IntEnum
from typing import NamedTuple

from scheduler.practice.look import WEEK, Look, Place

STUCK_PASSES = 10
"""So many passes in a week on items of one place that still aren't done (our choice)."""

LITTLE = 0.5
"""Less than this share of the planned minutes is little (our choice)."""

WORSE_POINTS, ENOUGH_PASSES = 10, 20
"""The clean share fell by as many points, of as many passes in each week (our choice)."""


class Why(IntEnum):
    """Why a player needs a look: the first one comes first."""

    AWAY = 1
    STUCK = 2
    NOT_DONE = 3
    FINISHED = 4
    LITTLE_TIME = 5
    WORSE = 6
    NOT_BEGUN = 7
    FINE = 8


class Attention(NamedTuple):
    """Why a player needs a look, and how much: less is sooner.

    Attributes:
        why: The first reason that holds.
        measure: What orders those with the same reason.
        place: The place that it is about, if it is about one.
        also: The other reasons that hold.
    """

    why: Why
    measure: float = 0.0
    place: Place | None = None
    also: tuple["Attention", ...] = ()


def days_away(look: Look) -> int | None:
    """Days since the last pass; None if there is none."""
    return None if look.last_played is None else (look.as_of - look.last_played).days


def attention(look: Look) -> Attention:
    """Why a player needs a look: the first reason that holds, with the others."""
    first, *more = [found for reason in REASONS if (found := reason(look))] or [FINE]
    if first.why is Why.AWAY:
        # For somebody away, little time and a worse share follow from that.
        more = [each for each in more if each.why is Why.NOT_DONE]
    return first._replace(also=tuple(more))


def _away(look: Look) -> Attention | None:
    days = days_away(look)
    if days is None:
        return Attention(Why.NOT_BEGUN)
    return Attention(Why.AWAY, -days) if days >= WEEK and look.done_on is None else None


def _not_done(look: Look) -> Attention | None:
    """An assignment whose day is over, but not for so long that it is forgotten."""
    assigned = look.assigned
    if assigned is None or assigned.clean >= assigned.total:
        return None
    is_missed = 0 < (look.as_of - assigned.assignment.until).days <= WEEK
    return Attention(Why.NOT_DONE, assigned.clean / assigned.total) if is_missed else None


def _little_time(look: Look) -> Attention | None:
    week, assigned = look.week, look.assigned
    if assigned is not None and not assigned.is_over and assigned.clean >= assigned.total:
        # What was asked for is done.
        return None
    if not week.planned_seconds or week.seconds >= LITTLE * week.planned_seconds:
        return None
    return Attention(Why.LITTLE_TIME, week.seconds / week.planned_seconds)


def _worse(look: Look) -> Attention | None:
    change = look.share_change
    if change is None or min(look.week.passes, look.week_before.passes) < ENOUGH_PASSES:
        return None
    # Rounded, since 0.1 isn't exact in binary: a fall of ten points counts.
    return Attention(Why.WORSE, change) if round(100 * change, 6) <= -WORSE_POINTS else None


def _finished(look: Look) -> Attention | None:
    return None if look.done_on is None else Attention(Why.FINISHED)


def _stuck(look: Look) -> Attention | None:
    """The place with the most passes on what still isn't done."""
    place = max(look.places, key=lambda place: place.stuck_passes, default=None)
    if place is None or place.stuck_passes < STUCK_PASSES:
        return None
    return Attention(Why.STUCK, -place.stuck_passes, place)


FINE = Attention(Why.FINE)
REASONS = (_away, _stuck, _not_done, _finished, _little_time, _worse)
