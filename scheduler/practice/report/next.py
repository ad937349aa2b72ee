"""What to play next: today's session, and the places that need it."""

from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.ledger.plans import kept_plan
from scheduler.plan.session import Block
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice
from scheduler.practice.session import planned_for

NAMED = 12
"""So many weak and stale items are named (our choice)."""


class Needy(NamedTuple):
    """An item that is weak or stale, and why."""

    item: Item
    standing: Standing
    why: str


class Next(NamedTuple):
    """What to play next.

    Attributes:
        blocks: Today's blocks, each with how many of its items are left.
        is_kept: Whether the session was planned already; else it is what would be.
        needy: Weak items of the routine, then stale ones; the first dozen.
        weak: How many items are weak.
        stale: How many are stale.
    """

    blocks: tuple[tuple[Block, int], ...]
    is_kept: bool
    needy: tuple[Needy, ...]
    weak: int
    stale: int


def what_next(practice: Practice) -> Next:
    """What to play next, as the player stands now; no plan is made for it.

    Raises:
        LedgerError: The ledger can't be read.
    """
    plan = kept_plan(practice.ledger, practice.now.day, practice.basis())
    if plan is None:
        session = planned_for(practice, practice.now.day)
        blocks = tuple((block, len(block.items)) for block in session.blocks)
    else:
        left = plan.all_left()
        blocks = tuple((block, len(left[block.number])) for block in plan.session.blocks)
    routine = practice.state.routine
    played = practice.state.histories_of(routine)
    judged = practice.judge_all(item for item, _ in played if practice.has(item))
    needy = [
        Needy(item, found.standing, found.why)
        for standing in (Standing.WEAK, Standing.STALE)
        for item, found in judged.items()
        if found.standing is standing
    ]
    weak = sum(each.standing is Standing.WEAK for each in needy)
    return Next(blocks, plan is not None, tuple(needy[:NAMED]), weak, len(needy) - weak)
