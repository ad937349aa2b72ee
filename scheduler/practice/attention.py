"""Who of several players needs a look first, and why."""

from enum import IntEnum
from typing import NamedTuple

from scheduler.practice.look import WEEK, Look, Place

STUCK_TRIES, STUCK_SHARE = 10, 0.2
"""So many passes on new ground of one place in a week, and so few items done (our choice)."""

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
    """

    why: Why
    measure: float = 0.0
    place: Place | None = None


def days_away(look: Look) -> int | None:
    """Days since the last pass; None if there is none."""
    return None if look.last_played is None else (look.as_of - look.last_played).days


def attention(look: Look) -> Attention:
    """Why a player needs a look: the first reason that holds."""
    return next(filter(None, (reason(look) for reason in REASONS)), Attention(Why.FINE))


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
    week = look.week
    if not week.planned_seconds or week.seconds >= LITTLE * week.planned_seconds:
        return None
    return Attention(Why.LITTLE_TIME, week.seconds / week.planned_seconds)


def _worse(look: Look) -> Attention | None:
    change = look.share_change
    if change is None or min(look.week.passes, look.week_before.passes) < ENOUGH_PASSES:
        return None
    # A tenth isn't a binary fraction: ten points are ten points.
    return Attention(Why.WORSE, change) if round(100 * change, 6) <= -WORSE_POINTS else None


def _finished(look: Look) -> Attention | None:
    return None if look.done_on is None else Attention(Why.FINISHED)


def _stuck(look: Look) -> Attention | None:
    """The place that takes many passes and hardly gets on."""
    stuck = [
        place
        for place in look.places
        if place.tries >= STUCK_TRIES and place.won <= STUCK_SHARE * place.tries
    ]
    if not stuck:
        return None
    place = min(stuck, key=lambda place: place.won / place.tries)
    return Attention(Why.STUCK, place.won / place.tries, place)


REASONS = (_away, _stuck, _not_done, _finished, _little_time, _worse)
