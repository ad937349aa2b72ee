"""Tablature as text: highest string on top, strokes above, fingers below, groups together."""

from collections.abc import Sequence

from scheduler.guitar.neck import SHARP_NAMES
from scheduler.guitar.routine import Stroke
from scheduler.guitar.sequence import Note
from scheduler.practice.sheet import BoxPicture, Sheet
from scheduler.show.words import count, duration, item_words, sentence, tempo_words

CELL = 3
SIGNS = {Stroke.DOWN: "\N{SQUARE CAP}", Stroke.UP: "V"}
"""Resemble the engraved signs and stand alone, which the combining music characters don't."""

LETTERS = {Stroke.DOWN: "D", Stroke.UP: "U"}
NARROWEST = 36
"""Columns of two sixes."""


def tablature(sheet: Sheet, width: int, *, signs: bool, left_handed: bool = False) -> list[str]:
    """Lines of tablature, wrapped between groups.

    Args:
        sheet: The item.
        width: Columns of the screen.
        signs: Whether the terminal can show signs of strokes; letters otherwise.
        left_handed: Whether charts of boxes are mirrored.
    """
    words = item_words(sheet.item)
    beats = f"{sheet.notes_per_beat} notes to a beat"
    lines = [
        sentence(words),
        f"{sheet.key}, {count(len(sheet.notes), 'note')}, {beats}",
        f"tempo {tempo_words(sheet.tempo)}: {duration(sheet.seconds)} a pass",
        "",
    ]
    for _, rows in systems(sheet, width, signs=signs):
        lines += [*rows, ""]
    for picture in sheet.boxes():
        lines += [*chart_lines(sheet, picture, mirrored=left_handed), ""]
    shown = SIGNS if signs else LETTERS
    if sheet.item.routine.notes_a_string % 2:
        lines.append("alternate picking: strings begin with down- and upstrokes in turn")
    lines.append(f"{shown[Stroke.DOWN]} downstroke, {shown[Stroke.UP]} upstroke; fingers 1 to 4")
    return [line.rstrip() for line in lines]


def systems(sheet: Sheet, width: int, *, signs: bool) -> list[tuple[int, list[str]]]:
    """The lines of music, each with the number of its first note and its rows."""
    return [
        (first, [row.rstrip() for row in _system(sheet, first, groups, signs=signs)])
        for first, groups in _systems(sheet, width)
    ]


def string_names(sheet: Sheet) -> list[str]:
    """The names of the open strings, lowest first."""
    return [SHARP_NAMES[midi % 12] for midi in sheet.neck.tuning]


def _systems(sheet: Sheet, width: int) -> list[tuple[int, list[Sequence[Note]]]]:
    """Groups by line of music, with the number of the first note of each line."""
    notes = sheet.notes
    size = sheet.item.routine.group
    groups = [notes[n : n + size] for n in range(0, len(notes), size)]
    if len(groups) > 1 and len(groups[-1]) == 1:
        # The last note of a coupling stays with the group before it.
        groups[-2:] = [(*groups[-2], *groups[-1])]
    room = max(width, NARROWEST) - _margin(sheet) - 1
    systems: list[tuple[int, list[Sequence[Note]]]] = []
    first, used = 0, room
    for group in groups:
        needed = len(group) * CELL + 2
        if used + needed > room:
            systems.append((first, []))
            used = 0
        systems[-1][1].append(group)
        used += needed
        first += len(group)
    return systems


def _margin(sheet: Sheet) -> int:
    return max(map(len, string_names(sheet))) + 1


def _system(
    sheet: Sheet, first: int, groups: Sequence[Sequence[Note]], *, signs: bool
) -> list[str]:
    """The rows of one line of music: beats, strokes, strings from the highest, fingers."""
    margin = _margin(sheet)
    beats, strokes, fingers = (" " * margin for _ in range(3))
    names = string_names(sheet)
    rows = [f"{name:>{margin - 1}}|" for name in names]
    number = first
    for group in groups:
        for note in group:
            beat, inside = divmod(number % sheet.notes_in_a_bar, sheet.notes_per_beat)
            beats += f"{beat + 1 if inside == 0 else '.':>2} "
            strokes += f"{(SIGNS if signs else LETTERS)[note.stroke]:>2} "
            fingers += f"{sheet.fingers[number] or 'o':>2} "
            for string in range(len(rows)):
                rows[string] += f"{note.fret:->2}-" if note.string == string else "---"
            number += 1
            if number % sheet.notes_in_a_bar == 0 or number == len(sheet.notes):
                beats, strokes, fingers = (f"{row} " for row in (beats, strokes, fingers))
                rows = [f"{row}|" for row in rows]
        beats, strokes, fingers = (f"{row} " for row in (beats, strokes, fingers))
        rows = [f"{row}-" if not row.endswith("|") else row for row in rows]
        width = max(map(len, rows))
        beats, strokes, fingers = (row[:width].ljust(width) for row in (beats, strokes, fingers))
        rows = [row.ljust(width, "-") for row in rows]
    return [beats, strokes, *reversed(rows), fingers]


def chart_lines(sheet: Sheet, picture: BoxPicture, *, mirrored: bool = False) -> list[str]:
    """A box as a chart: a row a string, a column a fret, the fingers in it."""
    frets, held = picture.strings, picture.fingers
    lowest, highest = min(each[0] for each in frets), max(each[-1] for each in frets)
    columns = list(range(lowest, highest + 1))
    if mirrored:
        columns.reverse()
    margin = _margin(sheet)
    lines = [f"box {picture.box}", " " * margin + "".join(f"{fret:>4}" for fret in columns)]
    for string in reversed(range(len(frets))):
        cells = [
            str(held.get((string, fret), "o") or "o") if fret in frets[string] else "."
            for fret in columns
        ]
        name = string_names(sheet)[string]
        lines.append(f"{name:>{margin}}" + "".join(f"{cell:>4}" for cell in cells))
    return lines
