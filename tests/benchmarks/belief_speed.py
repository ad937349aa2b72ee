"""How long the belief takes: `python -m tests.benchmarks.belief_speed`.

One recorded pass, and the rebuilding of 100,000, each beside a plain loop of the same length.
"""

import time
from random import Random

from scheduler.guitar.metronome import TRADITIONAL_MARKS
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.player.facts import Fact, Pass
from scheduler.player.moments import Moment
from scheduler.player.replay import in_order, replay

EVENTS = 100_000


def record(events: int, seed: int = 1) -> list[Fact]:
    """So many passes over about ten years."""
    random = Random(seed)
    order = round_items(parse_neck())
    facts: list[Fact] = []
    for number in range(events):
        item = order[number % len(order)]
        moment = Moment(1_400_000_000_000 + number * 3_156_000, 0)
        clean = random.random() < 0.85
        errors = 0 if clean else random.choice([None, 1, 2, 5])
        notes = item.notes_on(6)
        tempo = random.choice(TRADITIONAL_MARKS[5:25])
        facts.append(Pass(f"{number:036d}", moment, item, notes, tempo, 3, clean, errors))
    return facts


def main() -> None:
    """Print seconds, microseconds a pass, and the ratio to a plain loop."""
    facts = record(EVENTS)
    start = time.perf_counter()
    count = 0
    for fact in facts:
        count += fact.moment.utc_ms > 0
    plain = time.perf_counter() - start
    start = time.perf_counter()
    state = replay(in_order(facts))
    rebuilt = time.perf_counter() - start
    (last,) = facts[-1:]
    start = time.perf_counter()
    for _ in range(2000):
        replay([last], state)
    one = (time.perf_counter() - start) / 2000
    print("| what | seconds | microseconds a pass | x plain loop |")
    print("| --- | --- | --- | --- |")
    print(f"| a plain loop over {EVENTS} | {plain:.3f} | {plain / EVENTS * 1e6:.2f} | 1 |")
    print(
        f"| rebuilding {EVENTS} | {rebuilt:.1f} | {rebuilt / EVENTS * 1e6:.0f} | "
        f"{rebuilt / plain:.0f} |"
    )
    print(f"| one recorded pass | {one:.6f} | {one * 1e6:.0f} | {one * EVENTS / plain:.0f} |")


if __name__ == "__main__":
    main()
