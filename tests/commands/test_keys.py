"""Places named by key, and the home key in which a box is first looked at."""

from typing import Any

import pytest

from tests.conftest import Run

TOMORROW = "2026-11-26T12:00:00+01:00"


def blocks(run: Run, at: str | None = None) -> list[dict[str, Any]]:
    found = run("today", "--json", at=at) if at else run("today", "--json")
    return list(found.json["blocks"])


@pytest.mark.parametrize(
    ("words", "address"),
    [
        (["2", "Am"], "2:asc:down:7"), (["1", "am"], "1:asc:down:5"),
        (["2:desc:up", "Am"], "2:desc:up:7"), (["2:desc:up:Am"], "2:desc:up:7"),
        (["1", "F#m"], "1:asc:down:14"), (["1+2:desc", "Bbm"], "1+2:desc:down:6"),
        (["major3/1", "C"], "major3/1:asc:down:8"), (["major3/2:any:any", "C"], None),
    ],
)  # fmt: skip
def test_an_item_is_named_by_box_and_key(run: Run, words: list[str], address: str | None) -> None:
    found = run("item", *words, "--json")

    assert found.code == 0, found.err
    if address is not None:
        assert found.json["item"] == address


def test_items_of_a_key_are_listed_with_it(run: Run) -> None:
    run("record", "1:asc:down:5", "clean", "--tempo", "60")
    found = run("items", "1", "--key", "Am", "--json").json["items"]

    assert {line["item"].rpartition(":")[2] for line in found} == {"5", "17"}
    assert {line["key"] for line in found} == {"A minor"}
    assert run("items", "1 Am", "--json").json["items"] == found
    assert " Am " in run("items", "1", "--key", "Am").out
    assert run("record", "1:asc:down:Am", "clean", "--tempo", "60").code == 0
    assert len(run("items", "any", "--key", "Am", "--json").json["items"]) == 60


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["tab", "2", "C"], "those of Am"), (["tab", "2", "Hm"], "no key 'hm'"),
        (["tab", "major3/2", "Am"], "those of C"), (["item", "any", "Am"], "more than one"),
        (["setup", "--home-key", "X"], "no key 'X'"), (["tab", "2:asc:down:5", "Am"], "one"),
    ],
)  # fmt: skip
def test_a_wrong_key_is_told_in_one_line(run: Run, words: list[str], told: str) -> None:
    done = run(*words)

    assert (done.code, done.err.count("\n")) == (2, 1), done.err
    assert told in done.err


def test_before_its_first_way_up_a_box_is_looked_at_in_the_home_key(run: Run) -> None:
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    run("setup", "--home-key", "a minor")
    assert run("setup", "--json").json["home_key"] == "Am"
    day = blocks(run)
    place = next(n for n, block in enumerate(day) if block["reason"] == "find your way")
    (home,) = day[place]["items"]
    onward = day[place + 1]

    assert home["item"] == "2:asc:down:7"
    assert onward["items"][0]["item"] == "2:asc:down:1"
    assert day[place]["tempo"] < onward["tempo"]
    assert "find your way: box 2, fret 7" in " ".join(run("today").out.split())
    assert "A minor" in " ".join(run("today").out.split())


def test_the_way_is_found_once_in_a_round(run: Run) -> None:
    run("setup", "--home-key", "Am")
    first = blocks(run)
    home = next(block for block in first if block["reason"] == "find your way")
    assert home["items"][0]["item"] == "1:asc:down:5"
    run("record", str(home["number"]), "clean")
    later = blocks(run, at=TOMORROW)
    boxes = [b["items"][0]["item"][0] for b in later if b["reason"] == "find your way"]

    assert "1" not in boxes
    run("setup", "--home-key", "none")
    assert not any(b["reason"] == "find your way" for b in blocks(run, at=TOMORROW))
