"""Keys as players write them, and where in them a box or coupling lies."""

import re
from typing import NamedTuple

from scheduler.errors import AddressError
from scheduler.guitar.boxes import key_of, root_pitch_class
from scheduler.guitar.items import Item, places_of
from scheduler.guitar.neck import ACCIDENTALS, SEMITONES, Neck
from scheduler.guitar.routine import Mode

WRITTEN = re.compile(
    r"([A-Ga-g])([#b\N{MUSIC SHARP SIGN}\N{MUSIC FLAT SIGN}]?)[ -]?"
    r"(|m|min|minor|M|maj|major)"
)
TO_RELATIVE_MAJOR = 3
SHORT = {" sharp": "#", " flat": "b", " minor": "m", " major": ""}


class Key(NamedTuple):
    """A key: the pitch class of its root (C = 0), and minor or major."""

    root: int
    mode: Mode

    @property
    def words(self) -> str:
        """The key as a musician says it, such as "A minor"."""
        return key_of(self.root, self.mode)

    @property
    def short(self) -> str:
        """The key as a musician writes it, such as "Am"; `parse_key` reads it back.

        Example:
            >>> Key(9, Mode.MINOR).short, Key(8, Mode.MAJOR).short, Key(6, Mode.MINOR).short
            ('Am', 'Ab', 'F#m')
        """
        text = self.words
        for word, sign in SHORT.items():
            text = text.replace(word, sign)
        return text

    def in_mode(self, mode: Mode) -> "Key":
        """The key of a mode with the same notes: its relative, where it is of the other one.

        Example:
            >>> Key(9, Mode.MINOR).in_mode(Mode.MAJOR).words
            'C major'
        """
        if mode is Mode.NEITHER or mode is self.mode:
            return Key(self.root, mode)
        up = TO_RELATIVE_MAJOR if mode is Mode.MAJOR else -TO_RELATIVE_MAJOR
        return Key((self.root + up) % 12, mode)


def parse_key(text: str) -> Key:
    """Read a key.

    Raises:
        AddressError: It is none.

    Example:
        >>> parse_key("F#m").words, parse_key("Bb").words, parse_key("a minor").words
        ('F sharp minor', 'B flat major', 'A minor')
    """
    found = WRITTEN.fullmatch(text.strip())
    if found is None:
        msg = f"no key {text!r}: write it as Am, F#m or Bb"
        raise AddressError(msg)
    letter, accidental, mode = found.groups()
    root = (SEMITONES[letter.upper()] + ACCIDENTALS[accidental]) % 12
    is_minor = mode in {"m", "min", "minor"}
    return Key(root, Mode.MINOR if is_minor else Mode.MAJOR)


def is_key(text: str) -> bool:
    """Whether a word is a key."""
    return WRITTEN.fullmatch(text) is not None


def key_of_item(neck: Neck, item: Item) -> Key:
    """The key of an item."""
    routine = item.routine
    return Key(root_pitch_class(neck, item.box, item.fret, routine), routine.mode)


def frets_in_key(neck: Neck, item: Item, key: Key) -> list[int]:
    """The frets at which an item's box or coupling lies in a key.

    Raises:
        AddressError: Its routine has no such keys: it is minor or major itself.
    """
    mode = item.routine.mode
    if mode not in {key.mode, Mode.NEITHER}:
        relative = key.in_mode(mode)
        msg = f"these boxes are {mode}: the notes of {key.words} are those of {relative.short}"
        raise AddressError(msg)
    return [
        fret
        for fret in places_of(neck, item)
        if key_of_item(neck, item._replace(fret=fret)).root == key.root
    ]


def home_fret(neck: Neck, item: Item, key: Key) -> int | None:
    """The fret in a key that lies nearest to the middle of where the box or coupling reaches.

    None where the neck has none.
    """
    places = places_of(neck, item)
    found = frets_in_key(neck, item, key)
    middle = (places.start + places.stop - 1) / 2
    return min(found, key=lambda fret: (abs(fret - middle), fret), default=None)
