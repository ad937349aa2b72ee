"""What is a player's word worth? `python -m tests.simulation.word_report [players]`.

Before the first pass players say what they play clean in box 1: nothing, the truth, a third more or
a third less. How many marks the tempos of the first sessions lie off those at which the items are
clean nine times in ten, and when the first round ends.
"""

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from statistics import fmean
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS, BeatsPerMinute, mark_at_or_below, speed_of
from scheduler.guitar.patterns import parse_address
from scheduler.plan.session import Reason, Session
from scheduler.player.facts import PlaysClean
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability
from tests.simulation.belief_report import table
from tests.simulation.players import ALL_FAMILIES, STRENGTHS, Player
from tests.simulation.playing import Practice

WORDS: dict[str, float | None] = {
    "nothing": None, "the truth": 1.0, "a third more": 4 / 3, "a third less": 2 / 3,
}  # fmt: skip
SESSIONS = 4
DAYS = 90
FIRST_DAY = 740_000
FIRST_SEED = 12_000
MEANT = parse_address("1:asc:down:5")
CLEAN = 0.9


class Found(NamedTuple):
    """What became of one player: marks off by session, and the end of the first round."""

    strength: str
    word: str
    off: tuple[float, ...]
    finished: int


def true_mark(practice: Practice, item: Item, day: float) -> BeatsPerMinute:
    """The fastest mark at which an item is really clean nine times in ten."""
    ability = practice.ability(practice.evening(int(day)))
    notes, beat = ability.notes(item), practice.settings.notes_per_beat
    player = practice.player
    return max(
        (m for m in MARKS if player.clean_chance(item, notes, speed_of(m, beat), day) >= CLEAN),
        default=MARKS[0],
    )


def outcome(job: tuple[int, int, str]) -> Found:
    """One player who said something."""
    number, strength_at, word = job
    strength = STRENGTHS[strength_at]
    family = strength.of(ALL_FAMILIES[number % len(ALL_FAMILIES)])
    practice = Practice(Player(family, FIRST_SEED + number, first_day=FIRST_DAY))
    said = WORDS[word]
    if said is not None:
        tempo = mark_at_or_below(said * true_mark(practice, MEANT, FIRST_DAY))
        replay([PlaysClean("0" * 36, practice.evening(FIRST_DAY - 1), tempo)], practice.state)
    off: list[float] = []
    plan = practice.planner

    def watched(ability: Ability, order: tuple[Item, ...], budget: float, share: float) -> Session:
        session = plan(ability, order, budget, share)
        off.append(fmean(
            abs(MARKS.index(block.tempo) - MARKS.index(true_mark(practice, item, session.day)))
            for block in session.blocks if block.reason is Reason.ONWARD
            for item in block.all_items
        ) if any(block.reason is Reason.ONWARD for block in session.blocks) else 0.0)  # fmt: skip
        return session

    practice.planner = watched
    finished = DAYS + 1
    for day in range(1, DAYS + 1):
        if practice.player.practises(FIRST_DAY + day):
            practice.practise(FIRST_DAY + day)
            if len(off) >= SESSIONS:
                practice.planner = plan
        if practice.is_finished():
            finished = day
            break
    return Found(strength.name, word, tuple(off[:SESSIONS]), finished)


def row(strength: str, word: str, found: Sequence[Found]) -> list[str]:
    """What players of a strength have in common who said the same."""
    return [
        strength, word, *(f"{fmean(each.off[n] for each in found):.1f}" for n in range(SESSIONS)),
        f"{fmean(each.finished for each in found):.1f}",
    ]  # fmt: skip


def main(players: int = 2) -> None:
    """Print the table."""
    jobs = [
        (number, strength, word)
        for strength in range(len(STRENGTHS))
        for word in WORDS
        for number in range(players * len(ALL_FAMILIES))
    ]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(outcome, jobs))
    table(
        "players, said, marks off in session 1, in 2, in 3, in 4, first round ends (day)",
        [
            row(s.name, word, [f for f in found if (f.strength, f.word) == (s.name, word)])
            for s in STRENGTHS
            for word in WORDS
        ],
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
