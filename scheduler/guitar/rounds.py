"""The round: the whole routine once, in order.

For each box the trip up the neck with downstrokes, then back down with upstrokes; then the same
for each coupling from its bottom; then for each coupling from its top.
"""

from collections.abc import Sequence
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from scheduler.guitar.boxes import BOXES
from scheduler.guitar.items import Direction, Item, Stroke, is_on_neck, positions
from scheduler.guitar.neck import Neck

ALTERNATING = (Direction.ASC, Direction.DESC)


class Part(StrEnum):
    """The three parts of the routine, as a musician names them."""

    SINGLES = "singles"
    FROM_BOTTOM = "couplings from the bottom"
    FROM_TOP = "couplings from the top"


PART_ORDER = tuple(Part)


class Trip(NamedTuple):
    """One box or coupling taken up the neck with downstrokes, then back down with upstrokes."""

    part: Part
    box: int
    coupling: bool
    items: tuple[Item, ...]


def direction_at(fret: int, stroke: Stroke, number: int) -> Direction:
    """The direction of a single at a fret: on the fret and the round alone it depends.

    On the way up the neck, with downstrokes, odd frets ascend and even ones descend in odd rounds,
    the other way in even ones; on the way back each fret goes the other way than on the way up,
    as it comes out when the alternation just goes on at the top.

    Example:
        >>> [str(direction_at(fret, Stroke.DOWN, 1)) for fret in (5, 6, 7)]
        ['asc', 'desc', 'asc']
    """
    steps = fret + number + (stroke is Stroke.UP)
    return ALTERNATING[steps % 2]


def is_visited(item: Item, number: int, *, both_directions: bool) -> bool:
    """Whether a whole round visits an item, on a neck that has it."""
    if item.coupling or both_directions:
        return True
    return item.direction is direction_at(item.fret, item.stroke, number)


def _singles(neck: Neck, box: int, number: int, *, both_directions: bool) -> tuple[Item, ...]:
    frets = positions(neck, box, coupling=False)
    items = []
    for stroke, places in ((Stroke.DOWN, frets), (Stroke.UP, frets[::-1])):
        for fret in places:
            first = direction_at(fret, stroke, number)
            others = [each for each in ALTERNATING if each is not first and both_directions]
            items += [Item(box, False, direction, stroke, fret) for direction in (first, *others)]
    return tuple(items)


def _coupling(neck: Neck, box: int, direction: Direction) -> tuple[Item, ...]:
    frets = positions(neck, box, coupling=True)
    return tuple(
        Item(box, True, direction, stroke, fret)
        for stroke, places in ((Stroke.DOWN, frets), (Stroke.UP, frets[::-1]))
        for fret in places
    )


@lru_cache(maxsize=8)
def trips(neck: Neck, number: int = 1, *, both_directions: bool = False) -> tuple[Trip, ...]:
    """The trips of a round, in order.

    Args:
        neck: The neck they are played on.
        number: The number of the round, from 1: it decides the direction that comes first.
        both_directions: Whether every single comes in both directions in one round.
    """
    singles = [
        Trip(
            Part.SINGLES,
            box,
            coupling=False,
            items=_singles(neck, box, number, both_directions=both_directions),
        )
        for box in BOXES
    ]
    couplings = [
        Trip(part, box, coupling=True, items=_coupling(neck, box, direction))
        for part, direction in ((Part.FROM_BOTTOM, Direction.ASC), (Part.FROM_TOP, Direction.DESC))
        for box in BOXES
    ]
    return tuple(trip for trip in singles + couplings if trip.items)


def trips_of_some(neck: Neck, items: Sequence[Item]) -> tuple[Trip, ...]:
    """The trips of a round that visits only some items: they stay in the order given.

    Items that the neck has no position for are left out.
    """
    found: dict[tuple[Part, int], list[Item]] = {}
    for item in items:
        if is_on_neck(neck, item):
            found.setdefault((part_of(item), item.box), []).append(item)
    return tuple(
        Trip(part, box, part is not Part.SINGLES, tuple(members))
        for (part, box), members in found.items()
    )


def part_of(item: Item) -> Part:
    """The part that an item belongs to."""
    if not item.coupling:
        return Part.SINGLES
    return Part.FROM_BOTTOM if item.direction is Direction.ASC else Part.FROM_TOP


@lru_cache(maxsize=8)
def round_items(neck: Neck, number: int = 1, *, both_directions: bool = False) -> tuple[Item, ...]:
    """The items of a round, in order.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> len(round_items(parse_neck(frets=24)))
        576
    """
    order = trips(neck, number, both_directions=both_directions)
    return tuple(item for trip in order for item in trip.items)
