"""Addresses and patterns, read: the words by which files, scripts and commands name items.

An address of another routine than the first begins with its name: `major3/4:asc:down:5`. A pattern
leaves out trailing parts of an address, or puts `any` for one, and takes lists and ranges of frets:
`3`, `1+2:any:down`, `4:asc:up:5-9,12`. A key may stand for the fret, or behind a blank: `2 Am`.
"""

import re
from difflib import get_close_matches
from enum import StrEnum
from functools import lru_cache
from typing import NamedTuple, TypeVar

from scheduler.errors import AddressError
from scheduler.guitar.boxes import check_boxes
from scheduler.guitar.items import Item, catalogue, check_on_neck, positions
from scheduler.guitar.keys import Key, frets_in_key, home_fret, is_key, parse_key
from scheduler.guitar.neck import MOST_FRETS, Neck
from scheduler.guitar.routine import FIRST_NAME, Direction, Routine, Stroke
from scheduler.guitar.routines import INSIDE, Routines

ANY, SLASH = "any", "/"
PARTS = 4
FORM = "BOX[+BOX]:DIRECTION:STROKE:FRET, such as 3:asc:down:7 or 5+1:desc:up:2"

_Word = TypeVar("_Word", bound=StrEnum)


class Pattern(NamedTuple):
    """A set of items of one routine by their parts; None stands for `any`."""

    text: str
    routine: Routine
    boxes: tuple[int, bool] | None
    direction: Direction | None
    stroke: Stroke | None
    frets: frozenset[int] | None
    key: Key | None = None

    @property
    def names_all(self) -> bool:
        """Whether every item belongs to it."""
        return self[2:] == (None, None, None, None, None)

    def fits(self, item: Item) -> bool:
        """Whether the item belongs to the pattern, but for the key."""
        return (
            self.routine is item.routine
            and (self.boxes is None or self.boxes == (item.box, item.coupling))
            and (self.direction is None or self.direction == item.direction)
            and (self.stroke is None or self.stroke == item.stroke)
            and (self.frets is None or item.fret in self.frets)
        )


def nearest(word: str, words: list[str]) -> str:
    """A hint that ends a message: the nearest valid word, or nothing."""
    found = get_close_matches(word.lower(), words, n=1, cutoff=0.5)
    return f"; did you mean {found[0]}?" if found else ""


def _read_routine(text: str, routines: Routines) -> tuple[Routine, str]:
    """The routine that a pattern names, and the rest of it."""
    name, slash, rest = text.rpartition(SLASH)
    if not slash or name == FIRST_NAME:
        return routines[""], rest
    if name not in routines or not rest:
        known = [found.name for found in routines.values()]
        msg = f"no routine {name!r}: upneck routines lists them{nearest(name, known)}"
        raise AddressError(msg)
    return routines[name], rest


def _read_boxes(text: str, routine: Routine) -> tuple[int, bool] | None:
    if text == ANY:
        return None
    numbers = text.split("+")
    for number in numbers:
        if number not in {str(box) for box in routine.boxes}:
            couplings = [f"{box}+{routine.next_box(box)}" for box in routine.boxes]
            msg = (
                f"no box {number!r}: boxes are 1 to {len(routine.boxes)}, couplings "
                f"{', '.join(couplings[:-1])} and {couplings[-1]}"
            )
            raise AddressError(msg)
    box = int(numbers[0])
    if len(numbers) == 1:
        return box, False
    if len(numbers) != 2 or int(numbers[1]) != routine.next_box(box):  # noqa: PLR2004
        msg = (
            f"no coupling {text}: a box is coupled with the next higher one, "
            f"here {box}+{routine.next_box(box)}"
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


def parse_pattern(text: str, routines: Routines = INSIDE) -> Pattern:
    """Read a pattern; an address is the pattern that leaves nothing out.

    Raises:
        AddressError: A part is missing its value or can't be read.

    Example:
        >>> parse_pattern("4:asc:up:5-6").frets == {5, 6}
        True
    """
    text, blank, behind = text.strip().lower().partition(" ")
    key = parse_key(behind) if blank else None
    if not text:
        msg = f"an empty pattern names nothing: write {FORM}, or leave out trailing parts"
        raise AddressError(msg)
    routine, rest = _read_routine(text, routines)
    parts = rest.split(":")
    if len(parts) > PARTS:
        msg = f"{text!r} has {len(parts)} parts: an address has {PARTS}: {FORM}"
        raise AddressError(msg)
    if not all(parts):
        msg = f"{text!r} has an empty part: put any for a part that doesn't matter"
        raise AddressError(msg)
    parts += [ANY] * (PARTS - len(parts))
    if is_key(parts[3]) and key is None:
        key, parts[3] = parse_key(parts[3]), ANY
    return Pattern(
        text=f"{text} {behind}".strip(),
        routine=routine,
        boxes=_read_boxes(parts[0], routine),
        direction=_read_word(parts[1], Direction, "direction"),
        stroke=_read_word(parts[2], Stroke, "stroke"),
        frets=None if parts[3] == ANY else parse_frets(parts[3]),
        key=key,
    )


def parse_address(text: str, routines: Routines = INSIDE) -> Item:
    """Read an address, the inverse of `Item.address`.

    Raises:
        AddressError: It can't be read, or names more than one item.

    Example:
        >>> parse_address("5+1:desc:up:2").address
        '5+1:desc:up:2'
        >>> parse_address("major3/7+1:desc:up:2").routine.name
        'major3'
    """
    name, _, _ = text.rpartition(SLASH)
    routine = routines.get("" if name.lower() in {"", FIRST_NAME} else name.lower())
    return _address(text, routine)


@lru_cache(maxsize=8192)
def _address(text: str, routine: Routine | None) -> Item:
    """An address of a routine; of one that isn't known it raises what a pattern does."""
    known = INSIDE if routine is None else {"": INSIDE[""], routine.key: routine}
    pattern = parse_pattern(text, known)
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
    box, coupling = pattern.boxes
    return Item(box, coupling, pattern.direction, pattern.stroke, fret, pattern.routine)


def parse_item(neck: Neck, text: str, routines: Routines = INSIDE) -> Item:
    """Read the address of an item that the neck has.

    Where a key stands for the fret, it is the place of the box nearest to the middle of the neck;
    then direction and stroke may be left out, for those that a trip begins with.

    Raises:
        AddressError: It can't be read, or the neck has no position for it.
    """
    text = text.strip()
    if " " not in text and not is_key(text.rpartition(":")[2]):
        return check_on_neck(neck, parse_address(text, routines))
    pattern = parse_pattern(text, routines)
    if pattern.boxes is None or pattern.frets is not None or pattern.key is None:
        msg = f"{text!r} names more than one item: a box and a key name one, such as 2 Am"
        raise AddressError(msg)
    box, coupling = pattern.boxes
    direction = pattern.direction or Direction.ASC
    stroke = pattern.stroke or pattern.routine.strokes[0]
    item = Item(box, coupling, direction, stroke, 0, pattern.routine)
    fret = home_fret(neck, item, pattern.key)
    if fret is None:
        msg = f"{text!r} has no position on this neck of {neck.frets} frets"
        raise AddressError(msg)
    return item._replace(fret=fret)


def matching(neck: Neck, pattern: Pattern) -> tuple[Item, ...]:
    """The items of a neck that belong to a pattern, in the order of the catalogue.

    Raises:
        AddressError: The neck has no position for any of them.
    """
    check_boxes(neck, pattern.routine)
    found = tuple(
        item
        for item in catalogue(neck, pattern.routine)
        if pattern.fits(item)
        and (pattern.key is None or item.fret in frets_in_key(neck, item, pattern.key))
    )
    if not found:
        where = ""
        if pattern.boxes is not None:
            box, coupling = pattern.boxes
            places = positions(neck, box, coupling=coupling, routine=pattern.routine)
            where = f"; it lies at frets {places.start} to {places.stop - 1}" if places else ""
        msg = f"{pattern.text!r} has no position on this neck of {neck.frets} frets{where}"
        raise AddressError(msg)
    return found
