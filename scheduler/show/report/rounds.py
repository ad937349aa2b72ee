"""The seventh picture: rounds beside each other."""

from collections.abc import Callable, Iterator

from scheduler.practice.report.report import Report
from scheduler.practice.report.rounds import RoundLine
from scheduler.show.dates import day_words
from scheduler.show.report.chart import FIRST, RIGHT, SECOND, TOP, WIDTH, Bar, Chart, Scale, Words
from scheduler.show.report.values import Cell, Column, Picture, Table, day, number, percent
from scheduler.show.words import count, duration, share, tempo_words

ROW, START = 22, 180
DRAWN = 12
"""So many rounds, the last ones, are drawn and told in sentences (our choice)."""
Value = Callable[[RoundLine], float]


def rounds_picture(report: Report) -> Picture:
    """Time, tempo and clean share of each round, and what became of its weak places."""
    lines = report.rounds[-DRAWN:]
    charts = [
        _chart("Time of each round", lines, lambda r: r.seconds, duration),
        _chart("Tempo of each round: the median of its items' fastest clean passes", lines,
               lambda r: r.tempo or 0, lambda value: tempo_words(round(value))),
        _chart("Clean passes of each round", lines, _share_of, share),
    ]  # fmt: skip
    return Picture(
        title="Rounds beside each other",
        sentences=[*_sentences(lines)],
        charts=charts if len(lines) > 1 else [],
        tables=[_table(report)],
    )


def _ends(report: Report, line: RoundLine) -> list[Cell]:
    """When a round was all clean, and when it was followed by the next."""
    done_on = line.done_on if line.ended else report.way.finish.done_on
    return [
        day(each, "-" if each is None else day_words(each, report.as_of))
        for each in (done_on, line.ended)
    ]


def _share_of(line: RoundLine) -> float:
    return line.clean / line.passes if line.passes else 0.0


def _sentences(lines: tuple[RoundLine, ...]) -> Iterator[str]:
    if lines[0].number == lines[-1].number == 1:
        yield "This is the first round: there is none yet to compare it with."
    for line in lines[:-1]:
        mended = line.weak - line.weak_now
        holds = "holds" if mended == 1 else "hold"
        places = f"of its {line.weak} weak places {mended} {holds} now"
        if line.weak == 1:
            places = f"its one weak place {'holds now' if mended else 'is still weak'}"
        became = f"; {places}" if line.weak else ""
        days = count(line.days, "day")
        yield f"Round {line.number} took {duration(line.seconds)} on {days}{became}."
    if len(lines) > 1 and lines[-1].passes:
        now, before = lines[-1], lines[-2]
        yield (
            f"In round {now.number} {share(_share_of(now))} of the passes are clean so far; in "
            f"round {before.number} it was {share(_share_of(before))}."
        )


def _chart(
    name: str, lines: tuple[RoundLine, ...], of: Value, words_of: Callable[[float], str]
) -> Chart:
    across = Scale(0, max(*(of(line) for line in lines), 1e-9), START, WIDTH - RIGHT)
    bars, words = [], []
    for place, line in enumerate(lines):
        y, is_last = TOP + ROW * place, place == len(lines) - 1
        width = round(across(of(line)) - START, 1)
        bars.append(Bar(START, y, width, ROW - 6, SECOND if is_last else FIRST))
        label = f"round {line.number}{', under way' if is_last else ''}"
        words.append(Words(START - 6, y + 12, label, "end"))
        words.append(Words(START + width + 6, y + 12, words_of(of(line)), "start"))
    return Chart(name=name, height=TOP + ROW * len(lines) + 4, bars=bars, words=words)


def _table(report: Report) -> Table:
    rows = []
    for line in report.rounds:
        tempo = line.tempo
        rows.append([
            Cell(line.number, str(line.number)),
            day(line.started, "-" if line.started is None
                else day_words(line.started, report.as_of)),
            *_ends(report, line),
            number(line.days), number(line.seconds / 60, 1), number(line.passes),
            percent(_share_of(line) if line.passes else None),
            Cell(None, "-") if tempo is None else Cell(round(tempo, 1), tempo_words(round(tempo))),
            *([number(line.weak), number(line.weak_now)] if line.ended else [Cell(None, "-")] * 2),
        ])  # fmt: skip
    columns = [
        Column("number", "round"), Column("started", "begun"),
        Column("done_on", "all clean on"), Column("ended", "next begun"),
        Column("days", "days"), Column("minutes", "minutes"), Column("passes", "passes"),
        Column("clean_share", "clean"), Column("tempo", "median tempo"),
        Column("weak", "sloppy last at its end"), Column("weak_now", "of these weak now"),
    ]  # fmt: skip
    return Table("rounds", "Each round", columns, rows)
