"""Events: what they are, their ids, and the rows they become."""

import os
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routine import Direction, Routine, Stroke
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.plan.settings import FLOOR_OF
from scheduler.player.facts import (
    Fact,
    Fault,
    FloorChanged,
    Pass,
    PlaysClean,
    Reset,
    RoundStarted,
    RoutineBegun,
    Took,
)
from scheduler.player.moments import Moment


class SettingChanged(NamedTuple):
    """A setting got a value, in the words of `plan.settings`."""

    id: str
    moment: Moment
    name: str
    value: str


class Withdrawal(NamedTuple):
    """An event is taken back for good, by another in the same entry or by an older version."""

    id: str
    moment: Moment
    target: str


class PlayerKnown(NamedTuple):
    """Whose record this is: the event's id is the player's."""

    id: str
    moment: Moment


class FaultSaid(NamedTuple):
    """What was sloppy about a pass, said after it was recorded."""

    id: str
    moment: Moment
    target: str
    fault: Fault


class Correction(NamedTuple):
    """An event was dated by a wrong clock: its instant (UTC, ms) is another one."""

    id: str
    moment: Moment
    target: str
    moved_ms: int


class Undo(NamedTuple):
    """All events of an entry are taken back, or brought back again."""

    id: str
    moment: Moment
    target: str
    redone: bool


Event = Fact | SettingChanged | Withdrawal | PlayerKnown | FaultSaid | Correction | Undo
Row = dict[str, Any]


def uuid7(unix_ms: int, random_12: int, random_62: int) -> str:
    """A UUID of version 7: 48 bits of time, 12 and 62 bits that are random or count.

    Source:
        RFC 9562, section 5.7.

    Example:
        >>> uuid7(0x017F22E279B0, 0xCC3, 0x18C4DC0C0C07398F)
        '017f22e2-79b0-7cc3-98c4-dc0c0c07398f'
    """
    number = unix_ms << 80 | 7 << 76 | random_12 << 64 | 0b10 << 62 | random_62
    text = f"{number:032x}"
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"


def unix_ms_of(event_id: str) -> int:
    """The time in a UUID of version 7, in milliseconds since 1970.

    Example:
        >>> unix_ms_of("017f22e2-79b0-7cc3-98c4-dc0c0c07398f") == 0x017F22E279B0
        True
    """
    return int(event_id[:13].replace("-", ""), 16)


class EventIds:
    """Ids that sort in the order in which they were given out (RFC 9562, section 6.2, method 1)."""

    def __init__(self, unix_ms: int, after: str = "") -> None:
        """Begin at a time, but after an id given out before, even if the clock went back."""
        before_ms = unix_ms_of(after) if after else 0
        if before_ms >= unix_ms:
            self._ms, self._counter = before_ms, int(after[15:18], 16) + 1
        else:
            # Half the counter's range is left free, so that a batch seldom runs over.
            self._ms, self._counter = unix_ms, int.from_bytes(os.urandom(2)) & 0x7FF

    def next(self) -> str:
        """The next id."""
        if self._counter > 0xFFF:  # noqa: PLR2004
            self._ms, self._counter = self._ms + 1, 0
        random_62 = int.from_bytes(os.urandom(8)) >> 2
        made = uuid7(self._ms, self._counter, random_62)
        self._counter += 1
        return made


def item_row(item: Item) -> Row:
    """The columns of an item; the coupled box stands for a coupling, 0 for a single."""
    return {
        "box": item.box,
        "coupling": item.routine.next_box(item.box) if item.coupling else 0,
        "direction": str(item.direction),
        "stroke": str(item.stroke),
        "fret": item.fret,
        "routine": item.routine.key,
    }


def routine_of(key: str, routines: Routines) -> Routine:
    """The routine that a record names by its key.

    Raises:
        ValueError: It isn't known.
    """
    found = routines.get(key)
    if found is None:
        msg = f"no routine {key!r}"
        raise ValueError(msg)
    return found


def item_from(columns: Sequence[Any], routines: Routines = INSIDE) -> Item:
    """An item from its columns, in their order, the inverse of `item_row`.

    Raises:
        ValueError: There is no such direction, stroke or routine.
    """
    box, coupling, direction, stroke, fret, key = columns
    return _item(box, coupling, direction, stroke, fret, routine_of(key, routines))


@lru_cache(maxsize=8192)
def _item(
    box: int, coupling: int, direction: str, stroke: str, fret: int, routine: Routine
) -> Item:
    return Item(box, bool(coupling), Direction(direction), Stroke(stroke), fret, routine)


def _pass_row(played: Pass) -> Row:
    return {
        **item_row(played.item),
        "notes": played.notes,
        "tempo": float(played.tempo),
        "notes_per_beat": played.notes_per_beat,
        "clean": int(played.clean),
        "errors": played.errors,
        "fault": None if played.fault is None else str(played.fault),
        "note": played.note,
    }


def _round_row(started: RoundStarted) -> Row:
    only = " ".join(item.address for item in started.only)
    return {"number": started.number, "items": only, "routine": started.routine.key}


ROWS: dict[type, tuple[str, Callable[[Any], Row]]] = {
    Pass: ("pass", _pass_row),
    Reset: ("reset", lambda event: item_row(event.item)),
    RoundStarted: ("round", _round_row),
    SettingChanged: ("setting", lambda event: {"name": event.name, "value": event.value}),
    Withdrawal: ("withdrawal", lambda event: {"target": event.target}),
    PlayerKnown: ("player", lambda _: {}),
    FaultSaid: ("fault", lambda event: {"target": event.target, "fault": str(event.fault)}),
    Correction: (
        "correction", lambda event: {"target": event.target, "moved_ms": event.moved_ms}
    ),
    Undo: ("undo", lambda event: {"target": event.target, "redone": int(event.redone)}),
}  # fmt: skip
"""The kind of each event, and the columns of that kind. A change of the floor tempo is recorded as
a setting."""


def row_of(event: Event, entry: str) -> Row:
    """An event as one row: what all events have, and the columns of its kind."""
    kind, own = ROWS[type(event)]
    return {
        "id": event.id, "kind": kind, "at_ms": event.moment.utc_ms,
        "offset_minutes": event.moment.offset_minutes, "entry": entry, **own(event),
    }  # fmt: skip


def passes_from(rows: Iterable[tuple[Any, ...]], routines: Routines = INSIDE) -> Iterable[Pass]:
    """Passes from rows of id, time, offset and the columns of a pass."""
    for (
        event_id, at_ms, offset, *columns,
        notes, tempo, notes_per_beat, clean, errors, fault, note,
    ) in rows:  # fmt: skip
        yield Pass(
            event_id,
            Moment(at_ms, offset),
            item_from(columns, routines),
            notes,
            BeatsPerMinute(tempo),
            notes_per_beat,
            bool(clean),
            errors,
            None if fault is None else Fault(fault),
            note,
        )


def resets_from(rows: Iterable[tuple[Any, ...]], routines: Routines = INSIDE) -> Iterable[Reset]:
    """Resets from rows of id, time, offset and the columns of an item."""
    for event_id, at_ms, offset, *columns in rows:
        yield Reset(event_id, Moment(at_ms, offset), item_from(columns, routines))


TOOK = "took"
"""Kept like a setting, though it is only what was said of one day."""


def facts_of_settings(
    rows: Iterable[tuple[Any, ...]], routines: Routines = INSIDE
) -> Iterable[FloorChanged | RoutineBegun | PlaysClean | Took]:
    """What settings say of the round and the player, from rows of id, time, offset, name, value."""
    for event_id, at_ms, offset, name, value in rows:
        moment = Moment(at_ms, offset)
        if name.startswith(FLOOR_OF):
            routine = routine_of(name.removeprefix(FLOOR_OF), routines)
            tempo = BeatsPerMinute(float(value))
            yield FloorChanged(event_id, moment, floor_tempo=tempo, routine=routine)
        match name:
            case "floor_tempo":
                yield FloorChanged(event_id, moment, floor_tempo=BeatsPerMinute(float(value)))
            case "notes_per_beat":
                yield FloorChanged(event_id, moment, notes_per_beat=int(value))
            case "both_directions":
                yield FloorChanged(event_id, moment, both_directions=value == "yes")
            case "routine":
                yield RoutineBegun(event_id, moment, routine_of(value, routines))
            case "plays_clean" if value:
                yield PlaysClean(event_id, moment, BeatsPerMinute(float(value)))
            case "took":
                yield Took(event_id, moment, float(value))


def rounds_from(
    rows: Iterable[tuple[Any, ...]], routines: Routines = INSIDE
) -> Iterable[RoundStarted]:
    """Rounds started, from rows of id, time, offset, number, items, routine."""
    for event_id, at_ms, offset, number, items, routine in rows:
        only = tuple(parse_address(word, routines) for word in items.split())
        found = routine_of(routine, routines)
        yield RoundStarted(event_id, Moment(at_ms, offset), number, only, found)


def told_apart(
    rows: Iterable[tuple[Any, ...]],
) -> tuple[set[str], list[tuple[Any, ...]]]:
    """Tell apart the beginnings of rounds that count from those of rounds that had begun.

    A round may have begun on another machine; the floor tempo of the later beginning doesn't count
    either. Ids of the entries that are in vain, and the rows of the others.

    Args:
        rows: Rows as `rounds_from` takes them, each with its entry.
    """
    in_vain: set[str] = set()
    begun: list[tuple[Any, ...]] = []
    numbers: dict[str, int] = {}
    for *columns, entry in sorted(rows, key=lambda row: (row[1], row[0])):
        number, routine = columns[3], columns[5]
        if number <= numbers.get(routine, 1):
            in_vain.add(entry)
        else:
            numbers[routine] = number
            begun.append(tuple(columns))
    return in_vain, begun
