"""Items and their addresses: the unit that has a tempo and an error history of its own.

An address is `BOX[+BOX]:DIRECTION:STROKE:FRET`, such as `3:asc:down:7` and `5+1:desc:up:2`.
"""

from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple

from scheduler.errors import AddressError, NeckError
from scheduler.guitar.boxes import BOXES, box_frets, neighbour_shift, next_box
from scheduler.guitar.neck import Neck


class Direction(StrEnum):
    """Which way an item starts."""

    ASC = "asc"
    DESC = "desc"


class Stroke(StrEnum):
    """The pick stroke of the first note."""

    DOWN = "down"
    UP = "up"


class Item(NamedTuple):
    """One thing to play.

    Attributes:
        box: The box, or the lower box of a coupling: 1 to 5.
        coupling: Whether the next higher box is coupled to it.
        direction: Whether it starts upwards or downwards.
        stroke: The pick stroke of its first note.
        fret: The lowest fretted fret of the (lower) box.
    """

    box: int
    coupling: bool
    direction: Direction
    stroke: Stroke
    fret: int

    @property
    def address(self) -> str:
        """The address in files and scripts; `parse_address` reads it back."""
        boxes = box_word(self.box, coupling=self.coupling)
        return f"{boxes}:{self.direction}:{self.stroke}:{self.fret}"

    @property
    def shape(self) -> tuple[int, bool, Direction, Stroke]:
        """What stays the same when the item is moved along the neck."""
        return (self.box, self.coupling, self.direction, self.stroke)


def box_word(box: int, *, coupling: bool) -> str:
    """How an address writes a box or a coupling.

    Example:
        >>> box_word(3, coupling=False), box_word(5, coupling=True)
        ('3', '5+1')
    """
    return f"{box}+{next_box(box)}" if coupling else str(box)


def frets_of(neck: Neck, item: Item) -> tuple[int, int]:
    """The lowest and the highest fret that an item touches."""
    pairs = list(box_frets(neck, item.box, item.fret))
    if item.coupling:
        shift = neighbour_shift(neck.tuning, item.box)
        pairs += box_frets(neck, next_box(item.box), item.fret + shift)
    return min(pair.low for pair in pairs), max(pair.high for pair in pairs)


@lru_cache(maxsize=256)
def positions(neck: Neck, box: int, *, coupling: bool) -> range:
    """The frets at which a box or coupling lies wholly on the used part of the neck.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> positions(parse_neck(), 1, coupling=False)
        range(1, 20)
    """
    lowest, highest = frets_of(neck, Item(box, coupling, Direction.ASC, Stroke.DOWN, 0))
    return range(neck.lowest_fret - lowest, neck.frets - highest + 1)


def is_on_neck(neck: Neck, item: Item) -> bool:
    """Whether the neck has a position for an item."""
    return item.fret in positions(neck, item.box, coupling=item.coupling)


def check_room(neck: Neck) -> Neck:
    """Give the neck back if there is a box that lies on its used part.

    Raises:
        NeckError: There is none.
    """
    if not any(positions(neck, box, coupling=False) for box in BOXES):
        msg = (
            f"no box lies between frets {neck.lowest_fret} and {neck.frets}: use lower frets too, "
            "or a neck of more frets"
        )
        raise NeckError(msg)
    return neck


@lru_cache(maxsize=8)
def catalogue(neck: Neck) -> tuple[Item, ...]:
    """Every item of a neck: singles before couplings, by box, direction, stroke and fret."""
    return tuple(
        Item(box, coupling, direction, stroke, fret)
        for coupling in (False, True)
        for box in BOXES
        for direction in Direction
        for stroke in Stroke
        for fret in positions(neck, box, coupling=coupling)
    )


def check_on_neck(neck: Neck, item: Item) -> Item:
    """Give the item back if the neck has a position for it.

    Raises:
        AddressError: It would leave the used part of the neck.
    """
    places = positions(neck, item.box, coupling=item.coupling)
    if item.fret in places:
        return item
    name = box_word(item.box, coupling=item.coupling)
    if not places:
        msg = f"{name} has no position on this neck of {neck.frets} frets"
    else:
        msg = (
            f"no position for {name} at fret {item.fret}: on this neck of {neck.frets} frets it "
            f"lies at frets {places.start} to {places.stop - 1}"
        )
    raise AddressError(msg)
