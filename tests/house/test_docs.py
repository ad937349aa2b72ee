"""The documentation shows what the program prints, and the demo data are what their seed gives."""

import re
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from scheduler.guitar.routine import Direction, Part, Stroke
from scheduler.plan.session import Reason
from scheduler.player.facts import Fault
from scheduler.player.standing import Standing
from scheduler.stage.screen import BEAT_ROW
from tests.commands.test_play import WHOLE_SCREEN, Terminal, plain
from tests.conftest import Run
from tests.house.screens import PAGES, PICTURE, ROOT, picture, rendered
from tests.simulation.make_demo_data import CLASS, DEMO_DATA, class_log, demo_log


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_screen_is_what_the_program_prints(
    page: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("UPNECK_LEDGER", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)

    assert rendered(page) == page.read_text(encoding="utf-8")


def test_the_picture_is_what_the_program_prints(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("UPNECK_LEDGER", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    drawn = picture()

    assert drawn == PICTURE.read_text(encoding="utf-8")
    assert not re.findall(r"https?://(?!www\.w3\.org/2000/svg)", drawn)
    assert ET.fromstring(drawn).tag.endswith("svg")  # noqa: S314


def test_the_tablature_of_the_readme_is_what_the_program_prints(run: Run) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.search(r"```text\n(.*?)```", text, re.DOTALL)
    assert shown is not None

    assert shown[1] in run("tab", "1:asc:down:5").out


def test_the_screen_of_play_is_what_the_program_draws(home: Path) -> None:
    text = (ROOT / "docs" / "playing.md").read_text(encoding="utf-8")
    told = re.search(r"```text\n(Box .*?)```", text, re.DOTALL)
    assert told is not None
    terminal = Terminal(home, "--demo", "play", "--bell", size=(80, 24))
    terminal.read_until("q: stop")
    screen = plain(WHOLE_SCREEN.findall(terminal.text)[0])
    terminal.close()

    assert _standing_still(screen.splitlines()) == _standing_still(told[1].splitlines())


def _standing_still(lines: list[str]) -> list[str]:
    """Without the beat and the clock, and the empty lines of a tall terminal."""
    still = [re.sub(r"\d+:\d\d left", "", line) for n, line in enumerate(lines) if n != BEAT_ROW]
    return [line.rstrip() for line in still if line.strip()]


def test_the_readme_is_short() -> None:
    assert len((ROOT / "README.md").read_text(encoding="utf-8").splitlines()) < 150


def test_the_demo_data_are_what_their_seed_gives() -> None:
    assert (DEMO_DATA / "log.csv").read_bytes() == demo_log().encode()


@pytest.mark.slow
@pytest.mark.parametrize("name", CLASS)
def test_so_are_those_of_the_demos_class(name: str) -> None:
    assert (DEMO_DATA / "class" / f"{name}.csv").read_bytes() == class_log(CLASS[name]).encode()


def test_every_library_is_justified_in_one_line() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    groups = [project["dependencies"], *project["optional-dependencies"].values()]
    wanted = [requirement for group in groups for requirement in group]
    names = {requirement.split(">")[0].split("<")[0].split("=")[0] for requirement in wanted}
    lines = (ROOT / "DEVELOPERS.md").read_text().splitlines()

    assert {name for name in names if not any(f"`{name}`" in line for line in lines)} == set()


LINKS = re.compile(r"\]\((?!https?:)([^)#]+)(?:#[^)]*)?\)")
NAMED = re.compile(r"\b(?:docs|tests|scheduler|demo_data)/[\w./-]*\w\.(?:md|py|csv|json)\b")


@pytest.mark.parametrize("page", [*PAGES, ROOT / "DEVELOPERS.md"], ids=lambda page: page.name)
def test_every_link_of_a_page_leads_to_a_file(page: Path) -> None:
    links = LINKS.findall(page.read_text(encoding="utf-8"))

    assert [link for link in links if not (page.parent / link).exists()] == []


def test_every_file_named_in_code_and_pages_is_there() -> None:
    """A path in a docstring, a comment or a page is one of the tree's, from its top."""
    files = [*(ROOT / "scheduler").rglob("*.py"), *(ROOT / "tests").rglob("*.py"), *PAGES]
    named = {
        (file.name, path)
        for file in [*files, ROOT / "DEVELOPERS.md"]
        for path in NAMED.findall(file.read_text(encoding="utf-8"))
    }

    assert len(named) > 10
    assert {(name, path) for name, path in named if not (ROOT / path).exists()} == set()


def test_the_glossary_has_every_word_that_the_program_writes() -> None:
    """The value of an enum is the word of the command line, of the CSV and of the JSON."""
    text = (ROOT / "docs" / "glossary.md").read_text(encoding="utf-8")
    told = set(re.findall(r"`([^`]+)`", text))
    for kind in (Direction, Stroke, Part, Fault, Standing, Reason):
        assert {str(word) for word in kind} - told == set(), kind.__name__
