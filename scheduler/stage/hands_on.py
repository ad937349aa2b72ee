"""A session that is being played: where it is, and where a verdict leads.

A sloppy item comes again; the second sloppy pass in a row slows it; after three it stays weak and
the session goes on.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS, BeatsPerMinute, marks_away
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Block


class Step(NamedTuple):
    """An item of a block, and its place there: the third of eight, say."""

    block: Block
    item: Item
    number: int
    of: int


class Moved(StrEnum):
    """Where a verdict led."""

    AGAIN = "again"
    SLOWER = "slower"
    ITEM = "next item"
    BLOCK = "next block"
    OVER = "over"


class Trace(NamedTuple):
    """What was, before a verdict: enough to go back there."""

    place: int
    sloppy: int
    tempo: BeatsPerMinute
    clean: bool


@dataclass(slots=True)
class HandsOn:
    """Where a session stands while it is played.

    Attributes:
        steps: What is left of it, in order.
        place: The step that is played now.
        sloppy: Sloppy passes of it in a row.
        tempo: The tempo now.
        block_tempos: The tempo that the player set for a block.
        traces: What was before each verdict.
    """

    steps: list[Step]
    place: int = 0
    sloppy: int = 0
    tempo: BeatsPerMinute = MARKS[0]
    block_tempos: dict[int, BeatsPerMinute] = field(default_factory=dict)
    traces: list[Trace] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Begin at the first step's tempo."""
        self._take_tempo()

    @property
    def step(self) -> Step | None:
        """What is played now; None when the session is over."""
        return self.steps[self.place] if self.place < len(self.steps) else None

    @property
    def following(self) -> Step | None:
        """What comes after it."""
        return self.steps[self.place + 1] if self.place + 1 < len(self.steps) else None

    def _take_tempo(self) -> None:
        step = self.step
        if step is not None:
            self.tempo = self.block_tempos.get(step.block.number, step.block.tempo)

    def judge(self, suggested: Callable[[], BeatsPerMinute], *, clean: bool) -> Moved:
        """Take in a verdict on the step that is played now.

        Args:
            suggested: The belief's tempo for the item, asked only when it is needed.
            clean: The verdict.
        """
        self.traces.append(Trace(self.place, self.sloppy, self.tempo, clean))
        if not clean:
            self.sloppy += 1
            if self.sloppy < PASSES_A_VISIT:
                if self.sloppy < PASSES_A_VISIT - 1:
                    return Moved.AGAIN
                self.tempo = min(suggested(), marks_away(self.tempo, -1))
                return Moved.SLOWER
        return self._go_on()

    def _go_on(self) -> Moved:
        before = self.steps[self.place]
        self.place += 1
        self.sloppy = 0
        self._take_tempo()
        if self.step is None:
            return Moved.OVER
        return Moved.ITEM if self.step.block.number == before.block.number else Moved.BLOCK

    def take_back(self) -> Trace | None:
        """Go back to before the last verdict; None if there is none."""
        if not self.traces:
            return None
        trace = self.traces.pop()
        self.place, self.sloppy, self.tempo = trace.place, trace.sloppy, trace.tempo
        return trace

    def change_tempo(self, marks: int) -> None:
        """Make the block's tempo some marks faster or slower from now on."""
        step = self.step
        if step is not None:
            self.tempo = marks_away(self.tempo, marks)
            self.block_tempos[step.block.number] = self.tempo


def steps_of(blocks: Iterable[Block], left: Callable[[int], tuple[Item, ...]]) -> list[Step]:
    """The steps of what is left of a session."""
    found = []
    for block in blocks:
        items = left(block.number)
        found += [Step(block, item, n, len(items)) for n, item in enumerate(items, start=1)]
    return found
