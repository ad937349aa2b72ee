"""The record in and out: JSON holds every event, CSV the passes (`ledger.logfile`).

Import is all or nothing. Events are known by their ids; a log without ids gets ids that depend on
its content, so that importing it twice changes nothing.
"""

import csv
import io
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import blake2b
from typing import Any

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.sequence import notes_in
from scheduler.ledger.events import item_row, uuid7
from scheduler.ledger.events_table import EVENT_COLUMNS, OWN_COLUMNS, Row
from scheduler.ledger.logfile import COLUMNS, LogLine, Problem, parse_log
from scheduler.player.facts import Pass
from scheduler.player.moments import Moment, moment_of

FORMAT, VERSION = "upneck record", 1
FORMULA_STARTS = "=+-@"
GUARD = "'"
ITEM_COLUMNS = ("box", "coupling", "direction", "stroke", "fret")


@dataclass(slots=True)
class Reading:
    """What a file holds: rows of events, and what is wrong with it."""

    rows: list[Row] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


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


def log_text(passes: Iterable[Pass]) -> str:
    """Passes as a log file (RFC 4180)."""
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for played in passes:
        writer.writerow(
            (
                played.moment.isoformat(), played.item.address, f"{played.tempo:.10g}",
                played.notes_per_beat, int(played.clean),
                "" if played.errors is None else played.errors, played.fault or "",
                guarded(played.note),
            )
        )  # fmt: skip
    return text.getvalue()


def record_text(rows: Iterable[Row]) -> str:
    """All events as JSON, one a line."""
    encode = json.JSONEncoder(ensure_ascii=False).encode
    lines = ",\n".join(encode(_written(row)) for row in rows)
    return f'{{"format": "{FORMAT}", "version": {VERSION}, "events": [\n{lines}\n]}}\n'


def _written(row: Row) -> Row:
    """An event as JSON tells it: the time in ISO 8601, the item as its address."""
    moment = Moment(row["at_ms"], row["offset_minutes"])
    told = {"id": row["id"], "kind": row["kind"], "at": moment.isoformat(), "entry": row["entry"]}
    own = {column: row[column] for column in OWN_COLUMNS[row["kind"]]}
    if "box" in own:
        item = parse_address(_address(own))
        own = {"item": item.address} | {
            column: value for column, value in own.items() if column not in ITEM_COLUMNS
        }
    if "clean" in own:
        own["clean"] = bool(own["clean"])
    return told | own


def _address(own: Row) -> str:
    boxes = f"{own['box']}+{own['box'] % 5 + 1}" if own["coupling"] else str(own["box"])
    return f"{boxes}:{own['direction']}:{own['stroke']}:{own['fret']}"


def read_record(text: str) -> Reading:
    """Read JSON as `record_text` writes it; the number of an event stands for its line."""
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
    when = datetime.fromisoformat(told["at"])
    if when.tzinfo is None:
        msg = f"the time {told['at']} has no offset"
        raise ValueError(msg)
    moment = moment_of(when)
    known = dict(told)
    if "item" in known:
        known |= item_row(parse_address(known.pop("item")))
    if "clean" in known:
        known["clean"] = int(known["clean"])
    row = {
        "id": str(told["id"]), "kind": told["kind"], "at_ms": moment.utc_ms,
        "offset_minutes": moment.offset_minutes, "entry": str(told["entry"]),
    }  # fmt: skip
    row |= {column: known[column] for column in OWN_COLUMNS[told["kind"]]}
    assert set(row) >= set(EVENT_COLUMNS)  # noqa: S101
    return row


def read_log(text: str, neck: Neck, known: Sequence[Pass]) -> Reading:
    """Read a log file; passes that the ledger has already, told alike, are left out.

    Args:
        text: The file.
        neck: The neck that its items must lie on.
        known: The passes of the ledger.
    """
    lines, problems = parse_log(io.StringIO(text, newline=""), neck)
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
            reading.rows.append({"id": "", "kind": "pass"})
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
