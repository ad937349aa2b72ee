"""When the round will be finished."""

from collections.abc import Iterable
from datetime import date

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import trips
from scheduler.plan.pace import Beta, Pace, pace_of
from scheduler.plan.practice_days import PracticeDays, weekday_of
from scheduler.plan.projection import Projection, Window, project, window_of
from scheduler.player.day import Day
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability
from tests.player.logs import facts, moment

EVERY_DAY = frozenset(range(7))
SURE = Beta(1e6, 1e-3)


def steady(ratio: float = 1.0, sure: Beta = SURE) -> Pace:
    """A player who practises every planned day for the whole budget."""
    counts = ((round(sure.yes), round(sure.no)),) * 7
    return Pace(sure, (sure,) * 7, counts, ratio, 1e-9, 1e-9, 60.0, 0.76, None, 10)


def projected(
    history: str = "", minutes: float = 20, days: frozenset[int] = EVERY_DAY,
    off: frozenset[int] = frozenset(), pace: Pace | None = None, seed: int = 1,
) -> Projection:  # fmt: skip
    ability = Ability(replay(facts(history)), moment(1.8), parse_neck(), 3, BeatsPerMinute(60), 0.9)
    return project(
        ability,
        trips(parse_neck()),
        pace or steady(),
        PracticeDays(minutes, days, off),
        seed,
        futures=300,
    )


def days_to(projection: Projection) -> int:
    assert projection.finish.middle is not None
    return projection.finish.middle.toordinal() - moment(1).day


def test_more_minutes_or_days_finish_sooner() -> None:
    twenty, forty, half_week = (
        days_to(projected()),
        days_to(projected(minutes=40)),
        days_to(projected(days=frozenset({0, 2, 4}))),
    )

    assert forty == pytest.approx(twenty / 2, abs=4)
    assert half_week == pytest.approx(twenty * 7 / 3, rel=0.1)


def test_days_off_are_not_practised() -> None:
    off = frozenset(range(moment(1).day, moment(1).day + 10))

    assert days_to(projected(off=off)) == days_to(projected()) + 10


def test_the_same_seed_gives_the_same_futures() -> None:
    assert projected(seed=5) == projected(seed=5)


def test_milestones_come_in_the_rounds_order() -> None:
    ends = [milestone.window.middle for milestone in projected().milestones[:15]]

    assert None not in ends
    assert ends == sorted(end for end in ends if end is not None)


def test_a_window_is_wider_the_less_is_known_of_the_days() -> None:
    certain = projected().finish
    unsure = projected(pace=steady(sure=Beta(3, 3))).finish

    assert certain.early is not None
    assert unsure.early is not None
    assert unsure.late is None or (
        certain.late is not None
        and unsure.late.toordinal() - unsure.early.toordinal()
        > certain.late.toordinal() - certain.early.toordinal()
    )


def test_what_never_ends_has_no_day() -> None:
    finish = projected(minutes=1, days=frozenset({0})).finish

    assert (finish.middle, finish.late) == (None, None)


def test_a_trip_that_is_done_carries_its_day() -> None:
    lines = [
        f"1.{n:03d} {item.address} 60 clean" for n, item in enumerate(trips(parse_neck())[0].items)
    ]
    projection = projected("\n".join(lines))

    assert projection.items_clean == 38
    assert projection.milestones[0].done_on == date(2026, 11, 1)
    assert projection.milestones[1].done_on is None


def test_expected_items_add_up_to_what_is_left() -> None:
    projection = projected()

    assert sum(projection.expected_clean.values()) == pytest.approx(516)


def test_a_window_takes_the_tenth_the_middle_and_the_ninetieth_of_a_hundred_futures() -> None:
    days = [date(2026, 1, 1).toordinal() + n for n in range(100)]

    assert window_of(days) == Window(date(2026, 1, 11), date(2026, 2, 20), date(2026, 4, 1))
    assert window_of([*days[:50], *[None] * 50]) == Window(date(2026, 1, 11), None, None)


def test_the_pace_starts_from_the_settings_and_moves_with_the_record() -> None:
    today = 740_000
    fresh = pace_of({}, today, EVERY_DAY, lambda _: 20, 0.2)
    short = {today - n: Day(passes=20, clean=18, work_seconds=600) for n in range(1, 29)}
    learnt = pace_of(short, today, EVERY_DAY, lambda _: 20, 0.2)
    rare = pace_of({today - 7 * n: Day(passes=1, work_seconds=1200) for n in range(1, 5)}, today,
                   EVERY_DAY, lambda _: 20, 0.2)  # fmt: skip

    assert fresh.ratio == 1.0
    assert fresh.days_per_week(EVERY_DAY) == pytest.approx(0.85 * 7)
    assert learnt.ratio == pytest.approx(0.5, abs=0.06)
    assert learnt.clean_share == 0.9
    assert rare.days_per_week(EVERY_DAY) < 2.5


def test_a_slow_worker_yields_fewer_seconds_a_minute() -> None:
    today = 740_000
    slow = {today - n: Day(passes=20, work_seconds=600, clock_seconds=1200) for n in range(1, 29)}

    assert pace_of(slow, today, EVERY_DAY, lambda _: 20, 0.2).seconds_per_minute < 35


MON_TO_FRI = frozenset(range(5))


def practised(days: Iterable[int]) -> dict[int, Day]:
    return {day: Day(passes=20, clean=18, work_seconds=1200) for day in days}


def test_a_day_is_missed_only_where_practice_was_planned() -> None:
    today = date(2026, 11, 23).toordinal()
    kept = practised(d for d in range(today - 56, today) if weekday_of(d) in MON_TO_FRI)
    pace = pace_of(kept, today, MON_TO_FRI, lambda _: 20, 0.2)

    assert pace.days_per_week(MON_TO_FRI) > 4.9
    assert pace.days_per_week(frozenset({5, 6})) > 1.9


def test_what_was_planned_then_counts_not_what_is_planned_now() -> None:
    today = date(2026, 11, 23).toordinal()
    mondays = practised(d for d in range(today - 56, today) if weekday_of(d) == 0)
    now, then = (
        pace_of(mondays, today, EVERY_DAY, lambda _: 20, 0.2, was_planned)
        for was_planned in (None, lambda day: weekday_of(day) == 0)
    )

    assert now.days_per_week(EVERY_DAY) < 2
    assert then.days_per_week(EVERY_DAY) > 6


def test_weeks_away_teach_nothing_but_doubt() -> None:
    today = 740_000
    before = practised(range(today - 100, today - 56))
    back, stayed = (
        pace_of(before, until, EVERY_DAY, lambda _: 20, 0.2) for until in (today, today - 56)
    )
    a_break = pace_of(before, today - 40, EVERY_DAY, lambda _: 20, 0.2)

    assert back.days_per_week(EVERY_DAY) == pytest.approx(stayed.days_per_week(EVERY_DAY), abs=0.1)
    assert back.planned.yes + back.planned.no < stayed.planned.yes + stayed.planned.no
    assert a_break.days_per_week(EVERY_DAY) < stayed.days_per_week(EVERY_DAY) - 1
    assert back.practised_days == stayed.practised_days


def test_before_the_first_pass_there_is_no_late_day() -> None:
    assert projected().finish.late is None
    assert projected().finish.is_open
    assert not projected("1 1:asc:down:5 60 clean").finish.is_open
