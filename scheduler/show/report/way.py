"""The first picture: the way to the end of the round."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from scheduler.plan.projection import Window
from scheduler.practice.report.periods import Period
from scheduler.practice.report.report import Report
from scheduler.practice.report.way import Forecast, Way
from scheduler.show.dates import SHORT, day_words, finish_words, window_words
from scheduler.show.report.chart import (
    BOTTOM,
    FIRST,
    LEFT,
    RIGHT,
    SECOND,
    THIRD,
    TOP,
    WIDTH,
    Bar,
    Chart,
    Line,
    Mark,
    Scale,
    Words,
    dates_below,
    heights,
    points,
    steps,
)
from scheduler.show.report.values import Cell, Column, Picture, Table, day, number, word
from scheduler.show.words import count, milestone_words, round_words, sentence

HEIGHT, STRIP, APART, LINE = 250, 34, 60, 12
SHADED = "Shaded: eight chances in ten. "
WINDOW = (
    Column("finished", "finished"), Column("early", "as early as"), Column("late", "as late as"),
)  # fmt: skip


def way_picture(report: Report) -> Picture:
    """The way to the end: items clean, the path ahead, the window, and earlier forecasts."""
    way, today = report.way, report.as_of
    of_round = round_words(report.round_number, report.routine)
    return Picture(
        title="The way to the end",
        sentences=[*_sentences(report, of_round), *_held(way, today)],
        charts=[_chart(report)] if way.done or way.ahead else [],
        tables=[_ends(way, of_round, today), _by_week(report), _before(way, today)],
    )


def _sentences(report: Report, of_round: str) -> Iterator[str]:
    way, today = report.way, report.as_of
    clean = f"{way.items_clean} of {count(way.items_total, 'item')} are clean"
    done_on = way.finish.done_on
    if done_on is not None:
        yield f"{sentence(of_round)} was finished on {day_words(done_on, today)}: {clean}."
    elif way.obstacle:
        yield f"{sentence(of_round)}: {clean}. {way.obstacle}"
    else:
        finished = finish_words(way.finish.window, today)
        pace = "At your pace" if report.passes else "With the minutes and days you set"
        yield f"{sentence(of_round)}: {clean}. {pace} it is finished {finished}."
        yield (
            f"Solid: done. Dashed: likely. {SHADED if _has_band(way) else ''}Squares: the ends of "
            "boxes and couplings. Below: the minutes planned for each day."
        )


def _held(way: Way, today: date) -> Iterator[str]:
    """How the forecasts of before held."""
    for forecast in way.before:
        told = day_words(forecast.day, today)
        if forecast.obstacle:
            yield f"With today's settings no end was in sight on {told}."
            continue
        said = f"The forecast of {told} was {window_words(forecast.window, today)}"
        end = way.finish.done_on or way.finish.window.middle
        if end is None:
            yield f"{said}."
            continue
        came = "it came" if way.finish.done_on else "now it is"
        yield f"{said}; {came} {day_words(end, today)}, {_verdict(forecast, end)}."


def _verdict(forecast: Forecast, end: date) -> str:
    early, _, late, _ = forecast.window
    if early is None or end < early:
        return "sooner than that"
    return "inside it" if late is None or end <= late else "later than that"


def _chart(report: Report) -> Chart:
    way, today = report.way, report.as_of.toordinal()
    first = min([*way.done, today]) - 1
    last = max([today, *way.late, *way.ahead, *way.done])
    across = Scale(first, last, LEFT, WIDTH - RIGHT)
    up = Scale(0, way.items_total, HEIGHT - BOTTOM - STRIP, TOP)
    grid, numbers = heights(up)
    # The total has its number whatever round one lies beside it.
    whole = up(way.items_total) + 4
    numbers = [each for each in numbers if each.y - whole >= LINE]
    numbers.append(Words(LEFT - 6, up(way.items_total) + 4, str(way.items_total), "end"))
    done = steps([(across(first), up(0)), *((across(d), up(n)) for d, n in way.done.items())])
    done.append((across(today), done[-1][1]))
    ahead = [done[-1], *((across(d), up(n)) for d, n in way.ahead.items() if d <= last)]
    ends = [(across(today), TOP), (across(today), HEIGHT - BOTTOM)]
    words = [
        *numbers, *dates_below(across, HEIGHT - 8), Words(ends[0][0], TOP - 3, "today"),
    ]  # fmt: skip
    middle = way.finish.window.middle
    end = ends[0][0] if middle is None else across(middle.toordinal())
    if middle is not None and not way.obstacle and abs(end - ends[0][0]) > APART:
        words.append(Words(end, up(way.items_total) - 3, day_words(middle, report.as_of, SHORT)))
    return Chart(
        name="Items clean over the days, with the likely way to the end of the round",
        height=HEIGHT,
        grid=grid,
        bands=[_band(way, across, up)] if _has_band(way) else [],
        bars=list(_minutes(way, across)),
        lines=[
            Line(points(ends), THIRD),
            Line(points(done), FIRST),
            *([Line(points(ahead), "ahead")] if len(ahead) > 1 else []),
        ],
        marks=list(_trip_ends(way, across, up)),
        words=words,
    )


def _has_band(way: Way) -> bool:
    """Whether it is known how late the end may be."""
    window = way.finish.window
    return bool(way.late) and window.late is not None and not window.is_open


def _band(way: Way, across: Scale, up: Scale) -> str:
    """The edge of the band: along the early ends, and back along the late ones."""
    early = [(across(each), up(items)) for each, items in sorted(way.early.items())]
    late = [(across(each), up(items)) for each, items in sorted(way.late.items())]
    return points([*early, *reversed(late)])


def _minutes(way: Way, across: Scale) -> Iterator[Bar]:
    most = max(way.planned.values(), default=0)
    wide = max(1.0, round((across(1) - across(0)) * 0.7, 1))
    for each, minutes in way.planned.items():
        tall = round(minutes / most * (STRIP - 8), 1)
        x = round(across(each) - wide / 2, 1)
        yield Bar(x, HEIGHT - BOTTOM - tall, wide, tall, THIRD)


def _trip_ends(way: Way, across: Scale, up: Scale) -> Iterator[Mark]:
    """A square where each box or coupling ends, on the line of what is clean by then."""
    for milestone in way.milestones:
        end = milestone.done_on or milestone.window.middle
        if milestone.trip is None or end is None or way.obstacle:
            continue
        clean = _clean_by(way, end.toordinal())
        yield Mark(across(end.toordinal()), up(clean), SECOND)


def _clean_by(way: Way, end: int) -> int:
    known = [*way.done.items(), *way.ahead.items()]
    return max((items for each, items in known if each <= end), default=0)


def _ends(way: Way, of_round: str, today: date) -> Table:
    rows = []
    for milestone in reversed(way.milestones):
        window, done_on = milestone.window, milestone.done_on
        rows.append([
            word(milestone_words(milestone, of_round)),
            word("done" if done_on else "likely"),
            *_window_cells(window, today, is_done=done_on is not None),
        ])  # fmt: skip
    columns = [Column("name", "what"), Column("is", "is"), *WINDOW]
    return Table("ends", "The end of each part", columns, rows)


def _by_week(report: Report) -> Table:
    """What was clean and what is expected, by the end of each week or month."""
    way, today = report.way, report.as_of.toordinal()
    rows = []
    for period in way.periods:
        planned = sum(minutes for each, minutes in way.planned.items() if each in period.days)
        done = _last_value(way.done, period) if period.first <= today else None
        ahead = _on_the_way(way.ahead, period.last) if period.last >= today and way.ahead else None
        rows.append([
            period_cell(period, report.as_of),
            Cell(None, "-") if done is None else number(done),
            number(planned) if period.last >= today and way.planned else Cell(None, "-"),
            Cell(None, "-") if ahead is None else number(ahead),
        ])  # fmt: skip
    columns = [
        Column("from", period_head(way.periods)),
        Column("items_clean", "items clean at its end"),
        Column("planned_minutes", "minutes planned"),
        Column("items_expected", "items expected at its end"),
    ]
    return Table("way", "Items clean", columns, rows)


def _last_value(values: dict[int, int], period: Period) -> int:
    return max((value for each, value in values.items() if each <= period.last), default=0)


def _on_the_way(values: dict[int, int], on: int) -> float:
    """What a line through some points is at on a day; at its end beyond it."""
    for (first, low), (last, high) in pairwise(sorted(values.items())):
        if first <= on <= last and last > first:
            return low + (high - low) * (on - first) / (last - first)
    return max(values.values())


def period_head(periods: Sequence[Period]) -> str:
    """The head of a column of periods."""
    return "month" if periods and periods[0].is_month else "week from"


def period_cell(period: Period, today: date) -> Cell:
    """A week or month."""
    first = date.fromordinal(period.first)
    return day(first, f"{first:%B %Y}" if period.is_month else day_words(first, today))


def _before(way: Way, today: date) -> Table:
    rows = [
        [day(each.day, day_words(each.day, today)), *_window_cells(each.window, today)]
        for each in way.before
    ]
    columns = [Column("told_on", "forecast of"), *WINDOW]
    return Table("forecasts_before", "Earlier forecasts, with today's settings", columns, rows)


def _window_cells(window: Window, today: date, *, is_done: bool = False) -> list[Cell]:
    """The middle, early and late day; of what is done only when it was."""
    ends = (window.middle, None, None) if is_done else (window.middle, window.early, window.late)
    none = "" if is_done else "-"
    return [day(end, none if end is None else day_words(end, today)) for end in ends]
