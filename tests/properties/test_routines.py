"""Laws of any routine on any neck."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from scheduler.guitar.boxes import root_pitch_class
from scheduler.guitar.definitions import from_words, in_words
from scheduler.guitar.fingering import fingering
from scheduler.guitar.items import catalogue, frets_of
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import matching, parse_address, parse_pattern
from scheduler.guitar.rounds import is_visited, round_items, trips
from scheduler.guitar.routine import Part, Routine
from scheduler.guitar.sequence import legs_of, notes_of, runs_of
from tests.properties.strategies import places, routines

Place = tuple[Neck, Routine]


@given(places(), st.data())
def test_notes_alternate_and_stay_on_the_neck_and_in_the_scale(
    place: Place, data: st.DataObject
) -> None:
    neck, routine = place
    item = data.draw(st.sampled_from(catalogue(neck, routine)))
    notes = notes_of(neck, item)
    root = root_pitch_class(neck, item.box, item.fret, routine)

    assert len(notes) == item.notes_on(neck.strings) > 0
    assert notes[0].stroke is item.stroke
    assert all(a.stroke is not b.stroke for a, b in pairwise(notes))
    assert all(neck.lowest_fret <= note.fret <= neck.frets for note in notes)
    assert {(note.pitch_midi - root) % 12 for note in notes} <= set(routine.scale)
    assert frets_of(neck, item)[0] == item.fret


@given(places(), st.data())
def test_an_address_reads_back(place: Place, data: st.DataObject) -> None:
    neck, routine = place
    item = data.draw(st.sampled_from(catalogue(neck, routine)))
    known = {"": parse_address("1:asc:down:1").routine, "own": routine}

    assert item.address.startswith("own/")
    assert parse_address(item.address, known) == item
    assert matching(neck, parse_pattern(item.address, known)) == (item,)


@given(places(), st.integers(1, 4))
def test_both_directions_of_each_fret_stand_in_a_round(place: Place, number: int) -> None:
    neck, routine = place
    for trip in trips(neck, number, routine=routine):
        if trip.part is Part.SINGLES:
            ways = {(item.fret, item.direction) for item in trip.items}
            assert len(ways) == len(trip.items) == 2 * len({item.fret for item in trip.items})


@given(places(), st.integers(1, 4))
def test_a_round_visits_each_item_once(place: Place, number: int) -> None:
    neck, routine = place
    items = round_items(neck, number, routine=routine)
    told = {item for item in catalogue(neck, routine)
            if is_visited(item, number, both_directions=False)}  # fmt: skip

    assert len(items) == len(set(items))
    assert set(items) == told


@given(places(), st.data())
def test_runs_and_legs_hold_every_note_once(place: Place, data: st.DataObject) -> None:
    neck, routine = place
    item = data.draw(st.sampled_from(catalogue(neck, routine)))
    numbers = list(range(item.notes_on(neck.strings)))

    assert [n for run in runs_of(neck, item) for n in run] == numbers
    assert [n for leg in legs_of(neck, item) for n in leg] == numbers


@given(places(), st.data())
def test_every_note_has_a_finger(place: Place, data: st.DataObject) -> None:
    neck, routine = place
    item = data.draw(st.sampled_from(catalogue(neck, routine)))
    fingers = fingering(neck, item)

    assert len(fingers) == item.notes_on(neck.strings)
    assert all(0 <= finger <= 4 for finger in fingers)


@given(routines())
def test_a_definition_reads_back(drawn: Routine) -> None:
    assert from_words(drawn.name, in_words(drawn)) is drawn
    assert len(in_words(drawn)) <= 200
