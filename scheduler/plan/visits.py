"""What a session may hold: the candidates for warm-up, repair, refresh and onward."""

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.guitar.items import Item, is_on_neck
from scheduler.guitar.metronome import speed_of
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Reason, Visit
from scheduler.player.standing import (
    Standing,
    counts_in_round,
    holds_round_up,
    judge,
)
from scheduler.player.tempo import (
    COMFORTABLE_CHANCE,
    FAIR_CHANCE,
    Ability,
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

    failed: tuple[Visit, ...]
    revisits: tuple[Visit, ...]
    onward: tuple[Item, ...]
    clean: tuple[Item, ...]
    short_of_floor: float


def candidates(ability: Ability, order: tuple[Item, ...]) -> Candidates:
    """Judge every item of the round, and those of the neck played outside it."""
    this_round = frozenset(order)
    places = {item: place for place, item in enumerate(order)}
    outside = [
        item
        for item in sorted(ability.state.histories)
        if item not in this_round and is_on_neck(ability.neck, item)
    ]
    failed, revisits, clean = [], [], []
    ahead: list[Item] = []
    lagging: list[Item] = []
    short = 0
    for item in (*order, *outside):
        judgement = judge(ability, item, this_round)
        match judgement.standing:
            case Standing.WEAK if item in places and _holds_up(ability, item):
                failed.append(_repair(ability, item, judgement.why))
            case Standing.WEAK:
                revisits.append(_repair(ability, item, judgement.why))
            case Standing.STALE:
                revisits.append(_refresh(ability, item, judgement.why))
            case Standing.CLEAN:
                clean.append(item)
            case Standing.AHEAD:
                chance = ability.outlook(item).clean_chance(ability.floor_speed)
                short += chance < COMFORTABLE_CHANCE
                practised = ability.state.history(item).round_passes > 0
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


def _holds_up(ability: Ability, item: Item) -> bool:
    return holds_round_up(ability.state.history(item), ability.floor_speed)


def _repair(ability: Ability, item: Item, why: str) -> Visit:
    history = ability.state.history(item)
    outlook = ability.outlook(item)
    keeps_failing = history.sloppy_in_a_row >= PASSES_A_VISIT
    undone = not counts_in_round(history, ability.floor_speed)
    tempo = (onward_tempo if undone and not keeps_failing else suggested_tempo)(
        ability, item, outlook
    )
    chance = outlook.clean_chance(working_speed(history, ability.floor_speed))
    return Visit(item, tempo, Reason.REPAIR, (1 - chance) * ability.notes(item), why)


def _refresh(ability: Ability, item: Item, why: str) -> Visit:
    lost = 1 - ability.state.history(item).retained(ability.now)
    tempo = suggested_tempo(ability, item)
    return Visit(item, tempo, Reason.REFRESH, lost * ability.notes(item), why)


def onward_visit(ability: Ability, item: Item) -> Visit:
    """An item still ahead, at the tempo that suits it."""
    tempo = onward_tempo(ability, item)
    towards = tempo < ability.floor_tempo
    why = "practice towards the floor tempo" if towards else "next in the round"
    return Visit(item, tempo, Reason.ONWARD, why=why)


def warm_ups(ability: Ability, found: Candidates) -> Iterator[Visit]:
    """Easy clean items at about four fifths of their tempo, neighbours after one another.

    The first is, among the easy ones, the one that was played longest ago. Where nothing is clean
    yet, slow onward items.
    """
    if not found.clean:
        for item in found.onward:
            tempo = warm_up_tempo(onward_tempo(ability, item))
            yield Visit(item, tempo, Reason.WARM_UP, why="slow, to warm up")
        return
    singles = [item for item in found.clean if not item.coupling] or list(found.clean)
    easy = [item for item in singles if _is_easy(ability, item)] or singles
    first = min(easy, key=lambda item: (ability.state.history(item).last_ms, item))
    following = singles[singles.index(first) :] + singles[: singles.index(first)]
    for item in following:
        yield Visit(
            item, warm_up_tempo(suggested_tempo(ability, item)), Reason.WARM_UP,
            why="easy and clean, to warm up",
        )  # fmt: skip


def _is_easy(ability: Ability, item: Item) -> bool:
    outlook = ability.outlook(item)
    tempo = warm_up_tempo(suggested_tempo(ability, item, outlook))
    return outlook.clean_chance(speed_of(tempo, ability.notes_per_beat)) >= EASY_CHANCE
