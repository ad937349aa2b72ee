"""Nothing recorded is lost: several writers, kills, full disks, wrong files, odd clocks."""

import os
import resource
import shutil
import sqlite3
import subprocess
import sys
import time
from itertools import cycle, islice
from pathlib import Path
from random import Random

import pytest

from tests.commands.test_screen import environment, piped
from tests.conftest import EXAMPLES, NOON, Result, Run
from tests.reliability.kills import Home, kill_one

EVERY_COMMAND = (
    ["today"], ["today", "--afresh"], ["record", "3:any:up:4-6", "clean", "--tempo", "60"],
    ["undo"], ["redo"], ["reset", "1:asc:down:3", "--yes"], ["item", "1:asc:down:3"], ["items"],
    ["items", "--weak"], ["round"], ["round", "--next", "--yes"], ["calendar"], ["setup"],
    ["setup", "--minutes", "25"],
    ["tab", "1:asc:down:3"], ["neck"], ["export"], ["export", "--format", "json"], ["backup"],
    ["merge"], ["check"], ["check", "--repair"],
)  # fmt: skip
FLIPS = max(110, 3 * EXAMPLES)
READERS = (["today"], ["record", "1:asc:down:1", "clean", "--tempo", "60"], ["round"], ["check"])


@pytest.mark.slow
def test_eight_programs_may_record_at_once(home: Path) -> None:
    """8 processes, 15 passes each: all are there, and none waits longer than the busy timeout."""
    code = (
        "import sys, time; from pathlib import Path; from typer.testing import CliRunner; "
        "from scheduler.cli import program; longest = 0.0\n"
        "for n in range(15):\n"
        "    start = time.monotonic()\n"
        "    words = ['record', '1:asc:down:1', 'clean', '--tempo', '60']\n"
        "    done = CliRunner().invoke(program(), words)\n"
        "    assert done.exit_code == 0, done.stderr\n"
        "    longest = max(longest, time.monotonic() - start)\n"
        "print(longest)"
    )
    started = [
        subprocess.Popen([sys.executable, "-c", code], env=environment(home), text=True,
                         stdout=subprocess.PIPE)
        for _ in range(8)
    ]  # fmt: skip
    waits = [float(process.communicate()[0]) for process in started]

    assert [process.returncode for process in started] == [0] * 8
    assert max(waits) < 5
    assert Home(home).passes() == 120
    assert piped(home, "check").returncode == 0


@pytest.mark.slow
def test_four_programs_may_make_the_demo_at_once(home: Path) -> None:
    started = [
        subprocess.Popen([sys.executable, "-m", "scheduler", "--demo", "round"],
                         env=environment(home), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        for _ in range(4)
    ]  # fmt: skip
    told = {process.communicate()[0] for process in started}

    assert [process.returncode for process in started] == [0] * 4
    assert told == {piped(home, "--demo", "round").stdout}
    lines = (Path(__file__).parents[2] / "demo_data" / "log.csv").read_text().count("\n")
    with sqlite3.connect(home / "data" / "upneck" / "demo.db") as ledger:
        assert ledger.execute("SELECT count(*) FROM passes").fetchone() == (lines - 1,)
    ledger.close()


@pytest.mark.slow
def test_killed_at_random_moments_nothing_is_lost_or_half(home: Path) -> None:
    found = Home(home)
    found.run("today")
    rng = Random(1)
    for serial in range(6):
        kill_one(found, ("record", "import", "merge")[serial % 3], serial, rng)
    assert "in order" in found.run("check")


def limited() -> None:
    """No file may grow beyond a size: a disk that is full."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (150_000, 150_000))
    import signal

    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)


def test_a_full_disk_is_told_and_what_was_recorded_stays(home: Path) -> None:
    piped(home, "record", "1:asc:down:1", "clean", "--tempo", "60")
    before = Home(home).passes()
    log = home / "log.csv"
    lines = "".join(
        f"2026-01-{1 + n % 28:02d}T10:{n // 60 % 60:02d}:{n % 60:02d}+00:00,"
        "1:asc:down:1,60,3,1,0,,x\r\n"
        for n in range(5000)
    )
    log.write_text("played_at,item,tempo,notes_per_beat,clean,errors,fault,note\r\n" + lines)
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", "import", str(log)],
        env=environment(home), preexec_fn=limited, capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.returncode == 1
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr
    assert Home(home).passes() == before
    assert piped(home, "check").returncode == 0


@pytest.mark.parametrize("words", READERS, ids=" ".join)
def test_a_ledger_that_is_locked_is_told_after_the_busy_timeout(
    run: Run, ledger_file: Path, words: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("scheduler.ledger.opening.BUSY_SECONDS", 0.5)
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    locker = sqlite3.connect(ledger_file, isolation_level=None)
    locker.execute("BEGIN IMMEDIATE")
    start = time.monotonic()
    done = run(*words)
    locker.execute("ROLLBACK")
    locker.close()

    if words[0] in {"today", "record"}:
        assert (done.code, done.err.count("\n")) == (1, 1)
        assert "another program is writing" in done.err
        assert 0.5 <= time.monotonic() - start < 20
    else:
        assert done.code == 0


@pytest.mark.parametrize("words", READERS, ids=" ".join)
@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_a_truncated_ledger_is_told_and_left_alone(
    run: Run, ledger_file: Path, tmp_path: Path, words: list[str], share: float
) -> None:
    run("record", "1:any:down:1-19", "clean", "--tempo", "60")
    copy = tmp_path / "cut.db"
    run("backup", "-o", str(copy))
    whole = copy.read_bytes()
    copy.write_bytes(whole[: int(len(whole) * share)])
    before = copy.read_bytes()
    done = run("--ledger", str(copy), *words)

    assert done.code == 1
    assert done.err.count("\n") == 1
    assert ledger_file.exists()
    assert copy.read_bytes()[100:] == before[100:]


def a_ledger_with_everything(run: Run, path: Path) -> bytes:
    """The bytes of a ledger that holds every kind of event, a plan and a checkpoint."""
    run("record", "1:any:down:1-19", "clean", "--tempo", "60", "--note", "a note")
    run("record", "1:any:up:1-19", "sloppy", "--tempo", "60")
    run("setup", "--minutes", "15")
    run("reset", "1:asc:down:2", "--yes")
    run("undo")
    run("round", "--next", "--weak", "--yes")
    run("today")
    run("backup", "-o", str(path))
    return path.read_bytes()


def run_on(run: Run, damaged: Path, words: list[str]) -> Result:
    """Run a command on a damaged ledger; a merge takes it into a sound one."""
    return (
        run(*words, str(damaged)) if words == ["merge"] else run("--ledger", str(damaged), *words)
    )


def test_flipped_bits_are_never_a_traceback(run: Run, tmp_path: Path) -> None:
    data = a_ledger_with_everything(run, tmp_path / "whole.db")
    damaged = tmp_path / "damaged.db"
    rng = Random(8)
    told = 0
    for words in islice(cycle(EVERY_COMMAND), FLIPS):
        flipped = bytearray(data)
        for _ in range(rng.choice([1, 4, 64, 400])):
            flipped[rng.randrange(len(flipped))] ^= 1 << rng.randrange(8)
        for name in tmp_path.glob("damaged.db*"):
            name.unlink()
        damaged.write_bytes(flipped)
        done = run_on(run, damaged, words)

        assert done.code in {0, 1}, (words, done.err)
        assert done.code == 0 or done.err.count("\n") == 1, (words, done.err)
        assert words != ["merge"] or damaged.read_bytes() == flipped
        told += done.code
    assert told > FLIPS // 10


@pytest.mark.parametrize("words", EVERY_COMMAND, ids=" ".join)
def test_what_no_pass_can_be_is_damage_and_no_bug(
    run: Run, tmp_path: Path, words: list[str]
) -> None:
    damaged = tmp_path / "damaged.db"
    a_ledger_with_everything(run, damaged)
    with sqlite3.connect(damaged) as ledger:
        ledger.execute("PRAGMA ignore_check_constraints=ON")
        ledger.execute("DROP TRIGGER passes_stay")
        ledger.execute("UPDATE passes SET tempo = -60")
        ledger.execute("DELETE FROM checkpoints")
    ledger.close()
    done = run_on(run, damaged, words)

    if done.code and words == ["redo"]:
        assert "nothing to bring back" in done.err
    elif done.code:
        assert (done.code, done.err.count("\n")) == (1, 1)
        assert "damaged" in done.out + done.err
    else:
        # What doesn't ask what the player can do goes on.
        assert words[0] in {"backup", "export", "neck", "setup", "tab", "today"}


def test_an_address_that_no_item_has_is_damage_of_the_ledger(run: Run, ledger_file: Path) -> None:
    run("record", "1:any:down:1-19", "sloppy", "--tempo", "60")
    run("round", "--next", "--weak", "--yes")
    with sqlite3.connect(ledger_file) as ledger:
        ledger.execute("DROP TRIGGER rounds_stay")
        changed = ledger.execute("UPDATE rounds SET items = replace(items, 'down', 'dawn')")
    ledger.close()
    done = run("round")

    assert changed.rowcount == 1
    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "damaged" in done.err


def bound_by_permissions() -> list[str]:
    """What to put before a command so that permissions bind it, root's too."""
    if os.geteuid() != 0:
        return []
    if shutil.which("setpriv") is None:
        pytest.skip("root may write into any folder")
    return ["setpriv", "--bounding-set=-dac_override,-dac_read_search", "--inh-caps=-all"]


@pytest.mark.parametrize("words", READERS, ids=" ".join)
@pytest.mark.parametrize("is_new", [True, False], ids=["new", "known"])
def test_a_read_only_folder_is_told(
    run: Run, home: Path, words: list[str], *, is_new: bool
) -> None:
    folder = home / "data" / "upneck"
    folder.mkdir(parents=True)
    if not is_new:
        run("record", "1:asc:down:1", "clean", "--tempo", "60")
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    folder.chmod(0o500)
    done = subprocess.run(
        [*bound_by_permissions(), sys.executable, "-m", "scheduler", *words],
        env=environment(home), capture_output=True, text=True, check=False,
    )  # fmt: skip
    folder.chmod(0o700)

    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "folder" in done.stderr
    assert "permissions" in done.stderr
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.slow
def test_on_a_disk_that_is_full_nothing_is_there_by_halves(home: Path, tmp_path: Path) -> None:
    """A small disk in memory, filled by recording until there is no room."""
    mount = f"mount -t tmpfs -o size=600k none {tmp_path}"
    try:
        subprocess.run(["unshare", "-m", "sh", "-c", mount], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError):
        pytest.skip("no small disk can be made here")
    upneck = f"{sys.executable} -m scheduler --ledger {tmp_path}/upneck.db"
    script = (
        f"{mount}; {upneck} setup >{tmp_path}/setup.txt; "
        f"for n in 1 2 3; do {upneck} record 1:any:down:1-9 clean --tempo 60 && echo ok; "
        f"done; for n in 1 2 3 4 5 6; do {upneck} record any clean --tempo 60 >/dev/null "
        f"|| {{ echo exit $?; break; }}; done; {upneck} check; "
        f"{upneck} export --format csv"
    )
    done = subprocess.run(
        ["unshare", "-m", "sh", "-c", script],
        env=environment(home), capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert "exit 1" in done.stdout
    assert done.stderr.count("\n") == 1
    assert "the disk is full" in done.stderr
    assert "your record is in order" in done.stdout
    assert done.stdout.count("ok\n") == 3
    passes = done.stdout.count(",60,3,1,0,,")
    assert passes >= 3 * 9
    assert (passes - 3 * 9) % 516 == 0


def test_a_clock_that_is_set_back_keeps_the_order_of_entry_within_a_moment(run: Run) -> None:
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-25T12:00:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-25T12:00:00+01:00")
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-25T11:00:00+01:00")
    found = run("item", "1:asc:down:1", "--json", at=NOON).json["passes"]

    assert [p["clean"] for p in found] == [False, True, False]
    assert run("undo", "--json").json["withdrawn"] == [found[-1]["id"]]
    assert run("check").code == 0


@pytest.mark.parametrize(
    ("times", "days"),
    [
        # Flying west: the second pass is later, but its local day is the day before.
        (["2026-11-25T01:00:00+09:00", "2026-11-24T20:00:00-08:00"], ["2026-11-25", "2026-11-24"]),
        # A day of 25 hours, and one of 23.
        (["2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"], ["2026-10-25"]),
        (["2026-03-29T01:59:00+01:00", "2026-03-29T03:01:00+02:00"], ["2026-03-29"]),
    ],
)
def test_days_are_the_local_days_of_where_the_player_was(
    run: Run, times: list[str], days: list[str]
) -> None:
    for when in times:
        run("record", "1:asc:down:1", "clean", "--tempo", "60", at=when)
    found = run("calendar", "--months", "9", "--json").json["days"]

    assert sorted(day["date"] for day in found if day["passes"]) == sorted(days)
    assert run("check").code == 0
