"""The page as one file: without a stand, without a network, its record taken by `import` once."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import Phone, passes_in
from tests.conftest import Run

MakePhone = Callable[..., Phone]
FAST = ("--floor-tempo", "400", "--tuning", "E1 A1 D2 G2", "--plays-clean", "400")


@pytest.fixture
def file(home: Path, run: Run) -> Path:
    run("setup", *FAST, at="2026-11-20T12:00:00+01:00")
    made = home / "session.html"
    assert run("stand", "--minutes", "2", "-o", str(made), at="").code == 0
    return made


def given(phone: Phone, home: Path, button: str = "#give") -> Path:
    with phone.page.expect_download() as download:
        # It may stand on a view that isn't shown now.
        phone.page.evaluate(f"document.querySelector('{button}').click()")
    path = home / "given.json"
    download.value.save_as(path)
    return path


def test_what_is_played_on_a_file_is_taken_in_once(
    home: Path, run: Run, file: Path, phone: MakePhone, ledger_file: Path
) -> None:
    one = phone(offline=True).open(f"file://{file}").begin()
    one.judge()
    one.judge("#sloppy")
    one.page.tap("#fault-notes")
    one.judge("#sloppy")
    one.page.tap("#back")
    assert not one.complaints
    one.open(f"file://{file}")
    assert one.page.inner_text("#given") == "2 passes are kept on this device."
    record = given(one, home)
    told = run("import", str(record), at="")
    assert told.code == 0, told.err
    assert [clean for _, clean in passes_in(ledger_file)] == [1, 0]
    again = run("import", str(given(one, home)), at="")

    assert again.code == 0, again.err
    assert len(passes_in(ledger_file)) == 2
    events = json.loads(record.read_text(encoding="utf-8"))["events"]
    assert [event["fault"] for event in events if event["kind"] == "fault"] == ["notes"]


def test_it_goes_on_where_it_was_left(file: Path, phone: MakePhone) -> None:
    one = phone().open(f"file://{file}").begin()
    one.judge()
    one.judge()
    shown = one.page.inner_text("#what")
    one.open(f"file://{file}").begin()

    assert one.page.inner_text("#what") == shown


def test_two_tabs_of_one_file_are_one_record(file: Path, phone: MakePhone, home: Path) -> None:
    one = phone().open(f"file://{file}").begin()
    other = one.page
    one.new_page()
    one.open(f"file://{file}").begin()
    one.judge()
    one.page = other
    one.judge()
    events = json.loads(given(one, home).read_text(encoding="utf-8"))["events"]

    assert sum(event["kind"] == "pass" for event in events) == 2


def test_where_nothing_can_be_kept_a_file_says_so(file: Path, phone: MakePhone) -> None:
    one = phone()
    one.context.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    one.open(f"file://{file}").begin()
    one.judge()

    assert one.page.inner_text("#kept") == "1 kept here, not safe"


def test_a_teacher_sends_it_and_takes_what_comes_back(
    home: Path, run: Run, phone: MakePhone
) -> None:
    run("players", "--add", "Mia", at="2026-11-20T12:00:00+01:00")
    run("--player", "Mia", "setup", *FAST, at="2026-11-20T12:00:00+01:00")
    made = home / "mia.html"
    assert run("--player", "Mia", "stand", "--minutes", "1", "-o", str(made), at="").code == 0
    one = phone().open(f"file://{made}").begin()
    while one.page.is_visible("#hands"):
        one.judge()
    number = len(one.told()["steps"])
    # Nobody says for whom it is: its ids do.
    told = run("import", str(given(one, home, "#give-at-the-end")), at="")

    assert told.code == 0, told.err
    assert told.out.startswith("Mia:")
    assert len(passes_in(home / "data" / "upneck" / "players" / "Mia.db")) == number


def test_nothing_in_it_can_run_but_its_own_script(file: Path, phone: MakePhone) -> None:
    one = phone().open(f"file://{file}")
    one.page.evaluate("""() => {
      const script = document.createElement("script");
      script.textContent = "window.ran = true";
      document.body.append(script);
    }""")

    assert one.page.evaluate("window.ran") is None
    assert any("Content Security Policy" in said for said in one.complaints)
