"""The record: events added, read and withdrawn.

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
from scheduler.ledger.events import (
    COLUMNS_OF_PASSES,
    COLUMNS_OF_RESETS,
    Event,
    EventIds,
    floors_from,
    item_row,
    passes_from,
    resets_from,
    rounds_from,
    rows_of,
)
from scheduler.ledger.schema import is_sound, ledger_error, open_file, reading
from scheduler.player.facts import Fact, Pass, Reset
from scheduler.player.moments import Moment

NOT_WITHDRAWN = "id NOT IN (SELECT target FROM withdrawals)"
SAME_ITEM = (
    "box = :box AND coupling = :coupling AND direction = :direction "
    "AND stroke = :stroke AND fret = :fret"
)


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
        with self.reading():
            self.db.execute("BEGIN IMMEDIATE")
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

    def _rows(self, sql: str, values: dict[str, Any] | None = None) -> list[tuple[Any, ...]]:
        with self.reading():
            return list(self.db.execute(sql, values or {}).fetchall())

    def append(self, events: Sequence[Event]) -> None:
        """Add events as one entry: on disk when this returns, or not there at all.

        Raises:
            LedgerError: The file can't be written.
        """
        with self.writing():
            self.insert(events)

    def insert(self, events: Sequence[Event]) -> None:
        """Add events as one entry inside a transaction that is open already."""
        entry = events[0].id
        for event in events:
            kind, table, row = rows_of(event)
            self.db.table("events").insert(
                {
                    "id": event.id,
                    "kind": kind,
                    "at_ms": event.moment.utc_ms,
                    "offset_minutes": event.moment.offset_minutes,
                    "entry": entry,
                }
            )
            self.db.table(table).insert({"event_id": event.id, **row})

    def ids(self, now: Moment) -> EventIds:
        """Ids for new events: they sort after all that the ledger holds."""
        last = self._rows("SELECT max(id) FROM events")[0][0]
        return EventIds(now.utc_ms, last or "")

    def first_id(self) -> str:
        """The id of the first event entered: it tells ledgers apart; "" if there is none."""
        rows = self._rows("SELECT id FROM events ORDER BY seq LIMIT 1")
        return str(rows[0][0]) if rows else ""

    def last_seq(self) -> int:
        """The number of the newest event in the order of entry; 0 if there is none."""
        return int(self._rows("SELECT coalesce(max(seq), 0) FROM events")[0][0])

    def facts(self, after: tuple[int, str] = (0, "")) -> list[Fact]:
        """All facts later than a time and id that were not withdrawn, unordered."""
        where = f"(at_ms, id) > (:at_ms, :id) AND {NOT_WITHDRAWN}"
        values = {"at_ms": after[0], "id": after[1]}
        join = "FROM events JOIN {0} ON {0}.event_id = events.id"
        passes, resets, rounds, settings = (
            self._rows(f"SELECT {columns} {join.format(table)} WHERE {where}", values)
            for table, columns in (
                ("passes", COLUMNS_OF_PASSES),
                ("resets", COLUMNS_OF_RESETS),
                ("rounds", "id, at_ms, offset_minutes, number, items"),
                ("settings", "id, at_ms, offset_minutes, name, value"),
            )
        )
        with self.reading():
            return [
                *passes_from(passes),
                *resets_from(resets),
                *rounds_from(rounds),
                *floors_from(settings),
            ]

    def earliest_touched(self, after_seq: int) -> tuple[int, str] | None:
        """Time and id of the earliest event that was added or withdrawn after a number of entry."""
        # The sign keeps SQLite from walking through all events in the order of time.
        found = self._rows(
            "SELECT +at_ms AS at_ms, id FROM events WHERE seq > :seq AND kind <> 'withdrawal' "
            "UNION ALL "
            "SELECT target.at_ms, target.id FROM events CROSS JOIN withdrawals "
            "ON withdrawals.event_id = events.id CROSS JOIN events AS target "
            "ON target.id = withdrawals.target WHERE events.seq > :seq "
            "ORDER BY at_ms, id LIMIT 1",
            {"seq": after_seq},
        )
        return (int(found[0][0]), str(found[0][1])) if found else None

    def passes(self) -> Iterator[Pass]:
        """All passes, in order of time, each read when it is asked for.

        Raises:
            LedgerError: The file can't be read.
        """
        with self.reading():
            yield from passes_from(
                self.db.execute(
                    f"SELECT {COLUMNS_OF_PASSES} FROM events "
                    "CROSS JOIN passes ON passes.event_id = events.id "
                    f"WHERE {NOT_WITHDRAWN} ORDER BY at_ms, id"
                )
            )

    def passes_of(self, item: Item) -> list[Pass]:
        """The passes of one item, in order of time."""
        rows = self._rows(
            f"SELECT {COLUMNS_OF_PASSES} FROM passes "
            "CROSS JOIN events ON events.id = passes.event_id "
            f"WHERE {SAME_ITEM} AND {NOT_WITHDRAWN} ORDER BY at_ms, id",
            item_row(item),
        )
        with self.reading():
            return list(passes_from(rows))

    def resets_of(self, item: Item) -> list[Reset]:
        """The resets of one item, in order of time."""
        rows = self._rows(
            f"SELECT {COLUMNS_OF_RESETS} FROM resets "
            "CROSS JOIN events ON events.id = resets.event_id "
            f"WHERE {SAME_ITEM} AND {NOT_WITHDRAWN} ORDER BY at_ms, id",
            item_row(item),
        )
        with self.reading():
            return list(resets_from(rows))

    def setting_words(self) -> dict[str, str]:
        """The latest value of each setting that was ever changed, in words."""
        return {name: value for change in self.setting_changes() for name, value in change.items()}

    def setting_changes(self) -> list[dict[str, str]]:
        """The settings that were changed together, in words and in order of time."""
        rows = self._rows(
            "SELECT entry, name, value FROM settings "
            "CROSS JOIN events ON events.id = settings.event_id "
            f"WHERE {NOT_WITHDRAWN} ORDER BY at_ms, id"
        )
        return [
            {name: value for _, name, value in together}
            for _, together in groupby(rows, key=itemgetter(0))
        ]

    def setting_history(self, name: str) -> list[tuple[Moment, str]]:
        """Every value that a setting got, in order of time."""
        rows = self._rows(
            "SELECT at_ms, offset_minutes, value FROM settings "
            "CROSS JOIN events ON events.id = settings.event_id "
            f"WHERE name = :name AND {NOT_WITHDRAWN} ORDER BY at_ms, id",
            {"name": name},
        )
        return [(Moment(at_ms, offset), value) for at_ms, offset, value in rows]

    def last_entry(self) -> list[tuple[str, str]]:
        """Id and kind of the events of the last entry of passes, resets or a round."""
        newest = self._rows(
            "SELECT entry FROM events WHERE kind IN ('pass', 'reset', 'round') "
            f"AND {NOT_WITHDRAWN} ORDER BY seq DESC LIMIT 1"
        )
        if not newest:
            return []
        return [
            (str(row[0]), str(row[1]))
            for row in self._rows(
                "SELECT id, kind FROM events "
                f"WHERE entry = :entry AND {NOT_WITHDRAWN} ORDER BY seq",
                {"entry": newest[0][0]},
            )
        ]

    def items_of(self, event_ids: Sequence[str]) -> list[Item]:
        """The items of passes and resets, each once, in the order of the ids."""
        found: dict[Item, None] = {}
        for event_id in event_ids:
            for table in ("passes", "resets"):
                rows = self._rows(
                    f"SELECT {COLUMNS_OF_RESETS} FROM {table} "
                    f"JOIN events ON events.id = {table}.event_id WHERE id = :id",
                    {"id": event_id},
                )
                found.update((reset.item, None) for reset in resets_from(rows))
        return list(found)
