"""What is left of a session's minutes."""

from scheduler.ledger.plans import KeptPlan
from scheduler.practice.practice import Practice


def seconds_left(practice: Practice, plan: KeptPlan) -> float:
    """What is left of the minutes of a plan's day; no less than the plan's rest takes."""
    day = practice.state.days.get(plan.session.day)
    played = day.practised_seconds if day and plan.recorded else 0.0
    return max(plan.session.budget_seconds - played, seconds_of_rest(plan))


def seconds_of_rest(plan: KeptPlan) -> float:
    """The expected seconds of what is left of a plan."""
    left = {number: frozenset(items) for number, items in plan.all_left().items()}
    return sum(
        planned.seconds
        for block in plan.session.blocks
        for planned in block.items
        if planned.item in left[block.number]
    )
