"""What a session may hold: the candidates for warm-up, repair, refresh and onward."""

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import speed_of
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Reason, Wish
from scheduler.player.standing import (
    Standing,
    done_in_round,
    failed_in_round,
    judge,
)
from scheduler.player.tempo import (
    COMFORTABLE_CHANCE,
    FAIR_CHANCE,
    Bench,
    onward_tempo,
    suggested_tempo,
    warm_up_tempo,
    working_speed,
)

EASY_CHANCE = 0.95
"""A warm-up item should be clean with at least this chance (our choice)."""


@dataclass(frozen=True, slots=True)
class Candidates:
    """All that may be played, each list in the order in which it is preferred.

    Attributes:
        failed: Repair of items that hold the round up.
        revisits: Repair and refresh of items that are done in the round or outside it.
        onward: Items still ahead, in the round's order; those out of reach at the floor tempo
            that were already practised in this round come last.
        clean: Clean items, in the round's order.
        short_of_floor: The share of the onward items with a chance under one half at the floor
            tempo.
    """

    failed: tuple[Wish, ...]
    revisits: tuple[Wish, ...]
    onward: tuple[Item, ...]
    clean: tuple[Item, ...]
    short_of_floor: float


def candidates(bench: Bench, order: tuple[Item, ...]) -> Candidates:
    """Judge every item of the round, and those played outside it."""
    this_round = frozenset(order)
    places = {item: place for place, item in enumerate(order)}
    outside = [item for item in sorted(bench.state.histories) if item not in this_round]
    failed, revisits, clean = [], [], []
    ahead: list[Item] = []
    lagging: list[Item] = []
    short = 0
    for item in (*order, *outside):
        verdict = judge(bench, item, this_round)
        match verdict.standing:
            case Standing.WEAK if item in places and _holds_up(bench, item):
                failed.append(_repair(bench, item, verdict.why))
            case Standing.WEAK:
                revisits.append(_repair(bench, item, verdict.why))
            case Standing.STALE:
                revisits.append(_refresh(bench, item, verdict.why))
            case Standing.CLEAN:
                clean.append(item)
            case Standing.AHEAD:
                chance = bench.outlook(item).clean_chance(bench.floor_speed)
                short += chance < COMFORTABLE_CHANCE
                practised = bench.state.history(item).round_passes > 0
                (lagging if chance < FAIR_CHANCE and practised else ahead).append(item)
            case Standing.OUTSIDE:
                pass
    remaining = len(ahead) + len(lagging)
    return Candidates(
        failed=tuple(failed),
        revisits=tuple(revisits),
        onward=(*ahead, *lagging),
        clean=tuple(clean),
        short_of_floor=short / remaining if remaining else 0.0,
    )


def _holds_up(bench: Bench, item: Item) -> bool:
    return failed_in_round(bench.state.history(item), bench.floor_speed)


def _repair(bench: Bench, item: Item, why: str) -> Wish:
    history = bench.state.history(item)
    outlook = bench.outlook(item)
    keeps_failing = history.sloppy_in_a_row >= PASSES_A_VISIT
    undone = not done_in_round(history, bench.floor_speed)
    tempo = (onward_tempo if undone and not keeps_failing else suggested_tempo)(
        bench, item, outlook
    )
    chance = outlook.clean_chance(working_speed(history, bench.floor_speed))
    return Wish(item, tempo, Reason.REPAIR, (1 - chance) * bench.notes(item), why)


def _refresh(bench: Bench, item: Item, why: str) -> Wish:
    lost = 1 - bench.state.history(item).retained(bench.now)
    tempo = suggested_tempo(bench, item)
    return Wish(item, tempo, Reason.REFRESH, lost * bench.notes(item), why)


def onward_wish(bench: Bench, item: Item) -> Wish:
    """An item still ahead, at the tempo that suits it."""
    tempo = onward_tempo(bench, item)
    towards = tempo < bench.floor_tempo
    why = "practice towards the floor tempo" if towards else "next in the round"
    return Wish(item, tempo, Reason.ONWARD, why=why)


def warm_ups(bench: Bench, found: Candidates) -> Iterator[Wish]:
    """Easy clean items at about four fifths of their tempo, neighbours after one another.

    The first is, among the easy ones, the one that was played longest ago. Where nothing is clean
    yet, slow onward items.
    """
    if not found.clean:
        for item in found.onward:
            tempo = warm_up_tempo(onward_tempo(bench, item))
            yield Wish(item, tempo, Reason.WARM_UP, why="slow, to warm up")
        return
    singles = [item for item in found.clean if not item.coupling] or list(found.clean)
    easy = [item for item in singles if _is_easy(bench, item)] or singles
    first = min(easy, key=lambda item: (bench.state.history(item).last_ms, item))
    following = singles[singles.index(first) :] + singles[: singles.index(first)]
    for item in following:
        yield Wish(
            item, warm_up_tempo(suggested_tempo(bench, item)), Reason.WARM_UP,
            why="easy and clean, to warm up",
        )  # fmt: skip


def _is_easy(bench: Bench, item: Item) -> bool:
    outlook = bench.outlook(item)
    tempo = warm_up_tempo(suggested_tempo(bench, item, outlook))
    return outlook.clean_chance(speed_of(tempo, bench.notes_per_beat)) >= EASY_CHANCE
