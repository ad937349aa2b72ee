"""One item, a list of items, and where the round stands."""

from collections.abc import Sequence
from datetime import date

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.player.facts import Pass
from scheduler.player.standing import Standing
from scheduler.practice.items import ItemLine, ItemReport
from scheduler.show.charts import tempo_chart
from scheduler.show.dates import day_words
from scheduler.show.words import (
    FAULT_WORDS,
    boxes_of,
    count,
    item_words,
    listed,
    sentence,
    share,
    tempo_words,
    way,
    without_controls,
)

STANDING_STYLES = {
    Standing.AHEAD: "dim",
    Standing.CLEAN: "green",
    Standing.WEAK: "yellow",
    Standing.STALE: "magenta",
    Standing.OUTSIDE: "dim",
}
PASSES_SHOWN = 12
FORGOTTEN = 1.02
"""Less than this is not worth telling (our choice)."""
WIDE_COLUMNS, KEY_COLUMNS = 100, 72


def item_screen(
    report: ItemReport, today: date, width: int, *, is_why: bool = False
) -> RenderableType:
    """One item: what it is, where it stands, and its history.

    Args:
        report: The item.
        today: The day.
        width: Columns of the screen.
        is_why: Whether it is said what the chance of a clean pass comes from.
    """
    words = item_words(report.item)
    standing, why = report.judgement
    # "Played clean" tells no more than "clean"; "played clean, not in this round" does.
    line = Text(
        f"It is {standing}." if why == f"played {standing}" else f"It is {standing}: {why}."
    )
    line.stylize(STANDING_STYLES[standing], 6, 6 + len(standing))
    parts: list[RenderableType] = [
        Text(sentence(words), style="bold"),
        Text(f"{report.item.address}, {report.key}, {count(report.notes, 'note')}"),
        line,
        Text(
            f"Suggested tempo {tempo_words(report.suggested_tempo)}, clean about "
            f"{100 * report.clean_chance:.0f} times in 100. {_working(report)}"
        ),
        Text(_memory(report)),
        Text(_planned(report)),
    ]
    parts += [
        Text(f"Started afresh on {day_words(reset.moment.date, today)}.") for reset in report.resets
    ]
    parts += [Text(""), _chances(report)]
    if is_why:
        parts += [Text(""), *map(Text, _why(report))]
    if report.passes:
        parts += [Text(""), *map(Text, tempo_chart(report.passes, width))]
        parts += [Text("tempos, oldest pass first: o clean, x sloppy"), Text("")]
        parts.append(_history(report.passes))
    return Group(*parts)


def _working(report: ItemReport) -> str:
    if report.working_tempo is None:
        return "Not clean yet." if report.passes else "Not played yet."
    return f"Last clean at {tempo_words(report.working_tempo)}."


def _chances(report: ItemReport) -> Table:
    table = Table(box=None, padding=(0, 1), pad_edge=False, show_header=False)
    table.add_row("tempo", *(tempo_words(mark) for mark, _ in report.chances))
    table.add_row("clean", *(share(chance) for _, chance in report.chances))
    return table


def _why(report: ItemReport) -> list[str]:
    """What the chance of a clean pass comes from, as factors of the error rate."""
    a = report.account
    lines = [
        (
            f"Why: at {tempo_words(a.tempo)} about {a.expected:.2g} errors in 100 notes are "
            f"expected here. It could be {a.give_or_take:.1f} times as many, or as few."
        ),
        f"- {a.anywhere:.2g} at this tempo anywhere on the neck",
        f"- for its box, strings and region: {_factor(a.neighbours)}",
    ]
    if report.passes:
        lines.append(f"- for its own passes: {_factor(a.own)}")
    kept = f"- for having been practised: {_factor(a.practice)}"
    if a.practice > a.practice_fresh * FORGOTTEN:
        kept += f" ({_factor(a.practice_fresh)} before some of it was forgotten)"
    return [*lines, kept]


def _factor(factor: float) -> str:
    """A factor of the error rate as a player says it.

    Example:
        >>> _factor(0.75), _factor(1.2), _factor(1.001)
        ('25% fewer', '20% more', 'no difference')
    """
    percent = round(100 * (factor - 1))
    if not percent:
        return "no difference"
    return f"{percent}% more" if percent > 0 else f"{-percent}% fewer"


def _memory(report: ItemReport) -> str:
    if report.days_since is None:
        return "No pass yet: what is said of it comes from its neighbours."
    fastest = (
        "" if report.fastest_clean is None
        else f", the fastest clean one at {tempo_words(report.fastest_clean)}"
    )  # fmt: skip
    halved = count(round(report.half_gone_days), "day")
    return (
        f"{_last_played(report.days_since)}{fastest}. Left alone, half of what practice gained "
        f"here is gone after about {halved}."
    )


def _last_played(days: float) -> str:
    whole = round(days)
    return f"Last played {count(whole, 'day')} ago" if whole else "Last played today"


def _planned(report: ItemReport) -> str:
    if report.planned_in is None:
        return "Today's session isn't planned yet: upneck today."
    if not report.planned_in:
        return "It isn't in today's session."
    numbers = [str(number) for number in report.planned_in]
    blocks = "block" if len(numbers) == 1 else "blocks"
    return f"It is in today's session, {blocks} {listed(numbers)}."


def _history(passes: Sequence[Pass]) -> Table:
    shown = passes[-PASSES_SHOWN:]
    caption = f"the last {len(shown)} of {len(passes)} passes" if len(shown) < len(passes) else None
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, caption=caption)
    for name in ("played", "tempo", "result", "fault", "note"):
        table.add_column(name, no_wrap=name in {"played", "tempo"})
    for played in shown:
        when = played.moment.as_datetime()
        table.add_row(
            f"{when:%Y-%m-%d %H:%M}",
            tempo_words(played.tempo),
            _result(played),
            Text("" if played.fault is None else FAULT_WORDS[played.fault]),
            Text(without_controls(played.note)),
        )
    return table


def _result(played: Pass) -> str:
    if played.clean:
        return "clean"
    return "sloppy" if played.errors is None else f"sloppy, {count(played.errors, 'error')}"


def items_screen(lines: Sequence[ItemLine], width: int, limit: int) -> RenderableType:
    """A list of items, at most `limit` of them."""
    if not lines:
        return Text("No items match.")
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    table.add_column("item", no_wrap=True)
    if width >= KEY_COLUMNS:
        table.add_column("key", no_wrap=True)
    if width >= WIDE_COLUMNS:
        table.add_column("box", no_wrap=True)
        table.add_column("starts", no_wrap=True)
    table.add_column("standing", no_wrap=True)
    table.add_column("tempo", justify="right", no_wrap=True)
    table.add_column("clean\nin 100", justify="right", no_wrap=True)
    table.add_column("why", ratio=1)
    for line in lines[:limit]:
        words = [boxes_of(line.item), way(line.item)]
        standing = Text(line.judgement.standing, style=STANDING_STYLES[line.judgement.standing])
        table.add_row(
            line.item.address,
            *([line.key.short] if width >= KEY_COLUMNS else []),
            *(words if width >= WIDE_COLUMNS else []),
            standing,
            tempo_words(line.suggested_tempo),
            f"{100 * line.clean_chance:.0f}",
            Text(line.judgement.why),
        )
    shown = min(limit, len(lines))
    more = (
        f"; {len(lines) - shown} more: narrow the pattern, or --json" if shown < len(lines) else ""
    )
    return Group(table, Text(f"{count(len(lines), 'item')}{more}"))
