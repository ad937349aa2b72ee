"""The record in and out: JSON holds every event, CSV the passes (`ledger.logfile`).

Import is all or nothing. Events are known by their ids; a log without ids gets ids that depend on
its content, so that importing it twice changes nothing.
"""

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from hashlib import blake2b
from typing import Any

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.sequence import notes_in
from scheduler.ledger.events import item_from, item_row, uuid7
from scheduler.ledger.events_table import EVENT_COLUMNS, OWN_COLUMNS, Row
from scheduler.ledger.logfile import COLUMNS, LogLine, Problem, parse_log
from scheduler.ledger.meaning import check_meaning
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import MS_PER_DAY, Moment, parse_moment

FORMAT, VERSION = "upneck record", 1
UUID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
FORMULA_STARTS = "=+-@"
GUARD = "'"
ITEMS_AT_HAND = 1024
ITEM_COLUMNS = ("box", "coupling", "direction", "stroke", "fret")
TOLD_AS_THEY_ARE = {
    kind: [column for column in columns if column not in ITEM_COLUMNS]
    for kind, columns in OWN_COLUMNS.items()
}
"""The columns of each kind that JSON tells without another word."""
IDS = {"id", "entry", "target"}
TEXTS = IDS | {"at", "item", "note", "items", "name", "value"}


@dataclass(slots=True)
class Reading:
    """What a file holds: rows of events, what is wrong with it, passes that are known already."""

    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    known: int = 0


def guarded(note: str) -> str:
    """A note that no spreadsheet takes for a formula; `unguarded` is the inverse.

    Example:
        >>> guarded("=1+1"), unguarded(guarded("=1+1")), guarded("fine")
        ("'=1+1", '=1+1', 'fine')
    """
    starts = note[:1]
    if starts and (starts in FORMULA_STARTS or _is_guarded(note)):
        return GUARD + note
    return note


def unguarded(note: str) -> str:
    """A note as it was before `guarded`."""
    return note[1:] if _is_guarded(note) else note


def _is_guarded(note: str) -> bool:
    return len(note) > 1 and note[0] == GUARD and note[1] in FORMULA_STARTS + GUARD


def log_lines(passes: Iterable[Pass]) -> Iterator[str]:
    """Passes as the lines of a log file (RFC 4180)."""
    writer = csv.writer(_Echo())
    yield writer.writerow(COLUMNS)
    for played in passes:
        yield writer.writerow(
            (
                played.moment.isoformat(), played.item.address, f"{played.tempo:.10g}",
                played.notes_per_beat, int(played.clean),
                "" if played.errors is None else played.errors, played.fault or "",
                guarded(played.note),
            )
        )  # fmt: skip


class _Echo:
    """What csv writes a line into: the line comes back from `writerow`."""

    def write(self, line: str) -> str:
        return line


def record_lines(rows: Iterable[Row]) -> Iterator[str]:
    """All events as JSON, one a line; a record of any length takes no more memory than one."""
    encode = json.JSONEncoder(ensure_ascii=False).encode
    yield f'{{"format": "{FORMAT}", "version": {VERSION}, "events": [\n'
    before = ""
    for row in rows:
        yield before + encode(_written(row))
        before = ",\n"
    yield "\n]}\n"


def _written(row: Row) -> Row:
    """An event as JSON tells it: the time in ISO 8601, the item as its address."""
    moment = Moment(row["at_ms"], row["offset_minutes"])
    told = {
        "id": row["id"], "kind": row["kind"], "at": moment.isoformat(), "entry": row["entry"],
    }  # fmt: skip
    if "box" in row:
        told["item"] = _address(*map(row.__getitem__, ITEM_COLUMNS))
    for column in TOLD_AS_THEY_ARE[row["kind"]]:
        told[column] = row[column]
    if "clean" in told:
        told["clean"] = bool(told["clean"])
    return told


@lru_cache(maxsize=ITEMS_AT_HAND)
def _address(box: int, coupling: int, direction: str, stroke: str, fret: int) -> str:
    """The address of an item's columns; read back, for a damaged one isn't told."""
    item = item_from(box, coupling, direction, stroke, fret)
    return parse_address(item.address).address


def read_record(text: str) -> Reading:
    """Read JSON as `record_lines` writes it; the number of an event stands for its line."""
    reading = Reading()
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError) as problem:
        reading.problems.append(Problem(1, f"no JSON: {problem}"))
        return reading
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        reading.problems.append(Problem(1, f'it isn\'t an "{FORMAT}"'))
        return reading
    if whole.get("version") != VERSION or not isinstance(whole.get("events"), list):
        reading.problems.append(Problem(1, f"version {VERSION} with a list of events is needed"))
        return reading
    for number, told in enumerate(whole["events"], start=2):
        try:
            reading.rows.append(_read_event(told))
        except (SchedulerError, ValueError, TypeError, KeyError, OverflowError) as problem:
            reason = f"{problem} is missing" if isinstance(problem, KeyError) else str(problem)
            reading.problems.append(Problem(number, reason))
    return reading


def _read_event(told: Any) -> Row:  # noqa: ANN401
    if not isinstance(told, dict) or told.get("kind") not in OWN_COLUMNS:
        msg = f"no event: {str(told)[:60]!r}"
        raise ValueError(msg)
    _check_texts(told)
    moment = parse_moment(told["at"])
    known = dict(told)
    if "item" in known:
        known |= item_row(parse_address(known.pop("item")))
    if "clean" in known:
        known["clean"] = int(known["clean"])
    if known.get("fault") is not None:
        known["fault"] = str(Fault(known["fault"]))
    row = {
        "id": told["id"], "kind": told["kind"], "at_ms": moment.utc_ms,
        "offset_minutes": moment.offset_minutes, "entry": told["entry"],
    }  # fmt: skip
    row |= {column: known[column] for column in OWN_COLUMNS[told["kind"]]}
    assert set(row) >= set(EVENT_COLUMNS)  # noqa: S101
    check_meaning(row)
    return row


def _check_texts(told: Row) -> None:
    for column in TEXTS & told.keys():
        value = told[column]
        if not isinstance(value, str):
            msg = f"{column} is no text: {str(value)[:60]}"
            raise TypeError(msg)
        # Half of a surrogate pair is told by JSON's escapes, but is no text.
        value.encode()
        if column in IDS and not UUID.fullmatch(value):
            msg = f"{column} is no id: {value[:60]!r}"
            raise ValueError(msg)


def read_log(text: str, neck: Neck, known: Iterable[Pass], now: Moment) -> Reading:
    """Read a log file; passes that the ledger has already, told alike, are left out.

    Args:
        text: The file.
        neck: The neck that its items must lie on.
        known: The passes of the ledger.
        now: The time; another clock may be ahead of it, but by no more than a day.
    """
    latest = now._replace(utc_ms=now.utc_ms + MS_PER_DAY)
    lines, problems = parse_log(io.StringIO(text, newline=""), neck, latest)
    have = Counter(_content(p.moment, p.item, p) for p in known)
    seen: Counter[tuple[Any, ...]] = Counter()
    places: Counter[int] = Counter()
    reading = Reading(problems=problems)
    for line in lines:
        told = line._replace(note=unguarded(line.note))
        content = _content(told.moment, told.item, told)
        seen[content] += 1
        places[told.moment.utc_ms] += 1
        if seen[content] > have[content]:
            place = places[told.moment.utc_ms] - 1
            reading.rows.append(_row_of(told, seen[content], place, neck))
        else:
            reading.known += 1
    return reading


def _content(moment: Moment, item: Item, told: Pass | LogLine) -> tuple[Any, ...]:
    return (
        moment, item.address, float(told.tempo), told.notes_per_beat, told.clean, told.errors,
        str(told.fault or ""), told.note,
    )  # fmt: skip


def _row_of(told: LogLine, occurrence: int, place: int, neck: Neck) -> Row:
    """A row whose id depends on what the line says, and on how often it was said before."""
    content = repr((_content(told.moment, told.item, told), occurrence))
    digest = int.from_bytes(blake2b(content.encode(), digest_size=8).digest())
    event_id = uuid7(told.moment.utc_ms, place & 0xFFF, digest >> 2)
    return {
        "id": event_id, "kind": "pass", "at_ms": told.moment.utc_ms,
        "offset_minutes": told.moment.offset_minutes, "entry": event_id,
        **item_row(told.item), "notes": notes_in(neck.strings, coupling=told.item.coupling),
        "tempo": float(told.tempo), "notes_per_beat": told.notes_per_beat,
        "clean": int(told.clean), "errors": told.errors,
        "fault": None if told.fault is None else str(told.fault), "note": told.note,
    }  # fmt: skip
