"""The commands `stand` and `sheet` as they are typed."""

import re
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from sys import executable

import pytest

from tests.commands.test_screen import environment
from tests.conftest import Run

FAST = ("--plays-clean", "120", "--minutes", "10")
SECONDS = 30


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("--port", "0"), 2, "a port is a number from 1 to 65535, not '0'"),
        (("--port", "web"), 2, "a port is a number from 1 to 65535, not 'web'"),
        (("--address", "198.51.100.7"), 1, "198.51.100.7 is no IPv4 address of this machine's"),
        (("--port", "9" * 5000), 2, "a port is a number from 1 to 65535"),
        (("--address", "::1"), 1, "::1 is no IPv4 address of one machine"),
        (("--address", "0.0.0.0"), 1, "0.0.0.0 is no IPv4 address of one machine"),  # noqa: S104
        (("--address", "127.1"), 1, "'127.1' is no IPv4 address"),
        (("--address", "\u00fc.."), 1, "is no IPv4 address"),
        (("--network", "--address", "127.0.0.1"), 2, "127.0.0.1 is only for this machine itself"),
        (("-o", "missing/session.html"), 1, "missing/session.html can't be written"),
        (("-o", "session.html", "--network"), 2, "-o writes a file"),
        (("--minutes", "0"), 2, "minutes a day is 1 to 720, not 0"),
    ],
)
def test_wrong_words_are_told_in_one_line(
    run: Run, words: tuple[str, ...], code: int, told: str
) -> None:
    done = run("stand", *words)

    assert (done.code, done.out, done.err.count("\n")) == (code, "", 1)
    assert told in done.err


@pytest.mark.parametrize(
    "words", [("stand",), ("stand", "-o", "x.html"), ("sheet", "-o", "x.html")]
)
def test_a_session_that_is_through_is_told(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    monkeypatch.chdir(home)
    run("today")
    run("record", "all", "clean")
    done = run(*words)

    assert done.code == 1
    assert "nothing is left of today's session" in done.err
    assert not (home / "x.html").exists()


def test_without_the_extra_one_line_says_so(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "uvicorn", None)
    done = run("stand")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "pip install '.[stand]'" in done.err


def test_a_file_that_is_there_stays(run: Run, home: Path) -> None:
    there = home / "there.html"
    there.write_text("mine")
    for command in ("sheet", "stand"):
        done = run(command, "-o", str(there))
        assert done.code == 1
        assert "--force" in done.err
        assert there.read_text() == "mine"
    assert run("sheet", "-o", str(there), "--force").code == 0


def test_an_unknown_paper_is_told(run: Run, home: Path) -> None:
    done = run("sheet", "--paper", "a3", "-o", str(home / "x.html"))

    assert (done.code, done.err) == (2, "upneck: the paper is a4 or letter, not 'a3'\n")


def test_the_lines_of_a_sheet_can_be_typed_in(run: Run, home: Path) -> None:
    run("setup", *FAST)
    run("sheet", "-o", str(home / "sheet.html"))
    page = (home / "sheet.html").read_text(encoding="utf-8")
    lines = re.findall(
        r"<code>upneck (record \d+ clean --sloppy) \.+ --second-try \.+</code>", page
    )
    frets = re.findall(r"<section>.*?<li><b>(\d+)</b>", page, re.DOTALL)
    assert len(lines) == len(frets) == len(run("today", "--json").json["blocks"])
    for line, fret in zip(lines, frets, strict=True):
        assert run(*line.split(), fret).code == 0


def test_players_words_can_not_become_markup(run: Run, home: Path) -> None:
    bad = "<script>alert(1)</script>&\"'"
    run("setup", *FAST)
    given = home / "given.json"
    told = run(
        "assign", "1", "--until", "2026-12-01", "--by", "A<b>", "--say", bad, "-o", str(given)
    )
    assert told.code == 0, told.err
    assert run("import", str(given), "--yes").code == 0
    for command in ("sheet", "stand"):
        made = home / f"{command}.html"
        assert run(command, "-o", str(made)).code == 0
        page = made.read_text(encoding="utf-8")
        assert "<script>alert" not in page
        assert "A<b>" not in page


@pytest.fixture
def taken() -> Iterator[int]:
    """A port that somebody has."""
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        yield int(other.getsockname()[1])


def started(home: Path, *words: str, before: tuple[str, ...] = ()) -> tuple[str, str]:
    """What the stand says until it is interrupted, and after that."""
    process = subprocess.Popen(
        [executable, "-m", "scheduler", *before, "stand", *words],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env=environment(home, PYTHONUNBUFFERED="1", PYTHONIOENCODING="utf-8"),
        start_new_session=True,
    )  # fmt: skip
    assert process.stdout is not None
    said = ""
    for line in process.stdout:
        said += line
        if line.startswith("Ctrl-C"):
            break
    process.send_signal(signal.SIGINT)
    rest, _ = process.communicate(timeout=SECONDS)
    assert process.returncode == 0, said + rest
    return said, rest


def test_where_a_port_is_taken_the_next_free_one_is_said(home: Path, taken: int) -> None:
    said, rest = started(home, "--port", str(taken))
    found = re.search(r"http://127\.0\.0\.1:(\d+)/#(\S+)", said)

    assert found is not None
    assert int(found[1]) != taken
    assert f"port {taken} is in use, so it is {found[1]}" in said
    assert rest == "nothing was played\n"
