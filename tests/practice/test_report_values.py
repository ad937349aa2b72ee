"""What the report counts, on histories that are short enough to count by hand."""

from collections.abc import Callable, Iterator
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest

from scheduler.ledger.record import Ledger
from scheduler.player.facts import Pass
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice
from scheduler.practice.report.faults import faults_report, region_of
from scheduler.practice.report.minutes import time_spent
from scheduler.practice.report.next import what_next
from scheduler.practice.report.periods import periods_of
from scheduler.practice.report.report import report_of
from scheduler.practice.report.rounds import round_lines
from scheduler.practice.report.way import way_of
from scheduler.practice.session import todays_plan
from scheduler.practice.settings import change_settings
from tests.ledger.bulk import write
from tests.player.logs import FIRST_DAY, facts, moment

Played = Callable[..., Practice]
BOX_1, BOX_2 = (1, False, ""), (2, False, "")


@pytest.fixture
def played(tmp_path: Path) -> Iterator[Played]:
    """A practice with a history, as of a day; settings were said on its first day."""
    with closing(Ledger(tmp_path / "upneck.db")) as ledger:

        def make(history: str, day: float, **settings: object) -> Practice:
            change_settings(Practice(ledger, moment(1)), settings)
            write(ledger, facts(history))
            return Practice(ledger, moment(day))

        yield make


def many(day: float, address: str, verdicts: str, tempo: int = 60) -> str:
    """Passes of an item, a letter each: c clean, s sloppy."""
    words = {"c": "clean", "s": "sloppy"}
    return "\n".join(
        f"{day + n / 1000:.3f} {address} {tempo} {words[verdict]}"
        for n, verdict in enumerate(verdicts)
    )


def weeks(practice: Practice) -> list[int]:
    periods = periods_of(FIRST_DAY, practice.now.day)
    return [each.total() for each in faults_report(practice, periods).over_time.values()]


# What goes wrong.


def test_sloppy_passes_are_counted_in_their_week(played: Played) -> None:
    """1 November 2026 is a Sunday."""
    practice = played("\n".join(f"{day} 1:asc:down:3 60 sloppy" for day in (1, 2, 8)), 9)

    assert weeks(practice) == [1, 2, 0]


def test_a_pass_dated_ahead_belongs_to_the_last_week(played: Played) -> None:
    assert weeks(played("20 1:asc:down:3 60 sloppy", 9)) == [0, 0, 1]


def test_a_box_is_told_of_all_its_passes(played: Played) -> None:
    practice = played(many(1, "2:asc:down:3", "s") + "\n" + many(2, "1:asc:down:3", "ccsc"), 3)
    found = faults_report(practice, periods_of(FIRST_DAY, practice.now.day))

    assert list(found.by_trip) == [BOX_1, BOX_2]
    assert found.by_trip[BOX_1] == {None: 1}
    assert found.passes == {BOX_1: 4, BOX_2: 1}


def test_what_a_reset_set_aside_counts_in_no_box(played: Played) -> None:
    history = [
        many(1, "1:asc:down:3", "ssss"), "2 1:asc:down:3 reset", many(3, "1:asc:down:3", "csc"),
    ]  # fmt: skip
    practice = played("\n".join(history), 4)
    found = faults_report(practice, periods_of(FIRST_DAY, practice.now.day))

    assert (found.by_trip[BOX_1].total(), found.passes[BOX_1]) == (1, 3)
    assert found.by_region[1].total() == 5


def test_another_routine_and_what_the_neck_has_not_are_no_boxes_here(played: Played) -> None:
    history = [
        many(1, "major3/1:asc:down:5", "ssssc"), many(1.5, "1:asc:down:18", "ssssc"),
        many(2, "1:asc:down:3", "ssssc"),
    ]  # fmt: skip
    practice = played("\n".join(history), 3, frets=15)
    found = faults_report(practice, periods_of(FIRST_DAY, practice.now.day))

    assert [hard.fret for hard in found.hardest] == [3]
    assert {key: each.total() for key, each in found.by_trip.items()} == {BOX_1: 4 + 4}
    assert found.passes == {BOX_1: 5 + 5}
    assert list(found.by_region) == [1, 5, 17]


@pytest.mark.parametrize(("fret", "first"), [(0, 1), (1, 1), (4, 1), (5, 5), (8, 5), (9, 9)])
def test_a_region_is_four_frets(fret: int, first: int) -> None:
    (one,) = facts(f"1 1:asc:down:{fret} 60 clean")
    assert isinstance(one, Pass)

    assert region_of(one) == first


def test_the_hardest_frets_are_those_most_often_sloppy(played: Played) -> None:
    history = [
        many(1, "1:asc:down:1", "sss"),
        many(1, "1:asc:down:3", "cccc"),
        many(1, "1:asc:down:5", "sccc"),
        many(1, "1:asc:down:7", "sscc"),
        many(1, "1:asc:down:9", "ssscccss"),
        many(1, "1:asc:down:11", "sssccc"),
    ]
    practice = played("\n".join(history), 2)
    found = faults_report(practice, periods_of(FIRST_DAY, practice.now.day)).hardest

    assert [(hard.fret, hard.passes, hard.clean) for hard in found] == [
        (9, 8, 3), (11, 6, 3), (7, 4, 2), (5, 4, 3),
    ]  # fmt: skip


def test_no_more_than_ten_are_the_hardest(played: Played) -> None:
    practice = played("\n".join(many(1, f"1:asc:down:{n}", "sccc") for n in range(1, 16)), 2)

    assert len(faults_report(practice, periods_of(FIRST_DAY, practice.now.day)).hardest) == 10


# Time.


def test_minutes_are_set_aside_from_the_first_pass_to_today(played: Played) -> None:
    """Wednesday the 4th is the first day, the weekend is off, and today isn't played yet."""
    days = frozenset(range(5))
    practice = played(
        f"{many(4, '1:asc:down:3', 'c')}\n{many(5, '1:asc:down:3', 'cc')}", 11, days=days
    )
    periods = periods_of(FIRST_DAY, practice.now.day)
    found = time_spent(practice, periods).minutes

    assert [each.planned_days for each in found] == [0, 3, 2]
    assert [each.planned for each in found] == [0, 60, 40]
    assert [each.days for each in found] == [0, 2, 0]
    assert [each.new for each in found] == [None, pytest.approx(1 / 3, abs=0.1), None]


def test_each_day_has_the_budget_that_was_in_force_on_it(played: Played) -> None:
    practice = played("2 1:asc:down:3 60 clean", 10)
    change_settings(Practice(practice.ledger, moment(9)), {"minutes": 10.0})
    practice = Practice(practice.ledger, moment(12))
    found = time_spent(practice, periods_of(FIRST_DAY, practice.now.day)).minutes

    assert [each.planned for each in found] == [0, 7 * 20, 3 * 10]
    assert time_spent(practice, ()).budget == 10


def test_what_was_played_is_told_of_the_last_eight_weeks(played: Played) -> None:
    practice = played("4 1:asc:down:3 60 clean\n5 2:asc:down:3 60 clean", 60)
    (minutes,) = time_spent(practice, ()).reasons.values()

    assert minutes == pytest.approx(24 / 180)


def test_what_was_clean_before_and_in_no_session_was_played_again(played: Played) -> None:
    practice = played(many(1, "1:asc:down:3", "scc"), 2)
    reasons = {
        None if reason is None else str(reason): minutes
        for reason, minutes in time_spent(practice, ()).reasons.items()
    }

    assert sum(reasons.values()) == pytest.approx(3 * 24 / 180)
    assert set(reasons) == {None, "onward"}
    assert reasons[None] < reasons["onward"]


# What next.


def test_what_is_weak_comes_before_what_is_stale_and_a_dozen_at_most(played: Played) -> None:
    old = "\n".join(many(1, f"1+2:asc:down:{n}", "c", 80) for n in range(1, 10))
    weak = "\n".join(many(300, f"2:asc:down:{n}", "cs") for n in range(1, 15))
    found = what_next(played(f"{old}\n{weak}", 301))

    assert (found.weak, len(found.needy)) == (14, 12)
    assert found.stale > 0
    assert {each.standing for each in found.needy} == {Standing.WEAK}


def test_the_stale_are_named_after_the_weak(played: Played) -> None:
    old = "\n".join(many(1, f"1+2:asc:down:{n}", "c", 80) for n in range(1, 10))
    found = what_next(played(f"{old}\n" + many(300, "2:asc:down:3", "css"), 301))
    standings = [each.standing for each in found.needy]

    assert standings == sorted(standings, key=[Standing.WEAK, Standing.STALE].index)
    assert standings.count(Standing.STALE) == found.stale > 0


def test_todays_plan_is_told_with_what_is_left_and_none_is_made(played: Played) -> None:
    practice = played("1 1:asc:down:3 60 clean", 2)
    assert not what_next(practice).is_kept
    assert not what_next(practice).is_kept
    plan = todays_plan(practice, None)
    found = what_next(practice)

    assert found.is_kept
    assert [(block.number, left) for block, left in found.blocks] == [
        (block.number, len(block.items)) for block in plan.session.blocks
    ]


# The way to the end.


def test_items_clean_add_up_day_by_day(played: Played) -> None:
    history = [
        *(f"1 1:asc:down:{n} 60 clean" for n in (1, 3, 5, 7)),
        *(f"2 1:asc:down:{n} 60 clean" for n in (7, 9, 11, 13)),
        "2 1:asc:down:15 60 sloppy", "2 1:asc:down:17 30 clean",
        "4 1:desc:down:2 60 clean", "9 1:desc:down:4 60 clean",
    ]  # fmt: skip
    way = way_of(played("\n".join(history), 5))

    assert way.done == {FIRST_DAY: 4, FIRST_DAY + 1: 7, FIRST_DAY + 3: 8, FIRST_DAY + 4: 9}
    assert way.items_clean == 9
    assert way.items_total == 516


def test_the_fast_edge_ends_before_the_slow_one(played: Played) -> None:
    way = way_of(played(many(1, "1:asc:down:3", "c"), 2))

    assert max(way.early) < max(way.ahead) < max(way.late)
    for edge in (way.early, way.ahead, way.late):
        assert list(edge) == sorted(edge)
        assert max(edge.values()) == 516
    assert min(way.planned) == FIRST_DAY + 1
    assert max(way.planned) == max(way.late)
    assert set(way.planned.values()) == {20.0}


def test_minutes_are_planned_on_practice_days_only(played: Played) -> None:
    way = way_of(played(many(1, "1:asc:down:3", "c"), 2, days=frozenset({0, 3})))

    assert {(day - 1) % 7 for day in way.planned} == {0, 3}


def test_forecasts_are_looked_up_one_two_and_four_weeks_back_in_this_round(played: Played) -> None:
    history = "\n".join(f"{day} 1:asc:down:3 60 clean" for day in range(1, 36))

    assert _days_back(played(history, 35)) == [7, 14, 28]


def test_a_round_that_began_a_week_ago_has_one_forecast(played: Played) -> None:
    history = "\n".join(f"{day} 1:asc:down:3 60 clean" for day in range(8, 16))

    assert _days_back(played(history, 15)) == [7]


def _days_back(practice: Practice) -> list[int]:
    return [practice.now.day - each.day.toordinal() for each in way_of(practice).before]


def test_a_finished_round_is_looked_back_on_from_its_end(played: Played) -> None:
    practice = played("", 1, frets=12, lowest_fret=9)
    first, *rest = practice.order
    history = [f"1 {first.address} 60 clean", *(f"20 {item.address} 60 clean" for item in rest)]
    way = way_of(played("\n".join(history), 40))

    assert way.done == {FIRST_DAY: 1, FIRST_DAY + 19: way.items_total}
    assert [FIRST_DAY + 19 - each.day.toordinal() for each in way.before] == [7, 14]
    assert (way.early, way.ahead, way.late, way.planned) == ({}, {}, {}, {})


def test_nothing_is_planned_for_a_round_that_was_finished_today(played: Played) -> None:
    practice = played("", 1, frets=12, lowest_fret=9)
    history = "\n".join(f"5 {item.address} 60 clean" for item in practice.order)

    assert way_of(played(history, 5)).planned == {}


def test_a_floor_out_of_reach_has_no_way(played: Played) -> None:
    way = way_of(played(many(1, "1:asc:down:3", "ssss"), 2, floor_tempo=208.0))

    assert way.obstacle
    assert (way.early, way.ahead, way.late) == ({}, {}, {})


# Tempo over time.


def test_the_last_week_before_a_break_keeps_its_tempo(played: Played) -> None:
    """The next fact would note it: until that comes, it stands all the same."""
    history = [many(2, "1:asc:down:3", "c", 50), many(9, "1:asc:down:5", "c", 90)]
    found = report_of(played("\n".join(history), 60)).tempos

    assert [each.day - FIRST_DAY + 1 for each in found] == [2, 9, 60]
    assert found[1].singles == found[2].singles == (3 * 70 / 60, 3 * 50 / 60)


def test_another_routines_week_is_not_in_the_line(played: Played) -> None:
    history = [many(2, "major3/1:asc:down:5", "c"), many(9, "1:asc:down:3", "c")]
    found = report_of(played("\n".join(history), 17)).tempos

    assert [each.day - FIRST_DAY + 1 for each in found] == [9, 17]


def test_the_forecasts_are_told_since_the_first_pass(played: Played) -> None:
    assert report_of(played("", 3)).told_since is None
    since = report_of(played(many(2, "1:asc:down:3", "cs"), 5)).told_since

    assert since is not None
    assert since.toordinal() == FIRST_DAY + 1


# Rounds.


def whole_round(practice: Practice, day: float, tempo: int = 60) -> str:
    return "\n".join(
        f"{day + n / 2000:.4f} {item.address} {tempo} clean"
        for n, item in enumerate(practice.order)
    )


def test_a_round_that_was_all_clean_keeps_the_day(played: Played) -> None:
    small: dict[str, object] = {"frets": 12, "lowest_fret": 9}
    one = whole_round(played("", 1, **small), 3)
    practice = played(f"{one}\n20 round 2\n25 1:desc:down:9 60 clean\n30 round 3", 31)
    first, second, third = round_lines(practice)

    assert first.done_on is not None
    assert first.done_on.toordinal() == FIRST_DAY + 2
    assert first.ended is not None
    assert first.ended.toordinal() == FIRST_DAY + 19
    assert (second.done_on, third.done_on) == (None, None)


def test_what_was_weak_holds_once_it_is_clean_again(played: Played) -> None:
    """Couplings, which every round visits: one is sloppy since, one reset, one clean for good, one
    left, and one clean once, which is weak all the same."""
    weak = [f"1+2:asc:down:{fret}" for fret in (1, 2, 3, 4, 5)]
    history = [
        *(many(1, each, "cs") for each in weak), f"1.1 {weak[4]} 60 sloppy 60", "5 round 2",
        many(6, weak[0], "s"),
        f"6 {weak[1]} reset", many(6, weak[2], "cccc"), many(6, weak[4], "c"),
    ]  # fmt: skip
    practice = played("\n".join(history), 7)
    first, second = round_lines(practice)
    playing = sum(each.seconds for each in practice.ledger.passes())

    assert (first.weak, first.weak_now) == (5, 4)
    assert (first.days, first.passes, first.clean) == (1, 11, 5)
    # The ways between passes count, too.
    assert playing < first.seconds + second.seconds < playing + 17 * 10


def test_a_round_of_another_routine_is_not_beside_it(played: Played) -> None:
    history = [many(1, "major3/1:asc:down:5", "c"), many(1, "1:asc:down:3", "c"), "5 round 2"]
    lines = round_lines(played("\n".join(history), 7))

    assert [line.number for line in lines] == [1, 2]
    assert [line.passes for line in lines] == [1, 0]


# Stretches of time.


def test_months_follow_each_other_without_a_gap() -> None:
    found = periods_of(FIRST_DAY, FIRST_DAY + 500)

    assert all(each.is_month for each in found)
    assert all(a.last + 1 == b.first for a, b in pairwise(found))
    assert len(found) == 17
    assert sum(len(each.days) for each in found[:12]) == 365
