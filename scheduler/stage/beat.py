"""The beat: absolute deadlines, so that lateness never adds up."""

from collections import deque
from collections.abc import Callable, Sequence
from typing import NamedTuple

from scheduler.guitar.durations import COUNT_IN_BEATS
from scheduler.plan.beats import ACCENT_EVERY, Kind, Run

SOON_BEATS = 2
"""So many beats are left to get ready for who won't wait for the others (our choice)."""
LEAST_SHARE = 0.5
"""Clean after less of a pass than this may be a slip of the foot: it is asked (our choice)."""


def shorter_way(run: Run, left: int) -> Run | None:
    """What is left of the way to an item for who won't wait; None where that is no shorter.

    Args:
        run: The beats of the way that are heard now.
        left: How many of them are still to come.
    """
    if run.kind is Kind.CHANGEOVER:
        return Run(Kind.COUNT_IN, COUNT_IN_BEATS, run.tempo)
    is_shorter = run.kind is Kind.SETTLE and left > SOON_BEATS
    return run._replace(beats=SOON_BEATS) if is_shorter else None


def is_early(beats: int, notes_per_beat: int, notes: int) -> bool:
    """Whether so many beats of a pass, the one that sounds among them, are too few for it."""
    return beats * notes_per_beat < LEAST_SHARE * notes


class Tick(NamedTuple):
    """A beat that is to be seen and heard: its run, and its number in it from 0."""

    run: Run
    number: int

    @property
    def is_accent(self) -> bool:
        """Whether it is the first of four."""
        return self.number % ACCENT_EVERY == 0 and self.run.kind is not Kind.SETTLE


class BeatClock:
    """Beats of runs, one run after the other; a run of playing goes on until the next ones begin.

    Args:
        clock: Seconds that never go back.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._runs: deque[Run] = deque()
        self._start = 0.0
        self._number = 0

    def begin(self, runs: Sequence[Run]) -> None:
        """Play other runs from the next beat on; at once if nothing is playing."""
        start = self.next_at if self._runs else self._clock()
        self._runs = deque(runs)
        self._start, self._number = start, 0

    def stop(self) -> None:
        """No more beats."""
        self._runs.clear()

    @property
    def run(self) -> Run | None:
        """The run that the next beat belongs to."""
        return self._runs[0] if self._runs else None

    @property
    def beats_left(self) -> int:
        """How many beats of that run are still to come."""
        return self._runs[0].beats - self._number if self._runs else 0

    @property
    def next_at(self) -> float:
        """When the next beat comes; far away if none does."""
        if not self._runs:
            return float("inf")
        return self._start + self._number * 60 / self._runs[0].tempo

    def tick(self) -> Tick | None:
        """The beat whose time has come, or None if it isn't time; missed beats are left out."""
        now = self._clock()
        if now < self.next_at:
            return None
        while True:
            tick = Tick(self._runs[0], self._number)
            self._number += 1
            self._turn_over()
            if now < self.next_at:
                return tick

    def _turn_over(self) -> None:
        run = self._runs[0]
        if run.kind is not Kind.PLAY and self._number >= run.beats:
            self._start += run.beats * 60 / run.tempo
            self._number = 0
            self._runs.popleft()
