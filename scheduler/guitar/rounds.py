"""The round: the whole routine once, in order.

Part by part, for each box or coupling the trip up the neck with one first stroke, then back down
with the other: in the first routine the singles, then the couplings from the bottom, then those
from the top, each up with downstrokes and back with upstrokes.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from scheduler.guitar.items import Item, is_on_neck, positions
from scheduler.guitar.neck import Neck
from scheduler.guitar.routine import PART_ORDER, PENTATONIC, Direction, Part, Routine

ALTERNATING = (Direction.ASC, Direction.DESC)
STARTS = {Part.FROM_BOTTOM: Direction.ASC, Part.FROM_TOP: Direction.DESC}


class Trip(NamedTuple):
    """One box or coupling taken up the neck, then back down with the other first stroke."""

    part: Part
    box: int
    coupling: bool
    items: tuple[Item, ...]
    routine: Routine = PENTATONIC


def direction_at(fret: int, number: int, *, back: bool) -> Direction:
    """The direction of a single at a fret: it depends on the fret and the round's number only.

    Where the neck begins doesn't matter, so another guitar changes nothing that was played.

    On the way up the neck odd frets ascend and even ones descend in odd rounds, the other way in
    even ones; on the way back each fret goes the other way than on the way up, as it comes out when
    the alternation just goes on at the top.

    Example:
        >>> [str(direction_at(fret, 1, back=False)) for fret in (5, 6, 7)]
        ['asc', 'desc', 'asc']
    """
    return ALTERNATING[(fret + number + back) % 2]


def is_visited(item: Item, number: int, *, both_directions: bool) -> bool:
    """Whether a whole round visits an item, on a neck that has it."""
    part = part_of(item)
    if part not in item.routine.parts:
        return False
    if item.coupling or both_directions:
        return True
    back = item.stroke is item.routine.strokes[1]
    return item.direction is direction_at(item.fret, number, back=back)


def _trip(neck: Neck, trip: Trip, number: int, *, both_directions: bool) -> Trip:
    """A trip with its items."""
    routine, box = trip.routine, trip.box
    frets = positions(neck, box, coupling=trip.coupling, routine=routine)
    items = []
    for back, stroke in enumerate(routine.strokes):
        for fret in frets[::-1] if back else frets:
            first = STARTS.get(trip.part) or direction_at(fret, number, back=bool(back))
            in_both = both_directions and not trip.coupling
            others = [each for each in ALTERNATING if each is not first and in_both]
            items += [
                Item(box, trip.coupling, direction, stroke, fret, routine)
                for direction in (first, *others)
            ]
    return trip._replace(items=tuple(items))


@lru_cache(maxsize=16)
def trips(
    neck: Neck,
    number: int = 1,
    *,
    both_directions: bool = False,
    routine: Routine = PENTATONIC,
) -> tuple[Trip, ...]:
    """The trips of a round, in order.

    Args:
        neck: The neck they are played on.
        number: The number of the round, from 1: it decides the direction that comes first.
        both_directions: Whether every single comes in both directions in one round.
        routine: The routine.
    """
    empty = [
        Trip(part, box, part is not Part.SINGLES, (), routine)
        for part in routine.parts
        for box in routine.boxes
    ]
    found = (_trip(neck, trip, number, both_directions=both_directions) for trip in empty)
    return tuple(trip for trip in found if trip.items)


def trips_of_some(neck: Neck, items: Sequence[Item]) -> tuple[Trip, ...]:
    """The trips of a round that visits only some items: they stay in the order given.

    Items that the neck has no position for are left out.
    """
    found: dict[tuple[Part, int, Routine], list[Item]] = {}
    for item in items:
        if is_on_neck(neck, item):
            found.setdefault((part_of(item), item.box, item.routine), []).append(item)
    return tuple(
        Trip(part, box, part is not Part.SINGLES, tuple(members), routine)
        for (part, box, routine), members in found.items()
    )


def part_of(item: Item) -> Part:
    """The part that an item belongs to."""
    if not item.coupling:
        return Part.SINGLES
    return Part.FROM_BOTTOM if item.direction is Direction.ASC else Part.FROM_TOP


def along_the_neck(item: Item) -> tuple[Routine, int, int, bool, int]:
    """What items are ordered by as a trip goes: up the neck, then back, whatever their direction.

    Example:
        >>> from scheduler.guitar.routine import Stroke
        >>> up, back = (Item(1, False, Direction.ASC, stroke, 5) for stroke in Stroke)
        >>> along_the_neck(up) < along_the_neck(back)
        True
    """
    back = item.stroke is item.routine.strokes[1]
    fret = -item.fret if back else item.fret
    return (item.routine, PART_ORDER.index(part_of(item)), item.box, back, fret)


@lru_cache(maxsize=16)
def round_items(
    neck: Neck,
    number: int = 1,
    *,
    both_directions: bool = False,
    routine: Routine = PENTATONIC,
) -> tuple[Item, ...]:
    """The items of a round, in order.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> len(round_items(parse_neck(frets=24)))
        576
    """
    order = trips(neck, number, both_directions=both_directions, routine=routine)
    return tuple(item for trip in order for item in trip.items)
