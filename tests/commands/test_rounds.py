"""The look back at a round, what comes next, and what stands in the way of an end."""

from pathlib import Path

import pytest

from tests.conftest import Run, another

SMALL = ("setup", "--frets", "12", "--lowest-fret", "9", "--tuning", "E1 A1 D2 G2")
"""A neck with so few positions that its round is played in a test."""


def play_the_round(run: Run) -> None:
    run(*SMALL)
    for tempo in ("60", "72"):
        assert run("record", "any", "clean", "--tempo", tempo).code == 0


def test_a_finished_round_is_looked_back_at(run: Run) -> None:
    play_the_round(run)
    found = run("round", "--json").json

    assert found["items_clean"] == found["items_total"] > 0
    assert found["look_back"]["passes"] == 2 * found["items_total"]
    assert found["look_back"]["clean_share"] == 1
    assert (found["look_back"]["first_tempo"], found["look_back"]["last_tempo"]) == (60, 72)
    assert found["look_back"]["next_floor_tempo"] == 80
    out = " ".join(run("round").out.split())
    assert "The round is finished. At 80" in out
    assert "you would still play nine in ten of its items clean, most of the time" in out
    assert "upneck round --next --floor-tempo 80" in out
    assert "finished on 25 November" in run("calendar").out


def test_the_proposed_floor_follows_what_is_played_now_and_never_falls(run: Run) -> None:
    run("record", "any", "clean", "--tempo", "66", at="2026-11-20T12:00:00+01:00")
    for tempo in ("84", "96", "104"):
        run("record", "any:any:any:5-6", "clean", "--tempo", tempo)
    assert run("round", "--json").json["look_back"]["next_floor_tempo"] == 112
    run("round", "--floor-tempo", "66")
    run("record", "any", "sloppy", "--tempo", "60", "--errors", "9")

    assert run("round", "--json").json["look_back"]["next_floor_tempo"] == 66


def test_the_next_round_starts_the_other_way_with_a_higher_floor_tempo(run: Run) -> None:
    play_the_round(run)
    started = run("round", "--next", "--floor-tempo", "72", "--json").json

    assert (started["number"], started["floor_tempo"], started["items_clean"]) == (2, 72, 0)
    onward = [b for b in run("today", "--json").json["blocks"] if b["reason"] == "onward"]
    assert onward[0]["items"][0]["item"].split(":")[1] == "desc"
    assert run("undo", "--json").json["withdrawn"]
    assert run("round", "--json").json["number"] == 1


def test_a_round_may_visit_only_what_is_weak(run: Run) -> None:
    play_the_round(run)
    weak = [i["item"] for i in run("items", "any", "--clean", "--json").json["items"]][:3]
    for address in weak:
        run("record", address, "sloppy", "--tempo", "60")
    started = run("round", "--next", "--weak", "--json").json

    assert started["items_total"] == 3
    assert not started["visits_all"]
    assert {i["item"] for i in run("items", "any", "--ahead", "--json").json["items"]} == set(weak)
    for address in weak:
        run("record", address, "clean", "--tempo", "60")
    assert run("round", "--json").json["items_clean"] == 3


def test_a_round_of_weak_items_needs_some(run: Run) -> None:
    play_the_round(run)

    assert run("round", "--next", "--weak").code == 1
    assert run("round", "--weak").code == 2


@pytest.mark.parametrize(
    ("setup", "words", "sentence"),
    [
        ([], ["--off", "2026-01-01..2040-01-01"], "No practice day is left"),
        (["--floor-tempo", "40"], ["--minutes", "1"], "too short for an item"),
        (["--frets", "36"], ["--minutes", "2", "--days", "mon"], "no end within five years"),
    ],
)
def test_what_stands_in_the_way_is_told_instead_of_a_date(
    run: Run, setup: list[str], words: list[str], sentence: str
) -> None:
    if setup:
        run("setup", *setup)
    found = run("calendar", *words, "--json").json

    assert sentence in found["obstacle"]
    assert found["finish"]["middle"] is None
    assert sentence in " ".join(run("calendar", *words).out.split())


def test_a_floor_tempo_that_no_pass_reaches_is_told(run: Run) -> None:
    run("record", "1:any:down:1-19", "sloppy", "--tempo", "80", "--errors", "9")
    run("setup", "--floor-tempo", "300")
    found = run("calendar", "--json").json

    assert "The floor tempo of 300 is out of reach" in found["obstacle"]
    assert found["finish"] == {"early": None, "middle": None, "late": None}


def test_a_budget_that_one_item_fills_holds_one_item(run: Run) -> None:
    run("setup", "--minutes", "1")

    assert " planned of 1 min, in 1 block." in run("today").out


def test_a_budget_too_short_for_any_item_is_told(run: Run) -> None:
    run("record", "1+2:asc:down:1-3", "sloppy", "--tempo", "40")
    run("round", "--next", "--weak", "--yes")
    done = run("today", "--minutes", "1")

    assert done.code == 0
    assert "Nothing fits into 1 min" in done.out


@pytest.mark.slow
def test_the_calendar_file_is_written_whole_and_not_over_another(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "practice.ics"
    first = run("calendar", "--ics", str(path))
    before = path.read_bytes()
    refused = run("calendar", "--ics", str(path))

    assert first.code == 0
    assert before.startswith(b"BEGIN:VCALENDAR\r\n")
    assert (refused.code, path.read_bytes()) == (1, before)
    assert "--force" in refused.err
    assert run("calendar", "--ics", str(path), "--force").code == 0
    assert path.read_bytes() == before
    assert run("calendar", "--ics", str(tmp_path / "no" / "x.ics")).code == 1
    assert run("calendar", "--ics", str(tmp_path)).code == 1
    assert run("calendar", "--ics", str(tmp_path / "y.ics"), "--start", "noon").code == 2
    assert sorted(p.name for p in tmp_path.iterdir() if p.is_file()) == ["practice.ics"]


def test_what_if_says_what_is_other(run: Run) -> None:
    run("setup", "--plays-clean", "96")
    out = " ".join(run("calendar", "--minutes", "40", "--days", "mon-fri").out.split())

    assert "With 40 minutes a day instead of 20 and practice on mon-fri instead of mon-sun:" in out
    assert " instead of " in out.split("mon-sun:")[1]


def test_before_the_first_pass_what_if_says_that_it_is_early(run: Run) -> None:
    shown = " ".join(run("calendar").out.split())
    out = " ".join(run("calendar", "--minutes", "40").out.split())
    told = out[out.index("With 40 minutes") :]

    assert ", hardly before " in shown
    assert "between the two dates" not in shown
    assert told.endswith("December. It is early to say: a session or two will tell.")
    assert told.count("a session or two will tell") == 1


def test_what_if_there_is_no_end(run: Run) -> None:
    out = " ".join(run("calendar", "--minutes", "1").out.split())

    assert "With 1 minute a day instead of 20: " in out
    assert ": At this" not in out
    assert "As the settings are: about " in out


def test_a_round_begun_on_two_machines_began_once_on_the_earlier(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-24T10:00:00+01:00")
    run(*other, "merge", str(ledger_file), at="2026-11-24T10:01:00+01:00")
    run("round", "--next", "--yes", "--floor-tempo", "54", at="2026-11-24T11:00:00+01:00")
    run("record", "1:desc:down:1", "clean", "--tempo", "54", at="2026-11-24T11:30:00+01:00")
    run(*other, "round", "--next", "--yes", "--floor-tempo", "66", at="2026-11-24T12:00:00+01:00")
    run(*other, "record", "1:asc:down:2", "clean", "--tempo", "66", at="2026-11-24T12:30:00+01:00")
    run("merge", other[1])
    run(*other, "merge", str(ledger_file))
    both = [run(*words, "round", "--json").json for words in ((), other)]

    assert both[0] == both[1]
    assert (both[0]["number"], both[0]["floor_tempo"], both[0]["items_clean"]) == (2, 54, 2)


def test_a_rounds_number_never_falls(run: Run, tmp_path: Path, ledger_file: Path) -> None:
    other = another(run, tmp_path / "other.db")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-24T10:00:00+01:00")
    run(*other, "merge", str(ledger_file), at="2026-11-24T10:01:00+01:00")
    for hour in (11, 12):
        run("round", "--next", "--yes", at=f"2026-11-24T{hour}:00:00+01:00")
    run(*other, "round", "--next", "--yes", at="2026-11-24T13:00:00+01:00")
    run("record", "1:asc:down:3", "clean", "--tempo", "60", at="2026-11-24T12:30:00+01:00")
    run("merge", other[1])
    found = run("round", "--json").json

    assert (found["number"], found["items_clean"]) == (3, 1)
    run("undo")
    run("undo")
    run("undo")
    assert run("round", "--json").json["number"] == 2
