"""The map of the neck as a picture (SVG 1.1), with the signs and colours of the screen."""

from collections.abc import Sequence

from scheduler.guitar.routine import PART_ORDER
from scheduler.player.standing import Standing
from scheduler.practice.neck_map import Cell, Row
from scheduler.show.neck_map import cell_text, columns_of, legend, row_name
from scheduler.show.words import PART_WORDS

FILLS = {
    Standing.WEAK: "#d08770",
    Standing.STALE: "#b48ead",
    Standing.AHEAD: "#ffffff",
    Standing.CLEAN: "#8fbc8f",
    Standing.OUTSIDE: "#ffffff",
}

SVG_CELL, SVG_ROW, SVG_MARGIN, SVG_HEAD = 26, 20, 90, 30


def neck_svg(rows: Sequence[Row], frets: int, *, tempo: bool, left_handed: bool) -> str:
    """The map as a picture (SVG 1.1), signs and colours as on the screen."""
    columns = columns_of(rows, frets)
    if left_handed:
        columns.reverse()
    width = SVG_MARGIN + SVG_CELL * len(columns) + 10
    parts = sorted({row.part for row in rows}, key=PART_ORDER.index)
    height = SVG_HEAD + SVG_ROW * (len(rows) + len(parts)) + 40
    size = f'width="{width}" height="{height}" viewBox="0 0 {width} {height}"'
    font = 'font-family="sans-serif" font-size="11"'
    drawn = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} {font}>',
        f'<rect width="{width}" height="{height}" fill="white"/>',
    ]
    for place, fret in enumerate(columns):
        drawn.append(_svg_text(SVG_MARGIN + SVG_CELL * (place + 0.5), 18, str(fret)))
    y = SVG_HEAD
    part = None
    for row in rows:
        if row.part is not part:
            part = row.part
            drawn.append(_svg_text(6, y + 14, PART_WORDS[part], anchor="start", weight="bold"))
            y += SVG_ROW
        drawn.append(_svg_text(6, y + 14, row_name(row), anchor="start"))
        for place, fret in enumerate(columns):
            if fret in row.cells:
                drawn += _svg_cell(SVG_MARGIN + SVG_CELL * place, y, row.cells[fret], tempo=tempo)
        y += SVG_ROW
    drawn.append(_svg_text(6, y + 24, legend(tempo=tempo), anchor="start"))
    return "\n".join([*drawn, "</svg>", ""])


def _svg_text(x: float, y: float, text: str, anchor: str = "middle", weight: str = "normal") -> str:
    return f'<text x="{x:g}" y="{y:g}" text-anchor="{anchor}" font-weight="{weight}">{text}</text>'


def _svg_cell(x: float, y: float, cell: Cell, *, tempo: bool) -> list[str]:
    size = f'width="{SVG_CELL - 2}" height="{SVG_ROW - 2}"'
    fill = f'fill="{FILLS[cell.standing]}" stroke="#888888"'
    return [
        f'<rect x="{x + 1:g}" y="{y + 1:g}" {size} {fill}/>',
        _svg_text(x + SVG_CELL / 2, y + 14, cell_text(cell, tempo=tempo)),
    ]
