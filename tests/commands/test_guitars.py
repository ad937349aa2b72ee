"""Two guitars: necks under a name, one record for both."""

from pathlib import Path

import pytest

from tests.conftest import Run

SEVEN = "B1 E2 A2 D3 G3 B3 E4"
LATER = "2026-11-25T13:00:00+01:00"


@pytest.fixture
def two(run: Run) -> Run:
    run("setup", "--frets", "22")
    run("setup", "--guitar", "seven", "--tuning", SEVEN, "--frets", "24")
    run("setup", "--guitar", "main")
    return run


def planned(run: Run, *words: str) -> list[str]:
    blocks = run("today", *words, "--json").json["blocks"]
    return [item["item"] for block in blocks for item in block["items"]]


def test_each_guitar_has_a_neck_of_its_own(two: Run) -> None:
    main = two("setup", "--json").json
    two("setup", "--guitar", "seven")
    seven = two("setup", "--json").json

    assert (main["tuning"], main["frets"], main["guitar"]) == ("E2 A2 D3 G3 B3 E4", 22, "")
    assert (seven["tuning"], seven["frets"], seven["guitar"]) == (SEVEN, 24, "seven")
    two("setup", "--minutes", "30", "--frets", "21")
    two("setup", "--guitar", "main")
    assert two("setup", "--json").json["frets"] == 22
    assert two("setup", "--json").json["minutes"] == 30
    two("setup", "--guitar", "seven")
    assert two("setup", "--json").json["frets"] == 21


def test_a_session_is_for_the_guitar_that_is_taken(two: Run) -> None:
    first = planned(two)
    two("today", "--guitar", "seven")
    recorded = two("record", "2", "clean")
    assert recorded.code == 0, recorded.err
    notes = two("item", "1:asc:down:1", "--json").json["notes"]

    assert notes == 30
    assert planned(two, "--guitar", "main") == first
    assert two("item", "1:asc:down:1", "--json").json["notes"] == 24
    assert two("item", "1:asc:down:1", "--json").json["passes"]


def test_the_guitar_that_is_played_is_told_and_what_other_strings_mean(two: Run) -> None:
    two("record", "1:asc:down:1", "clean", "--tempo", "60")
    other = two("today", "--guitar", "seven")
    back = two("today", "--guitar", "main")

    assert ", guitar seven" in other.out
    assert "an item has other notes on them" in " ".join(other.err.split())
    assert "guitar" not in back.out
    two("setup", "--guitar", "low", "--tuning", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4")
    assert "other notes" not in two("today", "--guitar", "main").err


def test_a_guitar_goes_with_the_record_and_an_undo_puts_it_back(two: Run, tmp_path: Path) -> None:
    two("export", "--format", "json", "-o", str(tmp_path / "record.json"))
    other = ("--ledger", str(tmp_path / "other.db"))
    two(*other, "setup")
    taken = two(*other, "import", str(tmp_path / "record.json"))
    assert taken.code == 0, taken.err
    two(*other, "today", "--guitar", "seven")
    assert two(*other, "setup", "--json").json["tuning"] == SEVEN
    two(*other, "undo")
    assert two(*other, "setup", "--json").json["guitar"] == ""


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["today", "--guitar", "sevn"], "did you mean seven?"),
        (["today", "--guitar", "A B"], "small letters"),
        (["setup", "--guitar", "eight", "--frets", "9"], "12 to 48"),
        (["setup", "--guitar", "odd", "--tuning", "E2 A4 B5"], "covers"),
    ],
)
def test_a_wrong_guitar_is_told_in_one_line(two: Run, words: list[str], told: str) -> None:
    before = two("setup", "--json").json
    done = two(*words)

    assert (done.code, done.err.count("\n")) == (2, 1), done.err
    assert told in done.err
    assert two("setup", "--json").json == before
