"""The round: trips up and down the neck, in the order of the routine."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.guitar.items import catalogue, is_on_neck
from scheduler.guitar.neck import MOST_FRETS, Neck, parse_neck
from scheduler.guitar.rounds import is_visited, round_items, trips
from scheduler.guitar.routine import Direction, Part, Stroke


def test_a_trip_goes_up_with_downstrokes_and_back_down_with_upstrokes(neck: Neck) -> None:
    for trip in trips(neck):
        up = [item.fret for item in trip.items if item.stroke is Stroke.DOWN]
        down = [item.fret for item in trip.items if item.stroke is Stroke.UP]

        assert up == sorted(up)
        assert down == up[::-1]
        assert trip.items[: len(up)] == tuple(i for i in trip.items if i.stroke is Stroke.DOWN)


def test_the_directions_of_singles_alternate_from_fret_to_fret(neck: Neck) -> None:
    for trip in trips(neck)[:5]:
        for stroke in Stroke:
            leg = [item for item in trip.items if item.stroke is stroke]

            assert all(a.direction is not b.direction for a, b in pairwise(leg))


@pytest.mark.parametrize(("number", "first"), [(1, Direction.ASC), (2, Direction.DESC)])
def test_up_the_neck_odd_frets_ascend_in_odd_rounds_and_descend_in_even_ones(
    neck: Neck, number: int, first: Direction
) -> None:
    for trip in trips(neck, number)[:5]:
        up = {item.fret: item.direction for item in trip.items if item.stroke is Stroke.DOWN}
        back = {item.fret: item.direction for item in trip.items if item.stroke is Stroke.UP}

        assert {way is first for fret, way in up.items() if fret % 2} == {True}
        assert {way is first for fret, way in up.items() if not fret % 2} == {False}
        assert all(up[fret] is not back[fret] for fret in up)


@given(
    frets=st.integers(12, MOST_FRETS),
    other=st.integers(12, MOST_FRETS),
    lowest=st.integers(0, 3),
    number=st.integers(1, 4),
)
def test_another_neck_asks_for_nothing_else_at_the_frets_of_both(
    frets: int, other: int, lowest: int, number: int
) -> None:
    here = parse_neck(frets=frets)
    there = parse_neck(frets=other, lowest_fret=lowest)
    of_here = [item for item in round_items(here, number) if is_on_neck(there, item)]
    of_there = [item for item in round_items(there, number) if is_on_neck(here, item)]

    assert of_here == of_there


def test_what_a_round_visits_is_told_without_the_neck(neck: Neck) -> None:
    for number in (1, 2):
        for both in (False, True):
            wanted = set(round_items(neck, number, both_directions=both))
            told = {i for i in catalogue(neck) if is_visited(i, number, both_directions=both)}

            assert told == wanted


def test_two_rounds_cover_both_directions_of_every_single(neck: Neck) -> None:
    first, second = ({i for i in round_items(neck, n) if not i.coupling} for n in (1, 2))

    assert not first & second
    assert len(first | second) == 4 * 94


def test_couplings_come_from_the_bottom_then_from_the_top(neck: Neck) -> None:
    parts = [trip.part for trip in trips(neck)]

    assert parts == [Part.SINGLES] * 5 + [Part.FROM_BOTTOM] * 5 + [Part.FROM_TOP] * 5
    for trip in trips(neck)[5:]:
        wanted = Direction.ASC if trip.part is Part.FROM_BOTTOM else Direction.DESC
        assert {item.direction for item in trip.items} == {wanted}


def test_both_directions_put_every_single_in_both_ways_into_one_round(neck: Neck) -> None:
    items = round_items(neck, both_directions=True)

    assert len(items) == 2 * 188 + 328
    assert len(set(items)) == len(items)
