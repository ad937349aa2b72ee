"""The metronome: its marks, and beats per minute against notes per second.

The two tempos are types of their own, so that one can't be taken for the other.
"""

from bisect import bisect_left, bisect_right
from math import isfinite
from typing import NewType

from scheduler.errors import TempoError

BeatsPerMinute = NewType("BeatsPerMinute", float)
NotesPerSecond = NewType("NotesPerSecond", float)

_BANDS = ((40, 60, 2), (60, 72, 3), (72, 120, 4), (120, 144, 6), (144, 209, 8))
"""First mark, end and step of each band."""

TRADITIONAL_MARKS = tuple(
    BeatsPerMinute(mark) for first, end, step in _BANDS for mark in range(first, end, step)
)
"""The marks of the traditional (Maelzel) metronome scale, 40 to 208: steps of 2, 3, 4, 6 and 8."""

MARKS = (*(BeatsPerMinute(mark) for mark in range(20, 40, 2)), *TRADITIONAL_MARKS)
"""The traditional marks, continued below 40 in steps of 2 (our choice)."""

SLOWEST, FASTEST = BeatsPerMinute(20), BeatsPerMinute(400)
"""The range of a recorded tempo (our choice: beyond it lies a slip of the keys)."""

NOTES_PER_BEAT = (1, 2, 3, 4, 6)
DEFAULT_NOTES_PER_BEAT = 3
DEFAULT_FLOOR_TEMPO = BeatsPerMinute(40)
"""The slowest tempo that counts in a round, unless the player sets another."""


def check_tempo(tempo: float) -> BeatsPerMinute:
    """Give a tempo back if a metronome beats it.

    Raises:
        TempoError: It isn't a number from 20 to 400.
    """
    if not isfinite(tempo) or not SLOWEST <= tempo <= FASTEST:
        msg = f"a tempo of {tempo:g} is out of range: it is {SLOWEST} to {FASTEST} beats per minute"
        raise TempoError(msg)
    return BeatsPerMinute(tempo)


def speed_of(tempo: BeatsPerMinute, notes_per_beat: int) -> NotesPerSecond:
    """Notes per second at a tempo.

    Example:
        >>> speed_of(BeatsPerMinute(60), 3)
        3.0
    """
    return NotesPerSecond(tempo * notes_per_beat / 60)


def tempo_of(speed: NotesPerSecond, notes_per_beat: int) -> BeatsPerMinute:
    """The tempo at which that many notes a second sound."""
    return BeatsPerMinute(speed * 60 / notes_per_beat)


def mark_at_or_below(tempo: float) -> BeatsPerMinute:
    """The fastest mark that isn't faster than `tempo`; the slowest mark if there is none.

    Example:
        >>> mark_at_or_below(62), mark_at_or_below(10)
        (60, 20)
    """
    return MARKS[max(0, bisect_right(MARKS, tempo) - 1)]


def marks_away(tempo: float, steps: int) -> BeatsPerMinute:
    """The mark that lies `steps` marks above (or below, if negative) a tempo, within the scale.

    A tempo between two marks counts as lying between them: one step leads to the next mark.

    Example:
        >>> marks_away(60, 2), marks_away(61, 1), marks_away(61, -1), marks_away(208, 1)
        (66, 63, 60, 208)
    """
    start = bisect_right(MARKS, tempo) - 1 if steps >= 0 else bisect_left(MARKS, tempo)
    return MARKS[min(max(0, start + steps), len(MARKS) - 1)]


def marks_around(tempo: float, count: int = 9) -> tuple[BeatsPerMinute, ...]:
    """Neighbouring marks with the one at or below a tempo in their middle, where the scale allows.

    Example:
        >>> marks_around(60, 5)
        (56, 58, 60, 63, 66)
    """
    middle = MARKS.index(mark_at_or_below(tempo))
    first = min(max(0, middle - count // 2), len(MARKS) - count)
    return MARKS[first : first + count]
