"""Passes that a log and a ledger tell alike are the same pass, and count once.

A log has no ids. A pass that comes from one gets an id that depends on what the line says and on
how often the log has said it, so that the same log makes the same events everywhere. Such a copy
counts as long as the pass that it tells of isn't there as it was recorded, or is taken back. Where
a wrong clock had dated a pass, a log may tell it with the one time or with the other; where a fault
was said later, with it or without it.
"""

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from hashlib import blake2b
from typing import NamedTuple

from scheduler.ledger.definitions import routines_in
from scheduler.ledger.events import item_row, passes_from, uuid7
from scheduler.ledger.events_table import Row
from scheduler.ledger.logfile import COLUMNS, LogLine, told
from scheduler.ledger.record import OF_PASS, WHEN
from scheduler.player.facts import Pass

Words = tuple[str, ...]
DIGEST_BITS = 62
USUAL_STRINGS = 6
FAULT, NOTE = COLUMNS.index("fault"), COLUMNS.index("note")


@lru_cache(maxsize=4096)
def _digest(content: object) -> int:
    said = repr(content)
    return int.from_bytes(blake2b(said.encode(), digest_size=8).digest()) >> 2


@lru_cache(maxsize=4096)
def _id_digests(said: Words, occurrence: int, notes: int, usual_notes: int) -> tuple[int, ...]:
    """The digest that makes the id of a line's pass, and the older one without the notes.

    By the older one logs are known that older versions took in.
    """
    without = _digest((said, occurrence))
    if notes == usual_notes:
        return (without,)
    return _digest((said, occurrence, notes)), without


class Tellings(NamedTuple):
    """What a log may have said of passes besides what it says of them now, by their ids.

    Attributes:
        times: Instants (UTC, ms) at which a pass counted before a clock was set right.
        faults: What its fault was said to be, "" where none had been said yet.
    """

    times: Mapping[str, set[int]]
    faults: Mapping[str, set[str]]

    def of(self, played: Pass, times: Container[int] | None = None) -> set[Words]:
        """Everything that a log may say of a pass; at some instants only, if these are given."""
        said = told(played)
        instants = {played.moment.utc_ms} | self.times.get(played.id, set())
        faults = {said[FAULT]} | self.faults.get(played.id, set())
        return {
            (played.moment._replace(utc_ms=time).isoformat(), *said[1:FAULT], fault,
             *said[FAULT + 1 :])
            for time in instants if times is None or time in times
            for fault in faults
        }  # fmt: skip


NO_TELLINGS = Tellings({}, {})


def tellings(connection: sqlite3.Connection) -> Tellings:
    """What else logs may have said of the passes of a ledger.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    times: defaultdict[str, set[int]] = defaultdict(set)
    for event_id, at_ms, moved_ms in connection.execute(
        "SELECT target, at_ms, moved_ms FROM corrections CROSS JOIN events ON events.id = target "
        "WHERE moved_ms < at_ms"
    ):
        times[event_id] |= {at_ms, moved_ms}
    faults: defaultdict[str, set[str]] = defaultdict(set)
    for event_id, before, fault in connection.execute(
        "SELECT target, coalesce(passes.fault, ''), faults.fault FROM faults "
        "CROSS JOIN passes ON passes.event_id = target"
    ):
        faults[event_id] |= {before, fault}
    return Tellings(times, faults)


def rows_of_log(
    lines: Sequence[LogLine],
    known: Iterable[Pass],
    strings: int,
    besides: Tellings = NO_TELLINGS,
) -> tuple[list[Row], int]:
    """The events of a log's lines that the ledger hasn't, and how many it has already.

    Args:
        lines: The lines.
        known: The passes that stand in the ledger.
        strings: The strings of the neck: they decide the notes of a pass.
        besides: What else logs may have said of them.
    """
    have: Counter[Words] = Counter()
    have_bare: Counter[Words] = Counter()
    for played in known:
        sayings = besides.of(played)
        have.update(sayings)
        have_bare.update({said[:NOTE] for said in sayings})
    seen: Counter[Words] = Counter()
    seen_bare: Counter[Words] = Counter()
    places: Counter[int] = Counter()
    rows = []
    for line in lines:
        said = told(line)
        bare = said[:NOTE]
        seen[said] += 1
        seen_bare[bare] += 1
        places[line.moment.utc_ms] += 1
        # The log, or the record that was taken in before, may have gone out without notes.
        without = not said[NOTE] or have[*bare, ""] > 0
        if seen[said] > have[said] and not (without and seen_bare[bare] <= have_bare[bare]):
            rows.append(_row_of(line, seen[said], places[line.moment.utc_ms] - 1, strings))
    return rows, len(lines) - len(rows)


def _row_of(line: LogLine, occurrence: int, place: int, strings: int) -> Row:
    said, notes = told(line), line.item.notes_on(strings)
    digest, *_ = _id_digests(said, occurrence, notes, line.item.notes_on(USUAL_STRINGS))
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


class ToldAlike(NamedTuple):
    """A pass among some that say the same, of which a log told one.

    Attributes:
        words: What they say, as a number.
        id: The pass.
        number: Its place, from 1, among the like lines of the log it came from; None where it was
            recorded directly, or came to be alike by a correction.
    """

    words: int
    id: str
    number: int | None


NOTED = "SELECT words, event_id, number FROM told_alike"
EVERY = "SELECT at_ms FROM events UNION SELECT moved_ms FROM corrections"
ADDED = """
SELECT at_ms FROM events WHERE seq BETWEEN :first AND :last
UNION SELECT moved_ms FROM corrections CROSS JOIN events ON id = event_id
WHERE seq BETWEEN :first AND :last
UNION SELECT other.at_ms FROM events CROSS JOIN faults ON event_id = events.id
CROSS JOIN events AS other ON other.id = target WHERE events.seq BETWEEN :first AND :last
"""


def note_told_alike(connection: sqlite3.Connection, first: int, last: int) -> None:
    """Note which passes say the same as others, where events of some numbers of entry came in.

    To be called inside a transaction.

    Raises:
        sqlite3.Error: The file can't be read or written.
    """
    _write(connection, _told_alike(connection, ADDED, {"first": first, "last": last}))


def note_all_told_alike(connection: sqlite3.Connection) -> None:
    """Find anew which passes say the same, inside a transaction.

    Raises:
        sqlite3.Error: The file can't be read or written.
    """
    connection.execute("DELETE FROM told_alike")
    _write(connection, _told_alike(connection, EVERY, {}))


def knows_told_alike(connection: sqlite3.Connection) -> bool:
    """Whether it is noted which passes say the same.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    noted = {ToldAlike(*row) for row in connection.execute(NOTED)}
    return noted == set(_told_alike(connection, EVERY, {}))


def _write(connection: sqlite3.Connection, found: Iterable[ToldAlike]) -> None:
    connection.executemany(
        "INSERT OR REPLACE INTO told_alike (words, event_id, number) VALUES (?, ?, ?)", list(found)
    )


def _told_alike(
    connection: sqlite3.Connection, times: str, values: dict[str, int]
) -> Iterator[ToldAlike]:
    """Passes at some instants that say the same as others, whether they stand or not."""
    wanted = {row[0] for row in connection.execute(times, values)}
    rows = connection.execute(
        f"SELECT {WHEN}, {OF_PASS} FROM events CROSS JOIN passes ON event_id = events.id "
        f"WHERE at_ms IN ({times}) OR events.id IN "
        f"(SELECT target FROM corrections WHERE moved_ms IN ({times}))",
        values,
    )
    found = rows.fetchall()
    if len(found) <= 1:
        return
    there = list(passes_from(found, routines_in(connection)))
    besides = tellings(connection)
    groups: defaultdict[Words, list[Pass]] = defaultdict(list)
    for played in there:
        for said in besides.of(played, wanted):
            groups[said].append(played)
    for said, alike in groups.items():
        if len(alike) > 1:
            numbers = {played.id: _number(played, said, len(alike)) for played in alike}
            if any(numbers.values()):
                words = _digest(said)
                yield from (ToldAlike(words, *known) for known in numbers.items())


def _number(played: Pass, said: Words, most: int) -> int | None:
    """The place of a pass, from 1, among the like lines of its log; None without one."""
    if said != told(played):
        return None
    random_part = int(played.id.replace("-", ""), 16) & ((1 << DIGEST_BITS) - 1)
    usual = played.item.notes_on(USUAL_STRINGS)
    for number in range(1, most + 1):
        if random_part in _id_digests(said, number, played.notes, usual):
            return number
    return None
