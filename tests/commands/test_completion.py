"""The shell completes commands and addresses."""

import subprocess
from pathlib import Path
from sys import executable

import pytest

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
        ("upneck item 3:asc:d", ["3:asc:down:"]),
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
