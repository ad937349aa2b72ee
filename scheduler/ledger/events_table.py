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


def _selection() -> tuple[str, dict[str, int]]:
    """A query for every event beside its row in each table, and where each kind's row begins."""
    columns, joins, begins = [f"events.{column}" for column in EVENT_COLUMNS], "", {}
    for kind, table in TABLE_OF_KIND.items():
        begins[kind] = len(columns)
        columns += [f"{table}.{column}" for column in ("event_id", *OWN_COLUMNS[kind])]
        joins += f" LEFT JOIN {table} ON {table}.event_id = events.id"
    wanted = ":kind IS NULL OR events.kind = :kind"
    return f"SELECT {', '.join(columns)} FROM events{joins} WHERE {wanted} ORDER BY seq", begins


def all_events(connection: sqlite3.Connection, kind: str | None = None) -> Iterator[Row]:
    """Every event, or those of one kind, with the columns of its kind, in the order of entry.

    Raises:
        sqlite3.Error: The file can't be read.
        ValueError: An event is damaged.
    """
    query, begins = _selection()
    for values in connection.execute(query, {"kind": kind}):
        row = dict(zip(EVENT_COLUMNS, values, strict=False))
        own = begins.get(row["kind"])
        if own is None or values[own] is None:
            msg = f"event {row['id']} says nothing"
            raise ValueError(msg)
        row.update(zip(OWN_COLUMNS[row["kind"]], values[own + 1 :], strict=False))
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
