"""A clock that was wrong for an evening is survived, and needs no wrong year to come again."""

import json
from pathlib import Path

import pytest

from scheduler.ledger.clock import Dated, set_right
from scheduler.player.moments import MS_PER_DAY, Moment
from tests.conftest import Run, another

BEFORE, AHEAD = "2026-11-24T19:00:00+01:00", "2031-03-03T20:{:02d}:00+01:00"
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


def test_two_weeks_ahead_by_years_are_moved_with_the_days_between_kept() -> None:
    later = dated(*(1500 + n for n in range(14)))
    right = set_right(NOW, later, NOW.utc_ms - 20 * MS_PER_DAY)

    assert right.now == NOW
    assert list(right.moved.values()) == [
        NOW.utc_ms - 1 - n * MS_PER_DAY for n in range(13, -1, -1)
    ]


def test_nothing_is_moved_before_what_was_done_earlier() -> None:
    right = set_right(NOW, dated(10, 10.5), NOW.utc_ms - 1000)

    assert list(right.moved.values()) == [NOW.utc_ms - 1000, NOW.utc_ms - 1]


def test_where_weeks_lie_ahead_with_nothing_far_the_clock_is_behind() -> None:
    later = dated(1, 2, 3, 4)

    assert set_right(NOW, later, None).now.utc_ms == later[-1].at_ms + 1
    assert set_right(NOW, later, None).moved == {}
