"""The neck as a map, read without colour."""

from io import StringIO
from xml.etree import ElementTree as ET

from rich.console import Console

from scheduler.guitar.items import Item
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import trips
from scheduler.player.standing import Standing
from scheduler.practice.neck_map import Row, rows_of
from scheduler.show.neck_map import neck_screen
from scheduler.show.neck_picture import neck_svg

TRIPS = trips(parse_neck(frets=12))


def rows(special: dict[tuple[int, int], Standing]) -> list[Row]:
    """All clean, but what stands in the table of (box, fret) of singles with downstrokes."""
    standings: dict[Item, Standing] = {}
    tempos: dict[Item, float] = {}
    for trip in TRIPS:
        for item in trip.items:
            key = (item.box, item.fret)
            is_special = not item.coupling and item.stroke == "down" and key in special
            standings[item] = special[key] if is_special else Standing.CLEAN
            tempos[item] = 60.0 + item.fret
    return rows_of(TRIPS, standings, tempos)


def drawn(found: list[Row], width: int = 80, **how: bool) -> list[str]:
    how = {"tempo": False, "left_handed": False, **how}
    console = Console(width=width, color_system=None, record=True, file=StringIO())
    console.print(neck_screen(found, 12, width, **how))
    return [line.rstrip() for line in console.export_text().splitlines()]


def test_a_cell_shows_the_item_that_needs_most() -> None:
    found = rows({(1, 2): Standing.WEAK, (1, 3): Standing.STALE, (1, 4): Standing.AHEAD})
    lines = drawn(found)

    assert lines[0].split() == ["fret", *map(str, range(1, 10))]
    assert lines[2].split() == ["box", "1", "o", "!", "~", "/", *"ooooo"]
    assert lines[-1] == "o clean,  / partly,  - under the floor,  . ahead,  ! weak,  ~ stale"


def test_a_left_handed_neck_has_its_nut_on_the_right() -> None:
    lines = drawn(rows({(1, 2): Standing.WEAK}), left_handed=True)

    assert lines[0].split() == ["fret", *map(str, range(9, 0, -1))]
    assert lines[2].split()[2:][-2:] == ["!", "o"]


def test_tempos_stand_instead_of_signs() -> None:
    assert drawn(rows({}), tempo=True)[2].split()[2:] == [str(60 + n) for n in range(1, 10)]


def test_a_narrow_screen_gets_the_neck_in_pieces() -> None:
    lines = drawn(rows({}), width=30)

    assert max(map(len, lines)) <= 60
    assert sum(line.startswith("fret") for line in lines) == 2


def test_the_picture_is_well_formed_and_says_the_same() -> None:
    picture = neck_svg(rows({(1, 2): Standing.WEAK}), 12, tempo=False, left_handed=False)
    root = ET.fromstring(picture)  # noqa: S314
    texts = [node.text for node in root.iter("{http://www.w3.org/2000/svg}text")]

    assert texts.count("!") == 1
    assert "boxes 5+1" in texts
