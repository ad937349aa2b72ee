"""All events of a ledger as rows, whole: what export, merge and check work on."""

import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any

from scheduler.ledger.schema import RECORD_TABLES

TABLE_OF_KIND = {
    "pass": "passes",
    "reset": "resets",
    "round": "rounds",
    "setting": "settings",
    "withdrawal": "withdrawals",
}
EVENT_COLUMNS = ("id", "kind", "at_ms", "offset_minutes", "entry")
OWN_COLUMNS = {
    "pass": ("box", "coupling", "direction", "stroke", "fret", "notes", "tempo", "notes_per_beat",
             "clean", "errors", "fault", "note"),
    "reset": ("box", "coupling", "direction", "stroke", "fret"),
    "round": ("number", "items"),
    "setting": ("name", "value"),
    "withdrawal": ("target",),
}  # fmt: skip
"""The columns of each kind's own table, beside the event's id."""

assert set(TABLE_OF_KIND.values()) | {"events"} == set(RECORD_TABLES)  # noqa: S101

Row = dict[str, Any]


def all_events(connection: sqlite3.Connection) -> Iterator[Row]:
    """Every event with the columns of its kind, in the order of entry."""
    details: dict[str, dict[str, tuple[Any, ...]]] = {}
    for kind, table in TABLE_OF_KIND.items():
        columns = ", ".join(("event_id", *OWN_COLUMNS[kind]))
        rows = connection.execute(f"SELECT {columns} FROM {table}")
        details[kind] = {row[0]: row[1:] for row in rows}
    events = connection.execute(f"SELECT {', '.join(EVENT_COLUMNS)} FROM events ORDER BY seq")
    for values in events:
        row = dict(zip(EVENT_COLUMNS, values, strict=True))
        own = details[row["kind"]].get(row["id"])
        if own is not None:
            row |= zip(OWN_COLUMNS[row["kind"]], own, strict=True)
        yield row


def insert_rows(connection: sqlite3.Connection, rows: Sequence[Row]) -> None:
    """Insert whole events inside an open transaction; references are checked at its end."""
    connection.execute("PRAGMA defer_foreign_keys=ON")
    marks = ", ".join("?" * len(EVENT_COLUMNS))
    connection.executemany(
        f"INSERT INTO events ({', '.join(EVENT_COLUMNS)}) VALUES ({marks})",
        ([row[column] for column in EVENT_COLUMNS] for row in rows),
    )
    for kind, table in TABLE_OF_KIND.items():
        columns = OWN_COLUMNS[kind]
        marks = ", ".join("?" * (len(columns) + 1))
        connection.executemany(
            f"INSERT INTO {table} (event_id, {', '.join(columns)}) VALUES ({marks})",
            ([row["id"], *(row[c] for c in columns)] for row in rows if row["kind"] == kind),
        )
