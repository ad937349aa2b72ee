"""Whatever is typed and whatever is in a file: an answer or one line, never a traceback."""

import csv
import io
import json
import os
import sqlite3
import tempfile
from contextlib import closing
from datetime import datetime
from functools import cache
from pathlib import Path
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from scheduler.cli import program
from scheduler.ledger.events import Correction, EventIds, FaultSaid, Withdrawal
from scheduler.ledger.events_table import TABLE_OF_KIND
from scheduler.ledger.logfile import COLUMNS
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fault
from scheduler.player.moments import moment_of
from tests.conftest import EXAMPLES, NOON
from tests.ledger.bulk import append

OPTIONS = {
    "setup": ["--frets", "--tuning", "--lowest-fret", "--notes-per-beat", "--floor-tempo",
              "--clean-of-ten", "--minutes", "--days", "--revisit", "--scale-length", "--json"],
    "today": ["--minutes", "--on", "--afresh", "--json"],
    "record": ["clean", "sloppy", "--tempo", "--errors", "--fault", "--second-try", "--sloppy",
               "--note", "--at", "--repeat", "--json"],
    "undo": ["--yes", "--json"],
    "redo": ["--json"],
    "calendar": ["--months", "--minutes", "--days", "--off", "--clean-of-ten", "--on", "--json"],
    "reset": ["--yes", "--json"],
    "item": ["--json"],
    "items": ["--weak", "--stale", "--ahead", "--clean", "--json"],
    "round": ["--next", "--weak", "--floor-tempo", "--yes", "--json"],
    "tab": ["--tempo", "--fingers"],
    "neck": ["--tempo"],
    "click": ["-o", "--item", "--tempo", "--notes"],
    "play": ["--minutes", "--bell"],
    "export": ["--format"],
    "import": ["--dry-run", "--same-player"],
    "merge": ["--same-player"],
    "backup": [],
    "check": ["--repair"],
}  # fmt: skip
LIKELY = [
    "3:asc:down:7",
    "1+2:any",
    "any",
    "2",
    "1-3",
    "all",
    "60",
    "0",
    "-1",
    "1e9",
    "nan",
    "7,9",
    "2/7",
    "mon-fri",
    "2026-11-30",
    "tomorrow",
    "+3",
    "19:30",
    "csv",
    "json",
    "ringing",
    "E2 A2 D3 G3 B3 E4",
    "0.9",
    "clean",
    "sloppy",
    "",
    "-",
    "--",
    "[bold]",
    "\x1b[2J",
    "x.mid",
]
TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=20)
BYTES_NOT_UTF_8 = st.characters(min_codepoint=0xDC80, max_codepoint=0xDCFF)
"""What Python makes of such bytes on the command line."""
TYPED = st.one_of(TEXT, st.text(st.one_of(BYTES_NOT_UTF_8, st.sampled_from(":0a/.-")), max_size=8))
FEW = settings(max_examples=max(5, EXAMPLES // 5))


class Player:
    """A player's folder for one example, with a session and a few passes."""

    def __init__(self, folder: str) -> None:
        self.folder = Path(folder)
        self.environment = {
            "HOME": folder, "XDG_DATA_HOME": folder, "UPNECK_NOW": NOON, "COLUMNS": "80",
        }  # fmt: skip

    def begin_with(self, ledger: bytes) -> None:
        """Put a ledger into its place."""
        place = self.folder / "upneck" / "upneck.db"
        place.parent.mkdir()
        place.write_bytes(ledger)

    def run(self, *words: str, stdin: str = "") -> tuple[int, str]:
        with patch.dict(os.environ, self.environment):
            before = Path.cwd()
            os.chdir(self.folder)
            try:
                done = CliRunner().invoke(program(), list(words), input=stdin)
            finally:
                os.chdir(before)
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise done.exception
        return done.exit_code, done.stderr


@cache
def a_ledger() -> bytes:
    """The file of a ledger with a session and a few passes."""
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        player.run("record", "1:any:down:1-4", "clean", "--tempo", "60")
        player.run("today")
        player.run("backup", "-o", "copy.db")
        return (Path(folder) / "copy.db").read_bytes()


@cache
def an_empty_ledger() -> bytes:
    """The file of a ledger that was just made."""
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        player.run("round")
        player.run("backup", "-o", "copy.db")
        return (Path(folder) / "copy.db").read_bytes()


def words_of(command: str) -> st.SearchStrategy[list[str]]:
    known = st.sampled_from([*OPTIONS[command], "--help"])
    return st.lists(st.one_of(known, st.sampled_from(LIKELY), TYPED), max_size=6)


@pytest.mark.parametrize("command", OPTIONS)
@FEW
@given(st.data())
def test_no_words_end_in_a_traceback(command: str, data: st.DataObject) -> None:
    words = data.draw(words_of(command))
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        player.begin_with(a_ledger())
        code, told = player.run(command, *words)

    assert code in {0, 1, 2}
    assert "Traceback" not in told
    assert code == 0 or told


FIELDS = st.one_of(st.sampled_from(LIKELY), TEXT)
TIMES = st.one_of(st.just("2026-11-20T19:30:00+01:00"), FIELDS)
ROWS = st.lists(
    st.tuples(TIMES, st.one_of(st.just("1:asc:down:1"), FIELDS), FIELDS, st.sampled_from("3456"),
              st.sampled_from("01x"), FIELDS, st.sampled_from(["", "sync", "dull"]), FIELDS),
    max_size=4,
)  # fmt: skip
VALUES = st.recursive(
    st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), TEXT,
              st.sampled_from(["pass", "reset", "round", "setting", "withdrawal"])),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(TEXT, inner, max_size=3)),
    max_leaves=8,
)  # fmt: skip
EVENTS = st.lists(
    st.dictionaries(
        st.sampled_from(["id", "kind", "at", "entry", "item", "tempo", "clean", "errors", "name",
                         "value", "target", "number", "items", "notes", "note", "fault"]),
        VALUES, max_size=14,
    ),
    max_size=4,
)  # fmt: skip


ANY_STRING = st.text(st.characters(), max_size=12)
"""Halves of surrogate pairs too, which JSON's escapes may tell."""
ODD = st.one_of(
    VALUES, ANY_STRING,
    st.sampled_from([float("nan"), 2**63, -1, 1e308, 7, 199, 400, "60", "none", "5+1:asc:up:36",
                     "9999-12-31T23:59:59-23:59", "1970-01-01T00:00:01+00:00",
                     "0001-01-02T00:00:00+00:00", "2026-11-25T12:00:00.123456+23:59"]),
)  # fmt: skip


@FEW
@given(ROWS, TEXT)
def test_no_log_ends_in_a_traceback(rows: list[tuple[str, ...]], rest: str) -> None:
    text = "\r\n".join([",".join(COLUMNS), *(",".join(row) for row in rows), rest])
    with tempfile.TemporaryDirectory() as folder:
        code, told = Player(folder).run("import", "-", stdin=text)

    assert code in {0, 1}
    assert "Traceback" not in told


@FEW
@given(st.one_of(EVENTS, VALUES))
def test_no_record_ends_in_a_traceback(events: object) -> None:
    text = json.dumps({"format": "upneck record", "version": 1, "events": events})
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        code, told = player.run("import", "-", stdin=text)
        assert player.run("check")[0] == 0

    assert code in {0, 1}
    assert "Traceback" not in told


def works(player: Player) -> None:
    """Assert that the commands that read find nothing wrong."""
    for words in ("check", "today", "calendar --json", "setup", "export"):
        assert player.run(*words.split())[0] == 0, words


def is_taken_whole_or_refused(text: str, table: str, number: int) -> None:
    """Assert that so many rows of a table come in, or none, and that all goes on working."""
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        player.begin_with(an_empty_ledger())
        code, told = player.run("import", "-", stdin=text)
        works(player)
        with closing(sqlite3.connect(player.folder / "upneck" / "upneck.db")) as ledger:
            (found,) = ledger.execute(f"SELECT count(*) FROM {table}").fetchone()

    assert code in {0, 1}
    assert "Traceback" not in told
    assert found == (0 if code else number)


@pytest.mark.slow
@FEW
@given(st.integers(0, len(COLUMNS) - 1), st.one_of(FIELDS, ODD.map(str)))
def test_a_log_with_one_odd_field_is_taken_whole_or_refused(place: int, odd: str) -> None:
    rows = [
        ["2026-11-20T19:30:00+01:00", "1:asc:down:1", "60", "3", "0", "2", "sync", "a note"],
        ["2026-11-21T19:30:00+01:00", "2+3:desc:up:4", "66", "3", "1", "0", "", ""],
    ]
    rows[0][place] = odd
    text = io.StringIO(newline="")
    csv.writer(text).writerows([COLUMNS, *rows])
    is_taken_whole_or_refused(text.getvalue(), "passes", len(rows))


ID = EventIds(moment_of(datetime.fromisoformat(NOON)).utc_ms)


@cache
def whole_record() -> str:
    """Events of every kind, as they are exported."""
    with tempfile.TemporaryDirectory() as folder:
        player = Player(folder)
        player.run("record", "1:any:down:1-2", "sloppy", "--tempo", "60", "--fault", "sync")
        player.run("setup", "--minutes", "15")
        player.run("reset", "1:asc:down:1", "--yes")
        player.run("undo")
        player.run("round", "--next", "--weak", "--yes")
        with closing(Ledger(player.folder / "upneck" / "upneck.db")) as ledger:
            played = next(ledger.passes())
            append(ledger, [FaultSaid(ID.next(), played.moment, played.id, Fault.SYNC)])
            append(ledger, [Withdrawal(ID.next(), played.moment, played.id)])
            earlier = played.moment.utc_ms - 60_000
            append(ledger, [Correction(ID.next(), played.moment, played.id, earlier)])
        player.run("export", "--format", "json", "-o", "record.json")
        return (Path(folder) / "record.json").read_text(encoding="utf-8")


@pytest.mark.slow
@FEW
@given(st.data())
def test_a_record_with_one_odd_value_is_taken_whole_or_refused(data: st.DataObject) -> None:
    events = json.loads(whole_record())["events"]
    assert {event["kind"] for event in events} == set(TABLE_OF_KIND)
    event = data.draw(st.sampled_from(events))
    name = data.draw(st.sampled_from(sorted(event)))
    others = [other[name] for other in events if name in other]
    event[name] = data.draw(st.one_of(ODD, st.sampled_from(others)))
    text = json.dumps({"format": "upneck record", "version": 1, "events": events})
    is_taken_whole_or_refused(text, "events", len(events))
