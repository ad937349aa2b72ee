"""A session that is being played: where it is, and where a verdict leads.

A sloppy item comes again; after the second sloppy pass in a row it is slowed; after three the
session goes on, and the item comes back once more after the others, when there is time.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS, BeatsPerMinute, marks_away
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Block, Session
from scheduler.player.tempo import slower_tempo


class Step(NamedTuple):
    """An item of a block, and its place there: the third of eight, say.

    Attributes:
        block: The block.
        item: The item.
        number: Its place among those of the block that are played.
        of: How many these are.
        again_at: The tempo at which it comes back, where it does.
        rest_seconds: The rest before it.
    """

    block: Block
    item: Item
    number: int
    of: int
    again_at: BeatsPerMinute | None = None
    rest_seconds: float = 0.0


class Moved(StrEnum):
    """Where a verdict led."""

    AGAIN = "again"
    SLOWER = "slower"
    ITEM = "next item"
    BLOCK = "next block"
    OVER = "over"


class After(StrEnum):
    """What comes after the last step."""

    SLOPPY = "what stayed sloppy"
    MORE = "more"
    OVER = "over"


class Trace(NamedTuple):
    """What was, before a verdict: enough to go back there."""

    place: int
    sloppy: int
    tempo: BeatsPerMinute
    clean: bool
    still_sloppy: tuple[Step, ...]


@dataclass(slots=True)
class HandsOn:
    """Where a session stands while it is played.

    Attributes:
        steps: What is left of it, in order.
        place: The step that is played now.
        sloppy: Sloppy passes of it in a row.
        tempo: The tempo now.
        block_tempos: The tempo that the player set for a block.
        still_sloppy: What stayed sloppy and can come back.
        tries: Passes of an item, while it is sloppy, before the session goes on.
        traces: What was before each verdict.
    """

    steps: list[Step]
    place: int = 0
    sloppy: int = 0
    tempo: BeatsPerMinute = MARKS[0]
    block_tempos: dict[int, BeatsPerMinute] = field(default_factory=dict)
    still_sloppy: tuple[Step, ...] = ()
    tries: int = PASSES_A_VISIT
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
            tempo = self.block_tempos.get(step.block.number, step.block.tempo)
            self.tempo = tempo if step.again_at is None else min(tempo, step.again_at)

    def judge(self, suggested: Callable[[], BeatsPerMinute], *, clean: bool) -> Moved:
        """Take in a verdict on the step that is played now.

        Args:
            suggested: The belief's tempo for the item, asked only when it is needed.
            clean: The verdict.
        """
        self.traces.append(Trace(self.place, self.sloppy, self.tempo, clean, self.still_sloppy))
        if not clean:
            self.sloppy += 1
            if self.sloppy < self.tries:
                if self.sloppy < self.tries - 1:
                    return Moved.AGAIN
                self.tempo = slower_tempo(self.tempo, suggested())
                return Moved.SLOWER
            step = self.steps[self.place]
            if step.again_at is None:
                self.still_sloppy = (*self.still_sloppy, step)
        return self._go_on()

    def told(self, moved: Moved, *, clean: bool) -> str:
        """What a verdict led to, in words."""
        if clean:
            return "clean"
        if moved is Moved.AGAIN:
            return "sloppy: again"
        if moved is Moved.SLOWER:
            return f"sloppy: again, slower, {self.tempo:g}"
        return "sloppy three times: go on"

    def _go_on(self) -> Moved:
        before = self.steps[self.place]
        self.place += 1
        self.sloppy = 0
        self._take_tempo()
        if self.step is None:
            return Moved.OVER
        return Moved.ITEM if self.step.block is before.block else Moved.BLOCK

    def take_back(self) -> Trace | None:
        """Go back to before the last verdict; None if there is none."""
        if not self.traces:
            return None
        trace = self.traces.pop()
        self.place, self.sloppy, self.tempo = trace.place, trace.sloppy, trace.tempo
        self.still_sloppy = trace.still_sloppy
        if self.step is not None and self.step.again_at is None:
            # Going back may change what stays sloppy: `come_back` adds it again.
            later = self.steps[self.place + 1 :]
            self.steps[self.place + 1 :] = [step for step in later if step.again_at is None]
        return trace

    def come_back(self, suggested: Callable[[Step], BeatsPerMinute]) -> bool:
        """Let what stayed sloppy come back at the end, once; whether there is any."""
        coming, self.still_sloppy = self.still_sloppy, ()
        of = len(coming)
        self._add(
            step._replace(number=n, of=of, again_at=suggested(step), rest_seconds=0.0)
            for n, step in enumerate(coming, start=1)
        )
        return bool(coming)

    def go_on_with(self, steps: Iterable[Step]) -> None:
        """Go on with another plan's steps."""
        self.block_tempos.clear()
        self._add(steps)

    def after_the_plan(
        self,
        seconds_left: float,
        suggested: Callable[[Step], BeatsPerMinute],
        more: Callable[[float], list[Step]],
    ) -> After:
        """While seconds are left: what stayed sloppy comes back once, then the list goes on.

        Args:
            seconds_left: The time that is left.
            suggested: The belief's tempo for what comes back.
            more: What comes after the plan, for so many seconds.
        """
        if seconds_left <= 0:
            return After.OVER
        if self.come_back(suggested):
            return After.SLOPPY
        self.go_on_with(more(seconds_left))
        return After.OVER if self.step is None else After.MORE

    def _add(self, steps: Iterable[Step]) -> None:
        is_over = self.step is None
        self.steps += steps
        if is_over:
            self._take_tempo()

    def change_tempo(self, marks: int) -> None:
        """Make the block's tempo some marks faster or slower from now on."""
        step = self.step
        if step is not None:
            self.tempo = marks_away(self.tempo, marks)
            self.block_tempos[step.block.number] = self.tempo


def steps_of(session: Session, left: Callable[[int], tuple[Item, ...]]) -> list[Step]:
    """The steps of what is left of a session, by the block's number, with the rests between."""
    rests = {pause.after_block: pause.seconds for pause in session.breaks}
    found: list[Step] = []
    rest = 0.0
    for block in session.blocks:
        items = left(block.number)
        steps = [Step(block, item, n, len(items)) for n, item in enumerate(items, start=1)]
        if steps:
            steps[0] = steps[0]._replace(rest_seconds=rest)
            rest = 0.0
        found += steps
        if found:
            rest += rests.get(block.number, 0.0)
    return found
