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
    assert "--more --minutes 10 adds ten" in done.err
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
    assert "all of it is recorded. For more: upneck today --more --minutes 10." in " ".join(
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
    assert "Not clean yet." in " ".join(run("item", "1:asc:down:9").out.split())
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


BACK = "2027-01-13T12:00:00+01:00"
DAY_AFTER = "2027-01-14T12:00:00+01:00"


def planned_seconds(run: Run, *words: str, at: str) -> float:
    blocks = run(*words, "--json", at=at).json["blocks"]
    return float(sum(block["seconds"] for block in blocks))


def test_on_the_first_day_back_ten_minutes_are_all(run: Run) -> None:
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    for _ in range(3):
        run("today", "--minutes", "20", at=BACK)
    assert "rest" in run("today", at=BACK).out.lower()
    run("record", "all", "clean", "--took", "10", at=BACK)
    more = run("today", "--more", at=BACK)

    assert (more.code, more.err.count("\n")) == (1, 1)
    assert "10 minutes are enough after 48 days without playing" in more.err
    assert planned_seconds(run, "today", at=BACK) <= 600


def test_who_knows_little_fills_the_first_day_back_too(run: Run) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60")
    run("record", "1:any:down:6-8", "sloppy", "--tempo", "60", at=TOMORROW)

    session = run("today", "--json", at=BACK).json

    assert session["budget_seconds"] == 600
    assert session["planned_seconds"] > 300
    assert session["blocks"]
    assert "ten minutes today, slowly" in session["cautions"][0]


def test_what_has_gone_stale_and_is_hard_is_there_on_the_first_day_back(run: Run) -> None:
    run("record", "1:any:any:any", "sloppy", "--tempo", "60")
    run("record", "1:any:any:any", "clean", "--tempo", "120", at=TOMORROW)

    assert planned_seconds(run, "today", at=BACK) > 300


def test_minutes_asked_for_on_the_first_day_back_make_no_other_plan(run: Run) -> None:
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    first = run("today", "--minutes", "20", "--json", at=BACK).json
    run("record", "1", "clean", at=BACK)
    again = run("today", "--minutes", "20", at=BACK)

    assert "so it stays" not in again.err
    assert first["budget_seconds"] == 600


def test_the_day_after_tempos_are_lower_yet_than_before(run: Run) -> None:
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    run("today", at=BACK)
    run("record", "all", "clean", at=BACK)

    assert max(onward_tempos(run, DAY_AFTER)) <= 60


def test_an_item_is_told_with_the_tempo_at_which_the_session_plays_it(run: Run) -> None:
    run("record", "1:asc:down:1-9", "sloppy", "--tempo", "44")
    session = run("today", "--json", at=TOMORROW).json
    block = next(b for b in session["blocks"] if b["reason"] == "onward")
    for planned in block["items"]:
        item = run("item", planned["item"], "--json", at=TOMORROW).json
        listed = run("items", planned["item"], "--json", at=TOMORROW).json["items"][0]
        assert item["suggested_tempo"] == listed["suggested_tempo"] >= block["tempo"]


def test_told_minutes_are_those_of_what_they_were_told_of(run: Run) -> None:
    run("today")
    run("record", "1", "clean", "--took", "5")
    alone = run("calendar", "--json", at=TOMORROW).json["days"]
    run("record", "2-4", "clean")
    both = run("calendar", "--json", at=TOMORROW).json["days"]
    (before,), (after,) = ([d for d in days if d["passes"]] for days in (alone, both))

    assert before["practised_seconds"] == 300
    assert after["practised_seconds"] > 330


def test_a_pass_keeps_its_day_wherever_the_record_is_read(run: Run) -> None:
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-21T01:00:00+09:00")
    far = "2026-11-22T12:00:00+00:00"

    assert "sloppy on 21 November" in " ".join(run("items", "--weak", at=far).out.split())


def test_a_day_that_is_over_is_seen_from_its_end(run: Run) -> None:
    run("record", "1:asc:down:1-9", "clean", "--tempo", "60", "--at", "2026-11-24T20:05")
    days = run("calendar", "--json", "--on", "2026-11-24").json["days"]

    assert next(day for day in days if day["date"] == "2026-11-24")["passes"] > 0


def test_a_reset_makes_nobody_a_beginner(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("reset", "1:asc:down:1", "--yes")

    assert "your passes say more" in run("setup", "--plays-clean", "160").err


def test_what_is_played_clean_is_told_in_the_notes_told_with_it(run: Run, tmp_path: Path) -> None:
    run("setup", "--plays-clean", "120", "--notes-per-beat", "4")
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup", "--notes-per-beat", "4")
    run(*other, "setup", "--plays-clean", "120")
    again = run("setup", "--plays-clean", "60")

    assert run(*other, "today", "--json").json["blocks"] == run("today", "--json").json["blocks"]
    assert (again.code, "upneck diary shows how" in again.err) == (2, True)


def test_the_floor_that_is_advised_suits(run: Run) -> None:
    run("setup", "--floor-tempo", "160")
    run("record", "1:any:down:any", "clean", "--tempo", "56")
    shown = " ".join(run("today", at=TOMORROW).out.split())
    floor = shown.rpartition("--floor-tempo ")[2].split()[0]
    run("round", "--floor-tempo", floor, at=TOMORROW)

    assert "Try a floor of" in shown
    assert "Try a floor of" not in run("today", at=TOMORROW).out


def test_a_finished_round_is_told_and_the_next_takes_what_is_proposed(run: Run) -> None:
    run("setup", "--frets", "7", "--lowest-fret", "2")
    run("record", "any", "clean", "--tempo", "80")
    assert "The round is finished" in run("today", at=TOMORROW).out
    proposed = run("round", at=TOMORROW).out.rpartition("--floor-tempo ")[2].split(",")[0]
    run("round", "--next", at=TOMORROW)

    assert run("round", "--json", at=TOMORROW).json["floor_tempo"] == float(proposed)


def test_after_weeks_away_the_calendar_has_no_more_minutes_than_the_return(run: Run) -> None:
    run("setup", "--minutes", "25", at="2026-10-01T12:00:00+02:00")
    for day in ("01", "02", "03"):
        at = f"2026-10-{day}T18:00:00+02:00"
        run("record", "1:any:down:1-9", "clean", "--tempo", "60", at=at)
    back = "2026-11-20T18:00:00+01:00"
    told = run("calendar", at=back).out
    days = run("calendar", "--json", at=back).json["days"]
    planned = [day["planned_seconds"] / 60 for day in days if day["planned_seconds"]]
    gained = [day["expected_clean"] for day in days if day["planned_seconds"]]

    # One (20) stands in the legend.
    assert [told.count(f"({minutes})") for minutes in (10, 20)] == [1, 2]
    assert told.count("(25)") > 5
    assert planned[:4] == [10, 20, 25, 25]
    assert gained[0] < gained[1] < gained[2]


def test_what_is_told_of_an_empty_record_isnt_told_once_something_is_in_it(run: Run) -> None:
    assert "Nothing is recorded yet" in run("today").out
    run("record", "1", "clean")
    assert "Nothing is recorded yet" not in run("today").out


def test_a_return_with_nothing_that_was_clean_isnt_told_to_play_what_is_known(run: Run) -> None:
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60")
    told = " ".join(run("today", at="2027-01-16T18:00:00+01:00").out.split())

    assert "ten minutes today, slowly, with a rest half way" in told
    assert "of what you know" not in told


EVENING, MORNING = "2026-11-25T20:00:00+01:00", "2026-11-26T09:00:00+01:00"


def test_yesterdays_session_is_recorded_next_morning(run: Run) -> None:
    run("today", at=EVENING)
    done = run("record", "1", "clean", at=MORNING)
    days = {day["date"]: day for day in run("calendar", "--json", at=MORNING).json["days"]}

    assert done.code == 0
    assert "this counts for yesterday's, at 20:" in done.err
    assert days["2026-11-25"]["passes"] > 0
    assert days["2026-11-26"]["passes"] == 0
    # Once there is one for today, numbers are today's.
    run("today", at=MORNING)
    assert "yesterday" not in run("record", "1", "clean", at=MORNING).err


def test_nothing_is_guessed_after_two_days(run: Run) -> None:
    run("today", at=EVENING)

    assert run("record", "1", "clean", at="2026-11-27T09:00:00+01:00").code == 1


def test_part_of_a_block_is_recorded(run: Run) -> None:
    block = next(b for b in run("today", "--json").json["blocks"] if len(b["items"]) > 4)
    frets = [int(item["item"].rpartition(":")[2]) for item in block["items"]]
    number = str(block["number"])
    done = run("record", number, "clean", "--to", str(frets[2]))
    left = next(b for b in run("today", "--json").json["blocks"] if b["number"] == block["number"])[
        "items"
    ]

    assert "recorded 3 passes" in done.out
    assert [item["done"] for item in left] == [True] * 3 + [False] * (len(frets) - 3)
    for words in (("--to", "99"), ("--to", "x")):
        assert run("record", number, "clean", *words).code == 2
    assert run("record", "1-2", "clean", "--to", "3").code == 2


def test_days_and_tunings_have_names(run: Run) -> None:
    told = run("setup", "--days", "weekdays", "--tuning", "drop D").out

    assert "mon-fri" in told
    assert "D2 A2 D3 G3 B3 E4" in told


def test_minutes_are_added_to_a_session_that_isnt_through(run: Run) -> None:
    run("setup", "--minutes", "10", "--plays-clean", "100")
    run("today")
    run("record", "1", "clean")
    before = run("today", "--json").json
    refused = run("today", "--more")
    assert refused.code == 1
    assert "--more --minutes 10" in refused.err
    after = run("today", "--more", "--minutes", "10", "--json").json

    kept = len(before["blocks"])
    assert after["blocks"][:kept] == before["blocks"]
    assert len(after["blocks"]) > kept
    left = [i["item"] for block in after["blocks"] for i in block["items"] if not i["done"]]
    assert len(left) == len(set(left))
    assert after["budget_seconds"] == before["budget_seconds"] + 600
    assert "with what you added" in run("today").out or after["planned_seconds"] <= 1200
    told = run("today", "--minutes", "30")
    assert "--more --minutes 10 adds ten minutes" in told.err


def test_a_bad_day_is_told_where_it_makes_the_next_one_slower(run: Run) -> None:
    run("record", "1:any:down:1-12", "sloppy", "--tempo", "60")
    told = run("today", at=TOMORROW).out
    assert "Slower today: on 25 November 12 of 12 passes were sloppy." in told
    run("undo")
    run("record", "1:any:down:1-12", "clean", "--tempo", "60")

    assert "Slower today" not in run("today", at=TOMORROW).out


def test_whole_blocks_said_to_be_sloppy_are_asked_about(run: Run) -> None:
    run("today")
    count = len(run("today", "--json").json["blocks"][0]["items"])
    told = run("record", "1", "sloppy").out

    assert f"all {count} count as sloppy" in told
    assert "upneck record 1 clean --sloppy FRETS" in " ".join(told.split())
    assert "count as sloppy" not in run("record", "2", "clean").out


def test_tempos_say_what_they_count(run: Run) -> None:
    assert "Tempo: beats a minute, 3 notes to a beat." in run("today").out
    run("setup", "--notes-per-beat", "4")
    assert "4 notes to a beat." in run("today").out
