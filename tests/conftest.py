"""What the tests share: a player's own folder, and the program run in it at a fixed time."""

import csv
import json
import os
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Protocol

import pytest
import typer.testing
from hypothesis import settings
from typer.main import get_command
from typer.testing import CliRunner

from scheduler.cli import program
from scheduler.guitar.neck import Neck, parse_neck

# A developer's own ledger is nobody's to test on.
os.environ.pop("UPNECK_LEDGER", None)

REFERENCE = Path(__file__).parent / "reference"
NOON = "2026-11-25T12:00:00+01:00"

EXAMPLES = int(os.environ.get("UPNECK_EXAMPLES", "20"))
"""How many examples a property is tried on; a long run sets more."""

settings.register_profile("upneck", deadline=None, derandomize=True, max_examples=EXAMPLES)
settings.load_profile("upneck")


@dataclass
class Result:
    """What a command did."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:  # noqa: ANN401
        return json.loads(self.out)


class Run(Protocol):
    def __call__(self, *words: str, at: str = NOON, stdin: str | None = None) -> Result: ...


# Typer's runner puts the program's commands together for each run: a third of a run's time.
typer.testing._get_command = cache(get_command)  # type: ignore[attr-defined]


OF_MANY_CASES = {
    "test_the_state_after_an_act_and_its_undo_is_the_state_before": 6,
    "test_an_undo_over_the_newest_checkpoint_leaves_a_ledger_that_every_command_reads": 3,
    "test_what_no_machine_writes_is_refused_with_its_line": 3,
    "test_the_calendars_weeks_are_iso_weeks": 3,
    "test_what_no_pass_can_be_is_damage_and_no_bug": 3,
    "test_what_is_foreign_or_malformed_is_refused_by_itself": 3,
    "test_an_assignment_that_cant_be_read_takes_nothing": 3,
    "test_without_an_id_nothing_is_taken_and_the_rest_is": 2,
    "test_nothing_is_wider_than_the_screen_or_cut_off": 2,
    "test_what_was_kept_may_be_damaged": 2,
    "test_a_kept_look_that_was_changed_isnt_used": 2,
    "test_closed_streams_lose_nothing_else": 2,
    "test_the_time_of_a_pass_is_in_its_id_and_never_later_than_the_clock": 3,
    "test_a_read_only_folder_is_told": 2,
    "test_an_odd_key_is_a_wrong_key": 2,
    "test_an_undo_says_what_it_took_back_and_when_that_was": 2,
    "test_what_stands_in_the_way_is_told_instead_of_a_date": 3,
    "test_a_ledger_that_is_locked_is_told_after_the_busy_timeout": 2,
    "test_a_calendar_on_any_day_answers_or_refuses_in_one_line": 4,
    "test_a_ledger_in_a_new_folder_is_made_only_after_asking": 3,
    "test_a_visit_ends_clean_or_with_the_third_sloppy_pass_and_is_for_one_block": 2,
    "test_a_terminal_without_utf_8_gets_what_it_can_show": 2,
}
"""Of these tests' cases every second or third runs each time, the others with the slow ones."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    seen: Counter[str] = Counter()
    for item in items:
        name = getattr(item, "originalname", item.name)
        if name in OF_MANY_CASES:
            if seen[name] % OF_MANY_CASES[name]:
                item.add_marker(pytest.mark.slow)
            seen[name] += 1


@pytest.fixture
def neck() -> Neck:
    return parse_neck()


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of the player's own; nothing outside it is touched."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("COLUMNS", "80")
    for name in ("UPNECK_LEDGER", "UPNECK_TRACEBACK", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def run(home: Path, monkeypatch: pytest.MonkeyPatch) -> Run:  # noqa: ARG001
    """Run the program in the player's folder, at noon of 25 November 2026 unless said."""

    def run_it(*words: str, at: str = NOON, stdin: str | None = None) -> Result:
        monkeypatch.setenv("UPNECK_NOW", at)
        done = CliRunner().invoke(program(), list(words), input=stdin, prog_name="upneck")
        if done.exception is not None and not isinstance(done.exception, SystemExit):
            raise done.exception
        return Result(done.exit_code, done.stdout, done.stderr)

    return run_it


def another(run: Run, path: Path) -> tuple[str, str]:
    """Another ledger, made as a player makes one; the words that name it."""
    words = ("--ledger", str(path))
    assert run(*words, "setup").code == 0
    return words


@pytest.fixture
def ledger_file(home: Path) -> Path:
    return home / "data" / "upneck" / "upneck.db"


def reference_rows(name: str) -> list[dict[str, str]]:
    """The rows of a reference table; its source stands in reference/SOURCES.md."""
    with (REFERENCE / name).open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


@pytest.fixture
def at_days() -> Callable[[int], Iterator[str]]:
    """Noons of so many days, from 1 November 2026 on."""

    def noons(days: int) -> Iterator[str]:
        for number in range(days):
            month, day = divmod(number, 30)
            yield f"2026-{11 + month:02d}-{day + 1:02d}T12:00:00+01:00"

    return noons
