"""Passes that a log and a ledger tell alike are the same pass, and count once.

A log has no ids. A pass that comes from one gets an id that depends on what the line says and on
how often the log has said it, so that the same log makes the same events everywhere. Such a copy
counts as long as the pass that it tells of isn't there as it was recorded, or is taken back. Where
a wrong clock had dated a pass, a log may tell it with the one time or with the other.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from hashlib import blake2b
from typing import NamedTuple

from scheduler.guitar.sequence import notes_in
from scheduler.ledger.events import item_row, passes_from, uuid7
from scheduler.ledger.events_table import Row
from scheduler.ledger.logfile import COLUMNS, LogLine, told
from scheduler.ledger.record import OF_PASS, WHEN, Ledger
from scheduler.player.facts import Pass

Words = tuple[str, ...]
DIGEST_BITS = 62
USUAL_STRINGS = 6
FAULT = COLUMNS.index("fault")


@lru_cache(maxsize=4096)
def _digest(content: object) -> int:
    said = repr(content)
    return int.from_bytes(blake2b(said.encode(), digest_size=8).digest()) >> 2


def _but_fault(said: Words) -> Words:
    """What is told of a pass but its fault, which may have been said after the log was written."""
    return said[:FAULT] + said[FAULT + 1 :]


def _id_digest(said: Words, occurrence: int, notes: int, *, coupling: bool) -> int:
    """What makes the id of a line's pass: a neck of other strings has passes of other notes."""
    usual = notes == notes_in(USUAL_STRINGS, coupling=coupling)
    return _digest((said, occurrence) if usual else (said, occurrence, notes))


def rows_of_log(
    lines: Sequence[LogLine],
    known: Iterable[Pass],
    strings: int,
    dated: Mapping[str, Iterable[int]] | None = None,
) -> tuple[list[Row], int]:
    """The events of a log's lines that the ledger hasn't, and how many it has already.

    Args:
        lines: The lines.
        known: The passes that stand in the ledger.
        strings: The strings of the neck: they decide the notes of a pass.
        dated: Instants at which clocks had dated passes, by the id, as `dated_elsewhere` gives.
    """
    dated = dated or {}
    have = Counter(
        said
        for played in known
        for said in _tellings(played, {played.moment.utc_ms, *dated.get(played.id, ())})
    )
    seen: Counter[Words] = Counter()
    places: Counter[int] = Counter()
    rows = []
    for line in lines:
        said = _but_fault(told(line))
        seen[said] += 1
        places[line.moment.utc_ms] += 1
        if seen[said] > have[said]:
            rows.append(_row_of(line, seen[said], places[line.moment.utc_ms] - 1, strings))
    return rows, len(lines) - len(rows)


def _tellings(played: Pass, times: Iterable[int]) -> set[Words]:
    """What a log may say of a pass at each of some instants."""
    return {
        _but_fault(told(played._replace(moment=played.moment._replace(utc_ms=time))))
        for time in times
    }


def _row_of(line: LogLine, occurrence: int, place: int, strings: int) -> Row:
    said, notes = told(line), notes_in(strings, coupling=line.item.coupling)
    digest = _id_digest(said, occurrence, notes, coupling=line.item.coupling)
    event_id = uuid7(line.moment.utc_ms, place & 0xFFF, digest)
    return {
        "id": event_id, "kind": "pass", "at_ms": line.moment.utc_ms,
        "offset_minutes": line.moment.offset_minutes, "entry": event_id,
        **item_row(line.item), "notes": notes,
        # As a log writes it: another log may have told the same tempo to more digits.
        "tempo": float(said[COLUMNS.index("tempo")]), "notes_per_beat": line.notes_per_beat,
        "clean": int(line.clean), "errors": line.errors,
        "fault": None if line.fault is None else str(line.fault), "note": line.note,
    }  # fmt: skip


def dated_elsewhere(ledger: Ledger) -> dict[str, set[int]]:
    """The instants (UTC, ms) at which corrected events counted at some time, by their ids.

    Raises:
        LedgerError: The file can't be read.
    """
    found: defaultdict[str, set[int]] = defaultdict(set)
    for event_id, at_ms, moved_ms in ledger.rows(
        "SELECT target, at_ms, moved_ms FROM corrections CROSS JOIN events ON events.id = target"
    ):
        found[event_id] |= {at_ms, moved_ms}
    return found


class ToldAlike(NamedTuple):
    """A pass among some that say the same, of which a log told one.

    Attributes:
        words: What they say, as a number.
        id: The pass.
        number: The how many-eth of them a log told it as; None where it was recorded.
    """

    words: int
    id: str
    number: int | None


NOTED = "SELECT words, event_id, number FROM told_alike"
EVERY = "SELECT at_ms FROM events UNION SELECT moved_ms FROM corrections"
ADDED = (
    "SELECT at_ms FROM events WHERE seq BETWEEN :first AND :last UNION SELECT moved_ms "
    "FROM corrections CROSS JOIN events ON id = event_id WHERE seq BETWEEN :first AND :last"
)


def note_told_alike(ledger: Ledger, first: int, last: int) -> None:
    """Note which passes say the same as others, where events of some numbers of entry came in.

    To be called inside a transaction.

    Raises:
        LedgerError: The file can't be read.
    """
    _write(ledger, _told_alike(ledger, ADDED, {"first": first, "last": last}))


def note_all_told_alike(ledger: Ledger) -> None:
    """Find anew which passes say the same, inside a transaction.

    Raises:
        LedgerError: The file can't be read.
    """
    ledger.db.execute("DELETE FROM told_alike")
    _write(ledger, _told_alike(ledger, EVERY, {}))


def knows_told_alike(ledger: Ledger) -> bool:
    """Whether it is noted which passes say the same.

    Raises:
        LedgerError: The file can't be read.
    """
    noted = {ToldAlike(*row) for row in ledger.rows(NOTED)}
    return noted == set(_told_alike(ledger, EVERY, {}))


def _write(ledger: Ledger, found: Iterable[ToldAlike]) -> None:
    ledger.db.conn.executemany(
        "INSERT OR REPLACE INTO told_alike (words, event_id, number) VALUES (?, ?, ?)", found
    )


def _told_alike(ledger: Ledger, times: str, values: dict[str, int]) -> Iterator[ToldAlike]:
    """Passes at some instants that say the same as others, whether they stand or not."""
    wanted = {row[0] for row in ledger.rows(times, values)}
    rows = ledger.rows(
        f"SELECT {WHEN}, {OF_PASS} FROM events CROSS JOIN passes ON event_id = events.id "
        f"WHERE at_ms IN ({times}) OR events.id IN "
        f"(SELECT target FROM corrections WHERE moved_ms IN ({times}))",
        values,
    )
    elsewhere = dated_elsewhere(ledger)
    groups: defaultdict[Words, list[Pass]] = defaultdict(list)
    for played in passes_from(rows):
        times_of_it = {played.moment.utc_ms, *elsewhere.get(played.id, ())}
        for said in _tellings(played, wanted & times_of_it):
            groups[said].append(played)
    for said, alike in groups.items():
        if len(alike) > 1:
            numbers = {played.id: _number(played, len(alike)) for played in alike}
            if any(numbers.values()):
                words = _digest(said)
                yield from (ToldAlike(words, *known) for known in numbers.items())


def _number(played: Pass, most: int) -> int | None:
    """The how many-eth of its kind a pass is in the log that told it; None if it was recorded."""
    random_part = int(played.id.replace("-", ""), 16) & ((1 << DIGEST_BITS) - 1)
    said, coupling = told(played), played.item.coupling
    for number in range(1, most + 1):
        if _id_digest(said, number, played.notes, coupling=coupling) == random_part:
            return number
    return None
