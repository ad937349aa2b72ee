"""The class side by side: where each player stands, in pictures."""

from collections.abc import Iterator, Sequence
from datetime import date

from scheduler.practice.attention import Why
from scheduler.practice.look import Look
from scheduler.show.dates import SHORT, day_words, span_words
from scheduler.show.pages import page, page_source
from scheduler.show.players import Line, reason_words
from scheduler.show.report.chart import (
    BOTTOM,
    FIRST,
    RIGHT,
    SECOND,
    THIRD,
    TOP,
    WIDTH,
    Bar,
    Chart,
    Mark,
    Scale,
    Words,
    dates_below,
)
from scheduler.show.report.chart import Line as Drawn
from scheduler.show.report.values import (
    Cell,
    Column,
    Picture,
    Table,
    day,
    number,
    percent,
    word,
)
from scheduler.show.words import count, sentence, share

ROW, NAMES = 24, 164
LONGEST_LABEL = 18


def players_page(lines: Sequence[Line], today: date, problems: Sequence[str] = ()) -> str:
    """The class as a page, who needs a look first.

    Args:
        lines: The players, in the order in which `players` shows them.
        today: The day.
        problems: Whose record can't be read, and why, a sentence each.
    """
    return page(
        "show/report.html",
        title=f"The class: {day_words(today)}",
        lines=[f"{count(len(lines), 'player')}; those who need a look come first.", *problems],
        pictures=players_pictures(lines, today),
        style=page_source("show/report.css"),
        back="",
    )


def players_pictures(lines: Sequence[Line], today: date) -> list[Picture]:
    """The pictures of a class."""
    looks = [(name, look) for name, look, _ in lines]
    return [_standing(lines), _week(looks), _clean(looks), _ends(looks, today)]


def _label(place: int, name: str) -> Words:
    is_long = len(name) > LONGEST_LABEL
    short = f"{name[: LONGEST_LABEL - 1]}\N{HORIZONTAL ELLIPSIS}" if is_long else name
    return Words(NAMES - 6, TOP + ROW * place + 13, short, "end")


def _chart(name: str, rows: int, bars: list[Bar], words: list[Words]) -> Chart:
    return Chart(name=name, height=TOP + ROW * max(rows, 1) + 4, bars=bars, words=words)


def _who(lines: Sequence[Line]) -> Iterator[str]:
    """Those who need a look, each with the reason."""
    for name, look, found in lines:
        if found.why is not Why.FINE:
            yield f"{name}: {reason_words(look, found)}."


def _standing(lines: Sequence[Line]) -> Picture:
    across = Scale(0, 1, NAMES, WIDTH - RIGHT)
    bars, words = [], []
    rows = []
    for place, (name, look, found) in enumerate(lines):
        y, done = TOP + ROW * place, look.items_clean / (look.items_total or 1)
        bars.append(Bar(NAMES, y, across(1) - NAMES, ROW - 8, THIRD))
        bars.append(Bar(NAMES, y, round(across(done) - NAMES, 1), ROW - 8, FIRST))
        told = f"{look.items_clean} of {look.items_total}"
        words += [_label(place, name), Words(across(1) + 6, y + 13, told, "start")]
        rows.append([
            word(name), word(look.routine), number(look.round), number(look.items_clean),
            number(look.items_total), word(sentence(reason_words(look, found))),
        ])  # fmt: skip
    columns = [
        Column("name", "player"), Column("routine", "routine"), Column("round", "round"),
        Column("items_clean", "items clean"), Column("items_total", "of"),
        Column("reason", "why"),
    ]  # fmt: skip
    return Picture(
        title="Where each stands",
        sentences=[*_who(lines), "Filled: the items of the round that are clean."],
        charts=[_chart("Items clean of each player's round", len(lines), bars, words)],
        tables=[Table("standing", "Rounds", columns, rows)],
    )


def _week(looks: Sequence[tuple[str, Look]]) -> Picture:
    most = max([1.0, *(max(x.week.seconds, x.week.planned_seconds) / 60 for _, x in looks)])
    across = Scale(0, most, NAMES, WIDTH - RIGHT)
    bars, words, rows = [], [], []
    for place, (name, look) in enumerate(looks):
        y, week = TOP + ROW * place, look.week
        bars.append(
            Bar(NAMES, y, round(across(week.planned_seconds / 60) - NAMES, 1), ROW - 8, THIRD)
        )
        bars.append(Bar(NAMES, y + 3, round(across(week.seconds / 60) - NAMES, 1), ROW - 14, FIRST))
        told = f"{week.seconds / 60:.0f} of {week.planned_seconds / 60:.0f} min"
        words += [_label(place, name), Words(across(most) + 6, y + 13, told, "start")]
        rows.append([
            word(name), number(week.days), number(week.planned_days), number(week.seconds / 60, 1),
            number(week.planned_seconds / 60, 1), number(week.new_clean),
        ])  # fmt: skip
    columns = [
        Column("name", "player"), Column("days", "days practised"),
        Column("planned_days", "planned"), Column("minutes", "minutes practised"),
        Column("planned_minutes", "planned"), Column("new_clean", "items clean for the first time"),
    ]  # fmt: skip
    return Picture(
        title="The last seven days",
        sentences=["Filled: minutes practised. The outline: minutes planned."],
        charts=[_chart("Minutes practised and planned", len(looks), bars, words)],
        tables=[Table("week", "The last seven days", columns, rows)],
    )


def _clean(looks: Sequence[tuple[str, Look]]) -> Picture:
    across = Scale(0, 1, NAMES, WIDTH - RIGHT)
    bars, marks, words, rows = [], [], [], []
    for place, (name, look) in enumerate(looks):
        y, now, before = TOP + ROW * place, look.week.share, look.week_before.share
        words.append(_label(place, name))
        if now is not None:
            bars.append(Bar(NAMES, y, round(across(now) - NAMES, 1), ROW - 8, SECOND))
            words.append(Words(across(1) + 6, y + 13, share(now), "start"))
        if before is not None:
            marks.append(Mark(across(before), y + (ROW - 8) / 2, FIRST))
        rows.append([
            word(name), percent(now), percent(before), number(look.week.passes),
            number(look.week.clean),
        ])  # fmt: skip
    columns = [
        Column("name", "player"), Column("clean_share", "clean"),
        Column("clean_share_before", "the week before"), Column("passes", "passes"),
        Column("clean", "clean ones"),
    ]  # fmt: skip
    chart = _chart("Share of clean passes", len(looks), bars, words)
    return Picture(
        title="Clean passes",
        sentences=["The bar is the share of the last seven days, the dot that of the week before."],
        charts=[chart._replace(marks=marks)],
        tables=[Table("clean", "Clean passes", columns, rows)],
    )


def _ends(looks: Sequence[tuple[str, Look]], today: date) -> Picture:
    known = [end for _, look in looks for end in look.finish[:3] if end is not None]
    across = Scale(
        today.toordinal(), max([today.toordinal() + 7, *(end.toordinal() for end in known)]),
        NAMES, WIDTH - RIGHT,
    )  # fmt: skip
    lines, marks, words = [], [], []
    for place, (name, look) in enumerate(looks):
        y = TOP + ROW * place + (ROW - 8) / 2
        words.append(_label(place, name))
        early, middle, late = look.finish[:3]
        if look.done_on is not None or middle is None:
            words.append(Words(NAMES + 4, y + 5, _end_words(look, today), "start"))
            continue
        last = across((late or middle).toordinal())
        if early is not None and late is not None:
            lines.append(Drawn(f"{across(early.toordinal()):g},{y:g} {last:g},{y:g}", FIRST))
        marks.append(Mark(across(middle.toordinal()), y, SECOND))
        told = _span(early or middle, late, today)
        words.append(Words(last + 8, y + 5, told, "start"))
    height = TOP + ROW * max(len(looks), 1) + BOTTOM
    chart = Chart(
        name="When each player's round is likely to be finished",
        height=height,
        lines=lines,
        marks=marks,
        words=[*words, *dates_below(across, height - 8)],
    )
    return Picture(
        title="When each is done",
        sentences=["Square: the likely day. Line: eight times in ten it falls within these days."],
        charts=[chart],
        tables=[_ends_table(looks, today)],
    )


def _span(early: date, late: date | None, today: date) -> str:
    if late is None:
        return f"{day_words(early, today, SHORT)} or later"
    return span_words(early, late, today, month=SHORT)


def _end_words(look: Look, today: date) -> str:
    if look.done_on is not None:
        return f"done on {day_words(look.done_on, today)}"
    return "no end in sight" if look.obstacle else "not within five years"


def _ends_table(looks: Sequence[tuple[str, Look]], today: date) -> Table:
    rows = [[word(name), *_end_cells(look, today)] for name, look in looks]
    columns = [
        Column("name", "player"), Column("done_on", "done on"), Column("finished", "finished"),
        Column("early", "as early as"), Column("late", "as late as"),
    ]  # fmt: skip
    return Table("ends", "The end of each round", columns, rows)


def _end_cells(look: Look, today: date) -> Iterator[Cell]:
    ends = (look.done_on, look.finish.middle, look.finish.early, look.finish.late)
    for end in ends:
        yield day(end, "-" if end is None else day_words(end, today))
