"""Items and their addresses: the unit that has a tempo and an error history of its own.

An address is `BOX[+BOX]:DIRECTION:STROKE:FRET`, such as `3:asc:down:7` and `5+1:desc:up:2`.
"""

from functools import lru_cache
from typing import NamedTuple

from scheduler.errors import AddressError, NeckError
from scheduler.guitar.boxes import StringFrets, box_frets, check_boxes, neighbour_shift
from scheduler.guitar.neck import Neck
from scheduler.guitar.routine import PENTATONIC, Direction, Routine, Stroke


class Item(NamedTuple):
    """One thing to play.

    Attributes:
        box: The box, or the lower box of a coupling, from 1 on.
        coupling: Whether the next higher box is coupled to it.
        direction: Whether it starts upwards or downwards.
        stroke: The pick stroke of its first note.
        fret: The lowest fretted fret of the (lower) box.
        routine: The routine it belongs to.
    """

    box: int
    coupling: bool
    direction: Direction
    stroke: Stroke
    fret: int
    routine: Routine = PENTATONIC

    @property
    def address(self) -> str:
        """The address in files and scripts; `parse_address` reads it back."""
        boxes = box_word(self.box, coupling=self.coupling, routine=self.routine)
        return f"{boxes}:{self.direction}:{self.stroke}:{self.fret}"

    @property
    def shape(self) -> "Shape":
        """What stays the same when the item is moved along the neck."""
        return (self.box, self.coupling, self.direction, self.stroke, self.routine)

    @property
    def leg(self) -> tuple[int, bool, Stroke, Routine]:
        """The way along the neck it belongs to: what is played on without a new start."""
        return (self.box, self.coupling, self.stroke, self.routine)

    def notes_on(self, strings: int) -> int:
        """The number of its notes on so many strings."""
        return self.routine.notes_in(strings, coupling=self.coupling)

    @property
    def kind(self) -> str:
        """`coupling` or `single`."""
        return "coupling" if self.coupling else "single"


Shape = tuple[int, bool, Direction, Stroke, Routine]


def box_word(box: int, *, coupling: bool, routine: Routine = PENTATONIC) -> str:
    """How an address writes a box or a coupling.

    Example:
        >>> box_word(3, coupling=False), box_word(5, coupling=True)
        ('3', '5+1')
    """
    boxes = f"{box}+{routine.next_box(box)}" if coupling else str(box)
    return f"{routine.key}/{boxes}" if routine.key else boxes


def boxes_under(neck: Neck, item: Item) -> list[tuple[int, tuple[StringFrets, ...]]]:
    """The box of an item, and the higher one of a coupling: number, and frets by string."""
    routine = item.routine
    found = [(item.box, box_frets(neck, item.box, item.fret, routine))]
    if item.coupling:
        fret = item.fret + neighbour_shift(neck.tuning, item.box, routine)
        higher = routine.next_box(item.box)
        found.append((higher, box_frets(neck, higher, fret, routine)))
    return found


def frets_of(neck: Neck, item: Item) -> tuple[int, int]:
    """The lowest and the highest fret that an item touches."""
    strings = [frets for _, box in boxes_under(neck, item) for frets in box]
    return min(frets[0] for frets in strings), max(frets[-1] for frets in strings)


@lru_cache(maxsize=512)
def positions(neck: Neck, box: int, *, coupling: bool, routine: Routine = PENTATONIC) -> range:
    """The frets at which a box or coupling lies wholly on the used part of the neck.

    None where the routine's boxes don't fit the hand in the neck's tuning, or are shorter than a
    group.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> positions(parse_neck(), 1, coupling=False)
        range(1, 20)
    """
    if not routine.groups(neck.strings):
        return range(0)
    here = Item(box, coupling, Direction.ASC, Stroke.DOWN, 0, routine)
    try:
        lowest, highest = frets_of(neck, here)
    except NeckError:
        return range(0)
    return range(neck.lowest_fret - lowest, neck.frets - highest + 1)


def places_of(neck: Neck, item: Item) -> range:
    """The frets at which a neck has an item's box or coupling."""
    return positions(neck, item.box, coupling=item.coupling, routine=item.routine)


def is_on_neck(neck: Neck, item: Item) -> bool:
    """Whether the neck has a position for an item."""
    return item.fret in places_of(neck, item)


MOST_NOTES = 2000
"""The most notes of an item: half an hour at 20 beats a minute and three notes a beat. More is a
mistake in a definition (our choice)."""


def check_fits(neck: Neck, routine: Routine = PENTATONIC) -> Neck:
    """Give the neck back if a routine can be played on it.

    Raises:
        NeckError: A box doesn't fit the hand or the neck, or a coupling is too long.
    """
    check_boxes(neck, routine)
    notes = routine.notes_in(neck.strings, coupling=True)
    if notes > MOST_NOTES:
        msg = f"a coupling has {notes} notes on {neck.strings} strings: {MOST_NOTES} at most"
        raise NeckError(msg)
    return check_room(neck, routine)


def check_room(neck: Neck, routine: Routine = PENTATONIC) -> Neck:
    """Give the neck back if there is a box that lies on its used part.

    Raises:
        NeckError: There is none.
    """
    if not any(positions(neck, box, coupling=False, routine=routine) for box in routine.boxes):
        msg = (
            f"no box lies between frets {neck.lowest_fret} and {neck.frets}: use lower frets too, "
            "or a neck of more frets"
        )
        raise NeckError(msg)
    return neck


@lru_cache(maxsize=16)
def catalogue(neck: Neck, routine: Routine = PENTATONIC) -> tuple[Item, ...]:
    """Every item of a routine: singles before couplings, by box, direction, stroke and fret."""
    return tuple(
        Item(box, coupling, direction, stroke, fret, routine)
        for coupling in (False, True)
        for box in routine.boxes
        for direction in Direction
        for stroke in Stroke
        for fret in positions(neck, box, coupling=coupling, routine=routine)
    )


def check_on_neck(neck: Neck, item: Item) -> Item:
    """Give the item back if the neck has a position for it.

    Raises:
        AddressError: It would leave the used part of the neck.
    """
    places = places_of(neck, item)
    if item.fret in places:
        return item
    name = box_word(item.box, coupling=item.coupling, routine=item.routine)
    if not places:
        msg = f"{name} has no position on this neck of {neck.frets} frets"
    else:
        msg = (
            f"no position for {name} at fret {item.fret}: on this neck of {neck.frets} frets it "
            f"lies at frets {places.start} to {places.stop - 1}"
        )
    raise AddressError(msg)
