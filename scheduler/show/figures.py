"""Boxes and tablature as pages draw them: places in a picture, and cells of text."""

from collections.abc import Iterator
from typing import NamedTuple

from scheduler.guitar.routine import Stroke
from scheduler.practice.sheet import BoxPicture, Sheet
from scheduler.show.tablature import CELL, SIGNS, string_names

LEFT, TOP, FRET_WIDTH, STRING_STEP = 16, 8, 26, 14
"""Measures of a picture, in its own units."""
NOTES_IN_A_ROW = 12
"""Two groups of six: what a phone held upright has room for, in letters that are read from a
stand (our choice)."""


class Dot(NamedTuple):
    """A place that is held: where, and with which finger; "o" for an open string."""

    x: float
    y: float
    finger: str


class Label(NamedTuple):
    """A word in a picture."""

    x: float
    y: float
    text: str


class BoxFigure(NamedTuple):
    """A box as a picture: strings across, the highest on top; frets from left to right.

    Attributes:
        name: What it is, in words.
        way: For a coupling, how it is played: up in the lower box, down in the higher; else "".
        width: In the picture's own units.
        height: Likewise.
        strings: The heights of the strings.
        wires: Where the fret wires are.
        frets: The numbers of the frets.
        names: The names of the open strings.
        dots: What is held.
    """

    name: str
    way: str
    width: float
    height: float
    strings: tuple[float, ...]
    wires: tuple[float, ...]
    frets: tuple[Label, ...]
    names: tuple[Label, ...]
    dots: tuple[Dot, ...]


BeatCell = str
"""One beat of tablature, as lines: beat, strokes, strings from the highest on, fingers."""


def box_figures(sheet: Sheet, *, left_handed: bool = False) -> list[BoxFigure]:
    """The boxes of an item as pictures; mirrored for the left-handed."""
    pictures = sheet.boxes()
    ways = [f"box {p.box}, {way}" for p, way in zip(pictures, ("up", "down"), strict=False)]
    return [
        _box_figure(sheet, picture, ways[place] if len(pictures) > 1 else "", mirrored=left_handed)
        for place, picture in enumerate(pictures)
    ]


def _box_figure(sheet: Sheet, picture: BoxPicture, way: str, *, mirrored: bool) -> BoxFigure:
    strings = picture.strings
    lowest, highest = min(each[0] for each in strings), max(each[-1] for each in strings)
    columns = list(range(lowest, highest + 1))
    if mirrored:
        columns.reverse()
    centres = {fret: LEFT + FRET_WIDTH * (n + 0.5) for n, fret in enumerate(columns)}
    heights = [TOP + STRING_STEP * n for n in range(len(strings))]
    # The highest string lies on top, as in tablature.
    on_string = dict(enumerate(reversed(heights)))
    bottom = heights[-1] + STRING_STEP
    return BoxFigure(
        name=f"box {picture.box}, frets {lowest} to {highest}",
        way=way,
        width=LEFT + FRET_WIDTH * len(columns) + 6,
        height=bottom + 6,
        strings=tuple(heights),
        wires=tuple(LEFT + FRET_WIDTH * n for n in range(len(columns) + 1)),
        frets=tuple(Label(centres[fret], bottom + 2, str(fret)) for fret in columns),
        names=tuple(
            Label(LEFT - 7, on_string[string] + 3, name)
            for string, name in enumerate(string_names(sheet))
        ),
        dots=tuple(
            Dot(centres[fret], on_string[string], str(finger or "o"))
            for (string, fret), finger in sorted(picture.fingers.items())
        ),
    )


def tab_rows(sheet: Sheet) -> list[list[BeatCell]]:
    """The tablature of an item beat by beat, in rows that begin with the names of the strings."""
    cells, size = list(_cells(sheet)), _beats_in_a_row(sheet)
    return [cells[first : first + size] for first in range(0, len(cells), size)]


def _beats_in_a_row(sheet: Sheet) -> int:
    return max(1, NOTES_IN_A_ROW // sheet.notes_per_beat)


def _cells(sheet: Sheet) -> Iterator[BeatCell]:
    names = string_names(sheet)
    margin = max(map(len, names))
    size = sheet.notes_per_beat
    for first in range(0, len(sheet.notes), size):
        place = first % sheet.notes_in_a_bar
        opens = first // size % _beats_in_a_row(sheet) == 0
        head = " " * (margin + 1) if opens else ""
        beat, strokes, fingers = head, head, head
        rows = [f"{name:>{margin}}|" if opens else "" for name in names]
        for number in range(first, min(first + size, len(sheet.notes))):
            note = sheet.notes[number]
            beat += f"{place // size + 1 if number == first else '.':>2} "
            strokes += f"{SIGNS[Stroke(note.stroke)]:>2} "
            fingers += f"{sheet.fingers[number] or 'o':>2} "
            for string in range(len(rows)):
                rows[string] += f"{note.fret:->2}-" if note.string == string else "-" * CELL
        yield "\n".join([beat, strokes, *reversed(rows), fingers])


def notes_in_words(sheet: Sheet) -> str:
    """The notes of an item as string and fret, for people who use a screen reader.

    Strings are counted as guitarists do, from the highest.
    """
    strings = sheet.neck.strings
    words: list[str] = []
    before: int | None = None
    for note in sheet.notes:
        if note.string != before:
            words.append(f"string {strings - note.string}: {note.fret}")
            before = note.string
        else:
            words[-1] += f" {note.fret}"
    return ", ".join(words)
