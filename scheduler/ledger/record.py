"""The record: events added and read.

SQLite keeps the written order of tables for CROSS JOIN only: left to itself it scans all events
where a few look-ups do.
"""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import Any

from scheduler.guitar.items import Item
from scheduler.guitar.routines import Routines
from scheduler.ledger.amendments import Amendments, read_amendments
from scheduler.ledger.damage import is_sound, ledger_error, reading, writing
from scheduler.ledger.definitions import routines_in
from scheduler.ledger.events import (
    Event,
    EventIds,
    facts_of_settings,
    item_row,
    passes_from,
    resets_from,
    rounds_from,
    row_of,
    told_apart,
    uuid7,
)
from scheduler.ledger.events_table import (
    ITEM_COLUMNS,
    insert_rows,
    known_events,
    unknown_rows,
)
from scheduler.ledger.opening import open_file
from scheduler.player.facts import Fact, Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment

SAME_ITEM = " AND ".join(f"{column} = :{column}" for column in ITEM_COLUMNS)
OF_ITEM = ", ".join(ITEM_COLUMNS)
OF_PASS = f"{OF_ITEM}, notes, tempo, notes_per_beat, clean, errors, fault, note"
WHEN = "events.id, events.at_ms, offset_minutes"
LAST_MS = (1 << 63) - 1
"""Later than all that SQLite holds (ms)."""


class Ledger:
    """An open ledger; close it when done."""

    def __init__(self, path: Path) -> None:
        """Open a ledger, making it on first use.

        Raises:
            LedgerError: It can't be opened, is no ledger, or is newer than this program.
        """
        self.path = path
        self.db = open_file(path)
        self._amended: tuple[tuple[int, int], Amendments] | None = None
        self._routines: tuple[tuple[int, int], Routines] | None = None

    def close(self) -> None:
        """Close the file."""
        self.db.close()

    def raise_if_damaged(self, problem: Exception) -> None:
        """Turn a problem that nobody expected into a ledger error, if the file is to blame for it.

        Raises:
            LedgerError: SQLite said it, or SQLite's own check finds the file damaged.
        """
        if isinstance(problem, sqlite3.Error) or not is_sound(self.db.conn):
            raise ledger_error(self.path, problem) from problem

    @contextmanager
    def writing(self) -> Iterator[None]:
        """A transaction that holds the write lock from its start: all or nothing.

        Raises:
            LedgerError: The file can't be written.
        """
        # Only what SQLite says is the file's fault: an error of the caller's own goes on as it is.
        with writing(self.path), self._transaction("BEGIN IMMEDIATE"):
            yield

    @contextmanager
    def at_once(self) -> Iterator[None]:
        """What is read inside is one state of the file, whoever writes meanwhile.

        Raises:
            LedgerError: The file can't be read.
        """
        with self.reading(), self._transaction("BEGIN"):
            yield

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[None]:
        self.db.execute(begin)
        try:
            yield
            self.db.commit()
        except BaseException:
            self.db.rollback()
            # What is kept of amendments may hold rows of this transaction, and no version number
            # differs after a rollback to show it.
            self._amended = None
            raise

    def reading(self) -> AbstractContextManager[None]:
        """Turn what SQLite says, and values that no ledger holds, into a ledger error.

        Raises:
            LedgerError: The file can't be read.
        """
        return reading(self.path)

    def rows(self, sql: str, values: dict[str, Any] | None = None) -> list[tuple[Any, ...]]:
        """The rows of a query.

        Raises:
            LedgerError: The file can't be read.
        """
        with self.reading():
            return list(self.db.execute(sql, values or {}).fetchall())

    def insert(self, events: Sequence[Event], entry: str) -> int:
        """Add events of one entry inside a transaction that is open already; how many were new.

        An event that is there already, the same, is left as it is: what is sent again is safe.

        Raises:
            LedgerError: An event is there with other content.
        """
        known = known_events(self.db.conn, (event.id for event in events))
        rows = [
            row_of(event, known[event.id]["entry"] if event.id in known else entry)
            for event in events
        ]
        new = unknown_rows(self.db.conn, rows)
        insert_rows(self.db.conn, new)
        return len(new)

    def ids(self, now: Moment) -> EventIds:
        """Ids for new events: they sort after all that the ledger holds.

        Ids that a wrong clock dated more than a day ahead don't count.
        """
        bound = uuid7(now.utc_ms + MS_PER_DAY, 0, 0)
        last = self.rows("SELECT max(id) FROM events WHERE id < :bound", {"bound": bound})[0][0]
        return EventIds(now.utc_ms, last or "")

    def _seen(self) -> tuple[int, int]:
        """What changes with the file, whoever writes."""
        ((version,),) = self.rows("PRAGMA data_version")
        return version, self.db.conn.total_changes

    @property
    def routines(self) -> Routines:
        """The routines that the record may name: those inside, and the player's own.

        Raises:
            LedgerError: The file can't be read.
        """
        seen = self._seen()
        if self._routines is None or self._routines[0] != seen:
            with self.reading():
                self._routines = seen, routines_in(self.db.conn)
        return self._routines[1]

    @property
    def amendments(self) -> Amendments:
        """What of the record doesn't stand, was moved, or had a fault said of it.

        Raises:
            LedgerError: The file can't be read.
        """
        seen = self._seen()
        if self._amended is None or self._amended[0] != seen:
            with self.reading():
                self._amended = seen, read_amendments(self.db.conn)
        return self._amended[1]

    def standing(self, rows: Iterable[tuple[Any, ...]]) -> Iterator[tuple[Any, ...]]:
        """The rows, each beginning with id and instant, of events that stand, where they count."""
        gone, moved, _ = self.amendments
        for row in rows:
            if row[0] not in gone:
                yield row if row[0] not in moved else (row[0], moved[row[0]], *row[2:])

    def player_ids(self) -> list[str]:
        """The player's id, and others that are known to be the same player's, oldest first."""
        rows = self.rows(
            "SELECT id, at_ms FROM players CROSS JOIN events ON events.id = event_id ORDER BY id"
        )
        return [str(row[0]) for row in self.standing(rows)]

    def is_empty(self) -> bool:
        """Whether nothing was played yet: no pass, reset or round stands."""
        played = self.rows("SELECT id, at_ms FROM events WHERE kind IN ('pass', 'reset', 'round')")
        return next(self.standing(played), None) is None

    def last_seq(self) -> int:
        """The number of the newest event in the order of entry; 0 if there is none."""
        return int(self.rows("SELECT coalesce(max(seq), 0) FROM events")[0][0])

    def facts(self, after: tuple[int, str] = (0, ""), until_ms: int | None = None) -> list[Fact]:
        """Facts that stand, unordered.

        Args:
            after: The time and id that they are later than.
            until_ms: The instant (UTC, ms) of the last of them; None for all there are.

        Raises:
            LedgerError: The file can't be read.
        """
        # Nothing is ever moved to a later time, so what counts as later was dated later too; but
        # what was dated after the end may have been moved to before it.
        last_ms = LAST_MS if until_ms is None else until_ms
        dated_ms = LAST_MS if self.amendments.moved else last_ms
        where = "WHERE (events.at_ms, events.id) > (:at_ms, :id) AND events.at_ms <= :last_ms"
        values = {"at_ms": after[0], "id": after[1], "last_ms": dated_ms}
        passes, resets, settings = (
            self.standing(
                self.rows(
                    f"SELECT {WHEN}, {columns} FROM events "
                    f"JOIN {table} ON {table}.event_id = events.id {where}",
                    values,
                )
            )
            for table, columns in (
                ("passes", OF_PASS), ("resets", OF_ITEM), ("settings", "entry, name, value"),
            )
        )  # fmt: skip
        in_vain, rounds = self.rounds_told_apart()
        said = ((*row[:3], *row[4:]) for row in settings if row[3] not in in_vain)
        with self.reading():
            found: list[Fact] = [
                *passes_from(self.with_faults(passes), self.routines),
                *resets_from(resets, self.routines),
                *rounds,
                *facts_of_settings(said, self.routines),
            ]
        return [
            fact
            for fact in found
            if (fact.moment.utc_ms, fact.id) > after and fact.moment.utc_ms <= last_ms
        ]

    def with_faults(self, rows: Iterable[tuple[Any, ...]]) -> Iterable[tuple[Any, ...]]:
        """Rows of passes, each with the fault that was said of it last."""
        faults = self.amendments.faults
        if not faults:
            return rows
        return ((*row[:-2], faults.get(row[0], row[-2]), row[-1]) for row in rows)

    def rounds(self) -> list[RoundStarted]:
        """The rounds that were begun, in order of time; one that had begun isn't begun again."""
        return self.rounds_told_apart()[1]

    def rounds_told_apart(self) -> tuple[set[str], list[RoundStarted]]:
        """The entries that began a round which had begun, and the rounds begun by others."""
        rows = self.rows(
            f"SELECT {WHEN}, number, items, routine, entry FROM rounds "
            "CROSS JOIN events ON events.id = rounds.event_id"
        )
        in_vain, begun = told_apart(self.standing(rows))
        with self.reading():
            return in_vain, list(rounds_from(begun, self.routines))

    def passes(self, since_ms: int = 0) -> Iterator[Pass]:
        """The passes that stand, in order of time, each read when it is asked for.

        Args:
            since_ms: The instant (UTC, ms) from which on they are dated.

        Raises:
            LedgerError: The file can't be read.
        """
        query = (
            f"SELECT {WHEN}, {OF_PASS} FROM events "
            "CROSS JOIN passes ON passes.event_id = events.id "
            "WHERE events.at_ms >= :since ORDER BY events.at_ms, events.id"
        )
        with self.reading():
            found = self.db.execute(query, {"since": since_ms})
            rows: Iterable[tuple[Any, ...]] = self.standing(found)
            if self.amendments.moved:
                rows = sorted(rows, key=lambda row: (row[1], row[0]))
            yield from passes_from(self.with_faults(rows), self.routines)

    def passes_of(self, item: Item) -> list[Pass]:
        """The passes of one item that stand, in order of time."""
        with self.reading():
            found = self.with_faults(self._of_item("passes", OF_PASS, item))
            return list(passes_from(found, self.routines))

    def resets_of(self, item: Item) -> list[Reset]:
        """The resets of one item that stand, in order of time."""
        with self.reading():
            return list(resets_from(self._of_item("resets", OF_ITEM, item), self.routines))

    def _of_item(self, table: str, columns: str, item: Item) -> list[tuple[Any, ...]]:
        rows = self.rows(
            f"SELECT {WHEN}, {columns} FROM {table} "
            f"CROSS JOIN events ON events.id = {table}.event_id WHERE {SAME_ITEM}",
            item_row(item),
        )
        return sorted(self.standing(rows), key=lambda row: (row[1], row[0]))
