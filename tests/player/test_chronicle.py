"""What is kept of the way so far: chances and how they came out, tempos by week, rounds before."""

from datetime import date
from random import Random
from statistics import median

import pytest

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.rounds import round_items
from scheduler.guitar.routine import PENTATONIC
from scheduler.player.chronicle import FIFTHS, Chronicle, PastRound, Tempos, middle_and_slowest
from scheduler.player.facts import Fact, FloorChanged, Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import State, replay
from tests.conftest import reference_rows
from tests.player import logs

MONDAY_MS = 1_767_571_200_000
"""Monday 5 January 2026, midnight (UTC)."""
ITEMS = round_items(parse_neck())


def passes(count: int, seed: int = 1, days: int = 30) -> list[Fact]:
    random = Random(seed)
    found: list[Fact] = []
    for number in range(count):
        moment = Moment(MONDAY_MS + number * days * MS_PER_DAY // count, 0)
        item = random.choice(ITEMS[:40])
        clean = random.random() < 0.8
        tempo = BeatsPerMinute(random.choice([40, 60, 80, 120]))
        errors = 0 if clean else random.choice([None, 1, 3])
        found.append(Pass(f"{number:036d}", moment, item, 24, tempo, 3, clean, errors))
    return found


def chance_before(state: State, played: Pass) -> float:
    practice = state.history(played.item).practice(played.moment)
    outlook = state.belief.outlook(played.item, played.notes, practice, played.moment.day)
    return outlook.clean_chance(played.speed)


def test_the_chance_of_a_pass_is_the_one_that_was_told_before_it() -> None:
    state, expected = State(), Chronicle()
    for fact in passes(400):
        assert isinstance(fact, Pass)
        expected.add_told(chance_before(state, fact), fact.moment.day, clean=fact.clean)
        replay([fact], state)

    told = state.chronicle.told
    assert sum(fifth.passes for fifth in told) == 400
    assert len([fifth for fifth in told if fifth.passes]) > 2
    for found, wanted in zip(told, expected.told, strict=True):
        assert (found.passes, found.clean) == (wanted.passes, wanted.clean)
        assert found.chances == pytest.approx(wanted.chances, abs=1e-9)
    assert state.chronicle.told_since == Moment(MONDAY_MS, 0).day


@pytest.mark.parametrize(("chance", "place"), [(0.0, 0), (0.19, 0), (0.2, 1), (0.99, 4), (1.0, 4)])
def test_a_chance_belongs_to_one_fifth(chance: float, place: int) -> None:
    chronicle = Chronicle()
    chronicle.add_told(chance, 1, clean=True)

    assert [fifth.passes for fifth in chronicle.told] == [int(n == place) for n in range(FIFTHS)]


def test_tempos_are_noted_at_the_end_of_each_week_with_passes() -> None:
    facts = passes(300, days=28)
    state = replay(facts)
    noted = state.chronicle.tempos

    # ISO 8601 counts weeks from Monday; the last one isn't over.
    assert [each.day for each in noted] == [Moment(MONDAY_MS, 0).day + 6 + 7 * n for n in range(3)]
    for each in noted:
        up_to = replay([fact for fact in facts if fact.moment.day <= each.day])
        assert up_to.tempos_on(each.day, PENTATONIC) == each


def test_working_tempos_are_those_of_the_latest_clean_passes() -> None:
    state = replay(
        logs.facts("""
            2    1:asc:down:5   60 clean
            2.1  1:asc:down:5   60 sloppy
            2.2  1:asc:down:5   56 clean
            3    1+2:asc:down:5 48 clean
            4    2:asc:down:5   66 sloppy
            9    1:asc:down:5   80 clean
        """)
    )

    assert state.chronicle.tempos == [
        Tempos(PENTATONIC, logs.FIRST_DAY + 3, singles=(2.8, 2.8), couplings=(2.4, 2.4), floor=2.0)
    ]


def test_tempos_are_noted_of_the_routines_that_were_played_in_a_week() -> None:
    state = replay(
        logs.facts("""
            2  1:asc:down:5        60 clean
            3  major3/1:asc:down:5 50 clean
            9  1:asc:down:5        63 clean
            16 1:asc:down:5        66 clean
        """)
    )

    assert [(each.day - logs.FIRST_DAY, each.routine.name) for each in state.chronicle.tempos] == [
        (2, "pentatonic"), (2, "major3"), (8, "pentatonic"),
    ]  # fmt: skip


def test_a_sunday_that_follows_a_monday_on_a_journey_west_ends_no_week() -> None:
    monday = Moment(MONDAY_MS - MS_PER_DAY // 24, 120)
    sunday = Moment(MONDAY_MS, -480)
    (first,), (second,) = passes(1), passes(1)
    state = replay([first._replace(moment=monday), second._replace(moment=sunday)])

    assert monday.day == sunday.day + 1
    assert state.chronicle.tempos == []


def test_weeks_end_where_the_published_table_has_them_end() -> None:
    """ISO 8601 week dates, reference/iso_week_dates.csv: a week ends with its seventh day."""
    rows = reference_rows("iso_week_dates.csv")
    for row in rows:
        day = date.fromisoformat(row["calendar_date"]).toordinal()
        chronicle = Chronicle(last_day=day)

        assert chronicle.ends_week(day + 1) == row["iso_week_date"].endswith("-7")
        assert chronicle.ends_week(day + 7)
    assert any(row["iso_week_date"].endswith("-7") for row in rows)


def test_a_week_that_comes_to_its_end_twice_is_noted_once() -> None:
    state = replay(passes(10, days=1))
    assert state.chronicle.tempos == []
    later = [fact._replace(moment=Moment(MONDAY_MS + 90 * MS_PER_DAY, 0)) for fact in passes(5)]
    replay(later, state)

    assert len(state.chronicle.tempos) == 1


@pytest.mark.parametrize(
    ("speeds", "expected"),
    [
        ([], (0.0, 0.0)),
        ([2.0], (2.0, 2.0)),
        ([9.0, 1.0, 2.0], (2.0, 1.0)),
        ([float(n) for n in range(1, 21)], (10.5, 3.0)),
    ],
)
def test_the_slowest_tenth_is_what_a_tenth_is_slower_than(
    speeds: list[float], expected: tuple[float, float]
) -> None:
    assert middle_and_slowest(speeds) == expected


def test_a_round_that_another_follows_is_kept_with_its_weak_places() -> None:
    facts = passes(200)
    started = RoundStarted("r" * 36, Moment(MONDAY_MS + 40 * MS_PER_DAY, 0), 2)
    state = replay([*facts, started])
    (past,) = state.chronicle.rounds
    played = [fact for fact in facts if isinstance(fact, Pass)]
    last: dict[Item, bool] = {}
    best: dict[Item, float] = {}
    for each in played:
        last[each.item] = each.clean
        if each.clean:
            best[each.item] = max(best.get(each.item, 0), each.speed)

    assert (past.number, past.passes, past.clean) == (1, 200, sum(each.clean for each in played))
    assert set(past.weak) == {item for item, clean in last.items() if not clean}
    assert past.speed == median(best.values())
    assert past.days == len({each.moment.day for each in played})
    # One that has begun already, perhaps on another machine, doesn't begin again.
    assert replay([*facts, started, started]).chronicle.rounds == [past]


def test_of_a_round_only_what_was_played_in_it_is_kept() -> None:
    state = replay(
        logs.facts("""
            1      1:asc:down:5  60 clean
            1.1    1:asc:down:9  60 sloppy
            2      round         2
            3      1:asc:down:5  60 clean
            3.001  1:desc:down:6 60 sloppy
            4      round         3
        """)
    )

    # At 60: 24 notes take 8 seconds, settling 3, and the way into the first block 12.
    assert state.chronicle.rounds[1] == PastRound(
        PENTATONIC, number=2, started=logs.FIRST_DAY + 1, ended=logs.FIRST_DAY + 3, items=0,
        done=0, last_done=0, days=1,
        passes=2, clean=1, seconds=12 + 2 * 11, speed=3.0, weak=(parse_address("1:desc:down:6"),),
    )  # fmt: skip


def test_a_round_without_passes_is_not_kept() -> None:
    state = replay(logs.facts("1 1:asc:down:5 60 clean\n2 round 2\n3 round 3"))

    assert [each.number for each in state.chronicle.rounds] == [1]


def test_what_begins_a_new_week_isnt_noted_for_the_old_one() -> None:
    facts = passes(50, days=3)
    later = Moment(MONDAY_MS + 8 * MS_PER_DAY, 0)
    changed = FloorChanged("f" * 36, later, BeatsPerMinute(70))
    reset = Reset("g" * 36, later._replace(utc_ms=later.utc_ms + 1), ITEMS[0])
    state = replay([*facts, changed, reset, *_moved(passes(1), later)])
    (noted,) = state.chronicle.tempos

    assert noted == replay(facts).tempos_on(noted.day, PENTATONIC)


def _moved(facts: list[Fact], moment: Moment) -> list[Fact]:
    return [fact._replace(moment=moment._replace(utc_ms=moment.utc_ms + 2)) for fact in facts]
