"""The fifth picture: time."""

from collections.abc import Iterator

from scheduler.practice.report.report import Report
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
    Scale,
    Words,
    dates_below,
    heights,
)
from scheduler.show.report.values import Cell, Column, Picture, Table, number, percent, word
from scheduler.show.report.way import period_cell, period_head
from scheduler.show.words import REASON_WORDS, count, share

HEIGHT = 180
NO_SESSION = "played again"
RECENT_WEEKS = 8
SECONDS = 60
LEAST_SHARE = 0.005


def minutes_picture(report: Report) -> Picture:
    """Minutes beside the budget, what they went to, and how long a practised minute is."""
    has_any = any(each.practised for each in report.time.minutes)
    return Picture(
        title="Time",
        sentences=[*_sentences(report)],
        charts=[_chart(report), _reasons_chart(report)] if has_any else [],
        tables=[_table(report), _reasons(report)],
    )


def _sentences(report: Report) -> Iterator[str]:
    time = report.time
    recent = time.minutes[-RECENT_WEEKS:] if not time.minutes[-1].period.is_month else (
        time.minutes[-2:]
    )  # fmt: skip
    practised, days = sum(m.practised for m in recent), sum(m.days for m in recent)
    planned = sum(m.planned for m in recent)
    if not days:
        yield "Nothing was practised lately."
    else:
        part = practised / planned if planned else 0.0
        told = share(part) if part >= LEAST_SHARE else "under 1%"
        of = f", {told} of the minutes you set aside" if planned else ""
        a_day = round(practised / days)
        minutes = count(a_day, "minute") if a_day else "less than a minute"
        yield f"Lately you practised {minutes} a day on {count(days, 'day')}{of}."
    seconds = round(time.seconds_per_minute)
    if seconds != SECONDS:
        yield f"In a practised minute you get through {seconds} seconds of what a session plans."
    yield "Filled: practised. Outline: set aside."


def _chart(report: Report) -> Chart:
    minutes, month = report.time.minutes, report.time.minutes[0].period.is_month
    first, last = minutes[0].period.first, minutes[-1].period.last + 1
    across = Scale(first, last, LEFT, WIDTH - RIGHT)
    up = Scale(0, max(max(m.practised, m.planned) for m in minutes), HEIGHT - BOTTOM, TOP)
    grid, numbers = heights(up, 4)
    bars = []
    for each in minutes:
        x = across(each.period.first)
        wide = round((across(each.period.last + 1) - x) * 0.8, 1)
        for value, kind in ((each.planned, THIRD), (each.practised, FIRST)):
            share_of = 1.0 if kind == THIRD else 0.6
            bars.append(
                Bar(
                    round(x + wide * (1 - share_of) / 2, 1), up(value), round(wide * share_of, 1),
                    round(up(0) - up(value), 1), kind,
                )
            )  # fmt: skip
    return Chart(
        name=f"Minutes practised and set aside, by {'month' if month else 'week'}",
        height=HEIGHT,
        grid=grid,
        bars=bars,
        words=[*numbers, *dates_below(across, HEIGHT - 8)],
    )


def _in_order(report: Report) -> list[tuple[str, float]]:
    reasons = report.time.reasons
    named = [
        (words, reasons[reason]) for reason, words in REASON_WORDS.items() if reason in reasons
    ]
    return [*named, *([(NO_SESSION, reasons[None])] if None in reasons else [])]


def _reasons_chart(report: Report) -> Chart:
    found = _in_order(report)
    most = max((minutes for _, minutes in found), default=1)
    across = Scale(0, most, 130, WIDTH - RIGHT)
    bars, words = [], []
    for place, (name, minutes) in enumerate(found):
        y = TOP + 24 * place
        bars.append(Bar(130, y, round(across(minutes) - 130, 1), 16, SECOND))
        words.append(Words(124, y + 12, name, "end"))
        words.append(Words(across(minutes) + 6, y + 12, f"{minutes:.0f} min", "start"))
    return Chart(
        name="Minutes of passes of the last eight weeks, by why they were played",
        height=TOP + 24 * max(len(found), 1) + 4,
        bars=bars,
        words=words,
    )


def _table(report: Report) -> Table:
    minutes = report.time.minutes
    rows = [
        [
            period_cell(each.period, report.as_of), number(each.practised, 1),
            number(each.planned), number(each.days), number(each.planned_days), percent(each.new),
        ]
        for each in minutes
    ]  # fmt: skip
    columns = [
        Column("from", period_head([each.period for each in minutes])),
        Column("practised_minutes", "minutes practised"), Column("planned_minutes", "set aside"),
        Column("days", "days practised"), Column("planned_days", "planned"),
        Column("new_share", "on new ground"),
    ]  # fmt: skip
    return Table("minutes", "Minutes", columns, rows)


def _reasons(report: Report) -> Table:
    total = sum(report.time.reasons.values())
    rows: list[list[Cell]] = [
        [word(name), number(minutes, 1), percent(minutes / total if total else None)]
        for name, minutes in _in_order(report)
    ]
    columns = [Column("what", "what"), Column("minutes", "minutes"), Column("share", "share")]
    return Table("reasons", "What the passes of the last eight weeks went to", columns, rows)
