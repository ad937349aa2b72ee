"""Records in and out: JSON that holds every event, one a line.

Types are exact, as they are written; what an event says is checked by `ledger.intake`.
"""

import json
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, NamedTuple

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.ledger.definitions import definitions_told
from scheduler.ledger.events import item_from, item_row
from scheduler.ledger.events_table import ITEM_COLUMNS, OWN_COLUMNS, Row, known_events
from scheduler.ledger.logfile import Problem
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fault
from scheduler.player.moments import Moment, parse_moment

FORMAT, VERSION = "upneck record", 3
READABLE = (1, 2, 3)
"""Version 1 knew passes, resets, rounds, settings and withdrawals only, version 2 one routine."""

UUID_7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
"""Source: RFC 9562, sections 4.1, 4.2 and 5.7."""

ITEMS_AT_HAND = 1024
TOLD_AS_THEY_ARE = {
    kind: [column for column in columns if "box" not in columns or column not in ITEM_COLUMNS]
    for kind, columns in OWN_COLUMNS.items()
}
"""The columns of each kind that JSON tells without another word."""

IDS = {"id", "entry", "target"}
FLAGS = {"clean", "redone"}
NOTHING = type(None)
TYPES: dict[str, tuple[type, ...]] = {
    **dict.fromkeys((*IDS, "at", "item", "note", "items", "name", "value", "routine"), (str,)),
    **dict.fromkeys(FLAGS, (bool,)),
    **dict.fromkeys(("notes", "notes_per_beat", "number", "moved_ms"), (int,)),
    "tempo": (int, float), "errors": (int, NOTHING), "fault": (str, NOTHING),
}  # fmt: skip
WORDS = {str: "a text", bool: "true or false", int: "a whole number", float: "a number",
         NOTHING: "null"}  # fmt: skip


@dataclass(slots=True)
class Reading:
    """What a file holds: rows of events, what is wrong with it, passes that are known already."""

    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    known: int = 0


def record_lines(
    rows: Iterable[Row], routines: Routines = INSIDE, *, notes: bool = True
) -> Iterator[str]:
    """All events as JSON, one a line; a record of any length takes no more memory than one.

    Args:
        rows: The events.
        routines: The routines that they may name.
        notes: Whether what the player noted of passes is told.
    """
    encode = json.JSONEncoder(ensure_ascii=False).encode
    yield f'{{"format": "{FORMAT}", "version": {VERSION}, "events": [\n'
    before = ""
    for row in rows:
        told = _written(row, routines)
        if not notes and "note" in told:
            told["note"] = ""
        yield before + encode(told)
        before = ",\n"
    yield "\n]}\n"


def _written(row: Row, routines: Routines) -> Row:
    """An event as JSON tells it: the time in ISO 8601, the item as its address."""
    moment = Moment(row["at_ms"], row["offset_minutes"])
    told = {
        "id": row["id"], "kind": row["kind"], "at": moment.isoformat(), "entry": row["entry"],
    }  # fmt: skip
    if "box" in row:
        told["item"] = _address(item_from([row[column] for column in ITEM_COLUMNS], routines))
    for column in TOLD_AS_THEY_ARE[row["kind"]]:
        told[column] = row[column]
    return told | {flag: bool(told[flag]) for flag in FLAGS & told.keys()}


@lru_cache(maxsize=ITEMS_AT_HAND)
def _address(item: Item) -> str:
    """The address of an item; read back, for a damaged one isn't told."""
    return parse_address(item.address, {**INSIDE, item.routine.key: item.routine}).address


def player_events(ledger: Ledger) -> list[Row]:
    """What a record says of whose it is, as JSON tells it.

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.reading():
        known = known_events(ledger.db.conn, ledger.player_ids())
    return [_written(known[event_id], INSIDE) for event_id in sorted(known)]


def read_record(text: str, routines: Routines = INSIDE) -> Reading:
    """Read JSON as `record_lines` writes it; the number of an event stands for its line.

    Routines that the record itself defines are known beside those given.
    """
    reading = Reading()
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        reading.problems.append(Problem(1, "the file is damaged, or no Upneck record"))
        return reading
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        reading.problems.append(Problem(1, f'it isn\'t an "{FORMAT}"'))
        return reading
    version, events = whole.get("version"), whole.get("events")
    if type(version) is not int or version not in READABLE or not isinstance(events, list):
        needed = " or ".join(map(str, READABLE))
        reading.problems.append(Problem(1, f"version {needed} with a list of events is needed"))
        return reading
    known = definitions_told(events).beside(routines)
    for number, told in enumerate(events, start=2):
        try:
            reading.rows.append(_read_event(told, known))
        except (SchedulerError, ValueError, TypeError, KeyError, OverflowError) as problem:
            reason = f"{problem} is missing" if isinstance(problem, KeyError) else str(problem)
            reading.problems.append(Problem(number, reason))
    return reading


class Origin(NamedTuple):
    """Whose a record is, by what it says itself.

    Attributes:
        player_ids: The ids under which it knows its player.
        passes: How many passes it holds.
    """

    player_ids: frozenset[str]
    passes: int


def origin_of(told: object) -> Origin | None:
    """Whose a record is, by what it says; None where JSON is no record."""
    if not isinstance(told, dict) or told.get("format") != FORMAT:
        return None
    events = told.get("events")
    known = [each for each in (events if isinstance(events, list) else ()) if type(each) is dict]
    ids = frozenset(str(each.get("id")) for each in known if each.get("kind") == "player")
    return Origin(ids, sum(each.get("kind") == "pass" for each in known))


def _read_event(told: Any, routines: Routines) -> Row:  # noqa: ANN401
    if not isinstance(told, dict) or told.get("kind") not in OWN_COLUMNS:
        msg = f"no event: {str(told)[:60]!r}"
        raise ValueError(msg)
    kind = told["kind"]
    if kind == "round":
        told = {"routine": "", **told}
    for column in ("id", "at", "entry", *TOLD_AS_THEY_ARE[kind]):
        _check_type(column, told[column])
    own = {column: told[column] for column in TOLD_AS_THEY_ARE[kind]}
    if "box" in OWN_COLUMNS[kind]:
        _check_type("item", told["item"])
        own |= item_row(parse_address(told["item"], routines))
    own |= {flag: int(own[flag]) for flag in FLAGS & own.keys()}
    if "tempo" in own:
        own["tempo"] = float(own["tempo"])
    if own.get("fault") is not None:
        own["fault"] = str(Fault(own["fault"]))
    moment = parse_moment(told["at"])
    return {
        "id": told["id"], "kind": kind, "at_ms": moment.utc_ms,
        "offset_minutes": moment.offset_minutes, "entry": told["entry"], **own,
    }  # fmt: skip


def _check_type(column: str, value: object) -> None:
    if type(value) not in TYPES[column]:
        words = " or ".join(WORDS[kind] for kind in TYPES[column])
        msg = f"{column} is {words}, not {str(value)[:60]!r}"
        raise TypeError(msg)
    if isinstance(value, str):
        # Half of a surrogate pair is told by JSON's escapes, but is no text.
        value.encode()
    if column in IDS and not UUID_7.fullmatch(str(value)):
        msg = f"{column} is no id (a UUID of version 7): {str(value)[:60]!r}"
        raise ValueError(msg)
