"""A session as it is written down: what is left of it, and what stands beside it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.guitar.items import Item
from scheduler.guitar.routine import Routine
from scheduler.ledger.plans import KeptPlan
from scheduler.plan.session import Session
from scheduler.practice.assignment import AssignmentReport, assignment_report
from scheduler.practice.practice import Practice
from scheduler.practice.sheet import Sheet


@dataclass(frozen=True, slots=True)
class WrittenSession:
    """A session, ready to be written down.

    Attributes:
        session: The session.
        left: The items of each block that are left, by the block's number.
        sheets: The items' notes and fingers.
        report: The assignment, if there is one.
        routine: The routine that goes onward.
        today: The day on which it is written down.
        is_left_handed: Whether boxes are mirrored.
    """

    session: Session
    left: Mapping[int, Sequence[Item]]
    sheets: Mapping[Item, Sheet]
    report: AssignmentReport | None
    routine: Routine
    today: date
    is_left_handed: bool

    @property
    def is_begun(self) -> bool:
        """Whether anything of it was recorded."""
        return any(len(self.left[each.number]) < len(each.items) for each in self.session.blocks)


def written_session(
    practice: Practice, plan: KeptPlan, sheets: Mapping[Item, Sheet]
) -> WrittenSession:
    """What is left of a plan, with all that is written down of it.

    Args:
        practice: The player's practice.
        plan: The plan.
        sheets: The notes and fingers of its items.
    """
    return WrittenSession(
        session=plan.session,
        left=plan.all_left(),
        sheets=sheets,
        report=assignment_report(practice, plan.session.day),
        routine=practice.state.routine,
        today=practice.now.date,
        is_left_handed=practice.settings.left_handed,
    )
