"""The shell completes commands and addresses."""

import subprocess
from collections.abc import Iterator
from pathlib import Path
from sys import executable

import pytest

from tests.commands.test_play import Terminal
from tests.commands.test_screen import environment
from tests.conftest import Run

PROGRAM = "import sys; sys.argv = ['upneck']; from scheduler.cli import run; run()"


def completed(home: Path, words: str) -> list[str]:
    """What the fish shell would be told."""
    asked = {"_UPNECK_COMPLETE": "complete_fish", "_TYPER_COMPLETE_ARGS": words,
             "_TYPER_COMPLETE_FISH_ACTION": "get-args"}  # fmt: skip
    done = subprocess.run(
        [executable, "-c", PROGRAM],
        env=environment(home, **asked), capture_output=True, text=True, check=False,
    )  # fmt: skip
    return [line.split("\t")[0] for line in done.stdout.splitlines()]


def test_commands_are_completed(home: Path) -> None:
    assert "calendar" in completed(home, "upneck cal")


@pytest.mark.parametrize(
    ("words", "some"),
    [
        ("upneck item ", ["1:", "5:", "1+2:", "5+1:"]),
        ("upneck item 3:", ["3:asc:", "3:desc:", "3:any:"]),
        ("upneck item 3:asc:d", ["3:asc:down:1", "3:asc:down:18"]),
        ("upneck record 1 ", ["clean", "sloppy"]),
        ("upneck record 1 sloppy --fault s", ["sync"]),
        ("upneck tab 3:asc:down:1", ["3:asc:down:1", "3:asc:down:18"]),
        ("upneck record 5+1:desc:up:", ["5+1:desc:up:2"]),
        ("upneck reset 9:", []),
    ],
)
def test_addresses_are_completed_part_by_part(home: Path, words: str, some: list[str]) -> None:
    found = completed(home, words)

    assert set(some) <= set(found)
    assert bool(found) == bool(some) or words.startswith("upneck reset")
    assert not (home / "data").exists()


def test_frets_are_those_of_the_players_neck(run: Run, home: Path) -> None:
    run("setup", "--frets", "12")

    assert "3:asc:down:8" in completed(home, "upneck item 3:asc:down:")
    assert "3:asc:down:9" not in completed(home, "upneck item 3:asc:down:")


@pytest.fixture
def bash(home: Path) -> Iterator[Terminal]:
    """A bash that was taught, on a terminal, with the colon among its word breaks."""
    taught = subprocess.run(
        [executable, "-c", PROGRAM],
        env=environment(home, _UPNECK_COMPLETE="source_bash"),
        capture_output=True, check=True, text=True,
    )  # fmt: skip
    script = home / "completion.bash"
    script.write_text(f"PATH='{Path(executable).parent}':$PATH\n{taught.stdout}")
    opened = Terminal(home, program=["bash", "--noprofile", "--rcfile", str(script), "-i"])
    opened.send(b"bind 'set bell-style none'; PS1='ask '; echo \"${COMP_WORDBREAKS//[^:]}\"\r")
    opened.read_until(":\r\nask ")
    yield opened
    opened.close()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("typed", "completed"),
    [
        ("upneck item 3:as", "upneck item 3:asc:"),
        ("upneck item 5+1:desc:u", "upneck item 5+1:desc:up:"),
        ("upneck reset 4:any:up:17", "upneck reset 4:any:up:17 "),
        ("upneck record 3:asc:down:7 cl", "upneck record 3:asc:down:7 clean "),
        ("upneck cal", "upneck calendar "),
    ],
)
def test_bash_completes_although_it_parts_words_at_colons(
    bash: Terminal, typed: str, completed: str
) -> None:
    bash.send(f"{typed}\t#".encode())
    bash.read_until(f"{completed}#")
