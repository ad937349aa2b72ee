"""The five boxes, computed from the tuning and the scale, never typed in.

A box is two consecutive scale notes on every string, low to high; box k starts on the k-th note
of the minor pentatonic, so box 1 has the root as its lowest note. Couplings lay a box beside the
next higher one: on every string the upper fret of the one is the lower fret of the other.
"""

from functools import cache
from typing import NamedTuple

from scheduler.errors import NeckError
from scheduler.guitar.neck import Neck, format_tuning

BOXES = (1, 2, 3, 4, 5)
MINOR_PENTATONIC = (0, 3, 5, 7, 10)
"""Semitones above the root: the degrees 1, b3, 4, 5, b7."""

WIDEST_BOX_FRETS = 7
"""The most frets that a box may cover, first and last included (our choice: one hand shift)."""

KEY_NAMES = (
    "C", "C sharp", "D", "E flat", "E", "F", "F sharp", "G", "G sharp", "A", "B flat", "B",
)  # fmt: skip
"""Minor keys as they are usually written, by pitch class: the spelling with fewer accidentals."""


class StringFrets(NamedTuple):
    """The two frets of a box on one string."""

    low: int
    high: int


def next_box(box: int) -> int:
    """The next higher box: 2 after 1, and 1 (an octave up) after 5."""
    return box % len(BOXES) + 1


def scale_note(index: int) -> int:
    """Semitones of the index-th note of the scale above a root, through all octaves.

    Example:
        >>> [scale_note(i) for i in range(7)]
        [0, 3, 5, 7, 10, 12, 15]
    """
    octave, degree = divmod(index, len(MINOR_PENTATONIC))
    return 12 * octave + MINOR_PENTATONIC[degree]


@cache
def _offsets(tuning: tuple[int, ...], box: int, first_note: int) -> tuple[StringFrets, ...]:
    """Frets of the box from scale note `first_note` on, for a root on open string 0."""
    shape = []
    for string, open_midi in enumerate(tuning):
        note = first_note + 2 * string
        low, high = (scale_note(n) - (open_midi - tuning[0]) for n in (note, note + 1))
        shape.append(StringFrets(low, high))
    lowest = min(pair.low for pair in shape)
    span = max(pair.high for pair in shape) - lowest + 1
    if span > WIDEST_BOX_FRETS:
        msg = (
            f"in the tuning {format_tuning(tuning)} box {box} covers {span} frets: two notes a "
            f"string fit the hand up to {WIDEST_BOX_FRETS}; tune neighbouring strings closer to "
            "fourths"
        )
        raise NeckError(msg)
    return tuple(shape)


def relative_box(tuning: tuple[int, ...], box: int) -> tuple[StringFrets, ...]:
    """A box with its lowest fret at 0: one pair of frets per string, lowest string first.

    Raises:
        NeckError: The box covers more frets than `WIDEST_BOX_FRETS` in this tuning.

    Example:
        >>> relative_box((40, 45, 50, 55, 59, 64), 1)[0]
        StringFrets(low=0, high=3)
    """
    shape = _offsets(tuning, box, box - 1)
    lowest = min(pair.low for pair in shape)
    return tuple(StringFrets(pair.low - lowest, pair.high - lowest) for pair in shape)


def check_boxes(neck: Neck) -> Neck:
    """Give the neck back if all five boxes fit the hand in its tuning.

    Raises:
        NeckError: One of them doesn't.
    """
    for box in BOXES:
        relative_box(neck.tuning, box)
    return neck


def box_frets(neck: Neck, box: int, fret: int) -> tuple[StringFrets, ...]:
    """A box whose lowest fret is `fret`: one pair per string, lowest string first.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> [f"{low}-{high}" for low, high in box_frets(parse_neck(), 1, 5)]
        ['5-8', '5-7', '5-7', '5-7', '5-8', '5-8']
    """
    return tuple(
        StringFrets(fret + low, fret + high) for low, high in relative_box(neck.tuning, box)
    )


@cache
def neighbour_shift(tuning: tuple[int, ...], box: int) -> int:
    """How many frets the lowest fret of the next higher box lies above that of `box`.

    Example:
        >>> neighbour_shift((40, 45, 50, 55, 59, 64), 1)
        2
    """
    here = _offsets(tuning, box, box - 1)
    above = _offsets(tuning, next_box(box), box)
    return min(pair.low for pair in above) - min(pair.low for pair in here)


def root_pitch_class(neck: Neck, box: int, fret: int) -> int:
    """The pitch class (C = 0) of the key that a box at a fret belongs to.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> root_pitch_class(parse_neck(), 1, 5)
        9
    """
    first_note = neck.pitch_midi(0, box_frets(neck, box, fret)[0].low)
    return (first_note - MINOR_PENTATONIC[box - 1]) % 12


def key_name(neck: Neck, box: int, fret: int) -> str:
    """The key of a box at a fret as a musician says it.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> key_name(parse_neck(), 1, 5)
        'A minor'
    """
    return f"{KEY_NAMES[root_pitch_class(neck, box, fret)]} minor"
