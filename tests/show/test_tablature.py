"""Tablature as the trade writes it."""

import pytest

from scheduler.guitar.fingering import fingering
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routine import Direction, Routine, Stroke
from scheduler.guitar.routines import INSIDE
from scheduler.guitar.sequence import notes_of
from scheduler.practice.sheet import Sheet
from scheduler.show.tablature import tablature


def sheet(address: str, tuning: str = "E2 A2 D3 G3 B3 E4", notes_per_beat: int = 3) -> Sheet:
    neck = parse_neck(tuning)
    item = parse_address(address)
    notes, fingers = notes_of(neck, item), fingering(neck, item)
    return Sheet(neck, item, notes, fingers, BeatsPerMinute(60), notes_per_beat)


def test_one_item_on_the_screen() -> None:
    assert tablature(sheet("1:asc:up:5", "E1 A1 D2 G2"), 60, signs=False) == [
        "Box 1 at fret 5, ascending, upstroke first",
        "A minor, 12 notes, 3 notes to a beat",
        "tempo 60: 4 s a pass",
        "",
        "   1  .  .  2  .  .   3  .  .  4  .  .",
        "   U  D  U  D  U  D   U  D  U  D  U  D",
        "G|--------------------------------5--7-|",
        "D|-------------5--7---------5--7-------|",
        "A|-------5--7---------5--7-------------|",
        "E|-5--8--------------------------------|",
        "   1  4  1  3  1  3   1  3  1  3  1  3",
        "",
        "box 1",
        "     5   6   7   8",
        " G   1   .   3   .",
        " D   1   .   3   .",
        " A   1   .   3   .",
        " E   1   .   .   4",
        "",
        "D downstroke, U upstroke; fingers 1 to 4",
    ]


@pytest.mark.parametrize("width", [40, 60, 80, 120])
@pytest.mark.parametrize("notes_per_beat", [3, 4, 6])
def test_no_line_is_wider_than_the_screen_and_no_note_is_lost(
    width: int, notes_per_beat: int
) -> None:
    lines = tablature(sheet("5+1:desc:up:2", notes_per_beat=notes_per_beat), width, signs=True)
    strokes = sum(line.count("V") + line.count("\N{SQUARE CAP}") for line in lines[:-1])

    assert max(len(line) for line in lines[2:]) <= width
    assert strokes == 97


def test_a_bar_has_four_beats() -> None:
    rows = [line for line in tablature(sheet("2:asc:down:5"), 200, signs=False) if "|" in line]

    assert {row.count("|") for row in rows} == {3}
    assert all(row.endswith("|") for row in rows)


def test_a_left_handed_chart_is_mirrored() -> None:
    lines = tablature(sheet("1:asc:down:5"), 60, signs=False, left_handed=True)

    assert "     8   7   6   5" in lines
    assert " E   4   .   .   1" in lines


@pytest.mark.parametrize("tuning", ["E2 A2 D3 G3 B3 E4", "B1 E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2"])
@pytest.mark.parametrize("routine", INSIDE.values(), ids=lambda routine: routine.name)
def test_a_box_is_shown_as_a_hand_can_hold_it(tuning: str, routine: Routine) -> None:
    """Every string from its lowest note on with one finger after the other, each once."""
    places = [
        Item(box, coupling, direction, Stroke.DOWN, 3, routine)
        for box in routine.boxes for coupling in (False, True) for direction in Direction
    ]  # fmt: skip
    for item in places:
        for picture in sheet(item.address, tuning).boxes():
            for string, frets in enumerate(picture.strings):
                fingers = [picture.fingers[string, fret] for fret in frets]
                assert fingers == sorted(set(fingers)), (item.address, picture.box, string)


@pytest.mark.parametrize("routine", INSIDE.values(), ids=lambda routine: routine.name)
def test_a_box_shows_fingers_of_the_tablature(routine: Routine) -> None:
    for coupling in (False, True):
        shown = sheet(Item(2, coupling, Direction.DESC, Stroke.UP, 4, routine).address)
        written = {
            (note.string, note.fret, finger)
            for note, finger in zip(shown.notes, shown.fingers, strict=True)
        }
        drawn = {
            (*place, finger)
            for picture in shown.boxes() for place, finger in picture.fingers.items()
        }  # fmt: skip

        assert drawn <= written


@pytest.mark.parametrize(
    ("frets", "fingers"),
    [((8, 10, 12), {(1, 2, 4), (1, 3, 4)}), ((8, 9, 11), {(1, 2, 4)}), ((8, 10, 11), {(1, 3, 4)})],
)
def test_three_notes_a_string_are_fingered_as_teachers_do(
    frets: tuple[int, ...], fingers: set[tuple[int, ...]]
) -> None:
    """Common practice, no source: 1-2-4 or 1-3-4 for two whole tones, else a finger a fret."""
    for box in range(1, 8):
        shown = sheet(f"major3/{box}:asc:down:8").boxes()[0]
        for string, held in enumerate(shown.strings):
            if held == frets:
                assert tuple(shown.fingers[string, fret] for fret in frets) in fingers


def test_with_an_odd_number_of_notes_a_string_it_says_how_strings_begin() -> None:
    assert any("strings begin with down- and upstrokes in turn" in line
               for line in tablature(sheet("major3/1:asc:down:5"), 80, signs=True))  # fmt: skip
