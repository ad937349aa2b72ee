"""A wrong row can't get in by any door, and nothing recorded can be changed."""

import sqlite3
import stat
from collections.abc import Iterator
from pathlib import Path
from subprocess import Popen
from sys import executable

import pytest

from scheduler.errors import LedgerError
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.ledger.acts import Act
from scheduler.ledger.events import EventIds, row_of
from scheduler.ledger.events_table import EVENT_COLUMNS, OWN_COLUMNS, Row
from scheduler.ledger.record import Ledger
from scheduler.ledger.schema import SCHEMA_VERSION
from scheduler.player.facts import Pass
from scheduler.player.moments import Moment
from tests.ledger.bulk import append

NOW = Moment(1_764_000_000_000, 60)


def a_pass(address: str = "1:asc:down:5") -> Pass:
    ids = EventIds(NOW.utc_ms)
    return Pass(
        ids.next(), NOW, parse_address(address), 24, BeatsPerMinute(60), 3, clean=True, errors=0
    )


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "folder" / "ledger.db"


@pytest.fixture
def raw(path: Path) -> Iterator[sqlite3.Connection]:
    """A ledger with one pass, opened by another door than the program's."""
    ledger = Ledger(path)
    append(ledger, [a_pass()])
    ledger.close()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA foreign_keys=ON")
    yield connection
    connection.close()


PASS = {
    "event_id": "E", "kind": "pass", "box": 1, "coupling": 0, "direction": "asc",
    "stroke": "down", "fret": 5, "notes": 24, "tempo": 60, "notes_per_beat": 3, "clean": 1,
    "errors": 0, "fault": None, "note": "",
}  # fmt: skip


@pytest.mark.parametrize(
    "wrong",
    [
        {"box": 13}, {"box": 0}, {"coupling": 13}, {"coupling": 1}, {"routine": "x" * 21},
        {"direction": "up"}, {"stroke": "asc"},
        {"fret": 49}, {"fret": -1}, {"notes": 0}, {"tempo": 19}, {"tempo": 401}, {"tempo": None},
        {"notes_per_beat": 5}, {"clean": 2}, {"errors": 1}, {"errors": None},
        {"clean": 0, "errors": 0}, {"clean": 0, "errors": 1000}, {"fault": "ringing"},
        {"clean": 0, "errors": None, "fault": "dull"}, {"note": "x" * 501}, {"kind": "reset"},
        {"event_id": "nobody"}, {"box": "one"},
    ],
    ids=str,
)  # fmt: skip
def test_a_wrong_pass_is_refused(raw: sqlite3.Connection, wrong: dict[str, object]) -> None:
    event_id = "0" * 36
    raw.execute(
        "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) VALUES (?, 'pass', 1, 0, ?)",
        [event_id, event_id],
    )
    row = {**PASS, "event_id": event_id, **wrong}
    sql = f"INSERT INTO passes ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})"

    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(sql, list(row.values()))


def test_the_right_pass_beside_them_is_taken(raw: sqlite3.Connection) -> None:
    event_id = "0" * 36
    raw.execute(
        "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) VALUES (?, 'pass', 1, 0, ?)",
        [event_id, event_id],
    )
    row = {**PASS, "event_id": event_id}
    sql = f"INSERT INTO passes ({', '.join(row)}) VALUES ({', '.join('?' * len(row))})"

    assert raw.execute(sql, list(row.values())).rowcount == 1


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE events SET at_ms = 5",
        "DELETE FROM passes",
        "UPDATE passes SET clean = 0",
        "DELETE FROM events",
        "INSERT OR REPLACE INTO passes SELECT * FROM passes",
        "INSERT OR REPLACE INTO events SELECT * FROM events",
        (
            "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) "
            "VALUES ('x', 'pass', 1, 0, 'x')"
        ),
        "INSERT INTO withdrawals (event_id, target) SELECT event_id, event_id FROM passes",
    ],
)
def test_nothing_recorded_can_be_changed(raw: sqlite3.Connection, sql: str) -> None:
    with pytest.raises(sqlite3.IntegrityError):
        raw.execute(sql)


def test_only_the_owner_may_read_the_file(raw: sqlite3.Connection, path: Path) -> None:
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert raw.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_a_newer_ledger_is_left_alone(raw: sqlite3.Connection, path: Path) -> None:
    raw.execute(f"PRAGMA user_version={SCHEMA_VERSION + 1}")
    raw.close()
    before = path.read_bytes()

    with pytest.raises(LedgerError, match="newer upneck"):
        Ledger(path)
    assert path.read_bytes() == before


def test_another_programs_database_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.db"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE things (name)")
    other.close()
    before = path.read_bytes()

    with pytest.raises(LedgerError, match="another program"):
        Ledger(path)
    assert path.read_bytes() == before


def test_a_text_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("my practice diary\n" * 100)

    with pytest.raises(LedgerError, match="not a ledger"):
        Ledger(path)
    assert path.read_text() == "my practice diary\n" * 100


def test_a_folder_is_no_ledger(tmp_path: Path) -> None:
    with pytest.raises(LedgerError, match="folder"):
        Ledger(tmp_path)


def test_a_ledger_with_only_the_first_migration_is_brought_up_to_date(path: Path) -> None:
    from sqlite_utils import Database

    from scheduler.ledger import schema
    from scheduler.ledger.opening import APPLICATION_ID

    path.parent.mkdir()
    connection = sqlite3.connect(path)
    schema.migrations.apply(Database(connection, execute_plugins=False), stop_before="m002_derived")
    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    connection.execute("PRAGMA user_version=1")
    connection.commit()
    connection.close()

    ledger = Ledger(path)
    append(ledger, [a_pass()])

    assert len(ledger.facts()) == 1
    assert ledger.db.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
    assert ledger.db.execute("SELECT count(*) FROM checkpoints").fetchone() == (0,)
    ledger.close()


def test_four_programs_may_make_the_ledger_at_once(path: Path) -> None:
    code = (
        "from pathlib import Path; from scheduler.ledger.record import Ledger; "
        f"Ledger(Path({str(path)!r})).close()"
    )
    started = [Popen([executable, "-c", code]) for _ in range(4)]

    assert [process.wait() for process in started] == [0, 0, 0, 0]


def test_another_tool_reads_the_log_as_a_view(raw: sqlite3.Connection) -> None:
    rows = raw.execute("SELECT played_at_local, item, tempo, clean FROM pass_log").fetchall()

    assert rows == [("2025-11-24T17:00:00", "1:asc:down:5", 60.0, 1)]


def insert_before_routines(connection: sqlite3.Connection, rows: list[Row]) -> None:
    """Passes as the versions before 6 kept them: `coupling` was 1 for any, and no routine."""
    for row in rows:
        own = {name: row[name] for name in OWN_COLUMNS["pass"] if name != "routine"}
        own |= {"event_id": row["id"], "coupling": int(row["coupling"] > 0)}
        for table, values in (
            ("events", {name: row[name] for name in EVENT_COLUMNS}), ("passes", own),
        ):  # fmt: skip
            connection.execute(
                f"INSERT INTO {table} ({', '.join(values)}) "
                f"VALUES ({', '.join('?' * len(values))})",
                list(values.values()),
            )


def test_items_of_before_are_those_of_the_first_routine(path: Path) -> None:
    from sqlite_utils import Database

    from scheduler.ledger.opening import APPLICATION_ID
    from scheduler.ledger.schema import migrations

    addresses = ["1:asc:down:5", "1+2:desc:up:3", "5+1:asc:down:20"]
    passes = [a_pass(address) for address in addresses]
    path.parent.mkdir()
    connection = sqlite3.connect(path)
    migrations.apply(Database(connection, execute_plugins=False), stop_before="m006_routines")
    insert_before_routines(connection, [row_of(played, played.id) for played in passes])
    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    connection.execute("PRAGMA user_version=5")
    connection.commit()
    connection.close()
    ledger = Ledger(path)

    assert sorted(played.item.address for played in ledger.passes()) == sorted(addresses)
    assert {row[0] for row in ledger.rows("SELECT item FROM pass_log")} == set(addresses)
    with pytest.raises(LedgerError), ledger.writing():
        ledger.db.execute("UPDATE passes SET clean = 0")
    ledger.close()


def test_a_copy_that_version_4_withdrew_counts_again_when_the_recorded_pass_is_taken_back(
    path: Path,
) -> None:
    from sqlite_utils import Database

    from scheduler.ledger.acts import undo_act
    from scheduler.ledger.check import problems_of
    from scheduler.ledger.logfile import log_lines, parse_log
    from scheduler.ledger.opening import APPLICATION_ID
    from scheduler.ledger.same_pass import rows_of_log
    from scheduler.ledger.schema import migrations

    played = a_pass()
    lines, _ = parse_log(log_lines([played]))
    (copy,), _ = rows_of_log(lines, [], 6)
    withdrawn = EventIds(NOW.utc_ms + 1000).next()
    path.parent.mkdir()
    connection = sqlite3.connect(path)
    migrations.apply(Database(connection, execute_plugins=False), stop_before="m005_copies")
    insert_before_routines(connection, [row_of(played, played.id), copy])
    connection.execute(
        "INSERT INTO events (id, kind, at_ms, offset_minutes, entry) "
        "VALUES (?, 'withdrawal', ?, 60, ?)",
        [withdrawn, NOW.utc_ms + 1000, withdrawn],
    )
    connection.execute(
        "INSERT INTO withdrawals (event_id, target) VALUES (?, ?)", [withdrawn, copy["id"]]
    )
    connection.execute("INSERT INTO acts VALUES (1, 'record', 1, 60, 1, 1, NULL, 1)")
    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    connection.execute("PRAGMA user_version=4")
    connection.commit()
    connection.close()
    ledger = Ledger(path)
    later = Moment(NOW.utc_ms + 2000, 60)

    assert [each.id for each in ledger.passes()] == [played.id]
    assert problems_of(ledger, later) == []
    undo_act(ledger, Act(1, "record", Moment(1, 60), 1, 1, None), later)
    assert [each.id for each in ledger.passes()] == [copy["id"]]
    ledger.close()
