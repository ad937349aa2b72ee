"""The map of the neck as text, signs or tempos in its cells."""

from collections.abc import Sequence

from rich.console import Group, RenderableType
from rich.text import Text

from scheduler.player.standing import Standing
from scheduler.practice.neck_map import Cell, Row
from scheduler.show.items import STANDING_STYLES
from scheduler.show.words import PART_WORDS, boxes, tempo_words

SIGNS = {
    Standing.WEAK: "!",
    Standing.STALE: "~",
    Standing.AHEAD: ".",
    Standing.CLEAN: "o",
    Standing.OUTSIDE: " ",
}

HALF_WAY = "/"
"""A cell of which some items are clean and none is weak or stale."""
BELOW_FLOOR = "-"
"""A cell that was clean in the round, but only under the floor tempo."""


def row_name(row: Row) -> str:
    """The box or coupling of a row."""
    return boxes(row.box, coupling=row.coupling, routine=row.routine)


def cell_text(cell: Cell, *, tempo: bool) -> str:
    """What stands in a cell: its sign, or its fastest clean tempo."""
    if tempo:
        return "-" if cell.tempo is None else tempo_words(round(cell.tempo))
    return sign_of(cell)


def sign_of(cell: Cell) -> str:
    """Where a cell stands, as a sign."""
    if cell.is_below_floor:
        return BELOW_FLOOR
    return HALF_WAY if cell.is_partly_clean else SIGNS[cell.standing]


def columns_of(rows: Sequence[Row], frets: int) -> list[int]:
    """The frets that get a column."""
    used = {fret for row in rows for fret in row.cells} | {1}
    return list(range(min(used), min(max(used), frets) + 1))


def neck_screen(
    rows: Sequence[Row], frets: int, width: int, *, tempo: bool, left_handed: bool
) -> RenderableType:
    """The map, in as many pieces of the neck as the screen is narrow.

    Args:
        rows: The rows.
        frets: The last fret of the neck.
        width: Columns of the screen.
        tempo: Whether cells show the fastest clean tempo.
        left_handed: Whether the nut is on the right.
    """
    cell = 4 if tempo else 3
    margin = max((len(row_name(row)) for row in rows), default=4) + 1
    a_piece = max(1, (width - margin) // cell)
    columns = columns_of(rows, frets)
    parts: list[RenderableType] = []
    for first in range(0, len(columns), a_piece):
        piece = columns[first : first + a_piece]
        shown = piece[::-1] if left_handed else piece
        parts += [_head(shown, margin, cell), *_lines(rows, shown, margin, cell, tempo=tempo)]
        parts.append(Text(""))
    parts.append(Text(legend(tempo=tempo)))
    return Group(*parts)


def _head(frets: Sequence[int], margin: int, cell: int) -> Text:
    numbers = "".join(f"{fret:>{cell}}" for fret in frets)
    return Text(f"{'fret':<{margin}}{numbers}", style="bold")


def _lines(
    rows: Sequence[Row], frets: Sequence[int], margin: int, cell: int, *, tempo: bool
) -> list[Text]:
    lines: list[Text] = []
    part = None
    for row in rows:
        if row.part is not part:
            part = row.part
            of = f", {row.routine.name}" if row.routine.key else ""
            lines.append(Text(PART_WORDS[part] + of, style="bold"))
        line = Text(f"{row_name(row):<{margin}}")
        for fret in frets:
            found = row.cells.get(fret)
            if found is None:
                line.append(" " * cell)
                continue
            line.append(
                f"{cell_text(found, tempo=tempo):>{cell}}", style=STANDING_STYLES[found.standing]
            )
        line.rstrip()
        lines.append(line)
    return lines


def legend(*, tempo: bool) -> str:
    """What the cells mean."""
    if tempo:
        return "the fastest clean tempo at each fret; - none yet"
    return "o clean,  / partly,  - under the floor,  . ahead,  ! weak,  ~ stale"
