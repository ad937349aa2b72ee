"""The round: trips up and down the neck, in the order of the routine."""

from itertools import pairwise

from scheduler.guitar.items import Direction, Stroke
from scheduler.guitar.neck import Neck
from scheduler.guitar.rounds import Part, round_items, trips


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

            assert leg[0].direction is Direction.ASC
            assert all(a.direction is not b.direction for a, b in pairwise(leg))


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
