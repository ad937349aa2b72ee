"""Backups, copies, the place of the ledger, and what a player is asked before a file is made."""

import os
import pty
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from scheduler.ledger.events import unix_ms_of
from scheduler.ledger.schema import SCHEMA_VERSION
from tests.commands.test_screen import environment
from tests.conftest import Run

OLD_SCHEMA_STOP = "m004_acts"


def an_old_ledger(path: Path) -> None:
    """A ledger of the version before acts, with two passes, one of them withdrawn, and a plan."""
    from sqlite_utils import Database

    from scheduler.ledger.opening import APPLICATION_ID
    from scheduler.ledger.schema import migrations

    path.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(path)
    migrations.apply(Database(connection, execute_plugins=False), stop_before=OLD_SCHEMA_STOP)
    ids = [f"019ab000-000{n}-7000-8000-000000000000" for n in range(4)]
    for number, kind in enumerate(["pass", "pass", "withdrawal", "round"]):
        connection.execute(
            "INSERT INTO events VALUES (?, ?, ?, ?, 60, ?)",
            [number + 1, ids[number], kind, 1_763_900_000_000 + number, ids[number]],
        )
    for event_id in ids[:2]:
        connection.execute(
            "INSERT INTO passes VALUES (?, 'pass', 1, 0, 'asc', 'down', 5, 24, 60, 3, 1, 0, NULL, "
            "'old')",
            [event_id],
        )
    connection.execute("INSERT INTO withdrawals VALUES (?, 'withdrawal', ?)", [ids[2], ids[1]])
    connection.execute("INSERT INTO rounds VALUES (?, 'round', 2, '')", [ids[3]])
    connection.execute("INSERT INTO plans VALUES (1, 1, '{}')")
    connection.execute("INSERT INTO done VALUES (1, 1, ?)", [ids[0]])
    connection.execute(f"PRAGMA application_id={APPLICATION_ID}")
    connection.execute("PRAGMA user_version=3")
    connection.commit()
    connection.close()


def test_a_ledger_from_before_is_brought_up_to_date_and_keeps_all(
    run: Run, ledger_file: Path
) -> None:
    an_old_ledger(ledger_file)
    log = run("export").out
    (player,) = sqlite3.connect(ledger_file).execute("SELECT event_id FROM players").fetchall()

    assert log.count("old") == 1
    assert run("round", "--json").json["number"] == 2
    assert run("undo").code == 1
    assert run("check").code == 0
    assert run("record", "1:asc:down:5", "clean", "--tempo", "60").code == 0
    assert run("undo").code == 0
    assert run("export").out == log
    assert unix_ms_of(player[0]) == 1_763_900_000_000


def test_the_copy_before_a_new_schema_is_a_backup_like_the_others(
    run: Run, ledger_file: Path
) -> None:
    an_old_ledger(ledger_file)
    run("round")
    (copy,) = (ledger_file.parent / "backups").iterdir()

    assert copy.name == f"upneck-b000001-before-version-{SCHEMA_VERSION}.db"
    assert copy.stat().st_mode & 0o777 == 0o600
    assert sqlite3.connect(copy).execute("PRAGMA user_version").fetchone() == (3,)
    assert not list(ledger_file.parent.glob("*before-version*"))


def test_a_ledger_that_cant_be_brought_up_to_date_pushes_no_backup_out(
    run: Run, ledger_file: Path
) -> None:
    an_old_ledger(ledger_file)
    with sqlite3.connect(ledger_file) as ledger:
        ledger.execute("DROP TRIGGER passes_are_kept")
        ledger.execute("PRAGMA foreign_keys=OFF")
        ledger.execute("DROP TRIGGER withdrawals_once")
        ledger.execute(
            "INSERT INTO withdrawals VALUES "
            "('019ab000-0003-7000-8000-000000000000', 'withdrawal', 'nobody')"
        )
    ledger.close()
    folder = ledger_file.parent / "backups"
    folder.mkdir()
    (folder / "upneck-b000001-asked-for.db").write_bytes(b"good")
    for _ in range(6):
        done = run("round")
        assert (done.code, done.err.count("\n")) == (1, 1)

    assert [path.name for path in folder.iterdir()] == ["upneck-b000001-asked-for.db"]


def test_the_newest_backup_stays_whatever_the_clock_says(run: Run, ledger_file: Path) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    folder = ledger_file.parent / "backups"
    folder.mkdir()
    for number in range(6):
        (folder / f"upneck-20991231-2359{number:02d}-000-reset.db").write_bytes(b"old")
    for year in (2026, 2025, 2024):
        run("reset", "1:asc:down:1", "--yes", at=f"{year}-11-25T12:00:00-08:00")
    kept = sorted(path.name for path in folder.iterdir())

    assert len(kept) == 5
    assert [name for name in kept if "-b" in name] == [
        f"upneck-b{n:06d}-reset.db" for n in (1, 2, 3)
    ]


def test_a_backup_that_was_asked_for_stays(run: Run, ledger_file: Path) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    asked = [Path(run("backup").out.split()[1]) for _ in range(7)]
    for _ in range(7):
        run("reset", "1:asc:down:1", "--yes")
    own = [path for path in (ledger_file.parent / "backups").iterdir() if path not in asked]

    assert all(path.exists() for path in asked)
    assert len(own) == 5


def test_a_backup_put_over_a_ledger_with_a_log_left_beside_it_is_the_backup(
    run: Run, home: Path, ledger_file: Path
) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60")
    run("backup", "-o", str(home / "copy.db"))
    log = run("export").out
    code = (
        "import time; from pathlib import Path; from scheduler.ledger.record import Ledger; "
        "from typer.testing import CliRunner; from scheduler.cli import program; "
        f"held = Ledger(Path({str(ledger_file)!r})); "
        "CliRunner().invoke(program(), 'record 3:any:any:1-9 clean --tempo 60'.split()); "
        "print('there', flush=True); time.sleep(60)"
    )
    holder = subprocess.Popen(
        [sys.executable, "-c", code], env=environment(home), stdout=subprocess.PIPE
    )
    assert holder.stdout is not None
    assert holder.stdout.readline() == b"there\n"
    holder.send_signal(signal.SIGKILL)
    holder.communicate()
    left = Path(f"{ledger_file}-wal")
    assert left.stat().st_size > 1000
    (ledger_file).write_bytes((home / "copy.db").read_bytes())

    assert run("export").out == log
    assert run("check").code == 0
    assert run("record", "2:asc:down:1", "clean", "--tempo", "60").code == 0
    assert Path(f"{left}-of-the-ledger-before").exists()


DAYS = (
    "1971-01-01", "2026-11-24", "2199-12-31", "2200-12-31", "2201-01-01", "1970-12-31",
    "0001-01-01", "9999-12-31",
)  # fmt: skip


@pytest.mark.parametrize("day", DAYS)
def test_a_calendar_on_any_day_answers_or_refuses_in_one_line(run: Run, day: str) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60")
    done = run("calendar", "--on", day, "--minutes", "40", "--months", "60", "--json")

    assert done.code in {0, 2}
    assert done.err.count("\n") == (done.code == 2)
    assert (done.code == 0) == ("1971" <= day[:4] <= "2200")


def typed_on_a_terminal(home: Path, answer: bytes, *words: str) -> tuple[int, str]:
    """Run the program on a terminal and answer its question."""
    master, slave = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "scheduler", *words], env=environment(home),
        stdin=slave, stdout=slave, stderr=slave, close_fds=True,
    )  # fmt: skip
    os.close(slave)
    os.write(master, answer)
    text = b""
    deadline = time.monotonic() + 60
    while time.monotonic() < deadline:
        try:
            data = os.read(master, 4096)
        except OSError:
            break
        if not data:
            break
        text += data
    os.close(master)
    return process.wait(), text.decode()


@pytest.mark.parametrize("command", [["round"], ["setup"], ["today"]], ids=str)
def test_a_ledger_in_a_new_folder_is_made_only_after_asking(home: Path, command: list[str]) -> None:
    ledger = home / "typo" / "my.db"
    code, told = typed_on_a_terminal(home, b"n\n", "--ledger", str(ledger), *command)
    assert code == 1
    assert "make one?" in told
    assert not ledger.parent.exists()
    code, told = typed_on_a_terminal(home, b"y\n", "--ledger", str(ledger), *command)

    assert code == 0
    assert ledger.exists()


def test_on_a_terminal_an_undo_of_an_earlier_day_is_asked_about(
    run: Run, home: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2020-11-24T10:00:00+01:00")
    code, told = typed_on_a_terminal(home, b"n\n", "undo")
    assert code == 1
    assert "Take back the record of 24 November 2020 10:00?" in told
    assert run("export").out.count("\n") == 2
    code, told = typed_on_a_terminal(home, b"y\n", "undo")

    assert code == 0
    assert "undone: 1 pass" in told
    assert ledger_file.exists()
    assert run("export").out.count("\n") == 1


def test_play_without_termios_is_one_line(home: Path) -> None:
    code = (
        "import sys; sys.modules['termios'] = None; sys.stdin.isatty = lambda: True; "
        "sys.stdout.isatty = lambda: True; sys.argv = ['upneck', 'play']; "
        "from scheduler.cli import run; run()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=environment(home), capture_output=True, text=True,
        check=False,
    )  # fmt: skip

    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "play needs a terminal with termios" in done.stderr


def test_what_is_no_file_of_its_own_is_no_ledger(run: Run, tmp_path: Path) -> None:
    (tmp_path / "empty.txt").touch(mode=0o644)
    before = Path("/dev/null").stat().st_mode
    for words in (("/dev/null", "setup"), (str(tmp_path / "empty.txt"), "today"), ("", "setup")):
        done = run("--ledger", *words)
        assert (done.code, done.err.count("\n")) == (1, 1)

    assert Path("/dev/null").stat().st_mode == before
    assert (tmp_path / "empty.txt").stat().st_size == 0
