"""Passes that a log and a ledger tell alike are the same pass, and count once.

A log has no ids. A pass that comes from one gets an id that depends on what the line says and on
how often the log has said it, so that the same log makes the same events everywhere. Where the
ledger in which the pass was recorded comes together with such a copy, the copy is withdrawn.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from functools import lru_cache
from hashlib import blake2b

from scheduler.guitar.sequence import notes_in
from scheduler.ledger.events import item_row, uuid7
from scheduler.ledger.events_table import Row
from scheduler.ledger.logfile import COLUMNS, LogLine, told
from scheduler.player.facts import Fault, Pass

Told = tuple[str, ...]
DIGEST_BITS = 62
FAULT = COLUMNS.index("fault")


@lru_cache(maxsize=4096)
def _digest(said: Told, occurrence: int) -> int:
    content = repr((said, occurrence))
    return int.from_bytes(blake2b(content.encode(), digest_size=8).digest()) >> 2


def _but_fault(said: Told) -> Told:
    """What is told of a pass but its fault, which may have been said after the log was written."""
    return said[:FAULT] + said[FAULT + 1 :]


def rows_of_log(
    lines: Sequence[LogLine], known: Iterable[Pass], strings: int
) -> tuple[list[Row], int]:
    """The events of a log's lines that the ledger hasn't, and how many it has already.

    Args:
        lines: The lines.
        known: The passes that stand in the ledger.
        strings: The strings of the neck: they decide the notes of a pass.
    """
    have = Counter(_but_fault(told(played)) for played in known)
    seen: Counter[Told] = Counter()
    places: Counter[int] = Counter()
    rows = []
    for line in lines:
        said = _but_fault(told(line))
        seen[said] += 1
        places[line.moment.utc_ms] += 1
        if seen[said] > have[said]:
            rows.append(_row_of(line, seen[said], places[line.moment.utc_ms] - 1, strings))
    return rows, len(lines) - len(rows)


def _row_of(line: LogLine, occurrence: int, place: int, strings: int) -> Row:
    event_id = uuid7(line.moment.utc_ms, place & 0xFFF, _digest(told(line), occurrence))
    return {
        "id": event_id, "kind": "pass", "at_ms": line.moment.utc_ms,
        "offset_minutes": line.moment.offset_minutes, "entry": event_id,
        **item_row(line.item), "notes": notes_in(strings, coupling=line.item.coupling),
        "tempo": float(line.tempo), "notes_per_beat": line.notes_per_beat,
        "clean": int(line.clean), "errors": line.errors,
        "fault": None if line.fault is None else str(line.fault), "note": line.note,
    }  # fmt: skip


def copies_among(passes: Iterable[Pass]) -> list[str]:
    """The ids of passes from logs that are there as they were recorded, too.

    The second copy of two passes told alike goes when the second recorded one is there, and so
    does one of two copies that are the same of several told alike.

    Args:
        passes: All passes that stand, of which none is a copy of another.
    """
    by_words: defaultdict[Told, list[str]] = defaultdict(list)
    for played in passes:
        by_words[_but_fault(told(played))].append(played.id)
    found = []
    for said, ids in by_words.items():
        if len(ids) > 1:
            found += _copies(said, ids)
    return found


def _copies(said: Told, ids: Sequence[str]) -> list[str]:
    occurrences = {
        _digest((*said[:FAULT], fault, *said[FAULT:]), number): number
        for number in range(1, len(ids) + 1)
        for fault in ("", *map(str, Fault))
    }
    numbers = {event_id: occurrences.get(_random_part(event_id)) for event_id in ids}
    recorded = sum(number is None for number in numbers.values())
    found, kept = [], set()
    for event_id, number in sorted(numbers.items()):
        if number is None:
            continue
        # Two logs may have told it at other places among what was played at that instant.
        if number <= recorded or number in kept:
            found.append(event_id)
        kept.add(number)
    return found


def _random_part(event_id: str) -> int:
    return int(event_id.replace("-", ""), 16) & ((1 << DIGEST_BITS) - 1)
