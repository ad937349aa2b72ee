"""The plan against an optimiser, distributions, recurrence rules and the calendar standard."""

from datetime import UTC, date, datetime, time, timedelta
from math import log
from random import Random

import pytest
from dateutil.rrule import WEEKLY, rrule

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import Trip, trips
from scheduler.guitar.routine import PENTATONIC
from scheduler.plan import effort
from scheduler.plan.effort import effort_of
from scheduler.plan.knapsack import Option, best_choice
from scheduler.plan.pace import Beta, Pace
from scheduler.plan.practice_days import PracticeDays
from scheduler.plan.projection import project
from scheduler.player.belief import BASE, PRACTICE, SPEED, Belief, Weight, features
from scheduler.player.replay import State, replay
from scheduler.player.tempo import Ability
from scheduler.practice.calendar import Outcome
from scheduler.show.calendar_file import calendar_file
from tests.player.logs import facts, moment

FLOOR = BeatsPerMinute(60)
EVERY_DAY = frozenset(range(7))


def test_the_choice_has_the_worth_of_the_optimum_in_300_random_cases() -> None:
    """Source: scipy.optimize.milp (HiGHS) on the same items, costs and capacity."""
    numpy = pytest.importorskip("numpy", reason="outside check skipped: no numpy")
    optimize = pytest.importorskip("scipy.optimize", reason="outside check skipped: no scipy")
    random = Random(4)
    for _ in range(300):
        options = [
            Option(10 + notes / 3 * random.uniform(0.8, 2), notes * random.uniform(0, 0.6))
            for notes in (random.choice((24, 97)) for _ in range(random.randrange(1, 250)))
        ]
        room = random.uniform(5, 1500)
        chosen = best_choice(options, room)
        solved = optimize.milp(
            -numpy.array([option.worth for option in options]),
            constraints=optimize.LinearConstraint([[o.cost for o in options]], ub=room),
            integrality=numpy.ones(len(options)),
            bounds=optimize.Bounds(0, 1),
            options={"mip_rel_gap": 0.0},
        )

        assert sum(options[n].cost for n in chosen) <= room
        assert sum(options[n].worth for n in chosen) >= -solved.fun * (1 - 1e-9)


def sure_pace(ratio: float = 1.0) -> Pace:
    """A player who practises every planned day for the whole budget, all of it on new ground."""
    sure = Beta(1e7, 1e-3)
    return Pace(sure, (sure,) * 7, ((10**7, 0),) * 7, ratio, 1e-12, 1e-12, 60.0, 1.0, None, 1)


def certain_bench(chance: float) -> tuple[Ability, tuple[Trip, ...]]:
    """A round of one item whose chance of a clean pass at 60 is known and never changes."""
    trip = trips(parse_neck())[0]
    item = trip.items[0]
    day = moment(2).day
    eta = log(-log(chance) / 24)
    keys = [key for key, _ in features(item)]
    weights = {key: Weight(0.0, 1e-12, day) for key in (*keys, SPEED, PRACTICE)}
    weights[BASE] = Weight(eta, 1e-12, day)
    ability = Ability(
        State(belief=Belief(weights), has_word=True), moment(2), parse_neck(), 3, FLOOR, 0.99
    )
    return ability, (Trip(trip.part, trip.box, trip.coupling, (item,)),)


@pytest.mark.parametrize("chance", [0.67, 0.7, 0.8, 0.9])
def test_the_time_of_a_list_of_items_is_that_of_geometric_visits(chance: float) -> None:
    """Source: scipy.stats.geom and nbinom.

    A visit at the floor tempo is two tries, for a slower one doesn't count; it fails with
    (1-p)^2, and visits follow until one succeeds.
    """
    stats = pytest.importorskip("scipy.stats", reason="outside check skipped: no scipy")
    ability, (trip,) = certain_bench(chance)
    found = effort_of(ability, ability.outlook(trip.items[0]), 0.0)
    done = 1 - (1 - chance) ** 2
    one = 8.0 + 3.0
    failed = 3.3 * one + 12.0
    tries = stats.rv_discrete(values=([1, 2], [chance / done, (1 - chance) * chance / done]))

    assert found.failing == pytest.approx(1 - 1 / stats.geom.mean(done), abs=1e-6)
    assert found.mean == pytest.approx(
        one * tries.mean() + failed * stats.nbinom.mean(1, done), rel=1e-6
    )
    assert found.variance == pytest.approx(
        one**2 * tries.var() + failed**2 * stats.nbinom.var(1, done), rel=1e-6
    )


@pytest.mark.parametrize("chance", [0.67, 0.7, 0.8, 0.9])
def test_one_item_with_certain_days_and_fixed_minutes_ends_as_in_closed_form(
    chance: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: scipy.stats.geom: one visit a day until one succeeds; quantiles of that day."""
    stats = pytest.importorskip("scipy.stats", reason="outside check skipped: no scipy")
    monkeypatch.setattr(effort, "SHIFT_SD", 1e-6)
    ability, trip = certain_bench(chance)
    projection = project(ability, trip, sure_pace(), PracticeDays(30, EVERY_DAY), 1, futures=4000)
    ends = projection.finish
    done = 1 - (1 - chance) ** 2
    found = [end.toordinal() - moment(1).day for end in ends[:3] if end is not None]
    low, high = (
        [stats.geom.ppf(share + slack, done) for share in (0.1, 0.5, 0.9)]
        for slack in (-0.02, 0.02)
    )

    assert all(a <= day <= b for a, day, b in zip(low, found, high, strict=True))


@pytest.mark.parametrize(
    ("start", "weekdays"),
    [
        (date(2026, 10, 20), {0, 2, 4}), (date(2026, 12, 20), {5, 6}),
        (date(2027, 3, 20), {1}), (date(2028, 2, 20), {0, 1, 2, 3, 4, 5, 6}),
    ],
)  # fmt: skip
def test_practice_days_are_those_of_a_recurrence_rule(start: date, weekdays: set[int]) -> None:
    """Source: dateutil.rrule (RFC 5545 recurrences), over clock changes, year ends, leap days."""
    practice_days = PracticeDays(20, frozenset(weekdays))
    rule = rrule(WEEKLY, byweekday=sorted(weekdays), dtstart=datetime.combine(start, time(12)))
    wanted = {when.date() for when in rule.between(
        datetime.combine(start, time()), datetime.combine(start + timedelta(60), time()), inc=True
    )}  # fmt: skip
    days = {start + timedelta(n) for n in range(60)}

    assert {day for day in days if practice_days.is_planned(day.toordinal())} == wanted


@pytest.fixture(scope="module")
def written() -> bytes:
    """A calendar file whose texts need escaping and folding."""
    lines = "\n".join(
        f"1.{n:03d} {item.address} 60 clean" for n, item in enumerate(trips(parse_neck())[0].items)
    )
    ability = Ability(replay(facts(lines)), moment(2), parse_neck(), 3, FLOOR, 0.9)
    practice_days = PracticeDays(25, frozenset({0, 2, 4}), frozenset({moment(4).day}))
    stamp = datetime(2026, 11, 2, 8, tzinfo=UTC)
    return calendar_file("me", stamp, time(18, 30), outcome(ability, practice_days))


def outcome(ability: Ability, practice_days: PracticeDays) -> Outcome:
    projection = project(ability, trips(parse_neck()), sure_pace(), practice_days, 1)
    return Outcome(
        ability.now.date, ability.state, practice_days, sure_pace(), projection, PENTATONIC
    )


def test_lines_of_the_calendar_file_keep_the_standard(written: bytes) -> None:
    """Source: RFC 5545, section 3.1 (lines, folding) and 3.6.1 (UID, DTSTAMP, DTSTART)."""
    lines = written.split(b"\r\n")

    assert b"\n" not in written.replace(b"\r\n", b"")
    assert max(map(len, lines)) <= 75
    assert lines[-1] == b""
    for part in written.split(b"BEGIN:VEVENT")[1:]:
        for name in (b"\r\nUID:", b"\r\nDTSTAMP:", b"\r\nDTSTART"):
            assert part.count(name) == 1


def test_the_calendar_file_reads_back(written: bytes) -> None:
    """Source: icalendar; RFC 5545, section 3.6.1: the end of an all-day event is exclusive."""
    from icalendar import Calendar

    events = Calendar.from_ical(written).walk("VEVENT")
    timed = [e for e in events if isinstance(e["dtstart"].dt, datetime)]
    all_day = [e for e in events if not isinstance(e["dtstart"].dt, datetime)]

    assert len({str(e["uid"]) for e in events}) == len(events)
    assert {e["dtend"].dt - e["dtstart"].dt for e in timed} == {timedelta(minutes=25)}
    assert {e["dtstart"].dt.weekday() for e in timed} <= {0, 2, 4}
    assert moment(4).date not in {e["dtstart"].dt.date() for e in timed}
    assert {e["dtend"].dt - e["dtstart"].dt for e in all_day} == {timedelta(days=1)}
    first = next(e for e in all_day if "box 1" in str(e["summary"]))
    assert first["dtstart"].dt == date(2026, 11, 1)
    assert all(e["dtstart"].dt < e["dtend"].dt for e in events)


def test_identifiers_stay_and_tell_players_apart(written: bytes) -> None:
    from icalendar import Calendar

    ability = Ability(replay([]), moment(3), parse_neck(), 3, FLOOR, 0.9)
    practice_days = PracticeDays(20, EVERY_DAY)
    stamp = datetime(2026, 11, 3, 8, tzinfo=UTC)

    def uids(owner: str) -> dict[str, str]:
        file = calendar_file(owner, stamp, time(18), outcome(ability, practice_days))
        return {str(e["summary"]): str(e["uid"]) for e in Calendar.from_ical(file).walk("VEVENT")}

    before = {str(e["uid"]) for e in Calendar.from_ical(written).walk("VEVENT")}
    mine, other = uids("me"), uids("you")

    assert mine["Upneck: box 2 about"] in before
    assert not set(mine.values()) & set(other.values())
