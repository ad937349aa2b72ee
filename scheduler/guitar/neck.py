"""The neck: a tuning, a number of frets, and the lowest fret that is used."""

import re
from itertools import pairwise
from typing import NamedTuple

from scheduler.errors import NeckError

STANDARD_TUNING = "E2 A2 D3 G3 B3 E4"
FEWEST_STRINGS, MOST_STRINGS = 3, 9
FEWEST_FRETS, MOST_FRETS = 12, 48
HIGHEST_LOWEST_FRET = 12

SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
"""Semitones of the naturals above C."""

ACCIDENTALS = {"": 0, "#": 1, "b": -1, "\N{MUSIC SHARP SIGN}": 1, "\N{MUSIC FLAT SIGN}": -1}

SHARP_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
"""Pitch classes as a tuning is written, C first."""

HIGHEST_MIDI = 127

_NOTE = re.compile(r"([A-Ga-g])([#b\N{MUSIC SHARP SIGN}\N{MUSIC FLAT SIGN}]?)(-?\d)")


class Neck(NamedTuple):
    """A neck that was checked: `parse_neck` makes one from what a player types.

    Attributes:
        tuning: MIDI numbers of the open strings, lowest string first (A4 = 69, C4 = 60).
        frets: The number of the last fret.
        lowest_fret: The lowest fret used; 1 means that no open string is played.
    """

    tuning: tuple[int, ...]
    frets: int = 22
    lowest_fret: int = 1

    @property
    def strings(self) -> int:
        """The number of strings."""
        return len(self.tuning)

    @property
    def intervals(self) -> tuple[int, ...]:
        """Semitones from each string to the next higher one: with them, a box's shape changes."""
        return tuple(b - a for a, b in pairwise(self.tuning))

    def pitch_midi(self, string: int, fret: int) -> int:
        """The MIDI number that sounds at a fret of a string (string 0 is the lowest).

        Example:
            >>> parse_neck().pitch_midi(5, 5)
            69
        """
        return self.tuning[string] + fret


def parse_note(text: str) -> int:
    """Read a note with its octave as a MIDI number (scientific pitch notation, C4 = 60).

    Raises:
        NeckError: The text is no note from C-1 to G9.

    Example:
        >>> parse_note("E2"), parse_note("F#3"), parse_note("Bb1")
        (40, 54, 34)
    """
    found = _NOTE.fullmatch(text)
    if found is None:
        msg = (
            f"no note {text!r}: write a letter A to G, # or b where needed, and the octave: E2, F#3"
        )
        raise NeckError(msg)
    letter, accidental, octave = found.groups()
    midi = 12 * (int(octave) + 1) + SEMITONES[letter.upper()] + ACCIDENTALS[accidental]
    if not 0 <= midi <= HIGHEST_MIDI:
        msg = f"note {text} lies outside C-1 to G9"
        raise NeckError(msg)
    return midi


def format_note(midi: int) -> str:
    """Write a MIDI number as a note with its octave, the inverse of `parse_note`.

    Example:
        >>> format_note(40), format_note(54)
        ('E2', 'F#3')
    """
    return f"{SHARP_NAMES[midi % 12]}{midi // 12 - 1}"


def frequency_hz(midi: int) -> float:
    """The frequency of a MIDI number in equal temperament, A4 = 440 Hz (ISO 16:1975).

    Source:
        f = 440 x 2^((m - 69) / 12): University of New South Wales, School of Physics,
        "Note names, MIDI numbers and frequencies".

    Example:
        >>> round(frequency_hz(40), 4)
        82.4069
    """
    return float(440.0 * 2.0 ** ((midi - 69) / 12))


NAMED_TUNINGS = {
    "standard": STANDARD_TUNING, "eadgbe": STANDARD_TUNING,
    "dropd": "D2 A2 D3 G3 B3 E4", "dadgbe": "D2 A2 D3 G3 B3 E4",
    "dadgad": "D2 A2 D3 G3 A3 D4",
    "halfstepdown": "Eb2 Ab2 Db3 Gb3 Bb3 Eb4",
    "bass": "E1 A1 D2 G2", "eadg": "E1 A1 D2 G2",
    "sevenstring": "B1 E2 A2 D3 G3 B3 E4", "beadgbe": "B1 E2 A2 D3 G3 B3 E4",
}  # fmt: skip
"""Tunings by the names that guitarists use (common practice, no source)."""


def parse_tuning(text: str) -> tuple[int, ...]:
    """Read open strings, lowest first, as MIDI numbers.

    Raises:
        NeckError: A word is no note, there are too few or too many strings, or one isn't
            higher than the string before it.

    Example:
        >>> parse_tuning("drop D") == parse_tuning("D2 A2 D3 G3 B3 E4")
        True
        >>> parse_tuning("E2 A2 D3 G3 B3 E4")
        (40, 45, 50, 55, 59, 64)
    """
    name = "".join(mark for mark in text.lower() if mark.isalnum())
    words = NAMED_TUNINGS.get(name, text).replace(",", " ").split()
    if not FEWEST_STRINGS <= len(words) <= MOST_STRINGS:
        msg = (
            f"a tuning has {FEWEST_STRINGS} to {MOST_STRINGS} strings, this one {len(words)}: "
            f'write the open strings, lowest first, such as "{STANDARD_TUNING}", or a name: '
            "standard, drop D, DADGAD, half step down, seven string, bass"
        )
        raise NeckError(msg)
    tuning = tuple(parse_note(word) for word in words)
    for (lower, higher), word in zip(pairwise(tuning), words[1:], strict=True):
        if higher <= lower:
            msg = f"the tuning goes down at {word}: every string must be higher than the one before"
            raise NeckError(msg)
    return tuning


def format_tuning(tuning: tuple[int, ...]) -> str:
    """Write open strings as `parse_tuning` reads them; a tuning with a name as guitarists spell it.

    Example:
        >>> format_tuning(parse_tuning("half step down"))
        'Eb2 Ab2 Db3 Gb3 Bb3 Eb4'
    """
    for words in NAMED_TUNINGS.values():
        if parse_tuning(words) == tuning:
            return words
    return " ".join(format_note(midi) for midi in tuning)


def parse_neck(tuning: str = STANDARD_TUNING, frets: int = 22, lowest_fret: int = 1) -> Neck:
    """Check and build a neck.

    Raises:
        NeckError: The tuning can't be read, or a number of frets lies outside its range.
    """
    if not FEWEST_FRETS <= frets <= MOST_FRETS:
        msg = f"a neck has {FEWEST_FRETS} to {MOST_FRETS} frets, not {frets}"
        raise NeckError(msg)
    if not 0 <= lowest_fret <= HIGHEST_LOWEST_FRET:
        msg = (
            f"the lowest fret used is 0 (open strings) to {HIGHEST_LOWEST_FRET}, not {lowest_fret}"
        )
        raise NeckError(msg)
    return Neck(parse_tuning(tuning), frets, lowest_fret)
