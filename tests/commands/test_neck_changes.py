"""The neck may change: what it hasn't rests, and comes back with it."""

import pytest

from tests.conftest import Run

READERS = (
    ["today"], ["round"], ["items"], ["calendar"], ["neck"], ["neck", "--tempo"], ["check"],
    ["items", "--weak"], ["today", "--on", "+3"],
)  # fmt: skip


def test_items_that_the_neck_hasnt_are_neither_judged_nor_planned_nor_shown(run: Run) -> None:
    run("setup", "--frets", "24")
    run("record", "1:any:any:18-21", "sloppy", "--tempo", "60")
    run("today")
    weak = run("items", "--weak", "--json").json["items"]
    run("setup", "--frets", "15", at="2026-11-25T13:00:00+01:00")
    session = run("today", "--json", at="2026-11-25T13:00:00+01:00").json
    planned = [item["item"] for block in session["blocks"] for item in block["items"]]

    assert len(weak) == 8
    assert run("items", "--weak", "--json").json["items"] == []
    assert all(int(address.rpartition(":")[2]) <= 12 for address in planned)
    assert run("item", "1:asc:down:18").code == 2
    run("setup", "--frets", "24", at="2026-11-25T14:00:00+01:00")
    assert run("items", "--weak", "--json").json["items"] == weak


@pytest.mark.parametrize("words", READERS, ids=" ".join)
def test_a_round_of_which_the_neck_has_nothing_is_legal_everywhere(
    run: Run, words: list[str]
) -> None:
    run("setup", "--frets", "24")
    run("record", "5+1:any:any:15-16", "sloppy", "--tempo", "60")
    begun = run("round", "--next", "--weak", "--yes", "--json").json
    run("setup", "--frets", "12", "--lowest-fret", "1")
    done = run(*words)

    assert begun["items_total"] > 0
    assert run("round", "--json").json["items_total"] == 0
    assert done.code == 0, done.err
    assert "Nothing of this round lies on this neck" in run("calendar").out


def test_another_neck_leaves_the_undo_of_before(run: Run) -> None:
    run("setup", "--frets", "24")
    run("record", "1:any:down:20-21", "clean", "--tempo", "60")
    run("setup", "--frets", "12")
    assert run("undo").code == 0
    run("setup", "--frets", "12")
    run("undo")
    undone = run("undo")

    assert undone.code == 0
    assert "frets 20 and 21" in undone.out


def test_a_session_of_another_neck_is_not_recorded_by_its_numbers(run: Run) -> None:
    run("today")
    run("setup", "--frets", "12")

    assert run("record", "2", "clean").code == 1
    run("undo")
    assert run("record", "2", "clean").code == 0


def test_a_fret_more_or_less_undoes_nothing_that_was_played(run: Run) -> None:
    run("record", "any", "clean", "--tempo", "60")
    counts = {}
    for frets in ("22", "21", "24"):
        run("setup", "--frets", frets)
        found = run("round", "--json").json
        counts[frets] = (found["items_clean"], found["items_total"])

    assert counts == {"22": (516, 516), "21": (486, 486), "24": (516, 576)}
    run("setup", "--lowest-fret", "2", "--frets", "22")
    found = run("round", "--json").json
    assert found["items_clean"] == found["items_total"]


def test_two_frets_more_are_what_is_ahead_then(run: Run) -> None:
    run("record", "any", "clean", "--tempo", "60")
    run("setup", "--frets", "24")
    onward = [b for b in run("today", "--json").json["blocks"] if b["reason"] == "onward"]
    first = [item["item"] for item in onward[0]["items"]]

    assert first == ["1:desc:down:20", "1:asc:down:21"]
    assert all(len(block["items"]) == 2 for block in onward[:-1])
