"""The sequence of sixes, note by note."""

import pytest

from scheduler.guitar.neck import Neck, parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routine import PENTATONIC, Stroke
from scheduler.guitar.routines import INSIDE
from scheduler.guitar.sequence import notes_of


def test_ascending_takes_three_strings_then_the_same_from_the_next(neck: Neck) -> None:
    notes = notes_of(neck, parse_address("1:asc:down:5"))

    assert [(n.string, n.fret) for n in notes[:12]] == [
        (0, 5), (0, 8), (1, 5), (1, 7), (2, 5), (2, 7),
        (1, 5), (1, 7), (2, 5), (2, 7), (3, 5), (3, 7),
    ]  # fmt: skip


def test_descending_is_the_mirror_image_from_the_highest_string(neck: Neck) -> None:
    notes = notes_of(neck, parse_address("1:desc:down:5"))

    assert [(n.string, n.fret) for n in notes[:6]] == [
        (5, 8), (5, 5), (4, 8), (4, 5), (3, 7), (3, 5),
    ]  # fmt: skip


def test_the_last_group_ends_on_the_outermost_string(neck: Neck) -> None:
    assert notes_of(neck, parse_address("1:asc:down:5"))[-1].string == 5
    assert notes_of(neck, parse_address("1:desc:down:5"))[-1].string == 0


def test_a_coupling_goes_up_the_lower_box_and_down_the_higher_one_twice(neck: Neck) -> None:
    notes = notes_of(neck, parse_address("1+2:asc:down:5"))
    lower = notes_of(neck, parse_address("1:asc:down:5"))
    higher = notes_of(neck, parse_address("2:desc:down:7"))

    assert notes == (*lower, *higher, *lower, *higher, lower[0])


def test_a_coupling_from_the_top_starts_in_the_higher_box(neck: Neck) -> None:
    notes = notes_of(neck, parse_address("5+1:desc:up:2"))
    higher = notes_of(neck, parse_address("1:desc:up:5"))
    lower = notes_of(neck, parse_address("5:asc:up:2"))

    assert notes == (*higher, *lower, *higher, *lower, higher[0])


@pytest.mark.parametrize(
    ("tuning", "single"),
    [("E1 A1 D2 G2", 12), ("B1 E2 A2 D3 G3 B3 E4", 30), ("G3 B3 D4", 6)],
)
def test_other_numbers_of_strings_have_other_numbers_of_groups(tuning: str, single: int) -> None:
    neck = parse_neck(tuning)

    assert len(notes_of(neck, parse_address("2:asc:down:3"))) == single
    assert len(notes_of(neck, parse_address("2+3:asc:down:3"))) == 4 * single + 1
    assert PENTATONIC.notes_in(neck.strings, coupling=False) == single


def test_every_string_starts_with_the_items_stroke(neck: Neck) -> None:
    for address in ("2:asc:up:4", "3+4:desc:down:6"):
        item = parse_address(address)
        notes = notes_of(neck, item)

        assert {n.stroke for n in notes[::2]} == {item.stroke}
        assert {n.stroke for n in notes[1::2]} == set(Stroke) - {item.stroke}


@pytest.mark.parametrize(
    ("name", "boxes", "single", "coupling"),
    [("", 5, 24, 97), ("fours", 5, 36, 145), ("major3", 7, 30, 121), ("major3fours", 7, 60, 241)],
)
def test_routines_have_the_notes_that_players_count(
    name: str, boxes: int, single: int, coupling: int
) -> None:
    """Common practice, no source: seven boxes of three notes a string with 18 notes on six strings;
    sixes from string to string make 5 groups; fours over a box of 12 notes 9, over 18 notes 15."""
    routine = INSIDE[name]

    assert len(routine.boxes) == boxes
    assert routine.notes_in(6, coupling=False) == single
    assert routine.notes_in(6, coupling=True) == coupling == 4 * single + 1


def test_three_notes_a_string_alternate_over_the_strings() -> None:
    notes = notes_of(parse_neck(), parse_address("major3/1:asc:down:8"))

    assert [note.fret for note in notes[:9]] == [8, 10, 12, 8, 10, 12, 8, 10, 12]
    assert [note.stroke for note in notes[0:18:3]] == [Stroke.DOWN, Stroke.UP] * 3


def test_groups_of_four_begin_a_note_later_each() -> None:
    notes = notes_of(parse_neck(), parse_address("fours/1:asc:down:5"))

    assert [note.fret for note in notes[:12]] == [5, 8, 5, 7, 8, 5, 7, 5, 5, 7, 5, 7]
