"""The record: events added and read.

CROSS JOIN makes SQLite take the tables in the order in which they stand: without it, it walks
through all events where it could look up a few.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import Any

from scheduler.guitar.items import Item
from scheduler.ledger.damage import is_sound, ledger_error, reading
from scheduler.ledger.events import (
    Event,
    EventIds,
    floors_from,
    item_row,
    passes_from,
    resets_from,
    rounds_from,
    row_of,
    uuid7,
)
from scheduler.ledger.events_table import insert_rows, unknown_rows
from scheduler.ledger.opening import open_file
from scheduler.player.facts import Fact, Pass, Reset
from scheduler.player.moments import MS_PER_DAY, Moment

STANDS = "events.id NOT IN (SELECT id FROM gone)"
PLACE = (
    "min(events.at_ms, coalesce((SELECT min(moved_ms) FROM corrections "
    "WHERE corrections.target = events.id "
    "AND corrections.event_id NOT IN (SELECT id FROM gone)), events.at_ms))"
)
"""When an event counts as done: where a wrong clock had dated it, the instant it was moved to,
which is never a later one."""

FAULT = (
    "coalesce((SELECT faults.fault FROM faults WHERE faults.target = events.id "
    "AND faults.event_id NOT IN (SELECT id FROM gone) ORDER BY faults.event_id DESC LIMIT 1), "
    "passes.fault)"
)
SAME_ITEM = (
    "box = :box AND coupling = :coupling AND direction = :direction "
    "AND stroke = :stroke AND fret = :fret"
)
OF_ITEM = "box, coupling, direction, stroke, fret"
OF_PASS = f"{OF_ITEM}, notes, tempo, notes_per_beat, clean, errors, {FAULT}, note"
WHEN = f"events.id, {PLACE}, offset_minutes"
BEGUN_IN_VAIN = (
    "SELECT events.entry FROM rounds CROSS JOIN events ON events.id = rounds.event_id "
    f"WHERE {STANDS} AND (rounds.number <= 1 OR EXISTS (SELECT 1 FROM rounds AS other "
    "CROSS JOIN events AS before ON before.id = other.event_id "
    "WHERE other.number >= rounds.number AND before.id NOT IN (SELECT id FROM gone) "
    "AND (before.at_ms, before.id) < (events.at_ms, events.id)))"
)
"""Entries that began a round which had begun: the floor tempo that came with them doesn't count."""


class Ledger:
    """An open ledger; close it when done."""

    def __init__(self, path: Path) -> None:
        """Open a ledger, making it on first use.

        Raises:
            LedgerError: It can't be opened, is no ledger, or is newer than this program.
        """
        self.path = path
        self.db = open_file(path)

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
        with self.reading(), self._transaction("BEGIN IMMEDIATE"):
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
        new = unknown_rows(self.db.conn, [row_of(event, entry) for event in events])
        insert_rows(self.db.conn, new)
        return len(new)

    def ids(self, now: Moment) -> EventIds:
        """Ids for new events: they sort after all that the ledger holds.

        Ids that a wrong clock dated more than a day ahead don't count.
        """
        bound = uuid7(now.utc_ms + MS_PER_DAY, 0, 0)
        last = self.rows("SELECT max(id) FROM events WHERE id < :bound", {"bound": bound})[0][0]
        return EventIds(now.utc_ms, last or "")

    def player_ids(self) -> list[str]:
        """The player's id, and others that are known to be the same player's, oldest first."""
        rows = self.rows(f"SELECT id FROM events WHERE kind = 'player' AND {STANDS} ORDER BY id")
        return [str(row[0]) for row in rows]

    def is_empty(self) -> bool:
        """Whether nothing was played yet: no pass, reset or round stands."""
        played = "kind IN ('pass', 'reset', 'round')"
        return not self.rows(f"SELECT 1 FROM events WHERE {played} AND {STANDS} LIMIT 1")

    def last_seq(self) -> int:
        """The number of the newest event in the order of entry; 0 if there is none."""
        return int(self.rows("SELECT coalesce(max(seq), 0) FROM events")[0][0])

    def facts(self, after: tuple[int, str] = (0, "")) -> list[Fact]:
        """All facts later than a time and id that stand, unordered."""
        # Nothing is ever moved to a later time, so what counts as later was dated later too.
        where = f"(events.at_ms, events.id) > (:at_ms, :id) AND {STANDS}"
        values = {"at_ms": after[0], "id": after[1]}
        join = "FROM events JOIN {0} ON {0}.event_id = events.id"
        passes, resets, rounds, settings = (
            self.rows(f"SELECT {WHEN}, {columns} {join.format(table)} WHERE {where}", values)
            for table, columns, where in (
                ("passes", OF_PASS, where),
                ("resets", OF_ITEM, where),
                ("rounds", "number, items", where),
                ("settings", "name, value", f"{where} AND entry NOT IN ({BEGUN_IN_VAIN})"),
            )
        )
        with self.reading():
            found: list[Fact] = [
                *passes_from(passes),
                *resets_from(resets),
                *rounds_from(rounds),
                *floors_from(settings),
            ]
        return [fact for fact in found if (fact.moment.utc_ms, fact.id) > after]

    def passes(self) -> Iterator[Pass]:
        """All passes that stand, in order of time, each read when it is asked for.

        Raises:
            LedgerError: The file can't be read.
        """
        # In the order in which they are dated, they needn't be sorted.
        moved = self.rows("SELECT 1 FROM corrections LIMIT 1")
        with self.reading():
            yield from passes_from(
                self.db.execute(
                    f"SELECT {WHEN}, {OF_PASS} FROM events "
                    "CROSS JOIN passes ON passes.event_id = events.id "
                    f"WHERE {STANDS} ORDER BY {PLACE if moved else 'events.at_ms'}, events.id"
                )
            )

    def passes_of(self, item: Item) -> list[Pass]:
        """The passes of one item that stand, in order of time."""
        with self.reading():
            return list(passes_from(self._of_item("passes", OF_PASS, item)))

    def resets_of(self, item: Item) -> list[Reset]:
        """The resets of one item that stand, in order of time."""
        with self.reading():
            return list(resets_from(self._of_item("resets", OF_ITEM, item)))

    def _of_item(self, table: str, columns: str, item: Item) -> list[tuple[Any, ...]]:
        return self.rows(
            f"SELECT {WHEN}, {columns} FROM {table} "
            f"CROSS JOIN events ON events.id = {table}.event_id "
            f"WHERE {SAME_ITEM} AND {STANDS} ORDER BY 2, 1",
            item_row(item),
        )

    def setting_words(self) -> dict[str, str]:
        """The latest value of each setting that was ever changed, in words."""
        return {name: value for change in self.setting_changes() for name, value in change.items()}

    def setting_changes(self) -> list[dict[str, str]]:
        """The settings that were changed together, in words and in order of time."""
        rows = self._settings("entry, name, value")
        return [
            {name: value for *_, name, value in together}
            for _, together in groupby(rows, key=itemgetter(3))
        ]

    def setting_history(self, name: str) -> list[tuple[Moment, str]]:
        """Every value that a setting got, in order of time."""
        return [
            (Moment(at_ms, offset), value)
            for _, at_ms, offset, of, value in self._settings("name, value")
            if of == name
        ]

    def _settings(self, columns: str) -> list[tuple[Any, ...]]:
        return self.rows(
            f"SELECT {WHEN}, {columns} FROM settings "
            "CROSS JOIN events ON events.id = settings.event_id "
            f"WHERE {STANDS} AND entry NOT IN ({BEGUN_IN_VAIN}) ORDER BY 2, 1"
        )
