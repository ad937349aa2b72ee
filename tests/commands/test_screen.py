"""Everything stays readable: 60 columns, pipes, no colour, a dumb terminal, no UTF-8."""

import os
import pty
import re
import select
import subprocess
from pathlib import Path
from sys import executable

import pytest

from scheduler.cli.telling import wrapped
from tests.conftest import NOON, Run

COMMANDS = (["today"], ["calendar"], ["round"], ["items", "--stale"], ["setup"],
            ["item", "1:asc:down:1"])  # fmt: skip
ESCAPE = "\x1b"


def environment(home: Path, **more: str) -> dict[str, str]:
    return {
        "PATH": os.environ["PATH"], "HOME": str(home), "XDG_DATA_HOME": str(home / "data"),
        "UPNECK_NOW": NOON, **more,
    }  # fmt: skip


def piped(home: Path, *words: str, **more: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(
        [executable, "-m", "scheduler", *words],
        env=environment(home, **more),
        capture_output=True,
        check=False,
        stdin=subprocess.DEVNULL,
    )


def on_a_terminal(home: Path, words: list[str], out: Path | None = None, **more: str) -> str:
    """What the program writes to a real pseudo-terminal, without stdout if that goes to a file."""
    master, slave = pty.openpty()
    stdout = slave if out is None else os.open(out, os.O_WRONLY | os.O_CREAT)
    process = subprocess.Popen(
        [executable, "-m", "scheduler", *words],
        stdin=slave, stdout=stdout, stderr=slave, env=environment(home, **more), close_fds=True,
    )  # fmt: skip
    for end in {slave, stdout}:
        os.close(end)
    found = b""
    while True:
        ready, _, _ = select.select([master], [], [], 20)
        try:
            piece = os.read(master, 65536) if ready else b""
        except OSError:
            piece = b""
        if not piece:
            break
        found += piece
    process.wait()
    os.close(master)
    return found.decode()


@pytest.mark.parametrize("width", [60, 80])
@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_nothing_is_wider_than_the_screen_or_cut_off(
    run: Run, monkeypatch: pytest.MonkeyPatch, words: list[str], width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    out = run("--demo", *words).out

    assert max(len(line) for line in out.splitlines()) <= width
    assert "\N{HORIZONTAL ELLIPSIS}" not in out


def test_colour_only_on_a_terminal_that_wants_it(home: Path) -> None:
    words = ["--demo", "today"]
    coloured = on_a_terminal(home, words, TERM="xterm-256color")

    assert ESCAPE in coloured
    assert ESCAPE.encode() not in piped(home, *words).stdout
    assert ESCAPE not in on_a_terminal(home, words, TERM="xterm-256color", NO_COLOR="1")
    assert ESCAPE not in on_a_terminal(home, words, TERM="dumb")
    assert ESCAPE in on_a_terminal(home, words, TERM="xterm-256color", NO_COLOR="")


def test_no_meaning_hangs_on_colour_alone(home: Path) -> None:
    coloured = on_a_terminal(home, ["--demo", "today"], TERM="xterm-256color", COLUMNS="80")
    plain = on_a_terminal(home, ["--demo", "today"], TERM="xterm-256color", NO_COLOR="1",
                          COLUMNS="80")  # fmt: skip

    without = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert without.split("Wednesday")[1] == plain.split("Wednesday")[1]


@pytest.mark.parametrize("words", COMMANDS, ids=" ".join)
def test_a_terminal_without_utf_8_gets_what_it_can_show(home: Path, words: list[str]) -> None:
    done = piped(home, "--demo", *words, PYTHONIOENCODING="ascii", PYTHONUTF8="0")

    assert done.returncode == 0
    done.stdout.decode("ascii")


def test_a_note_is_shown_literally_and_cannot_draw(run: Run) -> None:
    note = "[bold]loud[/bold] [asc] \x1b[2J\x07 :guitar: \u202egnorw"
    run("record", "3:asc:down:7", "clean", "--tempo", "60", "--note", note)
    out = run("item", "3:asc:down:7").out
    squeezed = "".join(out.split())

    assert ESCAPE not in out
    assert "\x07" not in out
    assert "\u202e" not in out
    assert "[bold]loud[/bold][asc]" in squeezed
    assert ":guitar:" in squeezed


@pytest.mark.parametrize("closed", ["0<&-", "1>&-", "2>&-", "0<&- 1>&- 2>&-"])
def test_closed_streams_lose_nothing_else(home: Path, closed: str) -> None:
    words = "record 1:asc:down:1 clean --tempo 60"
    command = f"{executable} -m scheduler {words} {closed}"
    done = subprocess.run(["bash", "-c", command], env=environment(home), check=False)

    assert done.returncode == 0
    assert piped(home, "export").stdout.count(b"1:asc:down:1") == 1
    assert piped(home, "check").returncode == 0


def test_a_closed_pipe_ends_quietly(home: Path) -> None:
    command = f"{executable} -m scheduler --demo items | head -1"
    done = subprocess.run(
        ["bash", "-c", command], env=environment(home), capture_output=True, check=False
    )

    assert b"Traceback" not in done.stderr
    assert done.stdout.count(b"\n") == 1


def test_json_is_one_object_and_nothing_else(home: Path) -> None:
    import json

    for words in (["today"], ["calendar"], ["round"], ["items", "3"], ["setup"]):
        done = piped(home, "--demo", *words, "--json", COLUMNS="40")
        assert isinstance(json.loads(done.stdout), dict)


def test_reset_asks_on_a_terminal(home: Path) -> None:
    master, slave = pty.openpty()
    process = subprocess.Popen(
        [executable, "-m", "scheduler", "reset", "3:asc:down:7"],
        stdin=slave, stdout=slave, stderr=slave, env=environment(home), close_fds=True,
    )  # fmt: skip
    os.close(slave)
    os.write(master, b"n\n")
    code = process.wait(timeout=30)
    said = os.read(master, 65536).decode()
    os.close(master)

    assert code == 1
    assert "start afresh? [y/N]" in said.replace("\r\n", " ")
    assert "nothing was done" in said


def test_help_comes_with_and_without_a_command(run: Run) -> None:
    bare, asked = run(), run("--help")

    assert (bare.code, asked.code) == (0, 0)
    assert bare.out == asked.out
    assert "calendar" in bare.out
    assert "Example: upneck record 2 clean" in run("record", "-h").out


def test_the_version_is_the_packages(run: Run) -> None:
    from scheduler import __version__

    assert run("--version").out == f"upneck {__version__}\n"


def test_a_pipe_gets_no_blanks_at_the_ends_of_lines(home: Path) -> None:
    for words in (("--demo", "today"), ("--demo", "round"), ("--demo", "items", "2"), ("setup",)):
        lines = piped(home, *words).stdout.decode().splitlines()
        assert lines
        assert [line for line in lines if line != line.rstrip()] == []


def test_wrong_usage_names_the_commands_own_help(run: Run) -> None:
    assert "(upneck record --help)" in run("record", "--nothing").err


@pytest.mark.parametrize("columns", [pytest.param(60, marks=pytest.mark.slow), 80])
def test_sentences_wrap_at_words_in_a_terminal(home: Path, columns: int) -> None:
    for words in (
        ["record", "1:asc:down:3", "sloppy", "--tempo", "60"],
        ["record", "9", "clean"],
        ["reset", "1:asc:down:99"],
        ["record", "2:any:down:1-6", "clean", "--tempo", "60"],
        ["setup", "--days", "monfri"],
        ["players", "--week", "--json"],
    ):
        shown = on_a_terminal(home, words, COLUMNS=str(columns))

        assert shown
        assert all(len(line) <= columns for line in shown.splitlines()), shown


def test_each_stream_wraps_if_it_is_a_terminal_itself(home: Path, run: Run) -> None:
    run("record", "1:asc:down:3", "sloppy", "--tempo", "60", at="2026-12-25T12:00:00+01:00")
    out = home / "out.txt"
    told = on_a_terminal(
        home, ["record", "3:asc:down:7", "sloppy", "--tempo", "60"], out, COLUMNS="40"
    ).splitlines()

    assert len(told) > 1
    assert max(map(len, told)) <= 40 < max(map(len, out.read_text().splitlines()))


def test_addresses_and_options_stay_whole_on_a_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    address = "a-long-routine-of-my-own/5+1:desc:down:12,14"
    text = f"weak now: {address}\nupneck today keeps to it: drop it by --no-assignment"

    assert len(address) > 40
    assert wrapped(text).splitlines() == [
        "weak now:", address, "upneck today keeps to it: drop it by", "--no-assignment",
    ]  # fmt: skip


@pytest.mark.parametrize(("columns", "widths"), [(12, [39, 39]), (80, [79])])
def test_sentences_wrap_no_narrower_than_forty_columns(
    monkeypatch: pytest.MonkeyPatch, columns: int, widths: list[int]
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))

    assert [len(line) for line in wrapped(" ".join(["box"] * 20)).splitlines()] == widths
