"""The second picture: the neck as standings and as tempos."""

from collections import Counter
from collections.abc import Iterator

from scheduler.player.standing import Standing
from scheduler.practice.neck_map import Cell as Place
from scheduler.practice.neck_map import Row
from scheduler.practice.report.report import Report
from scheduler.show.neck_map import BELOW_FLOOR, HALF_WAY, SIGNS, columns_of, row_name, sign_of
from scheduler.show.report.chart import Bar, Chart, Words
from scheduler.show.report.values import Cell, Column, Picture, Table, word
from scheduler.show.words import PART_WORDS, count

SIDE, TALL, MARGIN, HEAD = 24, 20, 92, 26
SHADES = 4
"""How many shades tell a tempo, from the slowest to the fastest that there is."""
STANDING_WORDS = {
    HALF_WAY: "partly clean",
    BELOW_FLOOR: "under the floor", SIGNS[Standing.CLEAN]: "clean", SIGNS[Standing.AHEAD]: "ahead",
    SIGNS[Standing.WEAK]: "weak", SIGNS[Standing.STALE]: "stale",
}  # fmt: skip


def neck_picture(report: Report) -> Picture:
    """The neck: where each box and coupling stands at each fret, and at what tempo."""
    shown = (False, True) if report.passes else (False,)
    return Picture(
        title="The neck",
        sentences=[*_sentences(report)],
        charts=[_map(report, is_tempo=is_tempo) for is_tempo in shown],
        tables=[_table(report, is_tempo=is_tempo) for is_tempo in (False, True)],
    )


def standing_of(place: Place) -> str:
    """The standing of a place in a word.

    Example:
        >>> standing_of(Place(Standing.AHEAD, True, 60.0))
        'partly clean'
    """
    return STANDING_WORDS[sign_of(place)]


def _places(report: Report) -> Iterator[tuple[Row, int, Place]]:
    for row in report.neck:
        for fret in sorted(row.cells):
            yield row, fret, row.cells[fret]


def _sentences(report: Report) -> Iterator[str]:
    counts = Counter(standing_of(place) for _, _, place in _places(report))
    total = sum(counts.values())
    told = ", ".join(f"{counts[name]} {name}" for name in STANDING_WORDS.values() if counts[name])
    yield f"Of {count(total, 'place')} on the neck: {told}."
    yield (
        "A place is a box or coupling at a fret, with its items of this round: o clean, / partly, "
        "- clean only under the floor tempo, . ahead, ! weak, ~ stale. Below, the fastest clean "
        "tempo at each place."
    )


def _map(report: Report, *, is_tempo: bool) -> Chart:
    columns = columns_of(report.neck, report.frets)
    if report.is_left_handed:
        columns.reverse()
    at = {fret: MARGIN + SIDE * place for place, fret in enumerate(columns)}
    words = [Words(x + SIDE / 2, 18, str(fret)) for fret, x in at.items()]
    bars: list[Bar] = []
    y, part = HEAD, None
    tempos = [place.tempo for *_, place in _places(report) if place.tempo is not None]
    for row in report.neck:
        if row.part is not part:
            part = row.part
            words.append(Words(4, y + 13, PART_WORDS[part], "start", "strong"))
            y += TALL
        words.append(Words(4, y + 13, row_name(row), "start"))
        for fret, place in row.cells.items():
            kind = _shade(place, tempos) if is_tempo else standing_of(place).replace(" ", "-")
            bars.append(Bar(at[fret] + 1, y + 1, SIDE - 2, TALL - 2, kind))
            text = _text(place, is_tempo=is_tempo)
            words.append(Words(at[fret] + SIDE / 2, y + 13, text, kind=f"on-{kind}"))
        y += TALL
    return Chart(
        name="The fastest clean tempo at each place" if is_tempo else "Where each place stands",
        height=y + 6,
        width=MARGIN + SIDE * len(columns) + 4,
        bars=bars,
        words=words,
    )


def _text(place: Place, *, is_tempo: bool) -> str:
    if is_tempo:
        return "" if place.tempo is None else f"{place.tempo:.0f}"
    return sign_of(place)


def _shade(place: Place, tempos: list[float]) -> str:
    if place.tempo is None:
        return "shade-none"
    low, high = min(tempos), max(tempos)
    step = int((place.tempo - low) / ((high - low) or 1) * SHADES)
    return f"shade-{min(step, SHADES - 1)}"


def _table(report: Report, *, is_tempo: bool) -> Table:
    """The picture as numbers: a row for each box or coupling, a column for each fret."""
    frets = columns_of(report.neck, report.frets)
    rows = [
        [
            word(PART_WORDS[row.part]), word(row_name(row)),
            *(_cell(row.cells.get(fret), is_tempo=is_tempo) for fret in frets),
        ]
        for row in (report.neck if report.passes or not is_tempo else ())
    ]  # fmt: skip
    columns = [
        Column("part", "part"), Column("box", "box or coupling"),
        *(Column(str(fret), str(fret)) for fret in frets),
    ]  # fmt: skip
    if is_tempo:
        return Table("neck_tempos", "The fastest clean tempo, by fret", columns, rows)
    return Table("neck_standings", "Where each place stands, by fret", columns, rows)


def _cell(place: Place | None, *, is_tempo: bool) -> Cell:
    if place is None or (is_tempo and place.tempo is None):
        return Cell(None, "")
    value = round(place.tempo or 0, 1) if is_tempo else standing_of(place)
    return Cell(value, _text(place, is_tempo=is_tempo))
