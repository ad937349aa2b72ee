"""An assignment: what a teacher hands out, and what of the round comes first until its day."""

from collections.abc import Container, Iterable, Sequence
from contextlib import suppress
from datetime import date
from typing import NamedTuple

from scheduler.errors import AddressError, NeckError, SettingError
from scheduler.guitar.items import Item
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import Pattern, matching, parse_pattern
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.player.moments import FIRST_YEAR, LAST_YEAR

LONGEST_WORDS, LONGEST_BY = 200, 40
ASSIGNED = ("assigned", "assigned_until", "assigned_by", "assigned_words")
"""The settings that an assignment is kept as: they are only ever changed together."""


class Assignment(NamedTuple):
    """What a teacher wants played.

    Attributes:
        places: Patterns of items of one routine, such as `1` or `2+3:asc`; none for all of it.
        until: The last day on which it counts.
        by: Who says so; "" where nobody is named.
        words: A sentence to the player, or "".
    """

    places: tuple[str, ...]
    until: date
    by: str = ""
    words: str = ""

    def settings(self) -> dict[str, object]:
        """The values of the settings that it is kept as."""
        values = (" ".join(self.places), self.until.isoformat(), self.by, self.words)
        return dict(zip(ASSIGNED, values, strict=True))

    def patterns(self, routines: Routines = INSIDE) -> list[Pattern]:
        """The places, read.

        Raises:
            AddressError: One can't be read, or is of a routine that isn't known.
        """
        return [parse_pattern(place, routines) for place in self.places]


class Handout(NamedTuple):
    """What a teacher hands out.

    Attributes:
        assignment: What comes first, until when, by whom, and the sentence.
        routine: The routine that its places are of.
        settings: Settings that count for whoever takes it, in words.
        to_begin_with: Settings for somebody who hasn't played yet, in words.
    """

    assignment: Assignment
    routine: Routine
    settings: dict[str, str]
    to_begin_with: dict[str, str]

    def patterns(self) -> list[Pattern]:
        """The places, read."""
        return self.assignment.patterns({**INSIDE, self.routine.key: self.routine})


def assignment_of(places: str, until: str, by: str, words: str) -> Assignment | None:
    """The inverse of `Assignment.settings`; None where nothing was ever assigned."""
    if not until:
        return None
    return Assignment(tuple(places.split()), date.fromisoformat(until), by, words)


def items_of(neck: Neck, patterns: Iterable[Pattern], order: Sequence[Item]) -> tuple[Item, ...]:
    """The items of a round that belong to some patterns, in its order.

    A pattern for which the neck has no position names nothing.
    """
    named: set[Item] = set()
    for pattern in patterns:
        with suppress(AddressError, NeckError):
            named.update(matching(neck, pattern))
    return tuple(item for item in order if item in named)


def first_of_all(order: Sequence[Item], first: Container[Item]) -> tuple[Item, ...]:
    """A round's items with some of them first, otherwise in its order."""
    return tuple(sorted(order, key=lambda item: item not in first))


def trips_first(trips: Sequence[Trip], first: Container[Item]) -> tuple[Trip, ...]:
    """A round's trips with those first of which anything comes first."""
    return tuple(sorted(trips, key=lambda trip: not any(item in first for item in trip.items)))


def read_until(text: str) -> str:
    """Read the day of an assignment: ISO 8601, or "" for none.

    Raises:
        SettingError: It is no day.
    """
    try:
        day = date.fromisoformat(text) if text else None
    except ValueError as problem:
        msg = f"no day {text[:40]!r}: write it as 2026-11-25"
        raise SettingError(msg) from problem
    if day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        msg = f"the year {day.year} is out of range: {FIRST_YEAR} to {LAST_YEAR}"
        raise SettingError(msg)
    return "" if day is None else day.isoformat()


def read_line(text: str, what: str, longest: int) -> str:
    """Read somebody's own words: one line, with single blanks.

    Raises:
        SettingError: It is longer than that, or holds what no line shows.
    """
    line = " ".join(text.split())
    if len(line) > longest or not line.isprintable():
        msg = f"{what} is one line of up to {longest} characters, not {len(line)}: {line[:40]!r}"
        raise SettingError(msg)
    return line


def read_places(text: str) -> str:
    """Read places: patterns with blanks between; their routines are checked where it is known.

    Raises:
        SettingError: They are longer than the ledger keeps.
    """
    return read_line(text, "what is assigned", LONGEST_WORDS)
