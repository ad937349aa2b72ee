"""The sequence: the notes of an item, in order, with string, fret, pitch and stroke.

A group of notes up through the box, then the same again from some notes later on, until the last
group that fits. In the first routine that is a sequence of sixes: six notes over three neighbouring
strings, then again from the next string. Descending is the mirror image. Everything is alternate
picking.
"""

from itertools import pairwise
from typing import NamedTuple

from scheduler.guitar.boxes import StringFrets
from scheduler.guitar.items import Item, boxes_under
from scheduler.guitar.neck import Neck
from scheduler.guitar.routine import Direction, Routine, Stroke


class Note(NamedTuple):
    """One played note: string 0 is the lowest, pitch is a MIDI number."""

    string: int
    fret: int
    pitch_midi: int
    stroke: Stroke


Place = tuple[int, int]
"""String and fret of a note."""


def _places(box: tuple[StringFrets, ...]) -> list[Place]:
    """Every note of a box, from the lowest."""
    return [(string, fret) for string, frets in enumerate(box) for fret in frets]


def _in_groups(places: list[Place], routine: Routine) -> list[Place]:
    """The notes of a run: group after group."""
    starts = range(0, len(places) - routine.group + 1, routine.step)
    return [place for start in starts for place in places[start : start + routine.group]]


def _path(neck: Neck, item: Item) -> list[Place]:
    routine = item.routine
    lower, *rest = (_places(box) for _, box in boxes_under(neck, item))
    if not rest:
        ascends = item.direction is Direction.ASC
        return _in_groups(lower if ascends else lower[::-1], routine)
    (higher,) = rest
    up, down = _in_groups(lower, routine), _in_groups(higher[::-1], routine)
    once = up + down if item.direction is Direction.ASC else down + up
    return once * routine.times_round + once[:1]


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


def legs_of(neck: Neck, item: Item) -> tuple[range, ...]:
    """The numbers of the notes of each run through a box; the last note of a coupling has its own.

    The runs of a coupling go through its two boxes in turn.
    """
    run = item.routine.groups(neck.strings) * item.routine.group
    notes = item.notes_on(neck.strings)
    return tuple(range(start, min(start + run, notes)) for start in range(0, notes, run))


def half_of(item: Item, leg: int) -> int:
    """0 if a run (from 0 on) goes through an item's (lower) box, 1 if through the higher one."""
    if not item.coupling:
        return 0
    return (leg + (item.direction is Direction.DESC)) % 2


def runs_of(neck: Neck, item: Item) -> tuple[range, ...]:
    """The numbers of the notes that are played on one string without leaving it, group by group.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> from scheduler.guitar.patterns import parse_address
        >>> runs_of(parse_neck(), parse_address("1:asc:down:5"))[:3]
        (range(0, 2), range(2, 4), range(4, 6))
    """
    notes, group = notes_of(neck, item), item.routine.group
    starts = [
        number
        for number, note in enumerate(notes)
        if number % group == 0 or note.string != notes[number - 1].string
    ]
    return tuple(range(*ends) for ends in pairwise([*starts, len(notes)]))
