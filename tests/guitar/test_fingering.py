"""Fingering: the cheapest path, found as a search through all paths would find it."""

from itertools import product

import pytest

from scheduler.guitar.fingering import (
    Ruler,
    cheapest_path,
    fingering,
    fret_mm,
    grips,
    pair_words,
    path_cost,
    visits,
)
from scheduler.guitar.items import catalogue, positions
from scheduler.guitar.neck import Neck, parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routines import INSIDE
from scheduler.guitar.sequence import half_of, legs_of, notes_of
from tests.conftest import reference_rows

RULER = Ruler((0,), 648.0)


def by_string(neck: Neck, address: str) -> list[str]:
    """The fingers of an ascending single, one pair a string from the lowest one."""
    item = parse_address(address)
    fingers = fingering(neck, item)
    held = {
        string: pair_words(fingers[2 * place : 2 * place + 2])
        for place, (string, _) in enumerate(visits(neck, item))
    }
    return [held[string] for string in range(neck.strings)]


def test_box_1_has_one_finger_a_fret(neck: Neck) -> None:
    """Common practice, no source."""
    assert by_string(neck, "1:asc:down:5") == ["1-4", "1-3", "1-3", "1-3", "1-4", "1-4"]


def test_the_second_time_round_may_start_with_another_finger(neck: Neck) -> None:
    """Common practice, no source: up in box 2 and down in box 3, then the first finger."""
    alone = fingering(neck, parse_address("2:asc:down:7"))
    coupled = fingering(neck, parse_address("2+3:asc:down:7"))

    assert alone[0] == 2
    assert coupled[0] == 2
    assert coupled[48] == 1


@pytest.mark.parametrize("address", ["1:asc:down:1", "3:desc:up:2", "2+3:asc:down:1"])
def test_a_trip_is_fingered_alike(neck: Neck, address: str) -> None:
    item = parse_address(address)
    places = positions(neck, item.box, coupling=item.coupling)
    moved = [address.rsplit(":", 1)[0] + f":{fret}" for fret in places]

    assert len({fingering(neck, parse_address(other)) for other in moved}) == 1


@pytest.mark.parametrize(
    "runs",
    [
        [(0, (8, 10)), (1, (7, 10)), (2, (7, 10)), (1, (7, 10)), (2, (7, 10)), (3, (7, 9))],
        [(5, (12, 10)), (5, (10, 8)), (4, (10, 8)), (5, (8, 10))],
        [(0, (1, 4)), (0, (4, 6)), (1, (4, 6)), (0, (6, 4)), (0, (4, 1))],
        [(0, (0, 3)), (1, (0, 2)), (0, (3, 0)), (1, (2,))],
        [(2, (20, 22)), (1, (15, 17)), (2, (22, 20))],
    ],
)
def test_no_other_path_is_cheaper(runs: list[tuple[int, tuple[int, ...]]]) -> None:
    """A search through all paths of short runs."""
    options = [[g for g in grips(frets, RULER) if g.position < 23] for _, frets in runs]
    cheapest = min(path_cost(runs, path, RULER) for path in product(*options))

    assert path_cost(runs, cheapest_path(runs, RULER), RULER) == pytest.approx(cheapest)


@pytest.mark.parametrize("tuning", ["E1 A1 D2 G2", "B1 E2 A2 D3 G3 B3 E4", "D2 A2 D3 G3 A3 D4"])
def test_every_note_gets_a_finger_that_reaches_it(tuning: str) -> None:
    neck = parse_neck(tuning)
    for address in ("1:asc:down:3", "4:desc:up:5", "5+1:desc:down:2"):
        item = parse_address(address)
        fingers = fingering(neck, item)

        assert all(1 <= finger <= 4 for finger in fingers)
        assert len(fingers) == sum(len(frets) for _, frets in visits(neck, item))
        for place in range(0, len(fingers) - 1, 2):
            assert fingers[place] != fingers[place + 1]


def test_open_strings_need_no_finger() -> None:
    neck = parse_neck(lowest_fret=0)

    assert fingering(neck, parse_address("1:asc:down:0"))[:4] == (0, 3, 0, 2)


@pytest.mark.parametrize("fret", range(25))
def test_distances_are_those_of_a_luthiers_table(fret: int) -> None:
    """Source: reference/SOURCES.md, fret_positions.csv."""
    row = reference_rows("fret_positions.csv")[fret]

    assert fret_mm(fret, 648.0) == pytest.approx(float(row["distance_from_nut_mm"]), abs=5e-5)


@pytest.mark.parametrize(
    ("fret", "to_bridge"),
    [(1, 599.360), (2, 565.721), (5, 475.712), (7, 423.812), (10, 356.382)],
)
def test_distances_are_those_of_a_printed_25_inch_table(fret: int, to_bridge: float) -> None:
    """Source: a private lutherie page's table for 635 mm, distances to the bridge."""
    assert 635.0 - fret_mm(fret, 635.0) == pytest.approx(to_bridge, abs=6e-4)


TAUGHT = {(1, 2): "124", (2, 1): "134", (2, 2): "124", (1, 3): "124", (3, 1): "134", (1, 1): "123"}
"""The fingers of three notes a string by the frets between them (common practice, no source)."""


@pytest.mark.parametrize("frets", [14, 22])
@pytest.mark.parametrize("name", ["major3", "major3fours", "minor3", "harmonic3"])
def test_three_notes_a_string_are_fingered_as_taught_each_time_round(name: str, frets: int) -> None:
    neck = parse_neck(frets=frets)
    shapes = {item[:3]: item for item in catalogue(neck, INSIDE[name])}
    for item in shapes.values():
        held: dict[tuple[int, int], dict[int, set[int]]] = {}
        notes, fingers = notes_of(neck, item), fingering(neck, item)
        for number, leg in enumerate(legs_of(neck, item)):
            for place in leg:
                string = held.setdefault((half_of(item, number), notes[place].string), {})
                string.setdefault(notes[place].fret, set()).add(fingers[place])
        for string in held.values():
            low, middle, high = sorted(string)
            taught = TAUGHT[middle - low, high - middle]
            assert [string[fret] for fret in sorted(string)] == [{int(each)} for each in taught]
    assert len(shapes) == 28
