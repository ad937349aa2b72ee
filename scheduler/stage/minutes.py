"""What is left of a session's minutes."""

from scheduler.ledger.plans import KeptPlan
from scheduler.practice.practice import Practice


def seconds_left(practice: Practice, plan: KeptPlan) -> float:
    """What is left of today's minutes; no less than the plan's rest takes."""
    today = practice.state.days.get(practice.now.day)
    played = today.practised_seconds if today and plan.recorded else 0.0
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
