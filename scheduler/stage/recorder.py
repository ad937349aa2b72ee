"""What is played on the stage, recorded through the practice: every verdict is an act on disk."""

from contextlib import suppress
from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.acts import Act
from scheduler.ledger.plans import KeptPlan, recorded_of
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment
from scheduler.player.tempo import suggested_tempo
from scheduler.practice.playing import Playing, record_pass, say_fault
from scheduler.practice.practice import Practice
from scheduler.practice.undoing import undo
from scheduler.stage.hands_on import Step


class Verdict(NamedTuple):
    """A pass that is on disk, and the acts that it and what was said of it are."""

    played: Pass
    acts: tuple[Act, ...]


class Recorder:
    """Records the verdicts of one session.

    Attributes:
        practice: The player's practice.
        verdicts: What was recorded and not taken back.
    """

    def __init__(self, practice: Practice, plan: KeptPlan) -> None:
        self.practice = practice
        self.verdicts: list[Verdict] = []
        self._plans: dict[int, KeptPlan] = {}
        self.go_on_with(plan)

    def record(
        self,
        step: Step,
        tempo: BeatsPerMinute,
        now: Moment,
        *,
        clean: bool,
        errors: int | None,
        goes_on: bool,
    ) -> None:
        """Record a pass of a step; `goes_on` says that the step is through with it."""
        playing = Playing(step.item, tempo, step.block.notes_per_beat, clean, errors)
        block = step.block.number if goes_on else None
        self.practice.now = now
        played, act = record_pass(self.practice, playing, self._plans[id(step.block)], block)
        self.verdicts.append(Verdict(played, (act,) if act else ()))

    def say_fault(self, fault: Fault, now: Moment) -> bool:
        """Say what was sloppy about the last pass; False if it wasn't sloppy."""
        if not self.verdicts or self.verdicts[-1].played.clean:
            return False
        self.practice.now = now
        last = self.verdicts.pop()
        act = say_fault(self.practice, last.played.id, fault)
        self.verdicts.append(last._replace(acts=(*last.acts, act) if act else last.acts))
        return True

    def take_back(self, now: Moment) -> bool:
        """Take the last pass back, with what was said of it; False if there is none."""
        if not self.verdicts:
            return False
        self.practice.now = now
        for act in reversed(self.verdicts.pop().acts):
            # What another program did meanwhile is not what is taken back; it may have taken this
            # back itself.
            with suppress(RecordError):
                undo(self.practice, act, only_last=False)
        return True

    @property
    def newest_plan(self) -> KeptPlan:
        """The plan that is played last, with what was recorded of it."""
        return self._newest._replace(recorded=recorded_of(self.practice.ledger, self._newest))

    def go_on_with(self, plan: KeptPlan) -> None:
        """Passes of the blocks of another plan are recorded for it."""
        self._newest = plan
        self._plans.update((id(block), plan) for block in plan.session.blocks)

    def suggested(self, step: Step, now: Moment) -> BeatsPerMinute:
        """The belief's tempo for a step's item."""
        return suggested_tempo(self.practice.ability(now), step.item)
