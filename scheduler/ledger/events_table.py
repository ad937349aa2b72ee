"""Events as rows, whole: how they are added, and what export, merge and check work on."""

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from typing import Any

from scheduler.errors import LedgerError
from scheduler.ledger.tables_of_acts import KINDS
from scheduler.plan.settings import FLOOR_OF, OF_ROUTINE

TABLE_OF_KIND = {
    "pass": "passes",
    "reset": "resets",
    "round": "rounds",
    "setting": "settings",
    "withdrawal": "withdrawals",
    "player": "players",
    "fault": "faults",
    "correction": "corrections",
    "undo": "undos",
}
EVENT_COLUMNS = ("id", "kind", "at_ms", "offset_minutes", "entry")
ITEM_COLUMNS = ("box", "coupling", "direction", "stroke", "fret", "routine")
OWN_COLUMNS = {
    "pass": (*ITEM_COLUMNS, "notes", "tempo", "notes_per_beat", "clean", "errors", "fault", "note"),
    "reset": ITEM_COLUMNS,
    "round": ("number", "items", "routine"),
    "setting": ("name", "value"),
    "withdrawal": ("target",),
    "player": (),
    "fault": ("target", "fault"),
    "correction": ("target", "moved_ms"),
    "undo": ("target", "redone"),
}  # fmt: skip
"""The columns of each kind's own table, beside the event's id."""

assert set(TABLE_OF_KIND) == set(KINDS)  # noqa: S101

Row = dict[str, Any]


IDS_AT_ONCE = 500


def _selection() -> tuple[str, dict[str, int]]:
    """A query for events beside their rows in each table, and where each kind's row begins."""
    columns, joins, begins = [f"events.{column}" for column in EVENT_COLUMNS], "", {}
    for kind, table in TABLE_OF_KIND.items():
        begins[kind] = len(columns)
        columns += [f"{table}.{column}" for column in ("event_id", *OWN_COLUMNS[kind])]
        joins += f" LEFT JOIN {table} ON {table}.event_id = events.id"
    return f"SELECT {', '.join(columns)} FROM events{joins}", begins


def _select(connection: sqlite3.Connection, where: str, values: Sequence[object]) -> Iterator[Row]:
    query, begins = _selection()
    for found in connection.execute(f"{query} {where}", values):
        row = dict(zip(EVENT_COLUMNS, found, strict=False))
        own = begins.get(row["kind"])
        if own is None or found[own] is None:
            msg = f"event {row['id']} says nothing"
            raise ValueError(msg)
        row.update(zip(OWN_COLUMNS[row["kind"]], found[own + 1 :], strict=False))
        yield row


NOT_OURS = """
WITH RECURSIVE said (event_id, target) AS (
    SELECT event_id, target FROM withdrawals UNION ALL SELECT event_id, target FROM faults
    UNION ALL SELECT event_id, target FROM corrections),
not_ours (id) AS (
    SELECT id FROM set_aside
    UNION SELECT said.event_id FROM not_ours CROSS JOIN said ON said.target = not_ours.id)
SELECT id FROM not_ours
"""
"""What isn't given out: events that are set aside here, and all that refer to them. Elsewhere they
would refer to what isn't there."""


PLAYED = """
SELECT routine, event_id AS id FROM passes UNION ALL SELECT routine, event_id FROM resets
UNION ALL SELECT routine, event_id FROM rounds
"""
CHOSEN = f"""
SELECT value AS routine, event_id AS id FROM settings WHERE name = 'routine'
UNION ALL SELECT substr(name, {len(FLOOR_OF) + 1}), event_id FROM settings
          WHERE name LIKE '{FLOOR_OF}%'
"""
"""Which routines are named by what was played, and by settings."""

NAMED_BY_OURS = f"""
SELECT event_id FROM settings CROSS JOIN ({PLAYED} UNION ALL {CHOSEN}) AS naming
WHERE name LIKE '{OF_ROUTINE}%' AND substr(name, {len(OF_ROUTINE) + 1}) = routine
AND event_id IN (SELECT id FROM set_aside) AND naming.id NOT IN ({NOT_OURS})
"""
"""Definitions that are set aside, but named by what goes out: it couldn't be read without them."""


def all_events(connection: sqlite3.Connection) -> Iterator[Row]:
    """Every event that isn't set aside, with the columns of its kind, in the order of entry.

    And the definitions of routines that these name.

    Raises:
        sqlite3.Error: The file can't be read.
        ValueError: An event is damaged.
    """
    ours = f"events.id NOT IN ({NOT_OURS}) OR events.id IN ({NAMED_BY_OURS})"
    return _select(connection, f"WHERE {ours} ORDER BY seq", [])


def known_events(connection: sqlite3.Connection, ids: Iterable[str]) -> dict[str, Row]:
    """The events that have one of some ids, also those that are set aside.

    Raises:
        sqlite3.Error: The file can't be read.
        ValueError: An event is damaged.
    """
    found: dict[str, Row] = {}
    waiting = iter(ids)
    while some := list(islice(waiting, IDS_AT_ONCE)):
        where = f"WHERE events.id IN ({', '.join('?' * len(some))})"
        found |= {row["id"]: row for row in _select(connection, where, some)}
    return found


def unknown_rows(connection: sqlite3.Connection, rows: Sequence[Row]) -> list[Row]:
    """The events that aren't there yet, each once.

    Raises:
        LedgerError: An event is there with other content.
    """
    known = known_events(connection, (row["id"] for row in rows))
    new: dict[str, Row] = {}
    for row in rows:
        before = known.get(row["id"]) or new.get(row["id"])
        if before is not None and not _are_same(before, row):
            msg = f"event {row['id']} is there with other content: nothing was taken"
            raise LedgerError(msg)
        if before is None:
            new[row["id"]] = row
    return list(new.values())


def _are_same(one: Row, other: Row) -> bool:
    """Whether two rows are the same event; a record may have gone out without its notes."""
    if one == other:
        return True
    notes = {one.get("note"), other.get("note")}
    return "" in notes and {**one, "note": ""} == {**other, "note": ""}


def insert_rows(connection: sqlite3.Connection, rows: Sequence[Row]) -> None:
    """Insert whole events inside an open transaction; references are checked at its end."""
    connection.execute("PRAGMA defer_foreign_keys=ON")
    marks = ", ".join("?" * len(EVENT_COLUMNS))
    connection.executemany(
        f"INSERT INTO events ({', '.join(EVENT_COLUMNS)}) VALUES ({marks})",
        ([row[column] for column in EVENT_COLUMNS] for row in rows),
    )
    for kind, table in TABLE_OF_KIND.items():
        columns = ("event_id", *OWN_COLUMNS[kind])
        marks = ", ".join("?" * len(columns))
        connection.executemany(
            f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})",
            (
                [row["id"], *(row[column] for column in OWN_COLUMNS[kind])]
                for row in rows
                if row["kind"] == kind
            ),
        )
