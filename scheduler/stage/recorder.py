"""What is played on the stage, recorded through the practice: every verdict is an act on disk."""

from typing import NamedTuple

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.plans import KeptPlan, as_recorded
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment
from scheduler.player.tempo import suggested_tempo
from scheduler.practice.playing import Playing, record_pass, say_fault, take_back
from scheduler.practice.practice import Practice
from scheduler.stage.hands_on import Step


class Verdict(NamedTuple):
    """A pass that is on disk, and the ids of what was said of it."""

    played: Pass
    faults: tuple[str, ...] = ()


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
        plan = self._plans[id(step.block)]
        # An item that is played alone belongs to no plan that is kept.
        is_kept = plan.number > 0
        played = record_pass(self.practice, playing, plan if is_kept else None, block)
        self.verdicts.append(Verdict(played))

    def say_fault(self, fault: Fault, now: Moment) -> bool:
        """Say what was sloppy about the last pass; False if it wasn't sloppy."""
        if not self.verdicts or self.verdicts[-1].played.clean:
            return False
        self.practice.now = now
        last = self.verdicts.pop()
        said = say_fault(self.practice, last.played.id, fault)
        self.verdicts.append(last._replace(faults=(*last.faults, said)))
        return True

    def take_back(self, now: Moment) -> bool:
        """Take the last pass back, with what was said of it; False if there is none."""
        if not self.verdicts:
            return False
        self.practice.now = now
        played, faults = self.verdicts.pop()
        for event_id in (*reversed(faults), played.id):
            take_back(self.practice, event_id)
        return True

    @property
    def newest_plan(self) -> KeptPlan:
        """The plan that is played last, with what was recorded of it."""
        return as_recorded(self.practice.ledger, self._newest)

    def go_on_with(self, plan: KeptPlan) -> None:
        """Passes of the blocks of another plan are recorded for it."""
        self._newest = plan
        self._plans.update((id(block), plan) for block in plan.session.blocks)

    def suggested(self, step: Step, now: Moment) -> BeatsPerMinute:
        """The belief's tempo for a step's item."""
        return suggested_tempo(self.practice.ability(now), step.item)
