"""One player beside the class: what is weak for most, what for this one only, and the pace."""

from collections.abc import Sequence

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from scheduler.practice.players import Beside
from scheduler.show.players import (
    WIDE_FROM_COLUMNS,
    Line,
    minutes_words,
    place_name,
    reason_words,
    round_name,
    short_words,
    week_sentences,
)
from scheduler.show.words import fret_words, listed, sentence, share

SLOWER, ENOUGH_FINISHED = 1.5, 2
"""So much more time than the median of so many others is much longer (our choice)."""

LEGEND = (
    "min: minutes of passes so far; others: the median of those who have finished the place; "
    "weak, others: for how many of those who have begun it."
)


def player_screen(line: Line, places: Sequence[Beside], width: int) -> RenderableType:
    """A player's week, and the places that anybody has begun, beside the others'.

    Args:
        line: The player.
        places: The places, beside the others'.
        width: Columns of the terminal.
    """
    name, look, found = line
    parts: list[RenderableType] = [
        Text(f"{name}, {round_name(look)}: {reason_words(look, found)}", style="bold"),
        Text(week_sentences(name, look)),
        Text(""),
    ]
    if not places:
        return Group(*parts, Text("Nobody has begun this round yet."))
    return Group(*parts, _table(places, width), Text(""), *map(Text, _sentences(name, places)))


def _table(places: Sequence[Beside], width: int) -> Table:
    words = place_name if width >= WIDE_FROM_COLUMNS else short_words
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), show_edge=False, pad_edge=False)
    table.add_column("")
    table.add_column("clean", justify="right", no_wrap=True)
    table.add_column("min", justify="right", no_wrap=True)
    table.add_column("others", justify="right", no_wrap=True)
    table.add_column("passes\nclean", justify="right", no_wrap=True)
    table.add_column("others", justify="right", no_wrap=True)
    table.add_column("weak", justify="right", no_wrap=True)
    table.add_column("others", justify="right", no_wrap=True)
    for each in places:
        place = each.place
        table.add_row(
            words(place),
            f"{place.clean}/{place.total}",
            _minutes(place.seconds if place.is_begun else None),
            _minutes(each.seconds),
            share(place.clean_passes / place.passes if place.passes else None),
            share(each.share),
            str(place.weak) if place.is_begun else "-",
            f"{each.weak_for} of {each.others}" if each.others else "-",
        )
    return table


def _minutes(seconds: float | None) -> str:
    return "-" if seconds is None else minutes_words(seconds)


def _sentences(name: str, places: Sequence[Beside]) -> list[str]:
    most = [place_name(each.place) for each in places if each.is_weak_for_most]
    alone = [
        f"{place_name(each.place)} ({fret_words(each.place.weak_frets)})"
        for each in places
        if each.is_weak_for_one
    ]
    slower = [
        f"{place_name(each.place)}"
        for each in places
        if each.seconds and each.finished >= ENOUGH_FINISHED
        and each.place.clean == each.place.total and each.place.seconds > SLOWER * each.seconds
    ]  # fmt: skip
    said = [
        f"Weak for most: {listed(most)}." if most else "Nothing is weak for most.",
        f"Weak for {name} only: {listed(alone)}." if alone else
        f"Nothing is weak for {name} only.",
    ]  # fmt: skip
    if slower:
        said.append(f"{sentence(listed(slower))} took {name} much longer than the others.")
    return [
        *said,
        LEGEND,
    ]
