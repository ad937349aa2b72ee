"""What is known of an item, and of many."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.guitar.items import Item
from scheduler.guitar.keys import Key, key_of_item
from scheduler.guitar.metronome import (
    BeatsPerMinute,
    NotesPerSecond,
    marks_around,
    speed_of,
    tempo_of,
)
from scheduler.guitar.patterns import Pattern, matching
from scheduler.guitar.routine import PENTATONIC
from scheduler.ledger.plans import kept_plan
from scheduler.player.account import Account, account_of
from scheduler.player.facts import Pass, Reset
from scheduler.player.forgetting import half_gone_days
from scheduler.player.moments import Moment
from scheduler.player.standing import Judgement, tempo_to_play
from scheduler.player.tempo import Ability
from scheduler.practice.practice import Practice


@dataclass(frozen=True, slots=True)
class ItemReport:
    """Everything that the screen and the JSON of one item tell.

    Attributes:
        item: The item.
        key: Its key, such as "A minor".
        notes: The notes of a pass.
        judgement: Its standing and why.
        working_tempo: Its latest clean tempo; None if it was never clean.
        suggested_tempo: The tempo for the next pass.
        clean_chance: The chance of a clean pass at the suggested tempo.
        holds_days: For how many days what was learnt holds.
        days_since: Days since the last pass; None if there is none.
        fastest_clean: The fastest clean tempo; None if there is none.
        planned_in: The blocks of today's plan that hold it; None if there is no plan yet.
        chances: Marks around the suggested tempo, and the chance of a clean pass at each.
        account: What the belief about it is made of.
        passes: Its passes, oldest first.
        resets: Its resets, oldest first.
    """

    item: Item
    key: str
    notes: int
    judgement: Judgement
    working_tempo: BeatsPerMinute | None
    suggested_tempo: BeatsPerMinute
    clean_chance: float
    holds_days: float
    days_since: float | None
    fastest_clean: BeatsPerMinute | None
    planned_in: tuple[int, ...] | None
    chances: tuple[tuple[BeatsPerMinute, float], ...]
    account: Account
    passes: tuple[Pass, ...]
    resets: tuple[Reset, ...]

    @property
    def half_gone_days(self) -> float:
        """After how many days without playing half of what practice gained is gone."""
        return half_gone_days(self.holds_days)


@dataclass(frozen=True, slots=True)
class ItemLine:
    """One line of a list of items."""

    item: Item
    key: Key
    judgement: Judgement
    suggested_tempo: BeatsPerMinute
    clean_chance: float
    passes: int
    last: date | None
    last_at: str | None


def item_report(practice: Practice, item: Item) -> ItemReport:
    """Everything that is known of an item."""
    ability, this_round = practice.ability(), frozenset(practice.order)
    history = practice.state.history(item)
    outlook = ability.outlook(item)
    suggested = tempo_to_play(ability, item, this_round, outlook)
    beat = ability.notes_per_beat
    working, fastest = map(NotesPerSecond, (history.working_speed, history.fastest_speed))
    return ItemReport(
        item=item,
        key=key_of_item(practice.neck, item).words,
        notes=ability.notes(item),
        judgement=practice.judge_all([item])[item],
        working_tempo=tempo_of(working, beat) if working else None,
        suggested_tempo=suggested,
        clean_chance=outlook.clean_chance(speed_of(suggested, beat)),
        holds_days=history.holds_days,
        days_since=history.days_since(practice.now) if history.passes else None,
        fastest_clean=tempo_of(fastest, beat) if fastest else None,
        planned_in=_blocks_with(practice, item),
        chances=tuple(
            (mark, outlook.clean_chance(speed_of(mark, beat))) for mark in marks_around(suggested)
        ),
        account=account_of(ability, item, suggested),
        passes=tuple(practice.ledger.passes_of(item)),
        resets=tuple(practice.ledger.resets_of(item)),
    )


def _blocks_with(practice: Practice, item: Item) -> tuple[int, ...] | None:
    plan = kept_plan(practice.ledger, practice.now.day, practice.basis())
    if plan is None:
        return None
    return tuple(block.number for block in plan.session.blocks if item in block.all_items)


def item_lines(
    practice: Practice, pattern: Pattern, standings: Sequence[str] = ()
) -> list[ItemLine]:
    """The items of a pattern; of the standings named, if any is.

    Raises:
        AddressError: The neck has no position for any of them.
    """
    found = (
        _everything(practice)
        if pattern.names_all and pattern.routine is PENTATONIC
        else _in_order(practice, matching(practice.neck, pattern))
    )
    judgements = practice.judge_all(found)
    ability, this_round = practice.ability(), frozenset(practice.order)
    return [
        _line(ability, item, judgements[item], this_round)
        for item in found
        if not standings or judgements[item].standing in standings
    ]


def _everything(practice: Practice) -> list[Item]:
    """The items of the round in its order, then all others that were played."""
    order = practice.order
    others = practice.state.histories.keys() - set(order)
    return [*order, *sorted(item for item in others if practice.has(item))]


def _in_order(practice: Practice, found: Sequence[Item]) -> list[Item]:
    """Items of the round in its order first, then the others."""
    wanted = frozenset(found)
    in_round = [item for item in practice.order if item in wanted]
    return in_round + sorted(wanted.difference(in_round))


def _line(
    ability: Ability, item: Item, judgement: Judgement, this_round: frozenset[Item]
) -> ItemLine:
    history = ability.state.history(item)
    outlook = ability.outlook(item)
    tempo = tempo_to_play(ability, item, this_round, outlook)
    last_at = Moment(history.last_ms, ability.now.offset_minutes).isoformat()
    return ItemLine(
        item=item,
        key=key_of_item(ability.neck, item),
        judgement=judgement,
        suggested_tempo=tempo,
        clean_chance=outlook.clean_chance(speed_of(tempo, ability.notes_per_beat)),
        passes=history.passes,
        last=date.fromordinal(history.last_day) if history.passes else None,
        last_at=last_at if history.passes else None,
    )
