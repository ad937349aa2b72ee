"""The assignment that a player has: what it asks for, how far it is done, what comes first."""

from dataclasses import dataclass

from scheduler.errors import AddressError
from scheduler.guitar.items import Item
from scheduler.guitar.patterns import Pattern
from scheduler.plan.assignment import Assignment, assignment_of, items_of
from scheduler.player.replay import State
from scheduler.player.standing import counts_in_round
from scheduler.practice.practice import Practice


@dataclass(frozen=True, slots=True)
class AssignmentReport:
    """How far an assignment is done.

    Attributes:
        assignment: The assignment.
        patterns: Its places; none for all of the round.
        items: The items of the round that it asks for.
        clean: How many of them are clean in the round.
        is_over: Whether its day is over.
    """

    assignment: Assignment
    patterns: tuple[Pattern, ...]
    items: tuple[Item, ...]
    clean: int
    is_over: bool

    @property
    def total(self) -> int:
        """All its items."""
        return len(self.items)

    @property
    def is_done(self) -> bool:
        """Whether all of them are clean."""
        return 0 < self.total == self.clean


def assignment_report(
    practice: Practice, day: int | None = None, state: State | None = None
) -> AssignmentReport | None:
    """How far the assignment is done; None where there is none of the routine that goes onward.

    Args:
        practice: The player's practice.
        day: The day (ordinal) that is asked about; None for today.
        state: What was concluded from the record; None for now's.
    """
    settings, state = practice.settings, state or practice.state
    assignment = assignment_of(*settings.assigned_as)
    if assignment is None:
        return None
    try:
        patterns = assignment.patterns(practice.ledger.routines)
    except AddressError:
        # Its routine was taken back.
        return None
    if any(pattern.routine is not state.routine for pattern in patterns):
        return None
    order = [item for trip in practice.trips(state) for item in trip.items]
    items = items_of(practice.neck, patterns, order) if patterns else tuple(order)
    floor = state.floor_speed_of(state.routine)
    return AssignmentReport(
        assignment=assignment,
        patterns=tuple(patterns),
        items=items,
        clean=sum(counts_in_round(state.history(item), floor) for item in items),
        is_over=(day or practice.now.day) > assignment.until.toordinal(),
    )


def comes_first(practice: Practice, day: int, state: State | None = None) -> frozenset[Item]:
    """The items that a session of a day (ordinal) keeps to: none once they are clean."""
    found = assignment_report(practice, day, state)
    if found is None or found.is_over or found.is_done or not found.patterns:
        return frozenset()
    return frozenset(found.items)
