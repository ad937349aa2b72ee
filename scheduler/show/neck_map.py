"""The neck as a map: rows by box and coupling, columns by fret, each cell where its items stand.

A cell stands for all items of a trip at a fret: the sign is that of the one that needs most.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from rich.console import Group, RenderableType
from rich.text import Text

from scheduler.guitar.items import Item
from scheduler.guitar.rounds import PART_ORDER, Part, Trip
from scheduler.player.standing import Standing
from scheduler.show.items import STANDING_STYLES
from scheduler.show.words import PART_WORDS, boxes, tempo_words

SIGNS = {
    Standing.WEAK: "!",
    Standing.STALE: "~",
    Standing.AHEAD: ".",
    Standing.CLEAN: "o",
    Standing.OUTSIDE: " ",
}
"""Most urgent first."""

HALF_WAY = "/"
"""A cell of which some items are done and none is weak or stale."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One trip at one fret.

    Attributes:
        sign: What is drawn.
        standing: The standing that colours it.
        tempo: The fastest clean tempo among its items; None before a clean pass.
    """

    sign: str
    standing: Standing
    tempo: float | None

    def text(self, *, tempo: bool) -> str:
        """What stands in the cell: its sign, or its fastest clean tempo."""
        if not tempo:
            return self.sign
        return "-" if self.tempo is None else tempo_words(round(self.tempo))


@dataclass(frozen=True, slots=True)
class Row:
    """A box or coupling: its cells by fret."""

    part: Part
    name: str
    cells: Mapping[int, Cell]


def rows_of(
    trips: Sequence[Trip], standings: Mapping[Item, Standing], tempos: Mapping[Item, float]
) -> list[Row]:
    """The rows of a round, in its order."""
    rows = []
    for trip in trips:
        by_fret = groupby(sorted(trip.items, key=lambda item: item.fret), lambda item: item.fret)
        cells = {
            fret: _cell([standings[item] for item in group], [tempos.get(item) for item in group])
            for fret, group in ((fret, list(items)) for fret, items in by_fret)
        }
        rows.append(Row(trip.part, boxes(trip.box, coupling=trip.coupling), cells))
    return sorted(rows, key=lambda row: PART_ORDER.index(row.part))


def _cell(standings: Sequence[Standing], tempos: Sequence[float | None]) -> Cell:
    worst = next(standing for standing in SIGNS if standing in standings)
    sign = SIGNS[worst]
    if worst is Standing.AHEAD and Standing.CLEAN in standings:
        sign = HALF_WAY
    known = [tempo for tempo in tempos if tempo is not None]
    return Cell(sign, worst, max(known, default=None))


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
    margin = max(len(row.name) for row in rows) + 1
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
            lines.append(Text(PART_WORDS[part], style="bold"))
        line = Text(f"{row.name:<{margin}}")
        for fret in frets:
            found = row.cells.get(fret)
            if found is None:
                line.append(" " * cell)
                continue
            line.append(f"{found.text(tempo=tempo):>{cell}}", style=STANDING_STYLES[found.standing])
        line.rstrip()
        lines.append(line)
    return lines


def legend(*, tempo: bool) -> str:
    """What the cells mean."""
    if tempo:
        return "the fastest clean tempo at each fret; - none yet"
    return "o clean,  / partly,  . ahead,  ! weak,  ~ stale"
