"""Who of several players needs a look first."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.plan.assignment import Assignment
from scheduler.plan.projection import Window
from scheduler.practice.assignment import Assigned
from scheduler.practice.attention import Why, attention
from scheduler.practice.look import Look, Place, Week
from scheduler.practice.look_dict import look_from_dict, look_to_dict
from scheduler.practice.players import Seen, beside_class, who_first

TODAY = date(2026, 11, 25)
GOOD_WEEK = Week(6, 7, 7200, 8400, 120, 108, 40)
PLACE = Place("1", "", 38, 38, (), 0, 60, 54, 900.0, (), 0, 0, 0)
FINE = Look(
    as_of=TODAY, routine="pentatonic", round=1, items_total=516, items_clean=61, week=GOOD_WEEK,
    week_before=GOOD_WEEK, places=(PLACE,),
    finish=Window(date(2026, 12, 1), date(2026, 12, 4), date(2026, 12, 9)), obstacle="",
    done_on=None, last_played=TODAY, assigned=None,
)  # fmt: skip
STUCK = replace(
    PLACE, box="2+3", direction="asc", clean=2, stuck_frets=(4, 5), stuck_passes=24, stuck_days=6,
    won=2,
)  # fmt: skip


def days_ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def asked(until: date, clean: int) -> Assigned:
    assignment = Assignment(("1", "5+1"), until, "Ines", "Slowly.")
    return Assigned(assignment, 84, clean, is_over=until < TODAY)


@pytest.mark.parametrize(
    ("look", "why"),
    [
        (FINE, Why.FINE),
        (replace(FINE, last_played=None), Why.NOT_BEGUN),
        (replace(FINE, last_played=days_ago(6)), Why.FINE),
        (replace(FINE, last_played=days_ago(7)), Why.AWAY),
        (replace(FINE, last_played=days_ago(49), done_on=days_ago(49)), Why.FINISHED),
        (replace(FINE, places=(PLACE, STUCK)), Why.STUCK),
        (replace(FINE, places=(replace(STUCK, stuck_passes=10),)), Why.STUCK),
        (replace(FINE, places=(replace(STUCK, stuck_passes=9),)), Why.FINE),
        (replace(FINE, assigned=asked(days_ago(1), 60)), Why.NOT_DONE),
        (replace(FINE, assigned=asked(days_ago(1), 84)), Why.FINE),
        (replace(FINE, assigned=asked(TODAY, 60)), Why.FINE),
        (replace(FINE, assigned=asked(days_ago(8), 60)), Why.FINE),
        (replace(FINE, week=replace(GOOD_WEEK, seconds=4199)), Why.LITTLE_TIME),
        (replace(FINE, week=replace(GOOD_WEEK, seconds=4200)), Why.FINE),
        (replace(FINE, week=replace(GOOD_WEEK, seconds=60), assigned=asked(TODAY, 84)), Why.FINE),
        (replace(FINE, week=replace(GOOD_WEEK, clean=95)), Why.WORSE),
        (replace(FINE, week=replace(GOOD_WEEK, clean=96)), Why.WORSE),
        (replace(FINE, week=replace(GOOD_WEEK, clean=97)), Why.FINE),
        (replace(FINE, week=replace(GOOD_WEEK, passes=19, clean=5)), Why.FINE),
        (replace(FINE, done_on=days_ago(1)), Why.FINISHED),
    ],
)  # fmt: skip
def test_each_reason_holds_from_its_figure_on(look: Look, why: Why) -> None:
    assert attention(look).why is why


def test_the_first_reason_counts_and_within_it_the_worst() -> None:
    looks = {
        "fine": FINE,
        "away long": replace(FINE, last_played=days_ago(30)),
        "away": replace(FINE, last_played=days_ago(9), places=(STUCK,)),
        "stuck": replace(FINE, places=(STUCK,), week=replace(GOOD_WEEK, seconds=60)),
        "more stuck": replace(FINE, places=(replace(STUCK, stuck_passes=25),)),
        "little": replace(FINE, week=replace(GOOD_WEEK, seconds=60)),
        "also fine": FINE,
    }
    seen = [Seen(name, look) for name, look in looks.items()]

    assert [name for name, *_ in who_first(reversed(seen))] == [
        "away long", "away", "more stuck", "stuck", "little", "also fine", "fine",
    ]  # fmt: skip


def test_a_look_is_the_same_there_and_back() -> None:
    full = replace(FINE, places=(PLACE, STUCK), done_on=TODAY, obstacle="It won't end.",
                   assigned=asked(TODAY, 60))  # fmt: skip

    for look in (FINE, full, replace(FINE, finish=Window(None, None, None), last_played=None)):
        assert look_from_dict(look_to_dict(look)) == look


WEAK = replace(STUCK, weak=4, weak_frets=(3, 5), clean=20, passes=60, clean_passes=50)
STRONG = replace(WEAK, weak=0, weak_frets=())


@pytest.mark.parametrize(
    ("own", "others", "most", "only"),
    [
        (WEAK, [STRONG, STRONG], False, True),
        (WEAK, [WEAK, STRONG], True, False),
        (WEAK, [WEAK, STRONG, STRONG], False, False),
        (STRONG, [WEAK, WEAK], True, False),
        (STRONG, [WEAK, STRONG], False, False),
        (WEAK, [], False, False),
        (replace(WEAK, weak=1), [STRONG], False, False),
        (replace(STRONG, clean_passes=44), [STRONG], False, True),
        (replace(STRONG, clean_passes=45), [STRONG], False, False),
    ],
)
def test_a_place_is_weak_for_most_or_for_one_only(
    own: Place, others: list[Place], *, most: bool, only: bool
) -> None:
    looks = [replace(FINE, places=(each,)) for each in others]
    (beside,) = beside_class(replace(FINE, places=(own,)), looks)

    assert (beside.is_weak_for_most, beside.is_weak_for_one) == (most, only)
    assert beside.others == len(others)


def test_only_players_of_the_same_routine_are_compared() -> None:
    other = replace(FINE, routine="fours", places=(WEAK,))
    (beside,) = beside_class(replace(FINE, places=(WEAK,)), [other])

    assert (beside.others, beside.seconds, beside.share) == (0, None, None)


def test_the_pace_of_the_others_is_their_median() -> None:
    looks = [replace(FINE, places=(replace(PLACE, seconds=s),)) for s in (600.0, 60.0, 1200.0)]
    untouched = replace(PLACE, passes=0, clean_passes=0, seconds=0.0)
    (beside,) = beside_class(FINE, [*looks, replace(FINE, places=(untouched,))])

    assert (beside.others, beside.seconds) == (3, 600.0)
