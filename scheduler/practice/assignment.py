"""The assignment that a player has: what it asks for, how far it is done, what comes first."""

from dataclasses import dataclass
from typing import Any

from scheduler.errors import AddressError
from scheduler.guitar.items import Item
from scheduler.guitar.patterns import Pattern
from scheduler.plan.assignment import Assignment, assignment_of, items_of
from scheduler.player.replay import State
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import clean_in_round


@dataclass(frozen=True, slots=True)
class Assigned:
    """How far an assignment is done.

    Attributes:
        assignment: The assignment.
        total: The items of the round that it asks for.
        clean: How many of them are clean in the round.
        is_over: Whether its day is over.
    """

    assignment: Assignment
    total: int
    clean: int
    is_over: bool

    @property
    def is_done(self) -> bool:
        """Whether all of them are clean."""
        return 0 < self.total == self.clean

    def told(self) -> dict[str, Any]:
        """The same as JSON tells it."""
        return {
            "by": self.assignment.by,
            "until": self.assignment.until.isoformat(),
            "places": list(self.assignment.places),
            "words": self.assignment.words,
            "items_total": self.total,
            "items_clean": self.clean,
            "is_over": self.is_over,
        }


@dataclass(frozen=True, slots=True)
class AssignmentReport:
    """The assignment of a round.

    Attributes:
        assigned: How far it is done.
        patterns: Its places; none for all of the round.
        items: The items of the round that it asks for.
    """

    assigned: Assigned
    patterns: tuple[Pattern, ...]
    items: tuple[Item, ...]


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
    is_over = (day or practice.now.day) > assignment.until.toordinal()
    assigned = Assigned(assignment, len(items), clean_in_round(state, items), is_over)
    return AssignmentReport(assigned, tuple(patterns), items)


def comes_first(practice: Practice, day: int, state: State | None = None) -> frozenset[Item]:
    """The items that a session of a day (ordinal) keeps to: none once they are clean."""
    found = assignment_report(practice, day, state)
    if found is None or not found.patterns:
        return frozenset()
    if found.assigned.is_over or found.assigned.is_done:
        return frozenset()
    return frozenset(found.items)
