"""The sixth picture: what goes wrong."""

from collections import Counter
from collections.abc import Iterator, Sequence

from scheduler.player.belief import KNOT_FRETS
from scheduler.player.facts import Fault
from scheduler.practice.report.faults import Faults
from scheduler.practice.report.report import Report
from scheduler.show.report.chart import (
    BOTTOM,
    DOTTED,
    EMPTY,
    FIRST,
    LEFT,
    RIGHT,
    SECOND,
    TOP,
    WIDTH,
    Bar,
    Chart,
    Scale,
    Words,
    dates_below,
    heights,
)
from scheduler.show.report.values import Cell, Column, Picture, Table, number, percent, word
from scheduler.show.report.way import period_cell, period_head
from scheduler.show.words import FAULT_WORDS, count, key_words, share

HEIGHT, ROW, NAMES = 180, 22, 176
KIND_OF: dict[Fault | None, str] = {
    Fault.RINGING: FIRST, Fault.SYNC: SECOND, Fault.NOTES: DOTTED, None: EMPTY,
}  # fmt: skip
NOT_SAID = "not named"


def fault_name(fault: Fault | None) -> str:
    """A fault in words."""
    return NOT_SAID if fault is None else FAULT_WORDS[fault]


def faults_picture(report: Report) -> Picture:
    """Faults over time, by box and by region of the neck, and the hardest frets."""
    found = report.faults
    by_trip = [(key_words(key, report.routine), each) for key, each in found.by_trip.items()]
    passes = [found.passes.get(key, 0) for key in found.by_trip]
    by_region = [(_region(fret), each) for fret, each in found.by_region.items()]
    charts = [
        _over_time(report),
        _across("Sloppy passes by box and coupling, of all passes", by_trip, passes),
        _across("Sloppy passes by region of the neck", by_region),
    ]
    over_time = [
        [period_cell(period, report.as_of), *_cells(each)]
        for period, each in found.over_time.items()
    ]
    head = Column("from", period_head(list(found.over_time)))
    return Picture(
        title="What goes wrong",
        sentences=[*_sentences(report)],
        charts=charts if by_region else [],
        tables=[
            Table("faults", "Sloppy passes over time", [head, *FAULT_COLUMNS], over_time),
            _with_passes(_table("faults_by_box", "By box and coupling", "what", by_trip), passes),
            _table("faults_by_region", "By region of the neck", "frets", by_region),
            _hardest(report),
        ],
    )


FAULT_COLUMNS = [Column(fault or "not_said", fault_name(fault)) for fault in KIND_OF]


def _cells(faults: Faults) -> list[Cell]:
    return [number(faults[fault]) for fault in KIND_OF]


def _region(first: int) -> str:
    return f"frets {first} to {first + KNOT_FRETS - 1}"


def _sentences(report: Report) -> Iterator[str]:
    total: Faults = sum(report.faults.by_region.values(), Counter())
    if not total:
        yield "No pass was sloppy yet."
        return
    said = Counter({fault: n for fault, n in total.items() if fault is not None})
    if said:
        most, number_of = said.most_common(1)[0]
        yield (
            f"Most often: {fault_name(most)}, {number_of} of {count(said.total(), 'fault')} that "
            "you named."
        )
    else:
        yield (
            f"{count(total.total(), 'pass was', 'passes were')} sloppy, and you named no fault: "
            "the keys r, s and n of upneck play do."
        )
    if report.faults.hardest:
        worst = report.faults.hardest[0]
        place = f"{key_words(worst.key, report.routine)} at fret {worst.fret}"
        yield f"Most often sloppy so far: {place}, {worst.clean} of {worst.passes} passes clean."
    yield "From the bottom or the left: " + ", ".join(
        f"{fault_name(fault)} {words}" for fault, words in zip(KIND_OF, LOOKS, strict=True)
    ) + "."  # fmt: skip


LOOKS = ("filled", "hatched", "dotted", "empty")


def _over_time(report: Report) -> Chart:
    periods = list(report.faults.over_time)
    across = Scale(periods[0].first, periods[-1].last + 1, LEFT, WIDTH - RIGHT)
    most = max(each.total() for each in report.faults.over_time.values())
    up = Scale(0, max(most, 1), HEIGHT - BOTTOM, TOP)
    grid, numbers = heights(up, 4)
    bars = []
    for period, faults in report.faults.over_time.items():
        x = across(period.first)
        wide = round((across(period.last + 1) - x) * 0.8, 1)
        under = 0
        for fault, kind in KIND_OF.items():
            if faults[fault]:
                top = up(under + faults[fault])
                bars.append(Bar(x, top, wide, round(up(under) - top, 1), kind))
                under += faults[fault]
    return Chart(
        name="Sloppy passes over time, by what was sloppy",
        height=HEIGHT,
        grid=grid,
        bars=bars,
        words=[*numbers, *dates_below(across, HEIGHT - 8)],
    )


def _across(
    name: str, rows: Sequence[tuple[str, Faults]], passes: Sequence[int] | None = None
) -> Chart:
    """Bars that lie: a row each, split by what was sloppy."""
    most = max((each.total() for _, each in rows), default=1)
    across = Scale(0, most, NAMES, WIDTH - RIGHT)
    bars, words = [], []
    for place, (label, faults) in enumerate(rows):
        y, before = TOP + ROW * place, 0
        short = label.removeprefix("boxes ").replace("the ", "")
        words.append(Words(NAMES - 6, y + 12, short, "end"))
        for fault, kind in KIND_OF.items():
            if faults[fault]:
                x = across(before)
                before += faults[fault]
                bars.append(Bar(x, y, round(across(before) - x, 1), ROW - 6, kind))
        of = _of(faults.total(), passes[place]) if passes else ""
        words.append(Words(across(before) + 6, y + 12, f"{faults.total()}{of}", "start"))
    return Chart(name=name, height=TOP + ROW * max(len(rows), 1) + 4, bars=bars, words=words)


def _of(sloppy: int, passes: int) -> str:
    """The share of all passes that were sloppy; none if some came while they were counted."""
    return f" of {passes}, {share(sloppy / passes)}" if passes >= sloppy else ""


def _with_passes(table: Table, passes: Sequence[int]) -> Table:
    rows = [[*row, number(of)] for row, of in zip(table.rows, passes, strict=True)]
    return table._replace(columns=[*table.columns, Column("passes", "of passes")], rows=rows)


def _table(key: str, caption: str, head: str, rows: Sequence[tuple[str, Faults]]) -> Table:
    cells = [[word(label), *_cells(each)] for label, each in rows]
    return Table(key, caption, [Column("what", head), *FAULT_COLUMNS], cells)


def _hardest(report: Report) -> Table:
    rows = [
        [
            word(key_words(hard.key, report.routine)), Cell(hard.fret, str(hard.fret)),
            number(hard.passes), number(hard.clean), percent(hard.clean / hard.passes),
        ]
        for hard in report.faults.hardest
    ]  # fmt: skip
    columns = [
        Column("what", "what"), Column("fret", "fret"), Column("passes", "passes"),
        Column("clean", "clean"), Column("clean_share", "clean in percent"),
    ]  # fmt: skip
    return Table("hardest", "Hardest frets", columns, rows)
