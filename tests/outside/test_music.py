"""The guitar against published tables and facts of the trade."""

import pytest

from scheduler.guitar.boxes import box_frets
from scheduler.guitar.items import catalogue
from scheduler.guitar.metronome import MARKS, TRADITIONAL_MARKS
from scheduler.guitar.neck import Neck, frequency_hz, parse_neck, parse_note
from scheduler.guitar.rounds import round_items, trips
from scheduler.guitar.routine import PENTATONIC, Part
from scheduler.guitar.sequence import notes_of
from tests.conftest import reference_rows

BOX_FRETS_IN_A_MINOR = {1: 5, 2: 7, 3: 9, 4: 12, 5: 14}


@pytest.mark.parametrize("row", reference_rows("pentatonic_boxes_a_minor.csv"))
def test_the_boxes_of_a_minor_are_the_printed_ones(row: dict[str, str]) -> None:
    """Source: reference/SOURCES.md, pentatonic_boxes_a_minor.csv (30 strings, 60 frets)."""
    neck = parse_neck(frets=24)
    box = int(row["box"])
    string = 6 - int(row["string_number"])

    pair = box_frets(neck, box, BOX_FRETS_IN_A_MINOR[box])[string]

    assert pair == (int(row["low_fret"]), int(row["high_fret"]))
    assert neck.pitch_midi(string, pair[0]) == int(row["low_midi"])
    assert neck.pitch_midi(string, pair[1]) == int(row["high_midi"])


@pytest.mark.parametrize("box", PENTATONIC.boxes)
def test_on_every_string_the_upper_fret_of_a_box_is_the_lower_of_the_next(
    neck: Neck, box: int
) -> None:
    """Computed: boxes are consecutive scale notes, two a string."""
    here = box_frets(neck, box, BOX_FRETS_IN_A_MINOR[box])
    higher = BOX_FRETS_IN_A_MINOR[PENTATONIC.next_box(box)] + (12 if box == 5 else 0)
    above = box_frets(neck, PENTATONIC.next_box(box), higher)

    assert [pair[1] for pair in here] == [pair[0] for pair in above]


def test_the_marks_are_the_traditional_ones() -> None:
    """Source: reference/SOURCES.md, metronome_marks.csv."""
    assert list(TRADITIONAL_MARKS) == [
        int(row["bpm"]) for row in reference_rows("metronome_marks.csv")
    ]
    assert MARKS[: -len(TRADITIONAL_MARKS)] == tuple(range(20, 40, 2))


def test_every_mark_up_to_104_doubles_to_a_mark() -> None:
    """Source: the mailing-list post of metronome_marks.csv makes the same observation."""
    slow = [mark for mark in TRADITIONAL_MARKS if mark <= 104]

    assert len(slow) == 23
    assert {2 * mark for mark in slow} <= set(MARKS)


@pytest.mark.parametrize(
    ("note", "midi", "printed_hz"),
    [
        ("E2", 40, 82.407), ("A2", 45, 110), ("D3", 50, 146.83), ("G3", 55, 196.00),
        ("B3", 59, 246.94), ("E4", 64, 329.63), ("C4", 60, 261.63), ("A4", 69, 440),
        ("C5", 72, 523.25),
    ],
)  # fmt: skip
def test_midi_numbers_and_frequencies(note: str, midi: int, printed_hz: float) -> None:
    """Source: University of New South Wales, "Note names, MIDI numbers and frequencies"."""
    assert parse_note(note) == midi
    assert frequency_hz(midi) == pytest.approx(printed_hz, abs=0.005)


@pytest.mark.parametrize(
    ("frets", "in_catalogue", "in_round", "notes"),
    [(24, 784, 576, 40_688), (22, 704, 516, 36_328), (21, 664, 486, 34_148)],
)
def test_the_size_of_the_routine(frets: int, in_catalogue: int, in_round: int, notes: int) -> None:
    """Common practice, no source: how many items and notes a round of the routine has."""
    neck = parse_neck(frets=frets)
    items = round_items(neck)

    assert len(catalogue(neck)) == in_catalogue
    assert len(items) == in_round
    assert sum(item.notes_on(6) for item in items) == notes


def test_groups_strokes_and_notes_of_common_practice(neck: Neck) -> None:
    """Common practice, no source: 4 groups of six, every string starts with the item's stroke."""
    for item in round_items(neck):
        notes = notes_of(neck, item)

        assert len(notes) == (97 if item.coupling else 24)
        assert all(
            note.stroke is item.stroke
            for before, note in zip((None, *notes), notes, strict=False)
            if before is None or before.string != note.string
        )


def test_a_round_falls_into_three_parts_of_five_trips() -> None:
    """Common practice, no source."""
    parts = [trip.part for trip in trips(parse_neck())]

    assert [parts.count(part) for part in Part] == [5, 5, 5]
