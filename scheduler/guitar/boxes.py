"""Boxes, computed from the tuning and the scale of a routine, never typed in.

A box is so many consecutive scale notes on every string, low to high; box k starts on the k-th
note of the scale, so box 1 has the root as its lowest note. Couplings lay a box beside the next
higher one: with two notes a string the upper fret of the one is the lower fret of the other.
"""

from functools import cache

from scheduler.errors import NeckError
from scheduler.guitar.neck import Neck, format_tuning
from scheduler.guitar.routine import PENTATONIC, Mode, Routine

NUMBERS = {1: "one note", 2: "two notes", 3: "three notes", 4: "four notes"}
StringFrets = tuple[int, ...]
"""The frets of a box on one string, low to high."""

WIDEST_ON_A_STRING = 6
"""The most frets that the notes of one string may cover (our choice)."""

WIDEST_BOX_FRETS = {1: 7, 2: 7, 3: 9, 4: 18}
"""The most frets that a box may cover by notes a string, first and last included: one hand shift
for two, the drift of a position with every string for more (our choice)."""

MINOR_KEYS = (
    "C", "C sharp", "D", "E flat", "E", "F", "F sharp", "G", "G sharp", "A", "B flat", "B",
)  # fmt: skip
MAJOR_KEYS = (
    "C", "D flat", "D", "E flat", "E", "F", "F sharp", "G", "A flat", "A", "B flat", "B",
)  # fmt: skip
"""Keys as they are usually written, by pitch class: the spelling with fewer accidentals."""


@cache
def _offsets(
    tuning: tuple[int, ...], box: int, first_note: int, routine: Routine
) -> tuple[StringFrets, ...]:
    """Frets of the box from scale note `first_note` on, for a root on open string 0."""
    shape = []
    for string, open_midi in enumerate(tuning):
        note = first_note + routine.notes_a_string * string
        above_root = [routine.scale_note(note + n) for n in range(routine.notes_a_string)]
        shape.append(tuple(each - (open_midi - tuning[0]) for each in above_root))
    span = max(frets[-1] for frets in shape) - min(frets[0] for frets in shape) + 1
    widest = WIDEST_BOX_FRETS[routine.notes_a_string]
    on_a_string = max(frets[-1] - frets[0] for frets in shape) + 1
    if span > widest or on_a_string > WIDEST_ON_A_STRING:
        msg = (
            f"in the tuning {format_tuning(tuning)} box {box} covers {span} frets, {on_a_string} on"
            f" one string: {NUMBERS[routine.notes_a_string]} a string fit the hand up to {widest}, "
            f"{WIDEST_ON_A_STRING} on one string; tune neighbouring strings closer to fourths"
        )
        raise NeckError(msg)
    return tuple(shape)


@cache
def relative_box(
    tuning: tuple[int, ...], box: int, routine: Routine = PENTATONIC
) -> tuple[StringFrets, ...]:
    """A box with its lowest fret at 0: its frets on each string, lowest string first.

    Raises:
        NeckError: The box covers more frets than a hand does in this tuning.

    Example:
        >>> relative_box((40, 45, 50, 55, 59, 64), 1)[0]
        (0, 3)
    """
    shape = _offsets(tuning, box, box - 1, routine)
    lowest = min(frets[0] for frets in shape)
    return tuple(tuple(fret - lowest for fret in frets) for frets in shape)


def check_boxes(neck: Neck, routine: Routine = PENTATONIC) -> Neck:
    """Give the neck back if all boxes of a routine fit the hand in its tuning.

    Raises:
        NeckError: One of them doesn't, or is shorter than a group.
    """
    if not routine.groups(neck.strings):
        msg = (
            f"a group of {routine.group} notes is longer than a box of "
            f"{neck.strings * routine.notes_a_string} on {neck.strings} strings"
        )
        raise NeckError(msg)
    for box in routine.boxes:
        relative_box(neck.tuning, box, routine)
    return neck


def box_frets(
    neck: Neck, box: int, fret: int, routine: Routine = PENTATONIC
) -> tuple[StringFrets, ...]:
    """A box whose lowest fret is `fret`: its frets on each string, lowest string first.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> ["-".join(map(str, frets)) for frets in box_frets(parse_neck(), 1, 5)]
        ['5-8', '5-7', '5-7', '5-7', '5-8', '5-8']
    """
    shape = relative_box(neck.tuning, box, routine)
    return tuple(tuple(fret + each for each in frets) for frets in shape)


@cache
def neighbour_shift(tuning: tuple[int, ...], box: int, routine: Routine = PENTATONIC) -> int:
    """How many frets the lowest fret of the next higher box lies above that of `box`.

    Example:
        >>> neighbour_shift((40, 45, 50, 55, 59, 64), 1)
        2
    """
    here = _offsets(tuning, box, box - 1, routine)
    above = _offsets(tuning, routine.next_box(box), box, routine)
    return min(frets[0] for frets in above) - min(frets[0] for frets in here)


def root_pitch_class(neck: Neck, box: int, fret: int, routine: Routine = PENTATONIC) -> int:
    """The pitch class (C = 0) of the key that a box at a fret belongs to.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> root_pitch_class(parse_neck(), 1, 5)
        9
    """
    first_note = neck.pitch_midi(0, box_frets(neck, box, fret, routine)[0][0])
    return (first_note - routine.scale[box - 1]) % 12


def key_of(root: int, mode: Mode) -> str:
    """A key as a musician says it, from the pitch class of its root.

    Example:
        >>> key_of(9, Mode.MINOR), key_of(8, Mode.MAJOR)
        ('A minor', 'A flat major')
    """
    names = MAJOR_KEYS if mode is Mode.MAJOR else MINOR_KEYS
    return f"{names[root]} {mode}".rstrip()
