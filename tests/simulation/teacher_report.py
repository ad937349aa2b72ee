"""Does it decide as a good teacher would? `python -m tests.simulation.teacher_report [players]`.

Players of every family and of three strengths practise 90 days of 20 minutes; whoever finishes a
round begins the next one. What a player would do at the n-th pass of an item is the same whatever
is planned, so two versions of the program, run with the same seeds, are compared in pairs.
"""

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from math import isnan
from statistics import fmean

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import (
    MARKS,
    BeatsPerMinute,
    NotesPerSecond,
    marks_away,
    speed_of,
    tempo_of,
)
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Reason, Session
from scheduler.player.facts import Pass
from scheduler.player.standing import Standing, judge
from scheduler.player.tempo import Ability
from tests.simulation.belief_report import table
from tests.simulation.players import ALL_FAMILIES, STRENGTHS, Player
from tests.simulation.playing import PlanRule, Practice

DAYS = 90
FIRST_DAY = 740_000
FIRST_SEED = 9000
STANDINGS_ON = (24, 48, 72)
FROM_SESSION = 3
MEASURED_SPEED = NotesPerSecond(3.0)


@dataclass
class Found:
    """What one player's ninety days were like."""

    family: str
    strength: str
    finished: int = DAYS + 1
    passes: list[tuple[bool, bool]] = field(default_factory=list)
    """From the third session on: clean, and whether some mark gives the target."""
    seconds: dict[str, float] = field(default_factory=dict)
    standings: dict[str, list[float]] = field(default_factory=dict)
    above_limit: int = 0
    planned: int = 0
    chance_at_end: float = 0.0
    rounds: int = 1

    @property
    def clean_share(self) -> float:
        """Of all passes."""
        return fmean(clean for clean, _ in self.passes)

    @property
    def clean_where_possible(self) -> float:
        """Of those where a mark gives the target; NaN if there are none."""
        found = [clean for clean, possible in self.passes if possible]
        return fmean(found) if found else float("nan")


class Limits:
    """The fastest clean passes so far, kept beside the program's own."""

    def __init__(self) -> None:
        self.fastest: dict[object, float] = {}

    def add(self, played: Pass) -> None:
        """Take in a pass."""
        if played.clean:
            for key in (played.item.shape, played.item.coupling, "any"):
                self.fastest[key] = max(self.fastest.get(key, 0.0), played.speed)

    def allows(self, item: Item, tempo: BeatsPerMinute, beat: int) -> bool:
        """Whether a tempo is within two marks, and a fifth, of the fastest."""
        for key in (item.shape, item.coupling, "any"):
            if key in self.fastest:
                fastest = tempo_of(NotesPerSecond(self.fastest[key]), beat) + 1e-6
                most = min(marks_away(fastest, 2), max(1.2 * fastest, MARKS[0]))
                return tempo <= most + 1e-9
        return True


def watching(rule: PlanRule, limits: Limits, found: Found) -> PlanRule:
    """A planner whose plans are looked at."""

    def plan(ability: Ability, order: tuple[Item, ...], budget: float, share: float) -> Session:
        session = rule(ability, order, budget, share)
        for block in session.blocks:
            found.seconds[block.reason] = found.seconds.get(block.reason, 0.0) + block.seconds
            for planned in block.items:
                found.planned += 1
                if not limits.allows(planned.item, block.tempo, block.notes_per_beat):
                    found.above_limit += 1
        return session

    return plan


def ninety_days(
    number: int, strength_at: int, days: int = DAYS, tries: int = PASSES_A_VISIT
) -> Found:
    """One player practises, trying what is sloppy so often before going on."""
    strength = STRENGTHS[strength_at]
    family = strength.of(ALL_FAMILIES[number % len(ALL_FAMILIES)])
    player = Player(family, FIRST_SEED + number, first_day=FIRST_DAY)
    found, limits = Found(family.name, strength.name), Limits()
    practice = Practice(player, tries=tries)
    for planner in ("planner", "planner_of_more"):
        setattr(practice, planner, watching(getattr(practice, planner), limits, found))
    practice.listen = limits.add
    first_items, sessions = practice.order, 0
    for day in range(1, days + 1):
        if day in STANDINGS_ON:
            _note_standings(practice, FIRST_DAY + day, found)
        if player.practises(FIRST_DAY + day):
            sessions += 1
            target = practice.settings.clean_target
            for played in practice.practise(FIRST_DAY + day):
                if sessions >= FROM_SESSION:
                    ability = practice.ability(played.moment)
                    slowest = speed_of(MARKS[0], practice.settings.notes_per_beat)
                    chance = ability.outlook(played.item).clean_chance(slowest)
                    found.passes.append((played.clean, chance >= target))
        if practice.is_finished():
            found.finished = min(found.finished, day)
            found.rounds += 1
            practice.start_next_round(FIRST_DAY + day + 1)
    ability = practice.ability(practice.evening(FIRST_DAY + days))
    found.chance_at_end = fmean(
        player.clean_chance(item, ability.notes(item), MEASURED_SPEED, FIRST_DAY + days)
        for item in first_items
    )
    return found


def _note_standings(practice: Practice, day: int, found: Found) -> None:
    """The true chance of each item at its working tempo, by standing."""
    ability = practice.ability(practice.evening(day))
    this_round = frozenset(practice.order)
    for item, history in practice.state.histories.items():
        standing = judge(ability, item, this_round).standing
        if standing in {Standing.CLEAN, Standing.STALE, Standing.WEAK} and history.working_speed:
            speed = NotesPerSecond(history.working_speed)
            chance = practice.player.clean_chance(item, ability.notes(item), speed, day)
            found.standings.setdefault(str(standing), []).append(chance)


def row(name: str, found: Sequence[Found]) -> list[str]:
    """What some players have in common."""
    by_standing = {
        standing: [chance for each in found for chance in each.standings.get(standing, [])]
        for standing in ("clean", "stale", "weak")
    }
    judged = sum(map(len, by_standing.values()))
    possible = [each.clean_where_possible for each in found]
    seconds = sum(sum(each.seconds.values()) for each in found)
    revisits = sum(
        each.seconds.get(reason, 0.0)
        for each in found
        for reason in (Reason.REPAIR, Reason.REFRESH, Reason.WARM_UP)
    )
    return [
        name, f"{fmean(each.clean_share for each in found):.3f}",
        f"{fmean([p for p in possible if not isnan(p)] or [0.0]):.3f}",
        f"{fmean(each.finished for each in found):.1f}",
        f"{fmean(each.rounds for each in found):.1f}",
        f"{100 * fmean(each.chance_at_end for each in found):.2f}",
        *(
            f"{len(chances) / judged:.2f} ({fmean(chances):.2f})" if chances else "0"
            for chances in by_standing.values()
        ),
        f"{sum(each.above_limit for each in found)} of {sum(each.planned for each in found)}",
        f"{revisits / seconds:.2f}",
    ]  # fmt: skip


HEAD = (
    "players, clean passes, where a mark gives the target, first round ends (day), rounds begun, "
    "chance at 60 on day 90 (%), clean (true chance), stale, weak, above the limit, "
    "time not onward"
)


def main(players: int = 2) -> None:
    """Print the tables."""
    jobs = [
        (number, strength)
        for strength in range(len(STRENGTHS))
        for number in range(players * len(ALL_FAMILIES))
    ]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(ninety_days, *zip(*jobs, strict=True)))
    rows = []
    for strength in STRENGTHS:
        of_it = [each for each in found if each.strength == strength.name]
        rows.append(row(f"all, {strength.name}", of_it))
        rows += [
            row(f"{family.name}, {strength.name}", [e for e in of_it if e.family == family.name])
            for family in ALL_FAMILIES
        ]
    table(HEAD, rows)
    print_tries(players)


def print_tries(players: int) -> None:
    """Trying again at once, or only after other items, where slips carry over and where not."""
    numbers = [
        number
        for number in range(players * len(ALL_FAMILIES))
        if number % len(ALL_FAMILIES) in {0, len(ALL_FAMILIES) - 1}
    ]
    jobs = [(n, s, DAYS, tries) for tries in (PASSES_A_VISIT, 1) for s in (1, 2) for n in numbers]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(ninety_days, *zip(*jobs, strict=True)))
    rows = []
    for tries, words in ((PASSES_A_VISIT, "again at once"), (1, "after others")):
        for strength in STRENGTHS[1:]:
            for family in (ALL_FAMILIES[0], ALL_FAMILIES[-1]):
                of_it = [
                    each
                    for job, each in zip(jobs, found, strict=True)
                    if job[3] == tries
                    and (each.family, each.strength) == (family.name, strength.name)
                ]
                rows.append(row(f"{family.name}, {strength.name}, {words}", of_it))
    table(HEAD.replace("players", "players and tries"), rows)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
