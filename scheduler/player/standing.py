"""The standing of an item: ahead, clean, weak or stale, each with its reason in words."""

from collections.abc import Container
from datetime import date
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, tempo_of
from scheduler.player.belief import Outlook
from scheduler.player.history import History
from scheduler.player.quadrature import chance_below
from scheduler.player.tempo import Ability, onward_tempo, suggested_tempo

WEAK_CHANCE = 0.70
"""Below this chance at its working tempo an item is weak, if it was sloppy lately (our choice)."""

SLIPPED_CHANCE = 0.25
"""So likely to have become weak, an item is stale (our choice)."""


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
        return Judgement(Standing.WEAK, _sloppy_words(history))
    speed = NotesPerSecond(history.working_speed)
    outlook = ability.outlook(item)
    chance = outlook.clean_chance(speed)
    if chance < WEAK_CHANCE and not all(history.recent_clean):
        tempo = f"{tempo_of(speed, ability.notes_per_beat):.0f}"
        why = f"sloppy lately, and at {tempo} clean only {tenths(chance)}"
        return Judgement(Standing.WEAK, why)
    slipped = slipped_chance(outlook, speed)
    if slipped >= SLIPPED_CHANCE and _is_from_before(ability, history):
        days = max(1, ability.now.day - history.last_day)
        ago = f"{days} days ago" if days > 1 else "yesterday"
        return Judgement(Standing.STALE, f"last played {ago}; may have slipped, {tenths(slipped)}")
    return Judgement(
        Standing.CLEAN, "played clean" if belongs else "played clean, not in this round"
    )


def tempo_to_play(
    ability: Ability, item: Item, this_round: Container[Item], outlook: Outlook | None = None
) -> BeatsPerMinute:
    """The tempo of an item's next pass: onward in the round, or a revisit."""
    ahead = item in this_round and not counts_in_round(
        ability.state.history(item), ability.floor_speed
    )
    return (onward_tempo if ahead else suggested_tempo)(ability, item, outlook)


def slipped_chance(outlook: Outlook, speed: NotesPerSecond) -> float:
    """The chance that an item has become weak: is clean less than 7 times in 10 at a speed."""
    return chance_below(outlook.eta(speed), outlook.notes, WEAK_CHANCE)


def tenths(chance: float) -> str:
    """A chance as a player says it.

    Example:
        >>> tenths(0.31), tenths(0.02), tenths(0.99)
        ('3 in 10', '1 in 10', '9 in 10')
    """
    return f"{min(max(round(10 * chance), 1), 9)} in 10"


def _is_from_before(ability: Ability, history: History) -> bool:
    """Whether an item wasn't played on the last practice day, nor since."""
    last = ability.state.last_practice_day(ability.now.day)
    return history.last_day < last


def _unplayed(*, belongs: bool) -> Judgement:
    if belongs:
        return Judgement(Standing.AHEAD, "not played yet in this round")
    return Judgement(Standing.OUTSIDE, "not in this round")


def _not_done(ability: Ability, history: History) -> Judgement:
    if holds_round_up(history, ability.floor_speed):
        return Judgement(Standing.WEAK, _sloppy_words(history))
    if history.round_speed:
        return Judgement(Standing.AHEAD, "clean in this round only under the floor tempo")
    return Judgement(Standing.AHEAD, "not played yet in this round")


def _sloppy_words(history: History) -> str:
    last = date.fromordinal(history.last_day)
    day = f"{last.day} {last:%B}"
    if history.sloppy_in_a_row == 1:
        return f"sloppy on {day}"
    return f"{history.sloppy_in_a_row} sloppy in a row, last on {day}"
