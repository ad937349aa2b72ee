"""Bad input: one line on stderr with what is wrong and what would be right, nothing recorded."""

import sqlite3
from pathlib import Path

import pytest

from tests.conftest import Run

WRONG_USAGE = [
    (["record", "6:asc:down:7", "clean"], "boxes are 1 to 5"),
    (["record", "3:asd:down:7", "clean"], "did you mean asc"),
    (["record", "3:asc:don:7", "clean"], "did you mean down"),
    (["record", "3:asc:down:35", "clean"], "lies at frets"),
    (["record", "1+3:asc:down:7", "clean"], "here 1+2"),
    (["record", "", "clean"], "empty pattern"),
    (["record", "3-", "clean"], "blocks are written"),
    (["record", "1,,3", "clean"], "blocks are written"),
    (["record", "3:asc:down:7", "cleen", "--tempo", "60"], "did you mean clean"),
    (["record", "3:asc:down:7", "clean", "--tempo", "19"], "20 to 400"),
    (["record", "3:asc:down:7", "clean", "--tempo", "401"], "20 to 400"),
    (["record", "3:asc:down:7", "clean", "--tempo", "fast"], "a number"),
    (["record", "3:asc:down:7", "clean", "--tempo", "nan"], "a number"),
    (["record", "3:asc:down:7", "clean", "--tempo", "60", "--at", "2027-01-01"], "future"),
    (["record", "3:asc:down:7", "clean", "--tempo", "60", "--at", "soon"], "write it as"),
    (["record", "3:asc:down:7", "clean", "--tempo", "60", "--errors", "2"], "sloppy passes"),
    (["record", "3:asc:down:7", "sloppy", "--tempo", "60", "--errors", "0"], "1 to 999"),
    (["record", "3:asc:down:7", "sloppy", "--tempo", "60", "--errors", "-3"], "1 to 999"),
    (["record", "3:asc:down:7", "sloppy", "--tempo", "60", "--fault", "synk"], "did you mean sync"),
    (["record", "3:asc:down:7", "clean", "--tempo", "60", "--second-try", "8"], "fret 8 left"),
    (["record", "3:asc:down:7", "sloppy", "--tempo", "60", "--errors", "9" * 5000], "1 to 999"),
    (["record", "1", "clean", "--to", "9" * 5000], "--to names the last fret"),
    (["diary", "--take-back", "9" * 5000], "takes the number of a line"),
    (["calendar", "--months", "9" * 5000], "0 to 60"),
    (["record", "3:any:down:7-9", "clean", "--tempo", "60", "--second-try", "8", "--sloppy", "8"],
     "in --second-try and in --sloppy"),
    (["record", "3:asc:down:7", "clean", "--tempo", "60", "--note", "x" * 501], "500 characters"),
    (["item", "3:asc:down"], "more than one item"),
    (["items", "7"], "no box"),
    (["items", "1:asc:down:30"], "no position"),
    (["reset", "3"], "more than one item"),
    (["today", "--minutes", "0"], "1 to 720"),
    (["today", "--minutes", "-20"], "1 to 720"),
    (["today", "--minutes", "721"], "1 to 720"),
    (["today", "--minutes", "twenty"], "a number"),
    (["today", "--on", "tomorow"], "did you mean tomorrow"),
    (["calendar", "--months", "-1"], "0 to 60"),
    (["calendar", "--off", "2026-12-27..2026-12-24"], "backwards"),
    (["calendar", "--days", "funday"], "no weekday"),
    (["calendar", "--clean-of-ten", "15"], "5 to 9.9"),
    (["setup", "--tuning", "E2 A2 D3 G3 B3 H4"], "no note 'H4'"),
    (["setup", "--tuning", "E2 A2 D3 G3 B3 E3"], "goes down at E3"),
    (["setup", "--tuning", "E2 A2"], "3 to 9 strings"),
    (["setup", "--tuning", "G2 D3 A3 E4"], "covers 10 frets"),
    (["setup", "--frets", "11"], "12 to 48"),
    (["setup", "--frets", "49"], "12 to 48"),
    (["setup", "--floor-tempo", "10"], "20 to 400"),
    (["round", "--floor-tempo", "500"], "20 to 400"),
    (["tody"], "Did you mean"),
    (["today", "--minuts", "5"], "--minutes"),
    (["record"], "Missing argument"),
    (["undo", "everything"], "unexpected extra argument"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "hint"), WRONG_USAGE, ids=[" ".join(w)[:60] for w, _ in WRONG_USAGE]
)
def test_wrong_usage_is_told_in_one_line(
    run: Run, ledger_file: Path, words: list[str], hint: str
) -> None:
    done = run(*words)

    assert done.code == 2
    assert done.out == ""
    assert done.err.count("\n") == 1
    assert done.err.startswith("upneck: ")
    assert hint in done.err
    if ledger_file.exists():
        with sqlite3.connect(ledger_file) as ledger:
            assert ledger.execute("SELECT count(*) FROM events").fetchone() == (0,)
        ledger.close()


def test_a_block_without_a_session_says_how_to_plan_one(run: Run) -> None:
    done = run("record", "2", "clean")

    assert done.code == 1
    assert "upneck today" in done.err


def test_a_block_that_is_not_there_says_which_are(run: Run) -> None:
    run("today")

    assert "blocks 1 to 5" in run("record", "9", "clean").err
    assert "blocks 1 to 5" in run("record", "0", "clean").err


@pytest.mark.parametrize("command", ["today", "calendar", "round", "items", "undo"])
def test_a_file_that_is_no_ledger_is_left_untouched(run: Run, tmp_path: Path, command: str) -> None:
    path = tmp_path / "diary.txt"
    path.write_text("dear diary\n" * 200)
    done = run("--ledger", str(path), command)

    assert done.code == 1
    assert done.err.count("\n") == 1
    assert "not a ledger" in done.err
    assert path.read_text() == "dear diary\n" * 200


def test_a_clock_that_is_no_time_is_told(run: Run) -> None:
    assert run("today", at="noonish").code == 2
