"""Which revisits are best? `python -m tests.simulation.policy_report [players per family]`.

Every simulated player practises 60 days of 20 minutes under each policy; whoever finishes a round
begins the next one. The truths don't depend on what is played first, so policies are compared in
pairs. All policies but `onward only` give the same share of the time to revisits and differ in
what they choose for it.
"""

import sys
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from random import Random
from statistics import fmean
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.plan.planner import Planner, plan_session, session_of
from scheduler.plan.session import Reason, Session, Visit
from scheduler.plan.visits import Candidates, candidates
from scheduler.player.tempo import Ability, suggested_tempo
from tests.simulation.belief_report import table
from tests.simulation.players import FAMILIES, Player
from tests.simulation.playing import PlanRule, Practice

DAYS = 60
MEASURED_ON = (30, 60)
FIRST_DAY = 740_000
FIRST_SEED = 5000
SURE = 0.9

Rule = Callable[[Ability, Sequence[Item]], list[Item]]


def weakest(ability: Ability, played: Sequence[Item]) -> list[Item]:
    """Lowest chance at the floor tempo first."""
    return sorted(played, key=lambda item: ability.outlook(item).clean_chance(ability.floor_speed))


def stalest(ability: Ability, played: Sequence[Item]) -> list[Item]:
    """Least retained first."""
    return sorted(played, key=lambda item: ability.state.history(item).retained(ability.now))


def at_random(ability: Ability, played: Sequence[Item]) -> list[Item]:
    """Any order, another one each day."""
    shuffled = sorted(played)
    Random(ability.now.day).shuffle(shuffled)
    return shuffled


def revisiting(rule: Rule) -> PlanRule:
    """A planner that fills the revisits' share by a rule, of all items done in the round."""

    def plan(ability: Ability, order: tuple[Item, ...], budget: float, share: float) -> Session:
        found = candidates(ability, order)
        done = [item for item in order if item not in frozenset(found.onward)]
        planner = Planner(ability, found, order, budget)
        room, chosen = share * budget, []
        for item in rule(ability, done):
            visit = Visit(item, suggested_tempo(ability, item), Reason.REFRESH, worth=1.0)
            room -= planner.costs.alone(visit)
            if room < 0:
                break
            chosen.append(visit)
        return session_of(ability, replace(found, revisits=tuple(chosen)), order, budget, share)

    return plan


def onward_only(ability: Ability, order: tuple[Item, ...], budget: float, share: float) -> Session:  # noqa: ARG001
    """Nothing but the round's order; what failed keeps its place in it."""
    found = candidates(ability, order)
    plain = Candidates((), found.onward, found.known, found.short_of_floor)
    return session_of(ability, plain, order, budget, 0.0)


def with_share(share: float) -> PlanRule:
    """Our planner with another share for repair and refresh."""

    def plan(ability: Ability, order: tuple[Item, ...], budget: float, _: float) -> Session:
        return plan_session(ability, order, budget, share)

    return plan


POLICIES: dict[str, PlanRule] = {
    "ours": plan_session,
    "ours, share 0.10": with_share(0.10),
    "ours, share 0.15": with_share(0.15),
    "onward only": onward_only,
    "weakest first": revisiting(weakest),
    "stalest first": revisiting(stalest),
    "at random": revisiting(at_random),
}


class Outcome(NamedTuple):
    """What became of a player under a policy."""

    family: str
    policy: str
    finished: int
    chances: tuple[float, ...]
    sure: tuple[int, ...]


def outcome(job: tuple[int, str]) -> Outcome:
    """One player under one policy."""
    number, policy = job
    family = FAMILIES[number % len(FAMILIES)]
    player = Player(family, FIRST_SEED + number, first_day=FIRST_DAY)
    practice = Practice(player, planner=POLICIES[policy])
    first_order = practice.order
    finished, chances, sure = 2 * DAYS, [], []
    for number_of_day in range(1, 2 * DAYS + 1):
        day = FIRST_DAY + number_of_day - 1
        if player.practises(day):
            practice.practise(day)
        if practice.is_finished():
            finished = min(finished, number_of_day)
            practice.start_next_round(day + 1)
        if number_of_day in MEASURED_ON:
            truths = true_chances(practice, first_order, day + 1)
            chances.append(fmean(truths))
            sure.append(sum(chance > SURE for chance in truths))
        if number_of_day >= DAYS and finished <= number_of_day:
            break
    return Outcome(family.name, policy, finished, tuple(chances), tuple(sure))


def true_chances(practice: Practice, order: Sequence[Item], day: int) -> list[float]:
    """The true chance of a clean pass of every item at the floor tempo."""
    ability = practice.ability(practice.evening(day))
    return [
        practice.player.clean_chance(item, ability.notes(item), ability.floor_speed, day)
        for item in order
    ]


def outcomes(players: int) -> list[Outcome]:
    """All policies on so many players of each family."""
    jobs = [(n, policy) for n in range(players * len(FAMILIES)) for policy in POLICIES]
    with ProcessPoolExecutor(2) as pool:
        return list(pool.map(outcome, jobs))


def row(family: str, policy: str, found: Sequence[Outcome]) -> list[str]:
    """One line of the report."""
    mine = [o for o in found if o.policy == policy and family in {o.family, "all"}]
    return [
        family, policy, f"{fmean(o.finished for o in mine):.1f}",
        *(f"{100 * fmean(o.chances[n] for o in mine):.2f}" for n in range(2)),
        *(f"{fmean(o.sure[n] for o in mine):.0f}" for n in range(2)),
    ]  # fmt: skip


def main(players: int = 5) -> None:
    """Print the report."""
    found = outcomes(players)
    names = ["all", *(family.name for family in FAMILIES)]
    table(
        "players, policy, round finished (day), chance on day 30 (%), on day 60, "
        "items above 0.9 on day 30, on day 60",
        [row(name, policy, found) for name in names for policy in POLICIES],
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
