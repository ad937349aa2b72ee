"""Addresses and patterns, read: the words by which files, scripts and commands name items.

A pattern leaves out trailing parts of an address, or puts `any` for one, and takes lists and
ranges of frets: `3`, `1+2:any:down`, `4:asc:up:5-9,12`.
"""

import re
from difflib import get_close_matches
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple, TypeVar

from scheduler.errors import AddressError
from scheduler.guitar.boxes import BOXES, next_box
from scheduler.guitar.items import (
    Direction,
    Item,
    Stroke,
    box_word,
    catalogue,
    check_on_neck,
    positions,
)
from scheduler.guitar.neck import MOST_FRETS, Neck

ANY = "any"
PARTS = 4
FORM = "BOX[+BOX]:DIRECTION:STROKE:FRET, such as 3:asc:down:7 or 5+1:desc:up:2"

_Word = TypeVar("_Word", bound=StrEnum)


class Pattern(NamedTuple):
    """A set of items by their parts; None stands for `any`."""

    text: str
    boxes: tuple[int, bool] | None
    direction: Direction | None
    stroke: Stroke | None
    frets: frozenset[int] | None

    @property
    def names_all(self) -> bool:
        """Whether every item belongs to it."""
        return self[1:] == (None, None, None, None)

    def fits(self, item: Item) -> bool:
        """Whether the item belongs to the pattern."""
        return (
            (self.boxes is None or self.boxes == (item.box, item.coupling))
            and (self.direction is None or self.direction == item.direction)
            and (self.stroke is None or self.stroke == item.stroke)
            and (self.frets is None or item.fret in self.frets)
        )


def nearest(word: str, words: list[str]) -> str:
    """A hint that ends a message: the nearest valid word, or nothing."""
    found = get_close_matches(word.lower(), words, n=1, cutoff=0.5)
    return f"; did you mean {found[0]}?" if found else ""


def _read_boxes(text: str) -> tuple[int, bool] | None:
    if text == ANY:
        return None
    numbers = text.split("+")
    for number in numbers:
        if number not in {str(box) for box in BOXES}:
            msg = f"no box {number!r}: boxes are 1 to 5, couplings 1+2, 2+3, 3+4, 4+5 and 5+1"
            raise AddressError(msg)
    box = int(numbers[0])
    if len(numbers) == 1:
        return box, False
    if len(numbers) != 2 or int(numbers[1]) != next_box(box):  # noqa: PLR2004
        msg = (
            f"no coupling {text}: a box is coupled with the next higher one, "
            f"here {box_word(box, coupling=True)}"
        )
        raise AddressError(msg)
    return box, True


def _read_word(text: str, kind: type[_Word], what: str) -> _Word | None:
    if text == ANY:
        return None
    if text in list(kind):
        return kind(text)
    words = [str(word) for word in kind]
    hint = nearest(text, [*words, ANY])
    msg = f"no {what} {text!r}: it is {' or '.join(words)}, or any{hint}"
    raise AddressError(msg)


def parse_frets(text: str) -> frozenset[int]:
    """Read a list of frets and ranges, such as `5-9,12`.

    Raises:
        AddressError: The text is no such list, or a fret lies beyond any neck.

    Example:
        >>> sorted(parse_frets("5-7,12"))
        [5, 6, 7, 12]
    """
    frets: set[int] = set()
    for piece in text.split(","):
        found = re.fullmatch(r"([0-9]{1,2})(?:-([0-9]{1,2}))?", piece)
        if found is None:
            msg = f"no fret {piece!r}: write frets as numbers, lists and ranges, such as 5-9,12"
            raise AddressError(msg)
        first, last = int(found[1]), int(found[2] or found[1])
        if first > last:
            msg = f"the frets {piece} run backwards: write {last}-{first}"
            raise AddressError(msg)
        if last > MOST_FRETS:
            msg = f"no fret {last}: necks have at most {MOST_FRETS}"
            raise AddressError(msg)
        frets.update(range(first, last + 1))
    return frozenset(frets)


def parse_pattern(text: str) -> Pattern:
    """Read a pattern; an address is the pattern that leaves nothing out.

    Raises:
        AddressError: A part is missing its value or can't be read.

    Example:
        >>> parse_pattern("4:asc:up:5-6").frets == {5, 6}
        True
    """
    parts = text.strip().lower().split(":")
    if not text.strip():
        msg = f"an empty pattern names nothing: write {FORM}, or leave out trailing parts"
        raise AddressError(msg)
    if len(parts) > PARTS:
        msg = f"{text!r} has {len(parts)} parts: an address has {PARTS}: {FORM}"
        raise AddressError(msg)
    if not all(parts):
        msg = f"{text!r} has an empty part: put any for a part that doesn't matter"
        raise AddressError(msg)
    parts += [ANY] * (PARTS - len(parts))
    return Pattern(
        text=text.strip().lower(),
        boxes=_read_boxes(parts[0]),
        direction=_read_word(parts[1], Direction, "direction"),
        stroke=_read_word(parts[2], Stroke, "stroke"),
        frets=None if parts[3] == ANY else parse_frets(parts[3]),
    )


@lru_cache(maxsize=4096)
def parse_address(text: str) -> Item:
    """Read an address, the inverse of `Item.address`.

    Raises:
        AddressError: It can't be read, or names more than one item.

    Example:
        >>> parse_address("5+1:desc:up:2").address
        '5+1:desc:up:2'
    """
    pattern = parse_pattern(text)
    if (
        pattern.boxes is None
        or pattern.direction is None
        or pattern.stroke is None
        or pattern.frets is None
        or len(pattern.frets) != 1
    ):
        msg = f"{text!r} names more than one item: an address is {FORM}"
        raise AddressError(msg)
    (fret,) = pattern.frets
    return Item(*pattern.boxes, pattern.direction, pattern.stroke, fret)


def parse_item(neck: Neck, text: str) -> Item:
    """Read the address of an item that the neck has.

    Raises:
        AddressError: It can't be read, or the neck has no position for it.
    """
    return check_on_neck(neck, parse_address(text))


def matching(neck: Neck, pattern: Pattern) -> tuple[Item, ...]:
    """The items of a neck that belong to a pattern, in the order of the catalogue.

    Raises:
        AddressError: The neck has no position for any of them.
    """
    found = tuple(item for item in catalogue(neck) if pattern.fits(item))
    if not found:
        where = ""
        if pattern.boxes is not None:
            places = positions(neck, pattern.boxes[0], coupling=pattern.boxes[1])
            where = f"; it lies at frets {places.start} to {places.stop - 1}" if places else ""
        msg = f"{pattern.text!r} has no position on this neck of {neck.frets} frets{where}"
        raise AddressError(msg)
    return found
