"""How long plans and projections take: `python -m tests.benchmarks.plan_speed`.

On the record of a simulated player, once in the middle of a round and once near its end, beside a
plain loop that asks for the chance of every item once.
"""

import time
from collections.abc import Callable
from statistics import median

from scheduler.plan.pace import pace_of
from scheduler.plan.planner import plan_session
from scheduler.plan.practice_days import PracticeDays
from scheduler.plan.projection import project
from scheduler.plan.settings import Settings
from tests.simulation.players import FAMILIES, Player
from tests.simulation.playing import Practice

FIRST_DAY = 740_000


def milliseconds(work: Callable[[], object]) -> float:
    """The median of seven runs."""
    times = []
    for _ in range(7):
        start = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - start))
    return median(times)


def main() -> None:
    """Print milliseconds and their ratio to the loop."""
    print("| record | what | ms | x loop |")
    print("| --- | --- | --- | --- |")
    practice = Practice(Player(FAMILIES[0], 1, first_day=FIRST_DAY), Settings(frets=24))
    done = 0
    for days in (0, 10, 30):
        for day in range(FIRST_DAY + done, FIRST_DAY + days):
            practice.practise(day)
        done = days
        report(practice, days)


def report(practice: Practice, days: int) -> None:
    """One record."""
    settings, state = practice.settings, practice.state
    ability = practice.ability(practice.evening(FIRST_DAY + days))
    order = practice.order

    def loop() -> None:
        for item in order:
            ability.outlook(item).clean_chance(ability.floor_speed)

    def plan(minutes: float) -> Callable[[], object]:
        return lambda: plan_session(ability, order, minutes * 60, settings.revisit / 100)

    def futures() -> object:
        pace = pace_of(state.days, ability.now.day, settings.days, lambda _: 20, 0.15)
        return project(ability, practice.trips, pace, PracticeDays(20, settings.days), 1)

    base = milliseconds(loop)
    rows: list[tuple[str, Callable[[], object]]] = [
        (f"the chance of each of {len(order)} items", loop),
        ("a plan of 20 minutes", plan(20)),
        ("a plan of 8 hours", plan(480)),
        ("1,000 futures", futures),
    ]
    for what, work in rows:
        took = milliseconds(work)
        print(f"| {days} days | {what} | {took:.0f} | {took / base:.1f} |")


if __name__ == "__main__":
    main()
