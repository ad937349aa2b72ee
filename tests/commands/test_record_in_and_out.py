"""The record there and back, two ledgers merged, backups, checks."""

import csv
import io
import json
import os
import sqlite3
import subprocess
from pathlib import Path
from sys import executable
from typing import Any

import pytest

from tests.commands.test_screen import environment
from tests.conftest import Run, another

NOTES = [
    "plain", "=SUM(A1)", "'quoted", "'=x", "''=y", "-1", "@me", "+", 'a,b "c"',
    "ünïcødé ♯", "'",
]  # fmt: skip


def fill(run: Run) -> None:
    """A bit of everything."""
    run("setup", "--minutes", "25", "--floor-tempo", "54")
    for number, note in enumerate(NOTES):
        run("record", f"2:any:down:{number + 1}", "sloppy", "--tempo", "57.5", "--errors", "2",
            "--fault", "sync", "--note", note)  # fmt: skip
    run("record", "1:any:any:3-9", "clean", "--tempo", "60")
    run("record", "1:any:any:3-9", "clean", "--tempo", "60")
    run("reset", "1:asc:down:3", "--yes")
    run("record", "3:any:any:4", "clean", "--tempo", "60", "--at", "2026-11-20T19:30:00+05:30")
    run("undo")
    run("round", "--next", "--yes")
    run("record", "1:desc:down:1", "sloppy", "--tempo", "54")


def everything(run: Run, *ledger: str) -> object:
    return [run(*ledger, *words).out for words in (
        ["round", "--json"], ["items", "any", "--json"], ["calendar", "--json"],
        ["item", "2:desc:down:2", "--json"], ["setup", "--json"],
    )]  # fmt: skip


def test_the_whole_record_goes_out_and_comes_back_without_loss(run: Run, tmp_path: Path) -> None:
    fill(run)
    before = everything(run)
    out = run("export", "--format", "json").out
    file, other = tmp_path / "record.json", another(run, tmp_path / "other.db")
    file.write_text(out, encoding="utf-8")
    taken = run(*other, "import", str(file))

    assert "0 already there" in taken.out
    assert everything(run, *other) == before
    assert run(*other, "export", "--format", "json").out == out
    again = run(*other, "import", str(file))
    assert again.out.startswith("0 imported")


def test_passes_go_out_as_rfc_4180_and_come_back(run: Run, tmp_path: Path) -> None:
    """Source: RFC 4180, section 2: CRLF, quotes doubled, the same number of fields a line."""
    fill(run)
    file = tmp_path / "log.csv"
    run("export", "-o", str(file))
    data = file.read_bytes()
    lines = io.StringIO(data.decode(), newline="")
    rows = list(csv.reader(lines, strict=True))

    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert {len(row) for row in rows} == {8}
    assert not [row[7] for row in rows if row[7][:1] in set("=+-@")]
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(file))
    notes = [run(*other, "item", f"2:{d}:down:{n + 1}", "--json").json["passes"][0]["note"]
             for n, d in ((n, "desc" if n % 2 else "asc") for n in range(len(NOTES)))]  # fmt: skip
    assert notes == NOTES
    assert run(*other, "export").out == run("export").out


def test_importing_a_log_twice_or_into_its_own_ledger_changes_nothing(
    run: Run, tmp_path: Path
) -> None:
    fill(run)
    file = tmp_path / "log.csv"
    run("export", "-o", str(file))
    own = run("import", str(file))
    other = another(run, tmp_path / "other.db")
    first, second = run(*other, "import", str(file)), run(*other, "import", str(file))

    assert own.out.startswith("0 imported")
    assert first.out.split()[0] == second.out.split()[2]
    assert second.out.startswith("0 imported")


BAD_LINES = [
    ("2026-11-20T19:30:00,1:asc:down:1,60,3,1,0,,", "no time zone"),
    ("2026-11-20T19:30:00+01:00,9:asc:down:1,60,3,1,0,,", "no box"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,600,3,1,0,,", "20 to 400"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,60,5,1,0,,", "1, 2, 3, 4 or 6"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,60,3,yes,0,,", "1 or 0"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,60,3,1,4,,", "errors"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,60,3,0,4,dull,", "fault"),
    ("soon,1:asc:down:1,60,3,1,0,,", "no time 'soon'"),
    ("2026-11-26T12:00:01+01:00,1:asc:down:1,60,3,1,0,,", "in the future"),
    ("1970-11-26T12:00:01+01:00,1:asc:down:1,60,3,1,0,,", "1971 to 2200"),
    (f"2026-11-20T19:30:00+01:00,1:asc:down:1,60,3,1,0,,{'x' * 501}", "500"),
    ("2026-11-20T19:30:00+01:00,1:asc:down:1,60,3,1,0", "fields"),
]


@pytest.mark.parametrize(("line", "reason"), BAD_LINES)
def test_one_wrong_line_refuses_the_whole_log_with_its_number(
    run: Run, tmp_path: Path, line: str, reason: str
) -> None:
    file = tmp_path / "log.csv"
    good = "2026-11-20T19:00:00+01:00,1:asc:down:1,60,3,1,0,,"
    head = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"
    file.write_text(f"{head}\r\n{good}\r\n{line}\r\n{good}\r\n")
    done = run("import", str(file))

    assert done.code == 1
    assert "line 3: " in done.err
    assert reason in done.err
    assert "1 line is wrong, 2 right; nothing was taken" in done.err
    assert run("export").out.count("\n") == 1


@pytest.mark.parametrize(
    "change",
    [
        {"kind": "dream"}, {"at": "2026-01-01T00:00:00"}, {"tempo": 900},
        {"clean": True, "errors": 3},
        {"item": "9:asc:down:1"}, {"id": "short"}, {"notes": 2**70}, {"tempo": None},
        {"note": "half of a pair: \ud800"}, {"item": 3.5},
        {"kind": "setting", "name": "floor_tempo", "value": "quick"},
        {"kind": "setting", "name": "notes_per_beat", "value": "3.0"},
        {"kind": "setting", "name": "minutes", "value": 20},
        {"kind": "round", "number": 2, "items": "1:asc:down:1 0"},
    ],
    ids=str,
)  # fmt: skip
def test_one_wrong_event_refuses_the_whole_record(
    run: Run, tmp_path: Path, change: dict[str, object]
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("record", "1:desc:down:2", "sloppy", "--tempo", "60")
    whole = json.loads(run("export", "--format", "json").out)
    whole["events"][1] |= change
    file, other = tmp_path / "record.json", another(run, tmp_path / "other.db")
    file.write_text(json.dumps(whole))
    done = run(*other, "import", str(file))

    assert done.code == 1
    assert "Traceback" not in done.err
    assert run(*other, "export").out.count("\n") == 1


def test_a_dry_run_takes_nothing(run: Run, tmp_path: Path) -> None:
    fill(run)
    file, other = tmp_path / "record.json", another(run, tmp_path / "other.db")
    run("export", "--format", "json", "-o", str(file))
    done = run(*other, "import", str(file), "--dry-run")

    assert "would be imported" in done.out
    assert run(*other, "export").out.count("\n") == 1


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        (["import", "nowhere.csv"], "can't be read"),
        (["export", "--format", "xml"], "csv or json"),
        (["merge", "nowhere.db"], "no such file"),
    ],
)
def test_files_that_are_not_there_are_told(run: Run, words: list[str], hint: str) -> None:
    done = run(*words)

    assert done.code in {1, 2}
    assert hint in done.err
    assert done.err.count("\n") == 1


RUBBISH = [
    b"\xff\xfe\x00", b"{", b"{}", b'{"format": "upneck record"}', b"", b'"unclosed', b"[" * 100_000,
]  # fmt: skip


@pytest.mark.parametrize("content", RUBBISH)
def test_files_of_rubbish_are_refused_in_words(run: Run, tmp_path: Path, content: bytes) -> None:
    file = tmp_path / "rubbish"
    file.write_bytes(content)
    done = run("import", str(file))

    assert done.code == 1
    assert "Traceback" not in done.err


def test_two_ledgers_merge_to_the_same_in_any_order_and_any_number_of_times(
    run: Run, tmp_path: Path
) -> None:
    a, b, c = (another(run, tmp_path / f"{name}.db") for name in "abc")
    run(*a, "record", "1:any:down:1-9", "clean", "--tempo", "60")
    run(*a, "setup", "--minutes", "15", at="2026-11-25T13:00:00+01:00")
    run(*b, "record", "2:any:down:1-9", "sloppy", "--tempo", "60", at="2026-11-24T12:00:00+01:00")
    run(*b, "setup", "--minutes", "30", at="2026-11-25T14:00:00+01:00")
    run(*c, "record", "3:any:down:5", "clean", "--tempo", "66", at="2026-11-23T12:00:00+01:00")
    run(*c, "undo")
    before = Path(b[1]).read_bytes()
    first = run(*a, "merge", b[1], "--same-player")
    assert Path(b[1]).read_bytes() == before
    run(*a, "merge", c[1], "--same-player")
    run(*b, "merge", c[1], "--same-player")
    run(*b, "merge", a[1], "--same-player")
    run(*b, "merge", a[1], "--same-player")

    assert "minutes was changed in both: 30, the other ledger's, is later and stands" in first.out
    assert everything(run, *a) == everything(run, *b)
    assert run(*a, "setup", "--json").json["minutes"] == 30


def test_two_necks_that_no_box_fits_on_together_leave_a_ledger_that_works(
    run: Run, tmp_path: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    run("setup", "--lowest-fret", "12")
    run(*other, "setup", "--frets", "12", "--minutes", "35", at="2026-11-25T13:00:00+01:00")
    merged = run("merge", other[1], "--same-player")
    settings = run("setup", "--json").json
    mended = run("setup", "--lowest-fret", "1")

    assert (merged.code, merged.err.count("\n")) == (0, 1)
    assert "frets 12" in merged.err
    assert (settings["lowest_fret"], settings["frets"], settings["minutes"]) == (12, 22, 35)
    assert "frets 12" in mended.err
    assert run("setup", "--json").json["frets"] == 12
    assert run("round").err == ""


def test_what_is_no_ledger_is_not_merged(run: Run, tmp_path: Path) -> None:
    text = tmp_path / "diary.txt"
    text.write_text("dear diary\n" * 100)

    assert run("merge", str(text)).code == 1
    assert text.read_text() == "dear diary\n" * 100


def test_a_backup_is_a_whole_ledger(run: Run, tmp_path: Path) -> None:
    fill(run)
    path = tmp_path / "copy.db"
    run("backup", "-o", str(path))
    with sqlite3.connect(path) as copy:
        assert copy.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    copy.close()

    assert everything(run, "--ledger", str(path)) == everything(run)
    assert run("backup", "-o", str(path)).code == 1
    assert run("backup", "-o", str(path), "--force").code == 0


def test_the_last_five_of_its_own_backups_are_kept(run: Run, ledger_file: Path) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    for minute in range(8):
        run("reset", "1:asc:down:1", "--yes", at=f"2026-11-25T13:{minute:02d}:00+01:00")
    kept = sorted((ledger_file.parent / "backups").iterdir())

    assert len(kept) == 5
    assert [path.name for path in kept] == [f"upneck-b{n:06d}-reset.db" for n in range(4, 9)]
    assert kept[-1].stat().st_mode & 0o777 == 0o600


def test_check_tells_what_is_wrong_and_repair_builds_it_again(run: Run, ledger_file: Path) -> None:
    fill(run)
    run("record", "4:any:any:any", "clean", "--tempo", "57")
    run("record", "5:any:any:any", "sloppy", "--tempo", "63")
    assert "in order" in run("check").out
    with sqlite3.connect(ledger_file) as ledger:
        ledger.execute("UPDATE checkpoints SET body = replace(body, '3.0', '4.0')")
    ledger.close()
    wrong = run("check")

    assert wrong.code == 1
    assert "upneck check --repair" in wrong.out
    assert run("check", "--repair").code == 0
    assert "in order" in run("check").out


def test_a_log_may_begin_with_a_mark_and_hold_blank_lines(run: Run) -> None:
    head = "\ufeffplayed_at,item,tempo,notes_per_beat,clean,errors,fault,note"
    line = "2026-11-20T19:30+01:00,1:asc:down:1,60,3,1,0,,"

    assert "1 imported" in run("import", "-", stdin=f"{head}\n\n{line}\n\n\n").out
    assert "standard input: 1 line is wrong" in run("import", "-", stdin="nothing\n").err


def test_what_is_written_goes_through_links_and_into_pipes_and_devices(
    home: Path, run: Run
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    text = run("export").out
    target, link, pipe = home / "target.csv", home / "link.csv", home / "pipe"
    target.write_text("before")
    link.symlink_to(target)
    os.mkfifo(pipe)
    reader = subprocess.Popen(["cat", str(pipe)], stdout=subprocess.PIPE)
    into_pipe = run("export", "-o", str(pipe))
    full = run("export", "-o", "/dev/full")
    with Path("/dev/full").open("wb") as nowhere:
        screen = subprocess.run(
            [executable, "-m", "scheduler", "today"], env=environment(home), stdout=nowhere,
            stderr=subprocess.PIPE, check=False,
        )  # fmt: skip

    assert run("export", "-o", str(link)).code == 1
    assert run("export", "-o", str(link), "--force").code == 0
    assert link.is_symlink()
    assert target.read_text() == text
    assert into_pipe.code == 0
    assert reader.communicate()[0].decode().replace("\r\n", "\n") == text
    assert (full.code, full.err) == (
        1, "upneck: /dev/full can't be written: No space left on device\n"
    )  # fmt: skip
    assert Path("/dev/full").is_char_device()
    assert (screen.returncode, screen.stderr) == (1, b"upneck: No space left on device\n")
    assert run("backup", "-o", "/dev/full", "--force").code == 1


def test_another_tool_reads_what_was_exported(run: Run, ledger_file: Path) -> None:
    """Source: Python's own sqlite3 and csv, strict."""
    fill(run)
    rows = list(csv.DictReader(run("export").out.splitlines(), strict=True))
    with sqlite3.connect(ledger_file) as ledger:
        (count,) = ledger.execute("SELECT count(*) FROM pass_log").fetchone()
    ledger.close()

    assert count == len(rows)


def test_what_was_played_elsewhere_is_done_in_todays_session(run: Run, tmp_path: Path) -> None:
    planned = json.loads(run("today", "--json").out)["blocks"][0]["items"]
    clean, sloppy, thrice = (each["item"] for each in planned[:3])
    other = another(run, tmp_path / "other.db")
    (tmp_path / "mine.json").write_text(run("export", "--format", "json").out, encoding="utf-8")
    run(*other, "import", str(tmp_path / "mine.json"))
    run(*other, "record", clean, "clean", "--tempo", "40")
    run(*other, "record", sloppy, "sloppy", "--tempo", "40")
    for _ in range(3):
        run(*other, "record", thrice, "sloppy", "--tempo", "40")
    theirs = tmp_path / "theirs.json"
    theirs.write_text(run(*other, "export", "--format", "json").out, encoding="utf-8")

    run("import", "--dry-run", str(theirs))
    assert not any(each["done"] for each in done_in(run))
    taken = run("import", "--same-player", str(theirs))
    assert taken.code == 0, taken.err
    assert {each["item"] for each in done_in(run) if each["done"]} == {clean, thrice}
    run("undo")
    assert not any(each["done"] for each in done_in(run))


def done_in(run: Run) -> list[dict[str, Any]]:
    blocks = json.loads(run("today", "--json").out)["blocks"]
    return [item for block in blocks for item in block["items"]]


def test_only_what_came_is_ticked_off_and_an_undo_takes_that_back(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "b.db")
    mine = str(tmp_path / "mine.json")
    run("setup", "--plays-clean", "100")
    run("today")
    run("record", "1", "clean")
    before = done_in(run)
    run("export", "--format", "json", "-o", mine)
    run(*other, "import", mine)
    run(*other, "record", "5+1:desc:up:3", "clean", "--tempo", "50")
    run("merge", str(tmp_path / "b.db"))
    # The warm-up's items are in the next block too: what was played here ticks off nothing more.
    assert done_in(run) == before
    run(*other, "record", before[-1]["item"], "clean", "--tempo", "20")
    run("merge", str(tmp_path / "b.db"))
    # Too slow for new ground.
    assert done_in(run) == before
    run(*other, "record", before[-1]["item"], "clean", "--tempo", "100")
    run("merge", str(tmp_path / "b.db"))
    assert [each["done"] for each in done_in(run)][-1]
    run("undo")
    assert done_in(run) == before


def test_a_whole_session_played_elsewhere_is_done(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "b.db")
    for words in ([], [*other]):
        run(*words, "setup", "--plays-clean", "100")
    planned = run("today", "--json").json["blocks"]
    assert run(*other, "today", "--json").json["blocks"] == planned
    run(*other, "record", "all", "clean")
    assert run("merge", str(tmp_path / "b.db"), "--same-player").code == 0

    assert all(each["done"] for each in done_in(run))
    assert run("record", "all", "clean").code == 1


def test_no_file_is_written_over_a_ledger(run: Run, ledger_file: Path) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    done = run("export", "-o", str(ledger_file), "--force")
    assert done.code == 1
    assert "is a ledger: name another file" in done.err
    for words in (["report"], ["sheet"], ["stand"], ["players"]):
        done = run(*words, "-o", str(ledger_file), "--force")

        assert done.code == 2
        assert "a page is written as .html" in done.err
    named_so = ledger_file.with_suffix(".html")
    named_so.write_bytes(ledger_file.read_bytes())
    assert "is a ledger: name another file" in run("report", "-o", str(named_so), "--force").err
    assert run("round", "--json").json["items_clean"] == 1
