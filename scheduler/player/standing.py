"""The standing of an item: ahead, clean, weak or stale, each with its reason in words."""

from collections.abc import Container
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.player.forgetting import STALE_SHARE
from scheduler.player.history import History
from scheduler.player.moments import Moment
from scheduler.player.tempo import Ability, working_speed

WEAK_CHANCE = 0.70
"""Below this chance at its working tempo, freshly practised, an item is weak (our choice)."""


class Standing(StrEnum):
    """Where an item stands. `outside`: not in this round and never played."""

    AHEAD = "ahead"
    CLEAN = "clean"
    WEAK = "weak"
    STALE = "stale"
    OUTSIDE = "outside"


class Judgement(NamedTuple):
    """A standing and why."""

    standing: Standing
    why: str


def counts_in_round(history: History, floor_speed: float) -> bool:
    """Whether an item was played clean at or above the floor tempo in this round."""
    return history.reached_on(floor_speed) is not None


def holds_round_up(history: History, floor_speed: float) -> bool:
    """Whether an item was sloppy last in this round and isn't done: it holds the round up."""
    return (
        history.round_passes > 0
        and not history.last_was_clean
        and not counts_in_round(history, floor_speed)
    )


def judge(ability: Ability, item: Item, this_round: Container[Item]) -> Judgement:
    """Where an item stands now.

    Args:
        ability: The record so far, the moment and the settings.
        item: The item.
        this_round: The items of the round.
    """
    history = ability.state.histories.get(item)
    belongs = item in this_round
    if history is None:
        return _unplayed(belongs=belongs)
    if belongs and not counts_in_round(history, ability.floor_speed):
        return _not_done(ability, history)
    if not history.last_was_clean:
        return Judgement(Standing.WEAK, _sloppy_words(history, ability.now))
    speed = working_speed(history, ability.floor_speed)
    chance = ability.fresh_outlook(item).clean_chance(speed)
    if chance < WEAK_CHANCE:
        return Judgement(Standing.WEAK, f"clean only {chance:.0%} of the time at its working tempo")
    retained = history.retained(ability.now)
    if retained < STALE_SHARE:
        days = history.days_since(ability.now)
        return Judgement(
            Standing.STALE,
            f"{days:.0f} days since the last pass, {1 - retained:.0%} of the gain is gone",
        )
    return Judgement(
        Standing.CLEAN, "played clean" if belongs else "played clean, not in this round"
    )


def _unplayed(*, belongs: bool) -> Judgement:
    if belongs:
        return Judgement(Standing.AHEAD, "not played yet in this round")
    return Judgement(Standing.OUTSIDE, "not in this round")


def _not_done(ability: Ability, history: History) -> Judgement:
    if holds_round_up(history, ability.floor_speed):
        return Judgement(Standing.WEAK, _sloppy_words(history, ability.now))
    if history.round_speed:
        return Judgement(Standing.AHEAD, "clean in this round only under the floor tempo")
    return Judgement(Standing.AHEAD, "not played yet in this round")


def _sloppy_words(history: History, now: Moment) -> str:
    last = Moment(history.last_ms, now.offset_minutes).date
    day = f"{last.day} {last:%B}"
    if history.sloppy_in_a_row == 1:
        return f"sloppy on {day}"
    return f"{history.sloppy_in_a_row} sloppy in a row, last on {day}"
