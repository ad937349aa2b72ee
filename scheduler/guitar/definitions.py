"""A player's own routine: read from a table of words and numbers, kept as one line of text."""

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import TypeVar

from scheduler.errors import RoutineError
from scheduler.guitar.keys import is_key
from scheduler.guitar.routine import FIRST_NAME, PART_ORDER, Part, Routine, Stroke, routine
from scheduler.guitar.routines import INSIDE

MOST_TITLE = 60
NAME = re.compile(r"[a-z][a-z0-9]{1,19}")
RESERVED = frozenset({"any", "all", "none", FIRST_NAME, *INSIDE})
PART_WORDS = dict(zip(("singles", "bottom", "top"), PART_ORDER, strict=True))
FIELDS = (
    "name", "title", "scale", "notes-a-string", "group", "step", "times-round", "parts",
    "first-stroke",
)  # fmt: skip
BETWEEN = "; "

_Each = TypeVar("_Each", int, str)


def read_table(table: Mapping[str, object]) -> Routine:
    """The routine that a table defines, such as a TOML file holds.

    Args:
        table: `name`, `scale`, `notes-a-string`, `group` and `step`; `title`, `times-round`,
            `parts` and `first-stroke` may be left out.

    Raises:
        RoutineError: A field is missing, unknown or of the wrong kind, or nobody can play it.

    Example:
        >>> scale = [0, 2, 3, 5, 7, 9, 10]
        >>> read_table({"name": "dorian3", "scale": scale, "notes-a-string": 3,
        ...             "group": 6, "step": 3}).boxes
        range(1, 8)
    """
    for field in table:
        if field not in FIELDS:
            near = get_close_matches(field, FIELDS, n=1)
            hint = f"; did you mean {near[0]}?" if near else f": it has {', '.join(FIELDS)}"
            msg = f"a routine has no {field[:MOST_TITLE]!r}{hint}"
            raise RoutineError(msg)
    name = check_name(_text(table, "name"))
    title = _text(table, "title", name)
    if len(title) > MOST_TITLE or not title.isprintable() or BETWEEN.strip() in title:
        msg = f"a title has up to {MOST_TITLE} characters and no semicolon"
        raise RoutineError(msg)
    down_first = _first_stroke(_text(table, "first-stroke", str(Stroke.DOWN)))
    strokes = (Stroke.DOWN, Stroke.UP) if down_first else (Stroke.UP, Stroke.DOWN)
    parts = tuple(_part(word) for word in _list(table, "parts", str, list(PART_WORDS)))
    return routine(
        name, title, tuple(_list(table, "scale", int)),
        _number(table, "notes-a-string"), _number(table, "group"), _number(table, "step"),
        _number(table, "times-round", 2), parts, strokes,
    )  # fmt: skip


def check_name(name: str) -> str:
    """Give a name back if an own routine may bear it.

    Raises:
        RoutineError: It may not.
    """
    if not NAME.fullmatch(name):
        told = name[:MOST_TITLE]
        msg = f"a routine's name has 2 to 20 small letters and digits, a letter first, not {told!r}"
        raise RoutineError(msg)
    if is_key(name):
        msg = f"{name} is a key: give the routine another name"
        raise RoutineError(msg)
    if name in RESERVED:
        raise RoutineError(in_use(name))
    return name


def in_use(name: str) -> str:
    """What is told of a name that another routine bears."""
    return f"the name {name} is in use: give the routine another one"


def _text(table: Mapping[str, object], field: str, default: str | None = None) -> str:
    value = table.get(field, default)
    if not isinstance(value, str) or not value.strip():
        msg = f"{field} is a text, not {value!r}" if field in table else f"{field} is missing"
        raise RoutineError(msg)
    return value


def _number(table: Mapping[str, object], field: str, default: int | None = None) -> int:
    value = table.get(field, default)
    if not isinstance(value, int) or isinstance(value, bool):
        msg = f"{field} is a number, not {value!r}" if field in table else f"{field} is missing"
        raise RoutineError(msg)
    return value


def _list(
    table: Mapping[str, object], field: str, kind: type[_Each], default: Sequence[_Each] = ()
) -> list[_Each]:
    value = table.get(field, list(default))
    if not isinstance(value, list) or not value or any(type(each) is not kind for each in value):
        words = {int: "numbers", str: "words"}[kind]
        msg = f"{field} is a list of {words}" if field in table else f"{field} is missing"
        raise RoutineError(msg)
    return value


def _part(word: str) -> Part:
    if word not in PART_WORDS:
        msg = f"parts are {', '.join(PART_WORDS)}, not {word!r}"
        raise RoutineError(msg)
    return PART_WORDS[word]


def _first_stroke(word: str) -> bool:
    if word not in set(Stroke):
        msg = f"first-stroke is down or up, the one of the way up the neck, not {word!r}"
        raise RoutineError(msg)
    return word == Stroke.DOWN


def in_words(own: Routine) -> str:
    """A routine's definition, without its name, as a record keeps it; `from_words` reads it."""
    words = {part: word for word, part in PART_WORDS.items()}
    return BETWEEN.join([
        " ".join(map(str, own.scale)), str(own.notes_a_string), str(own.group), str(own.step),
        str(own.times_round), " ".join(words[part] for part in own.parts), str(own.strokes[0]),
        own.title,
    ])  # fmt: skip


def from_words(name: str, text: str) -> Routine:
    """The routine of a definition that a record keeps.

    Raises:
        RoutineError: It is none.
    """
    try:
        scale, notes, group, step, times, parts, stroke, title = text.split(BETWEEN, 7)
        table: dict[str, object] = {
            "name": name, "title": title, "scale": [int(word) for word in scale.split()],
            "notes-a-string": int(notes), "group": int(group), "step": int(step),
            "times-round": int(times), "parts": parts.split(), "first-stroke": stroke,
        }  # fmt: skip
    except ValueError as problem:
        msg = f"the routine {name} can't be read: {text[:60]!r}"
        raise RoutineError(msg) from problem
    return read_table(table)
