"""A session as a good teacher would hold it: slow enough, once more, on, and back after weeks."""

import json
from pathlib import Path

import pytest

from tests.conftest import Run

TOMORROW = "2026-11-26T12:00:00+01:00"


def onward_tempos(run: Run, at: str | None = None) -> list[float]:
    session = run("today", "--json", at=at).json if at else run("today", "--json").json
    return [block["tempo"] for block in session["blocks"] if block["reason"] == "onward"]


def test_what_a_player_says_to_play_clean_is_where_the_first_session_begins(run: Run) -> None:
    unsaid = onward_tempos(run)
    run("setup", "--plays-clean", "96")
    said = onward_tempos(run)

    assert min(said) > max(unsaid)
    assert max(said) <= 96
    assert run("setup", "--json").json["plays_clean"] == 96


def test_it_is_said_once_before_the_first_pass_and_undone_like_anything(run: Run) -> None:
    before = run("today", "--json").json
    run("setup", "--plays-clean", "96")
    again = run("setup", "--plays-clean", "120")
    assert (again.code, again.err.count("\n")) == (2, 1)
    run("undo")
    assert run("today", "--json").json == before
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    late = run("setup", "--plays-clean", "96")

    assert (late.code, "your passes say more" in late.err) == (2, True)
    assert run("setup", "--plays-clean", "500").code == 2


def test_a_word_goes_with_the_record_to_another_machine(run: Run, tmp_path: Path) -> None:
    run("setup", "--plays-clean", "96")
    run("export", "--format", "json", "-o", str(tmp_path / "record.json"))
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    run(*other, "import", str(tmp_path / "record.json"))

    assert run(*other, "today", "--json").json["blocks"] == run("today", "--json").json["blocks"]


def test_how_long_it_took_is_what_counts_as_practised(run: Run) -> None:
    run("today")
    run("record", "all", "clean", "--took", "31")
    (day,) = (d for d in run("calendar", "--json", at=TOMORROW).json["days"] if d["passes"])
    slow = run("today", "--json", at=TOMORROW).json

    assert day["practised_seconds"] == 31 * 60
    assert sum(block["seconds"] for block in slow["blocks"]) < 18 * 60
    assert ", 31 minutes, today" in run("undo").out
    assert not any(d["passes"] for d in run("calendar", "--json", at=TOMORROW).json["days"])


@pytest.mark.parametrize("words", ["0", "soon", "2000"])
def test_an_odd_number_of_minutes_is_refused(run: Run, words: str) -> None:
    run("today")

    assert run("record", "all", "clean", "--took", words).code == 2


def test_the_list_goes_on_for_what_is_left_of_the_minutes(run: Run) -> None:
    run("today", "--minutes", "10")
    run("record", "all", "clean")
    more = run("today", "--more", "--json").json

    new = [block for block in more["blocks"] if not all(i["done"] for i in block["items"])]
    assert 0 < sum(block["seconds"] for block in new) <= 660
    assert all(block["reason"] != "warm-up" for block in new)
    run("record", "all", "clean")
    done = run("today", "--more")
    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "--minutes says how many more" in done.err
    assert run("today", "--more", "--minutes", "5").code == 0


def test_the_day_is_one_session_however_often_it_goes_on(run: Run) -> None:
    first = run("today", "--minutes", "6", "--json").json["blocks"]
    run("record", "all", "clean")
    for _ in range(2):
        run("today", "--more", "--minutes", "3")
        run("record", "all", "clean")
    day = run("today", "--json").json

    assert [block["number"] for block in day["blocks"]] == [*range(1, len(day["blocks"]) + 1)]
    assert len(day["blocks"]) > len(first) + 1
    assert all(item["done"] for block in day["blocks"] for item in block["items"])
    assert "all of it is recorded. upneck today --more goes on." in " ".join(
        run("today").out.split()
    )
    run("undo")
    assert "--second-try" not in run("record", "1", "clean").err
    assert run("record", str(len(first)), "clean").code == 1
    assert run("record", str(len(day["blocks"])), "clean").code == 0


def test_a_session_that_isnt_through_doesnt_go_on(run: Run) -> None:
    blocks = run("today", "--json").json["blocks"]
    run("record", "1", "clean")
    refused = run("today", "--more")

    left = ", ".join(str(block["number"]) for block in blocks[1:])
    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert f"blocks left: {left};" in refused.err


@pytest.mark.parametrize("words", [["--afresh"], ["--on", "2026-11-27"]])
def test_going_on_is_about_todays_session(run: Run, words: list[str]) -> None:
    assert run("today", "--more", *words).code == 2


def test_what_stayed_sloppy_is_tomorrow_in_its_place_and_no_faster(run: Run) -> None:
    run("today")
    run("record", "2", "clean", "--sloppy", "7")
    tempo = run("item", "1:asc:down:7", "--json").json["passes"][0]["tempo"]
    first = next(b for b in run("today", "--json", at=TOMORROW).json["blocks"]
                 if b["reason"] == "onward")  # fmt: skip

    assert first["items"][0]["item"] == "1:asc:down:7"
    assert first["tempo"] <= tempo


def test_seven_weeks_away_lower_tempos_and_minutes(run: Run) -> None:
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    run("record", "2:any:any:any", "clean", "--tempo", "60")
    back = run("today", "--json", at="2027-01-13T12:00:00+01:00").json

    assert sum(block["seconds"] for block in back["blocks"]) <= 600
    assert all(block["tempo"] < 60 for block in back["blocks"])
    assert "48 days without playing" in back["cautions"][0]


def test_one_sloppy_pass_after_a_break_makes_one_item_weak(run: Run) -> None:
    for box in range(1, 6):
        run("record", f"{box}:any:any:any", "clean", "--tempo", "60")
    run("record", "1:asc:down:9", "sloppy", "--tempo", "60", at="2027-01-13T12:00:00+01:00")
    weak = run("items", "--weak", "--json", at="2027-01-13T12:00:00+01:00").json["items"]

    assert [item["item"] for item in weak] == ["1:asc:down:9"]


def test_a_working_tempo_is_one_at_which_the_item_was_clean(run: Run) -> None:
    run("record", "1:asc:down:9", "sloppy", "--tempo", "120")
    found = run("item", "1:asc:down:9", "--json").json
    assert found["working_tempo"] is None
    assert "it was never clean" in " ".join(run("item", "1:asc:down:9").out.split())
    run("record", "1:asc:down:9", "clean", "--tempo", "50")

    assert run("item", "1:asc:down:9", "--json").json["working_tempo"] == 50


def test_before_the_first_pass_the_calendar_gives_no_late_day(run: Run) -> None:
    finish = run("calendar", "--json").json["finish"]

    assert finish["early"] <= finish["middle"]
    assert finish["late"] is None
    assert "a session or two will tell" in " ".join(run("calendar").out.split())


def test_another_day_that_is_asked_about_teaches_nothing_about_missed_days(run: Run) -> None:
    run("record", "1:any:down:1-9", "clean", "--tempo", "60")
    now, later = (
        run("calendar", "--json", "--on", day).json["pace"] for day in ("2026-11-25", "2026-12-20")
    )

    assert json.dumps(now) == json.dumps(later)


def test_a_beginner_is_asked_for_what_can_be_played_and_stays_there(run: Run) -> None:
    run("setup", "--plays-clean", "24", "--floor-tempo", "20", "--notes-per-beat", "2")
    run("today")
    run("record", "all", "sloppy")
    tomorrow = run("today", "--json", at=TOMORROW).json
    items = [i["item"] for b in tomorrow["blocks"] if b["reason"] == "onward" for i in b["items"]]

    assert items[0] == "1:asc:down:1"
    assert all(item.startswith("1:") for item in items)
