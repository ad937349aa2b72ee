"""Boxes are computed for any tuning that they fit the hand in."""

import pytest

from scheduler.errors import NeckError
from scheduler.guitar.boxes import box_frets, check_boxes, relative_box
from scheduler.guitar.items import Item
from scheduler.guitar.keys import key_of_item
from scheduler.guitar.neck import parse_neck, parse_tuning
from scheduler.guitar.routine import PENTATONIC, Direction, Stroke


@pytest.mark.parametrize("tuning", ["D2 A2 D3 G3 A3 D4", "E1 A1 D2 G2", "B1 E2 A2 D3 G3 B3 E4"])
@pytest.mark.parametrize("box", PENTATONIC.boxes)
def test_every_box_begins_at_its_own_fret(tuning: str, box: int) -> None:
    neck = parse_neck(tuning)

    lowest = min(pair[0] for pair in box_frets(neck, box, 7))

    assert lowest == 7


def test_a_tuning_in_fifths_is_refused_not_bent() -> None:
    with pytest.raises(NeckError, match="box 1 covers 10 frets"):
        check_boxes(parse_neck("G2 D3 A3 E4"))


def test_a_box_of_seven_frets_is_the_widest() -> None:
    spans = [
        max(pair[-1] for pair in relative_box(parse_tuning("D2 A2 D3 G3 A3 D4"), box)) + 1
        for box in PENTATONIC.boxes
    ]

    assert spans == [6, 6, 7, 6, 6]


@pytest.mark.parametrize(
    ("box", "fret", "key"),
    [(1, 5, "A minor"), (2, 7, "A minor"), (1, 6, "B flat minor"), (5, 2, "A minor")],
)
def test_the_fret_fixes_the_key(box: int, fret: int, key: str) -> None:
    item = Item(box, False, Direction.ASC, Stroke.DOWN, fret)

    assert key_of_item(parse_neck(), item).words == key
