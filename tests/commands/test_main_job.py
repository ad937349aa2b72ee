"""The main job as a player types it: today, record, calendar, reset."""

from pathlib import Path

import pytest
from icalendar import Calendar

from tests.conftest import Run

TOMORROW = "2026-11-26T19:00:00+01:00"


def test_today_plans_a_session_within_the_budget(run: Run) -> None:
    session = run("today", "--json").json

    assert session["date"] == "2026-11-25"
    assert session["budget_seconds"] == 1200
    assert 1150 < session["planned_seconds"] <= 1200
    assert session["blocks"][0]["reason"] == "warm-up"
    assert [block["number"] for block in session["blocks"]] == [1, 2, 3, 4, 5]
    assert session["blocks"][1]["items"][0]["item"] == "1:asc:down:1"


def test_block_numbers_stay_while_you_record(run: Run) -> None:
    before = run("today", "--json").json["blocks"]
    run("record", "2", "clean")
    after = run("today", "--json").json["blocks"]

    assert [b["label"] for b in after] == [b["label"] for b in before]
    assert [all(i["done"] for i in b["items"]) for b in after] == [False, True, False, False, False]


def test_a_hundred_passes_are_recorded_in_at_most_six_commands(run: Run) -> None:
    session = run("today", "--minutes", "32", "--json").json
    sizes = [len(block["items"]) for block in session["blocks"]]

    commands = [run("record", "1-2", "clean", "--second-try", "2/7,9", "--sloppy", "2/11")]
    commands.append(run("record", "all", "clean", "--second-try", "3/4"))

    assert [done.code for done in commands] == [0, 0]
    assert sum(sizes) + 3 >= 100
    assert f"recorded {sum(sizes[2:]) + 1} passes" in commands[1].out
    assert "the whole session is recorded" in commands[1].out


def test_again_is_sloppy_then_clean_and_sloppy_stays_weak(run: Run) -> None:
    run("today")
    done = run("record", "2", "clean", "--second-try", "7,9", "--sloppy", "11", "--json").json

    assert len(done["recorded"]) == 21
    assert done["standing"]["1:asc:down:7"] == "clean"
    assert done["standing"]["1:asc:down:11"] == "weak"
    passes = run("item", "1:asc:down:7", "--json").json["passes"]
    assert [p["clean"] for p in passes] == [False, True]


def test_undo_takes_the_whole_record_back(run: Run) -> None:
    run("today")
    recorded = run("record", "2", "clean", "--json").json["recorded"]
    undone = run("undo", "--json").json

    assert undone["withdrawn"] == recorded
    assert undone["standing"]["1:asc:down:1"] == "ahead"
    assert not any(i["done"] for i in run("today", "--json").json["blocks"][1]["items"])


def test_undo_goes_back_step_by_step_until_nothing_is_left(run: Run) -> None:
    run("record", "3:asc:down:7", "clean", "--tempo", "60")
    run("record", "3:asc:down:9", "sloppy", "--tempo", "60")

    assert run("undo", "--json").json["items"] == ["3:asc:down:9"]
    assert run("undo", "--json").json["items"] == ["3:asc:down:7"]
    last = run("undo")
    assert (last.code, last.out) == (1, "")
    assert "nothing to undo" in last.err


def test_tomorrow_goes_on_where_today_stopped(run: Run) -> None:
    run("today")
    run("record", "all", "clean", "--sloppy", "2/11")
    session = run("today", "--json", at=TOMORROW).json
    reasons = {b["reason"]: b for b in reversed(session["blocks"])}

    assert reasons["onward"]["items"][0]["item"] == "1:asc:down:11"
    following = [b for b in session["blocks"] if b["reason"] == "onward"][1]
    assert following["items"][0]["item"].startswith("2:desc:up:15")


def test_an_address_outside_the_session_needs_a_tempo(run: Run) -> None:
    run("today")
    without = run("record", "5+1:desc:up:2", "clean")

    assert without.code == 2
    assert "--tempo" in without.err
    assert run("record", "5+1:desc:up:2", "clean", "--tempo", "60").code == 0


def test_an_address_of_the_session_takes_the_planned_tempo_and_counts_for_its_block(
    run: Run,
) -> None:
    run("today")
    run("record", "1:desc:down:8", "sloppy", "--errors", "2", "--fault", "ringing", "--note", "x")
    (played,) = run("item", "1:desc:down:8", "--json").json["passes"]
    block = run("today", "--json").json["blocks"][1]

    assert (played["tempo"], played["errors"], played["fault"]) == (block["tempo"], 2, "ringing")
    assert [i["item"] for i in block["items"] if i["done"]] == ["1:desc:down:8"]


def test_a_pattern_records_the_items_of_the_round_in_its_order(run: Run) -> None:
    done = run("record", "2:any:down:4-7", "clean", "--tempo", "72", "--json").json

    assert done["items"] == ["2:desc:down:4", "2:asc:down:5", "2:desc:down:6", "2:asc:down:7"]


def test_a_pass_played_earlier_is_put_in_its_place(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("record", "1:asc:down:1", "sloppy", "--tempo", "66", "--at", "2026-11-20T19:30")
    found = run("item", "1:asc:down:1", "--json").json

    assert [p["clean"] for p in found["passes"]] == [False, True]
    assert found["passes"][0]["at"].startswith("2026-11-20T19:30:00")
    assert found["standing"] == "clean"


def test_just_after_midnight_the_evenings_session_is_still_recorded(run: Run) -> None:
    run("today", at="2026-11-25T23:40:00+01:00")
    done = run("record", "2", "clean", at="2026-11-26T00:10:00+01:00")

    assert done.code == 0
    assert "19 passes" in done.out


def test_a_block_that_is_recorded_is_not_recorded_twice_by_mistake(run: Run) -> None:
    run("today")
    run("record", "1", "clean")
    again = run("record", "1", "clean")

    assert again.code == 1
    assert "--repeat" in again.err
    assert run("record", "1", "clean", "--repeat").code == 0


def test_the_calendar_says_when_the_round_will_be_finished(run: Run) -> None:
    session = run("today", "--json").json
    run("record", "all", "clean")
    items = [i["item"] for block in session["blocks"] for i in block["items"]]
    found = run("calendar", "--json", at=TOMORROW).json

    assert found["as_of"] == "2026-11-26"
    assert found["items_total"] == 516
    assert found["items_clean"] == len(set(items)) == run("round", "--json").json["items_clean"]
    assert found["finish"]["early"] <= found["finish"]["middle"] <= found["finish"]["late"]
    days = {day["date"]: day for day in found["days"]}
    assert days["2026-11-25"]["passes"] == len(items)
    assert days["2026-11-25"]["planned_seconds"] == 0
    assert days["2026-11-27"]["planned_seconds"] == 1200
    assert days["2026-11-27"]["expected_clean"] > 0
    names = [milestone["name"] for milestone in found["milestones"]]
    assert names[0] == "box 1"
    assert names[-1] == "round 1"
    assert found["milestones"][0]["done_on"] == "2026-11-25"


@pytest.mark.slow
def test_what_if_answers_beside_the_present_answer(run: Run) -> None:
    more = run("calendar", "--minutes", "40")

    assert "With 40 minutes a day instead of 20:" in more.out
    assert (
        run("calendar", "--minutes", "40", "--json").json["finish"]["middle"]
        < run("calendar", "--json").json["finish"]["middle"]
    )


def test_the_wall_calendar_has_week_rows_and_day_cells(run: Run) -> None:
    run("today")
    run("record", "all", "clean")
    lines = run("calendar", "--months", "0").out.splitlines()
    top = next(n for n, line in enumerate(lines) if "Mon" in line)
    row = next(n for n, line in enumerate(lines) if "│25 *" in line)

    assert lines[top - 2].strip() == "November 2026"
    assert lines[row].startswith("│ 48│23")
    assert "│18 min" in lines[row + 1]
    assert "│(20)" in lines[row + 1]


def test_reset_lets_one_item_start_afresh_and_undo_takes_it_back(run: Run) -> None:
    run("record", "3:asc:down:7", "clean", "--tempo", "60")
    done = run("reset", "3:asc:down:7", "--yes", "--json").json

    assert done["standing"] == {"3:asc:down:7": "ahead"}
    found = run("item", "3:asc:down:7", "--json").json
    assert len(found["resets"]) == 1
    assert len(found["passes"]) == 1
    assert found["days_since"] is None
    run("undo")
    assert run("item", "3:asc:down:7", "--json").json["standing"] == "clean"


def test_reset_needs_yes_where_nobody_can_be_asked(run: Run) -> None:
    done = run("reset", "3:asc:down:7", stdin="")

    assert done.code == 2
    assert "--yes" in done.err


def test_items_are_listed_by_standing_with_the_reason(run: Run) -> None:
    run("record", "3:any:down:7-9", "sloppy", "--tempo", "60")
    weak = run("items", "--weak", "--json").json["items"]

    assert [i["item"] for i in weak] == ["3:asc:down:7", "3:desc:down:8", "3:asc:down:9"]
    assert all(i["standing"] == "weak" and i["passes"] == 1 for i in weak)
    assert "sloppy on 25 November" in run("items", "3", "--weak").out


def test_the_round_stands_by_part_and_box(run: Run) -> None:
    run("today")
    run("record", "all", "clean")
    found = run("round", "--json").json

    assert (found["number"], found["floor_tempo"], found["started_on"]) == (1, 40, "2026-11-25")
    assert [part["items_total"] for part in found["parts"]] == [188, 164, 164]
    assert found["parts"][0]["boxes"][0] == {
        "name": "box 1", "items_total": 38, "items_clean": 38,
    }  # fmt: skip


def test_the_next_round_starts_downwards(run: Run) -> None:
    refused = run("round", "--next")
    started = run("round", "--next", "--yes", "--floor-tempo", "72", "--json").json

    assert refused.code == 1
    assert "not finished" in refused.err
    assert (started["number"], started["floor_tempo"]) == (2, 72)
    onward = [b for b in run("today", "--json").json["blocks"] if b["reason"] == "onward"]
    assert onward[0]["items"][0]["item"] == "1:desc:down:1"


def test_settings_change_what_is_planned(run: Run) -> None:
    run("setup", "--frets", "24", "--minutes", "10", "--days", "mon-fri", "--tuning",
        "B1 E2 A2 D3 G3 B3 E4")  # fmt: skip

    assert run("round", "--json").json["items_total"] == 576
    assert run("today", "--json").json["budget_seconds"] == 600
    assert run("item", "1:asc:down:5", "--json").json["notes"] == 30
    days = {d["date"]: d for d in run("calendar", "--json").json["days"]}
    assert days["2026-11-28"]["planned_seconds"] == 0


def test_other_notes_per_beat_keep_the_speed_of_the_floor_tempo(run: Run) -> None:
    done = run("setup", "--notes-per-beat", "4", "--json")

    assert done.json["floor_tempo"] == 30
    assert "as many notes a second" in done.err


def test_a_plan_made_for_other_minutes_gives_way_until_something_is_recorded(run: Run) -> None:
    run("today")
    assert run("today", "--minutes", "10", "--json").json["budget_seconds"] == 600
    run("record", "1", "clean")
    kept = run("today", "--minutes", "30", "--json")
    assert kept.json["budget_seconds"] == 600
    assert "--afresh" in kept.err
    afresh = run("today", "--minutes", "30", "--afresh", "--json")
    assert afresh.json["budget_seconds"] == 1800


def test_another_day_is_planned_without_being_kept(run: Run) -> None:
    assert run("today", "--on", "2026-12-01", "--json").json["date"] == "2026-12-01"
    assert run("record", "1", "clean").code == 1
    assert run("today", "--on", "yesterday").code == 1


def test_the_ledger_can_lie_elsewhere_where_setup_made_it(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = ("--ledger", str(tmp_path / "elsewhere" / "my.db"))
    typo = run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60")
    assert (typo.code, typo.err.count("\n")) == (1, 1)
    assert "there is no ledger" in typo.err
    refused = run(*other, "setup")
    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert "make the folder first" in refused.err
    assert not (tmp_path / "elsewhere").exists()
    (tmp_path / "elsewhere").mkdir()
    run(*other, "setup")

    assert run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60").code == 0
    assert not ledger_file.exists()


@pytest.mark.parametrize(
    "words", [("--frets", "99"), ("--lowest-fret", "12", "--frets", "12"), ("--days", "never")]
)
def test_settings_that_are_refused_make_no_ledger(
    run: Run, ledger_file: Path, words: tuple[str, ...]
) -> None:
    assert run("setup", *words).code == 2
    assert not ledger_file.parent.exists()


@pytest.mark.parametrize("command", ["today", "calendar", "round", "items"])
def test_the_demo_player_needs_nothing_and_leaves_the_players_ledger_alone(
    run: Run, ledger_file: Path, command: str
) -> None:
    done = run("--demo", command)

    assert done.code == 0
    assert done.out
    assert not ledger_file.exists()


def test_the_demo_ends_yesterday_whatever_the_day(run: Run) -> None:
    for day in ("2026-11-25", "2031-03-01"):
        found = run("--demo", "calendar", "--json", at=f"{day}T08:00:00+01:00").json
        practised = [d["date"] for d in found["days"] if d["passes"]]

        assert found["as_of"] == day
        assert max(practised) < day
        assert found["items_clean"] > 100


def test_what_is_recorded_in_the_demo_stays_for_the_day(run: Run) -> None:
    run("--demo", "today")
    run("--demo", "record", "1", "clean")
    left = run("--demo", "today", "--json").json["blocks"]

    assert all(i["done"] for i in left[0]["items"])
    assert run("--demo", "undo").code == 0


def test_blocks_beyond_the_last_fret_of_any_neck_are_read_as_blocks(run: Run) -> None:
    run("setup", "--minutes", "600", "--both-directions")
    blocks = len(run("today", "--json").json["blocks"])
    done = run("record", "37", "clean")

    assert (done.code, done.err) == (
        2, f"upneck: no block 37: today's session has blocks 1 to {blocks}\n"
    )  # fmt: skip
    assert run("record", f"{blocks - 1}-{blocks}", "clean").code == 0
    assert run("record", "9-7", "clean").code == 2


def test_a_pattern_says_what_it_leaves_out_and_why(run: Run) -> None:
    done = run("record", "2:asc:down:5-10", "clean", "--tempo", "72")

    assert done.out.splitlines()[:2] == [
        "recorded 3 passes: 3 clean, 0 sloppy",
        (
            "3 of 6 recorded; box 2, frets 6, 8 and 10 are not in this round: "
            "name them alone to record them"
        ),
    ]
    others = run("record", "2:any:up:5-6", "clean", "--tempo", "72")
    assert others.out.splitlines()[1] == (
        "2 of 4 recorded; the others, such as 2:asc:up:5, are not in this round"
    )
    alone = run("record", "2:asc:down:6", "clean", "--tempo", "72")
    assert alone.out.splitlines()[0] == "recorded 1 pass: 1 clean, 0 sloppy"
    assert "named" not in alone.out


def test_settings_that_are_changed_are_told_and_no_others(run: Run) -> None:
    assert run("setup", "--frets", "24", "--days", "mon-fri").out.splitlines() == [
        "frets: 24 instead of 22", "days: mon-fri instead of mon-sun",
    ]  # fmt: skip
    assert run("setup", "--frets", "24").out.startswith("Nothing to change")
    assert "--clean-of-ten" in run("setup").out


def test_the_calendar_file_says_what_is_likely_played(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.ics"
    run("--demo", "calendar", "--ics", str(file))
    events = Calendar.from_ical(file.read_bytes()).walk("VEVENT")
    sessions = [each for each in events if "practise" in str(each["summary"])]
    milestones = run("--demo", "calendar", "--json").json["milestones"]
    ahead = {line["name"] for line in milestones if line["done_on"] is None}

    assert sessions
    for event in sessions[:3]:
        words = str(event["description"])
        assert words.startswith("Likely new ground: ")
        named = words.removeprefix("Likely new ground: ").rstrip(".").split(" and ")
        assert set(named) <= ahead
