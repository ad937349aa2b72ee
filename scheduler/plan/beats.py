"""A session in beats: what sounds when somebody plays along to it.

Before each block the changeover begins with as many signals as the block's number, then comes the
count-in; after each item the beat goes on through the settling, in whole beats.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.durations import (
    CHANGEOVER_SECONDS,
    COUNT_IN_BEATS,
    SETTLE_SECONDS,
    whole_beats_seconds,
)
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.session import Block

ACCENT_EVERY = 4
SIGNALS_APART_SECONDS = 0.5
MOST_SIGNALS = 12
"""What a changeover has time for, and an ear can count (our choice)."""


class Kind(StrEnum):
    """What a run of beats is for."""

    CHANGEOVER = "changeover"
    COUNT_IN = "count-in"
    PLAY = "play"
    SETTLE = "settle"


class Run(NamedTuple):
    """Beats of one kind at one tempo.

    Attributes:
        kind: What they are for.
        beats: How many.
        tempo: In beats per minute.
        item: What is played, while playing.
        block: The number of the block that a changeover leads to; 0 where it isn't told.
    """

    kind: Kind
    beats: int
    tempo: BeatsPerMinute
    item: Item | None = None
    block: int = 0

    @property
    def signals(self) -> int:
        """How many signals a changeover begins with: they tell the block's number."""
        return min(max(self.block, 1), MOST_SIGNALS)

    @property
    def seconds(self) -> float:
        """How long they take."""
        return self.beats * 60 / self.tempo


class Beat(NamedTuple):
    """One beat: when it sounds, in seconds from the start, and how."""

    seconds: float
    kind: Kind
    is_accent: bool


def runs_of(blocks: Iterable[Block], strings: int) -> list[Run]:
    """The runs of a session in which every item is played once."""
    runs = []
    for block in blocks:
        tempo, beat = block.tempo, block.notes_per_beat
        changeover = beats_in(CHANGEOVER_SECONDS, tempo)
        runs.append(Run(Kind.CHANGEOVER, changeover, tempo, block=block.number))
        runs.append(Run(Kind.COUNT_IN, COUNT_IN_BEATS, tempo))
        before: Item | None = None
        for planned in block.items:
            if before is not None:
                near = abs(planned.item.fret - before.fret) <= 1
                pause = SETTLE_SECONDS if near else CHANGEOVER_SECONDS
                runs.append(Run(Kind.SETTLE, beats_in(pause, tempo), tempo))
            notes = planned.item.notes_on(strings)
            runs.append(Run(Kind.PLAY, -(-notes // beat), tempo, planned.item))
            before = planned.item
    return runs


def beats_in(seconds: float, tempo: BeatsPerMinute) -> int:
    """Whole beats that last at least so long.

    Example:
        >>> beats_in(3.0, BeatsPerMinute(50))
        3
    """
    return round(whole_beats_seconds(seconds, tempo) * tempo / 60)


def beats_of(runs: Iterable[Run]) -> Iterable[Beat]:
    """Every beat of some runs, accents on the first of four; a changeover has only its signals."""
    start = 0.0
    for run in runs:
        if run.kind is Kind.CHANGEOVER:
            for number in range(run.signals):
                yield Beat(start + number * SIGNALS_APART_SECONDS, run.kind, is_accent=False)
        else:
            for number in range(run.beats):
                accent = run.kind is not Kind.SETTLE and number % ACCENT_EVERY == 0
                yield Beat(start + number * 60 / run.tempo, run.kind, accent)
        start += run.seconds


def total_seconds(runs: Iterable[Run]) -> float:
    """How long all runs take."""
    return sum(run.seconds for run in runs)
