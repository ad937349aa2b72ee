"""The sequence of sixes: the notes of an item, in order, with string, fret, pitch and stroke.

Six notes over three neighbouring strings, then the same again from the next string, until the
last group of three strings. Descending is the mirror image. Everything is alternate picking.
"""

from typing import NamedTuple

from scheduler.guitar.boxes import StringFrets, box_frets, neighbour_shift, next_box
from scheduler.guitar.items import Direction, Item, Stroke
from scheduler.guitar.neck import Neck

STRINGS_IN_A_GROUP = 3
NOTES_IN_A_GROUP = 6
TIMES_ROUND = 2
"""How often a coupling goes up and down before its last note."""


class Note(NamedTuple):
    """One played note: string 0 is the lowest, pitch is a MIDI number."""

    string: int
    fret: int
    pitch_midi: int
    stroke: Stroke


def groups(strings: int) -> int:
    """How many groups of six a run through all strings has."""
    return strings - STRINGS_IN_A_GROUP + 1


def notes_in(strings: int, *, coupling: bool) -> int:
    """The number of notes of an item.

    Example:
        >>> notes_in(6, coupling=False), notes_in(6, coupling=True)
        (24, 97)
    """
    run = groups(strings) * NOTES_IN_A_GROUP
    return TIMES_ROUND * 2 * run + 1 if coupling else run


def _ascending(frets: tuple[StringFrets, ...]) -> list[tuple[int, int]]:
    """String and fret of every note upwards through a box."""
    return [
        (string, fret)
        for first in range(groups(len(frets)))
        for string in range(first, first + STRINGS_IN_A_GROUP)
        for fret in frets[string]
    ]


def _descending(frets: tuple[StringFrets, ...]) -> list[tuple[int, int]]:
    """String and fret of every note downwards: the mirror image, from the highest string."""
    last = len(frets) - 1
    mirrored = tuple(StringFrets(high, low) for low, high in reversed(frets))
    return [(last - string, fret) for string, fret in _ascending(mirrored)]


def _path(neck: Neck, item: Item) -> list[tuple[int, int]]:
    lower = box_frets(neck, item.box, item.fret)
    if not item.coupling:
        return _ascending(lower) if item.direction is Direction.ASC else _descending(lower)
    shift = neighbour_shift(neck.tuning, item.box)
    higher = box_frets(neck, next_box(item.box), item.fret + shift)
    up, down = _ascending(lower), _descending(higher)
    once = up + down if item.direction is Direction.ASC else down + up
    return once * TIMES_ROUND + once[:1]


def notes_of(neck: Neck, item: Item) -> tuple[Note, ...]:
    """The notes of an item, in playing order.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> from scheduler.guitar.patterns import parse_address
        >>> [note.fret for note in notes_of(parse_neck(), parse_address("1:asc:down:5"))[:6]]
        [5, 8, 5, 7, 5, 7]
    """
    other = Stroke.UP if item.stroke is Stroke.DOWN else Stroke.DOWN
    return tuple(
        Note(string, fret, neck.pitch_midi(string, fret), other if number % 2 else item.stroke)
        for number, (string, fret) in enumerate(_path(neck, item))
    )
