"""Does the window hold the true day? `python -m tests.simulation.projection_report [players]`.

Simulated players practise until their round is finished, asked for the projection after their
3rd, 6th, 10th and 15th practised day; the plain rule beside it divides the items left by the items
a day so far.
"""

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from statistics import fmean, median
from typing import NamedTuple

from scheduler.plan.pace import pace_of
from scheduler.plan.practice_days import PracticeDays
from scheduler.plan.projection import project
from tests.simulation.belief_report import table
from tests.simulation.players import FAMILIES, Player
from tests.simulation.playing import Practice

ASKED_AFTER = (3, 6, 10, 15)
FIRST_DAY = 740_000
LONGEST_DAYS = 400
SEED = 5
FIRST_SEED = 3000


class Answer(NamedTuple):
    """A projection and what became of it; days are counted from the day of the question."""

    family: str
    practised: int
    early: float
    middle: float
    late: float
    plain: float
    truth: float

    @property
    def holds(self) -> bool:
        """Whether the window holds the true day."""
        return self.early <= self.truth <= self.late

    @property
    def score(self) -> float:
        """The interval score of an 8-in-10 window: width, and ten times the days missed outside.

        Source:
            Gneiting & Raftery 2007, JASA 102(477), 359-378, section 6.2 (from memory).
        """
        outside = max(self.early - self.truth, self.truth - self.late, 0.0)
        return min(self.late, LONGEST_DAYS) - min(self.early, LONGEST_DAYS) + 10 * outside


def answers(number: int) -> list[Answer]:
    """The answers of one player."""
    family = FAMILIES[number % len(FAMILIES)]
    player = Player(family, FIRST_SEED + number, first_day=FIRST_DAY)
    practice = Practice(player)
    asked: list[tuple[int, int, tuple[float, float, float], float]] = []
    practised = 0
    for day in range(FIRST_DAY, FIRST_DAY + LONGEST_DAYS):
        if player.practises(day):
            practice.practise(day)
            practised += 1
            if practice.is_finished():
                return [
                    Answer(family.name, after, *window, plain, day - when)
                    for after, when, window, plain in asked
                ]
            if practised in ASKED_AFTER:
                window, plain = ask(practice, day)
                asked.append((practised, day, window, plain))
    return [
        Answer(family.name, after, *window, plain, LONGEST_DAYS)
        for after, _, window, plain in asked
    ]


def ask(practice: Practice, day: int) -> tuple[tuple[float, float, float], float]:
    """The window and the plain rule's answer in the evening, in days from then."""
    now = practice.evening(day)
    now = now._replace(utc_ms=now.utc_ms + 3 * 3_600_000)
    settings, days = practice.settings, practice.state.days
    # In the evening the day is over: the pace may learn from it.
    pace = pace_of(days, day + 1, settings.days, lambda _: settings.minutes, settings.revisit / 100)
    practice_days = PracticeDays(settings.minutes, settings.days, frozenset({day}))
    projection = project(practice.ability(now), practice.trips, pace, practice_days, SEED)
    window = [
        LONGEST_DAYS * 10.0 if end is None else float(end.toordinal() - day)
        for end in projection.finish[:3]
    ]
    rate = projection.items_clean / (day - FIRST_DAY + 1)
    plain = (projection.items_total - projection.items_clean) / max(rate, 1e-9)
    return (window[0], window[1], window[2]), plain


def all_answers(players: int, first: int = 0) -> list[Answer]:
    """The answers of so many players, all families in turn, from a number on."""
    with ProcessPoolExecutor(2) as pool:
        numbers = range(first, first + players)
        return [answer for found in pool.map(answers, numbers) for answer in found]


def held(found: Sequence[Answer]) -> float:
    """The share of windows that hold the true day."""
    return fmean(answer.holds for answer in found)


def off(found: Sequence[Answer]) -> tuple[float, float]:
    """Mean days by which the middle day and the plain rule are off."""
    return (
        fmean(abs(answer.middle - answer.truth) for answer in found),
        fmean(abs(answer.plain - answer.truth) for answer in found),
    )


def row(name: str, found: Sequence[Answer]) -> list[str]:
    """One line of the report."""
    ours, plain = off(found)
    width = median(answer.late - answer.early for answer in found)
    left = median(answer.truth for answer in found)
    return [
        name, f"{len(found)}", f"{held(found):.3f}", f"{ours:.1f}", f"{plain:.1f}",
        f"{ours / plain:.2f}", f"{width:.0f}", f"{left:.0f}",
        f"{fmean(answer.score for answer in found):.1f}",
    ]  # fmt: skip


def main(players: int = 60, first: int = 0) -> None:
    """Print the report."""
    found = all_answers(players, first)
    rows = [row("all", found)]
    rows += [row(f.name, [a for a in found if a.family == f.name]) for f in FAMILIES]
    rows += [
        row(f"after {n} practised days", [a for a in found if a.practised == n])
        for n in ASKED_AFTER
    ]
    table(
        "players, answers, held by the window, middle off (days), plain rule off, ratio, "
        "width (median days), days to go (median), interval score",
        rows,
    )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
