"""The first session of another routine: `python -m tests.simulation.next_routine_report [players]`.

Players practise the first routine until its round is finished, at most sixty days; then another one
is begun. At the tempos of its first session, how often would they really be clean: by the belief
that learnt from the first routine, and by one that starts anew?
"""

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from statistics import fmean
from typing import NamedTuple

from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.rounds import round_items
from scheduler.guitar.routines import INSIDE
from scheduler.plan.planner import plan_session
from scheduler.plan.session import Reason
from scheduler.player.replay import State
from scheduler.player.tempo import Ability
from tests.simulation.belief_report import table
from tests.simulation.players import ALL_FAMILIES, STRENGTHS, Player
from tests.simulation.playing import Practice

NEXT = ("fours", "major3")
MOST_DAYS = 60
FIRST_DAY = 740_000
FIRST_SEED = 15_000
HEAD = "players and routine, clean by what was learnt, tempo, clean anew, tempo anew"


class Found(NamedTuple):
    """The true clean share of one player's first session of a routine, and its mean tempo."""

    strength: str
    routine: str
    anew: bool
    share: float
    tempo: float


def first_sessions(job: tuple[int, int]) -> list[Found]:
    """The first sessions of one player: each routine, by either belief."""
    number, strength_at = job
    strength = STRENGTHS[strength_at]
    family = strength.of(ALL_FAMILIES[number % len(ALL_FAMILIES)])
    player = Player(family, FIRST_SEED + number, first_day=FIRST_DAY)
    practice = Practice(player)
    day = FIRST_DAY
    for day in range(FIRST_DAY, FIRST_DAY + MOST_DAYS):
        if player.practises(day):
            practice.practise(day)
        if practice.is_finished():
            break
    return [
        found
        for name in NEXT
        for anew in (False, True)
        if (found := _first_session(practice, strength.name, name, day + 1, anew=anew))
    ]


def _first_session(
    practice: Practice, strength: str, name: str, day: int, *, anew: bool
) -> Found | None:
    settings, routine = practice.settings, INSIDE[name]
    ability = Ability(
        State() if anew else practice.state, practice.evening(day), settings.neck,
        settings.notes_per_beat, BeatsPerMinute(40), settings.clean_target, routine,
    )  # fmt: skip
    order = round_items(settings.neck, routine=routine)
    session = plan_session(ability, order, settings.budget_seconds, settings.revisit / 100)
    asked = [
        (planned.item, block.tempo)
        for block in session.blocks
        if block.reason is Reason.ONWARD
        for planned in block.items
    ]
    if not asked:
        return None
    chances = [
        practice.player.clean_chance(
            item, ability.notes(item), speed_of(tempo, settings.notes_per_beat), day
        )
        for item, tempo in asked
    ]
    return Found(strength, name, anew, fmean(chances), fmean(tempo for _, tempo in asked))


def rows(found: Sequence[Found]) -> list[list[str]]:
    """A row for each strength and routine."""
    lines = []
    for strength in STRENGTHS:
        for name in NEXT:
            cells = []
            for anew in (False, True):
                of = [each for each in found
                      if each[:3] == (strength.name, name, anew)]  # fmt: skip
                cells += [f"{fmean(e.share for e in of):.3f}", f"{fmean(e.tempo for e in of):.0f}"]
            lines.append([f"{strength.name}, {name}", *cells])
    return lines


def main(players: int) -> None:
    """Print the table for so many players of each family and strength."""
    jobs = [
        (number, strength)
        for strength in range(len(STRENGTHS))
        for number in range(players * len(ALL_FAMILIES))
    ]
    with ProcessPoolExecutor() as pool:
        found = [each for some in pool.map(first_sessions, jobs) for each in some]
    table(HEAD, rows(found))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2)
