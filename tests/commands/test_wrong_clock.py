"""A clock that was wrong for an evening is survived, and needs no wrong year to come again."""

import json
from pathlib import Path

import pytest

from scheduler.ledger.clock import NOTHING_BEFORE, Before, Dated, set_right
from scheduler.player.moments import MS_PER_DAY, Moment
from tests.conftest import Run, another

BEFORE, AHEAD = "2026-11-24T19:00:00+01:00", "2031-03-03T20:{:02d}:00+01:00"
HEAD = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"
AFTER, NEXT = "2026-11-26T19:00:00+01:00", "2026-11-27T19:00:00+01:00"


def an_evening_ahead(run: Run) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", at=BEFORE)
    run("setup", "--minutes", "45", at=AHEAD.format(0))
    run("record", "1:any:down:6-9", "clean", "--tempo", "60", at=AHEAD.format(10))
    run("round", "--next", "--yes", "--floor-tempo", "66", at=AHEAD.format(20))
    run("record", "1:desc:down:1", "clean", "--tempo", "66", at=AHEAD.format(30))


def test_settings_and_rounds_made_under_it_can_be_replaced_at_once(run: Run) -> None:
    an_evening_ahead(run)
    told = run("setup", "--minutes", "15", at=AFTER)
    begun = run("round", "--next", "--yes", "--floor-tempo", "72", "--json", at=AFTER)

    assert "the clock was ahead before" in told.err
    assert run("setup", "--json", at=AFTER).json["minutes"] == 15
    assert (begun.json["number"], begun.json["floor_tempo"]) == (3, 72)
    assert begun.err == ""


def test_what_is_played_afterwards_counts_in_the_round_that_was_begun_under_it(run: Run) -> None:
    an_evening_ahead(run)
    run("record", "1:asc:down:2", "clean", "--tempo", "66", at=AFTER)
    run("record", "1:desc:down:3", "clean", "--tempo", "66", "--at", "18:00", at=NEXT)
    found = run("round", "--json", at=NEXT).json

    assert (found["number"], found["floor_tempo"], found["items_clean"]) == (2, 66, 3)


def test_days_and_days_since_are_those_of_the_right_clock(run: Run) -> None:
    an_evening_ahead(run)
    run("record", "1:asc:down:2", "clean", "--tempo", "66", at=AFTER)
    days = run("calendar", "--months", "1", "--json", at=NEXT).json["days"]
    item = run("item", "1:asc:down:7", "--json", at=NEXT).json

    assert [d["date"] for d in days if d["passes"]] == ["2026-11-24", "2026-11-26"]
    assert 0.9 < item["days_since"] < 1.1
    assert item["passes"][0]["at"].startswith("2026-11-26T18:39:59.999")
    assert run("check", at=NEXT).code == 0
    assert run("export", at=NEXT).out.count("2031") == 0


def test_an_undo_takes_the_correction_back_with_the_act(run: Run) -> None:
    an_evening_ahead(run)
    before = run("export", at=AFTER).out
    run("setup", "--minutes", "15", at=AFTER)
    run("undo", at=AFTER)

    assert run("export", at=AFTER).out == before
    assert run("record", "1:asc:down:4", "clean", "--tempo", "66", at=NEXT).code == 0
    assert run("export", at=NEXT).out.count("2031") == 0


def test_another_machine_takes_the_record_once_the_clock_was_set_right(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    an_evening_ahead(run)
    refused = run(*other, "merge", str(ledger_file), at=AFTER)
    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert "ahead of the clock" in refused.err
    run("record", "1:asc:down:2", "clean", "--tempo", "66", at=AFTER)
    assert run(*other, "merge", str(ledger_file), at=AFTER).code == 0
    assert run(*other, "export", at=NEXT).out == run("export", at=NEXT).out
    record = tmp_path / "record.json"
    run("export", "--format", "json", "-o", str(record), at=NEXT)
    third = another(run, tmp_path / "third.db")

    assert run(*third, "import", str(record), at=NEXT).code == 0
    assert run(*third, "round", "--json", at=NEXT).json == run("round", "--json", at=NEXT).json


def test_ids_are_of_the_right_time_again(run: Run) -> None:
    an_evening_ahead(run)
    made = run("record", "1:asc:down:2", "clean", "--tempo", "66", "--json", at=AFTER).json

    assert made["recorded"][0] < "01a3"
    events = json.loads(run("export", "--format", "json", at=AFTER).out)["events"]
    assert sum(event["kind"] == "correction" for event in events) == 8


def test_an_hour_set_back_keeps_the_order_of_what_was_done(run: Run) -> None:
    run("setup", "--minutes", "45", at="2026-11-24T22:00:00+01:00")
    run("setup", "--minutes", "15", at="2026-11-24T20:30:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-24T20:00:00+01:00")
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-24T19:00:00+01:00")

    assert run("setup", "--json", at=AFTER).json["minutes"] == 15
    assert run("item", "1:asc:down:1", "--json", at=AFTER).json["standing"] == "weak"


def test_a_clock_that_is_behind_moves_nothing_of_a_long_record(run: Run) -> None:
    for day in range(10, 25):
        run("record", "1:asc:down:1", "clean", "--tempo", "60",
            at=f"2026-11-{day}T19:00:00+01:00")  # fmt: skip
    done = run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2020-01-01T19:00:00+01:00")
    found = run("item", "1:asc:down:1", "--json", at=AFTER).json

    assert "the record goes on to 2026-11-24" in done.err
    assert [p["clean"] for p in found["passes"]] == [True] * 15 + [False]
    assert found["standing"] == "weak"
    days = run("calendar", "--json", at=AFTER).json["days"]
    assert sum(bool(day["passes"]) for day in days) == 15


YEARS_BEHIND = "2019-01-01T19:00:00+01:00"


@pytest.mark.parametrize("days", [1, 2, 3])
def test_an_act_under_a_clock_that_is_years_behind_moves_nothing(
    run: Run, tmp_path: Path, days: int
) -> None:
    (tmp_path / "log.csv").write_text(
        f"{HEAD}\n2018-05-05T10:00:00+01:00,4:asc:down:1,60,3,1,0,,\n"
    )
    run("import", str(tmp_path / "log.csv"), at="2026-11-20T18:00:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", "--at", "2018-06-01T10:00:00",
        at="2026-11-20T18:30:00+01:00")  # fmt: skip
    for day in range(days):
        run("record", "1:asc:down:2", "clean", "--tempo", "60", at=f"2026-11-2{day}T19:00:00+01:00")
    before = run("export", at=AFTER).out
    done = run("record", "1:asc:down:3", "clean", "--tempo", "60", at=YEARS_BEHIND)

    assert "counts as done after that" in done.err
    assert "check --clock-is-right" in done.err
    assert run("export", at=AFTER).out.startswith(before)
    run("record", "1:asc:down:4", "clean", "--tempo", "60", at=AFTER)
    assert run("check", at=AFTER).code == 0


def test_what_was_dated_by_hand_under_a_clock_ahead_is_taken_elsewhere(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at=BEFORE)
    run("record", "1:asc:down:2", "clean", "--tempo", "60", "--at", "2026-11-25T18:00:00",
        at=AHEAD.format(0))  # fmt: skip
    run("record", "1:asc:down:3", "clean", "--tempo", "60", at=AFTER)
    other = another(run, tmp_path / "other.db")

    assert run("check", at=AFTER).code == 0
    assert run(*other, "merge", str(ledger_file), at=AFTER).code == 0
    assert (
        run("item", "1:asc:down:2", "--json", at=AFTER)
        .json["passes"][0]["at"]
        .startswith("2026-11-25T18:00:00")
    )


def test_a_clock_that_was_ahead_from_the_first_day_is_told_to_be_right_now(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    for day in (1, 2, 4, 5):
        run("record", f"1:asc:down:{day}", "clean", "--tempo", "60",
            at=f"2031-03-0{day}T19:00:00+01:00")  # fmt: skip
    told = run("record", "1:asc:down:6", "clean", "--tempo", "60", at=BEFORE)
    before = run("export", at=BEFORE).out
    checked = run("check", at=BEFORE)
    done = run("check", "--clock-is-right", at=AFTER)
    days = [
        pass_["at"][:10]
        for n in (1, 2, 4, 5, 6)
        for pass_ in run("item", f"1:asc:down:{n}", "--json", at=AFTER).json["passes"]
    ]

    assert "the record goes on to 2031-03-05" in told.err
    assert "if it is right: upneck check --clock-is-right" in checked.out
    assert done.code == 0
    assert days == ["2026-11-20", "2026-11-21", "2026-11-23", "2026-11-24", "2026-11-24"]
    other = another(run, tmp_path / "other.db")
    assert run(*other, "merge", str(ledger_file), at=AFTER).code == 0
    assert run("check", "--clock-is-right", at=AFTER).out.startswith("nothing is dated later")
    assert run("undo", at=AFTER).out.startswith("undone: clock set right")
    assert run("export", at=BEFORE).out == before


def test_decades_ahead_are_survived(run: Run) -> None:
    run("setup", "--minutes", "25", at="2050-01-01T12:00:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2095-01-01T12:00:00+01:00")
    assert run("record", "1:asc:down:2", "clean", "--tempo", "60", at=BEFORE).code == 0
    assert run("check", "--clock-is-right", at=AFTER).code == 0
    assert run("export", at=AFTER).out.count("\n2026-1") == 2


def test_a_log_from_before_the_clock_was_set_right_doubles_nothing(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    an_evening_ahead(run)
    run("export", "-o", str(tmp_path / "ahead.csv"), at=AHEAD.format(40))
    run("record", "1:asc:down:2", "clean", "--tempo", "66", at=AFTER)
    run("export", "-o", str(tmp_path / "right.csv"), at=AFTER)
    passes = run("export", at=AFTER).out.count("\n")
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "right.csv"), at=NEXT)

    assert "0 imported" in run("import", str(tmp_path / "ahead.csv"), at="2031-03-04T12:00:00").out
    assert "0 imported" in run("import", str(tmp_path / "right.csv"), at=AFTER).out
    run(*other, "merge", str(ledger_file), "--same-player", at=NEXT)
    run("merge", other[1], at=NEXT)
    assert run(*other, "export", at=NEXT).out.count("\n") == passes
    assert run("export", at=NEXT).out.count("\n") == passes


def test_a_correction_of_what_is_set_aside_stays_here_with_what_was_said_of_it(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "2:asc:down:1", "clean", "--tempo", "60", at="2026-11-25T20:00:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at=BEFORE)
    run("merge", other[1], "--same-player", at="2026-11-25T19:00:00+01:00")
    run("record", "1:asc:down:2", "clean", "--tempo", "60", at="2026-11-25T19:30:00+01:00")
    run("record", "1:asc:down:3", "clean", "--tempo", "60", at="2026-11-25T19:10:00+01:00")
    for _ in range(3):
        assert run("undo", at="2026-11-25T19:20:00+01:00").code == 0
    run("record", "1:asc:down:4", "clean", "--tempo", "60", at="2026-11-25T19:15:00+01:00")
    third = another(run, tmp_path / "third.db")

    assert run("check", at=AFTER).code == 0
    assert run(*third, "merge", str(ledger_file), at=AFTER).code == 0


@pytest.mark.parametrize("year", ["1970", "1971", "2200", "2201", "9999", "0001"])
def test_a_clock_of_no_year_of_a_player_is_refused_before_anything_is_recorded(
    run: Run, ledger_file: Path, year: str
) -> None:
    done = run("record", "1:asc:down:1", "clean", "--tempo", "60", at=f"{year}-06-01T12:00:00")

    assert (done.code, done.err.count("\n")) == (2, 1)
    assert f"the clock says the year {int(year)}" in done.err
    assert not ledger_file.exists()


NOW = Moment(1_764_000_000_000, 60)


def dated(*days: float) -> list[Dated]:
    return [Dated(round(NOW.utc_ms + day * MS_PER_DAY), str(day), 60) for day in days]


def before(clock_days: int, at_days: float) -> Before:
    return Before(clock_days, round(NOW.utc_ms + at_days * MS_PER_DAY))


def test_an_evening_ahead_by_years_is_moved_with_the_times_between_kept() -> None:
    right = set_right(NOW, dated(1500, 1500.1), before(1, -20))

    assert right.now == NOW
    assert list(right.moved.values()) == [NOW.utc_ms - 1 - MS_PER_DAY // 10, NOW.utc_ms - 1]


def test_nothing_is_moved_before_what_was_done_earlier() -> None:
    right = set_right(NOW, dated(10, 10.5), before(4, -0.1))

    earliest = NOW.utc_ms - MS_PER_DAY // 10
    assert list(right.moved.values()) == [earliest + 1, NOW.utc_ms - 1]


@pytest.mark.parametrize("days", [(3,), (1500, 1500.1), tuple(range(100, 200)), (1, 2, 3, 4)])
def test_a_clock_that_never_said_less_may_be_behind_and_nothing_is_moved(
    days: tuple[float, ...],
) -> None:
    later = dated(*days)

    assert set_right(NOW, later, NOTHING_BEFORE) == (NOW._replace(utc_ms=later[-1].at_ms + 1), {})
    assert len(set_right(NOW, later, NOTHING_BEFORE, is_right=True).moved) == len(days)


@pytest.mark.parametrize("days", [(1500, 1501, 1502), (3, 4, 5)])
def test_many_days_ahead_are_the_players_to_judge(days: tuple[float, ...]) -> None:
    assert set_right(NOW, dated(*days), before(100, -1)).moved == {}


def test_a_clock_that_starts_at_the_same_old_day_each_time_moves_no_more_days_than_it_had() -> None:
    assert set_right(NOW, dated(2500, 2501), before(1, -0.01)).moved == {}


def test_what_lies_ahead_by_hours_is_moved_whatever_was_before() -> None:
    later = dated(0.1, 0.2)

    assert list(set_right(NOW, later, NOTHING_BEFORE).moved.values()) == [
        NOW.utc_ms - 1 - later[1].at_ms + later[0].at_ms, NOW.utc_ms - 1
    ]  # fmt: skip


def test_decades_ahead_leave_a_time_that_a_player_could_have_played_at() -> None:
    right = set_right(NOW, dated(9_000, 23_000, 23_001), NOTHING_BEFORE, is_right=True)

    assert min(right.moved.values()) > NOW.utc_ms - 32 * MS_PER_DAY


def test_evenings_under_a_right_clock_keep_their_days_when_it_is_said_to_be_right(
    run: Run,
) -> None:
    for day in (1, 2, 3):
        run("record", "1:asc:down:1", "clean", "--tempo", "60", at=f"2031-01-0{day}T19:00:00+01:00")
    for day in range(10, 16):
        run("record", "2:asc:down:1", "clean", "--tempo", "60", at=f"2026-11-{day}T19:00:00+01:00")
    run("check", "--clock-is-right", at="2026-11-16T20:00:00+01:00")
    passes = run("item", "2:asc:down:1", "--json", at=AFTER).json["passes"]

    assert [each["at"][:10] for each in passes] == [f"2026-11-{day}" for day in range(10, 16)]
    assert run("export", at=AFTER).out.splitlines()[1] < "2026-11-10"
    assert run("check", at=AFTER).code == 0


def test_nothing_is_moved_to_before_the_first_year_that_a_clock_may_say(run: Run) -> None:
    for month in range(1, 13):
        run("record", "1:asc:down:1", "clean", "--tempo", "60",
            at=f"2025-{month:02d}-10T19:00:00+01:00")  # fmt: skip
    run("check", "--clock-is-right", at="1971-02-10T20:00:00+01:00")

    assert run("check", at=AFTER).code == 0


def test_a_clock_that_was_wrong_twice_leaves_a_record_that_others_take(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    for fret, year in ((1, "2026-11-20"), (2, "2031-11-21"), (3, "2027-01-22"), (4, "2026-11-23")):
        run("record", f"1:asc:down:{fret}", "clean", "--tempo", "60", at=f"{year}T20:00:00+01:00")
    other = another(run, tmp_path / "other.db")

    assert run("check", at=AFTER).code == 0
    assert run(*other, "merge", str(ledger_file), at=AFTER).code == 0


def test_a_wrong_clock_here_moves_nothing_that_was_done_elsewhere(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "other.db")
    for year in (2024, 2025, 2026):
        run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60",
            at=f"{year}-05-05T19:00:00+01:00")  # fmt: skip
    run("setup", "--minutes", "25", at=YEARS_BEHIND)
    run("merge", other[1], "--same-player", at=BEFORE)
    run("record", "1:asc:down:2", "clean", "--tempo", "60", at=BEFORE)
    run("record", "1:asc:down:3", "clean", "--tempo", "60", at="2019-01-01T19:03:00+01:00")
    passes = run("item", "1:asc:down:1", "--json", at=AFTER).json["passes"]

    assert [each["at"][:4] for each in passes] == ["2024", "2025", "2026"]
    assert run("check", at=AFTER).code == 0


def test_hours_between_two_machines_move_nothing_of_the_other(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-25T18:00:00+01:00")
    run("merge", other[1], "--same-player", at="2026-11-24T22:10:00+01:00")
    done = run("record", "1:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-24T22:20:00+01:00")
    passes = run("item", "1:asc:down:1", "--json", at=AFTER).json["passes"]

    assert done.err == ""
    assert passes[0]["at"] == "2026-11-25T18:00:00+01:00"
    assert [each["clean"] for each in passes] == [True, False]
