"""Blocks to play along to: what is left of today's session, or one item alone."""

from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.plans import KeptPlan
from scheduler.plan.session import Block, Costs, Reason, Session, Visit, block_of
from scheduler.practice.practice import Practice
from scheduler.practice.session import todays_plan
from scheduler.practice.sheet import sheet_of


def blocks_left(practice: Practice) -> list[Block]:
    """Today's blocks that have something left.

    Raises:
        PlanError: Nothing is left.
    """
    plan = todays_plan(practice)
    blocks = [block for block in plan.session.blocks if plan.left(block.number)]
    if not blocks:
        msg = "nothing is left of today's session: name an item with --item"
        raise PlanError(msg)
    return blocks


def plan_with(practice: Practice, item: Item, tempo: BeatsPerMinute | None, times: int) -> KeptPlan:
    """A plan, which isn't kept, of one item so many times."""
    block = block_with(practice, item, tempo)
    block = block._replace(items=block.items * times)
    session = Session(practice.now.day, block.seconds * times, (block,), (), ())
    return KeptPlan(0, session, practice.now.utc_ms, {})


def block_with(practice: Practice, item: Item, tempo: BeatsPerMinute | None) -> Block:
    """A block of one item, at the tempo given, planned today, or suggested."""
    tempo = sheet_of(practice, item, tempo).tempo
    return block_of(1, [Visit(item, tempo, Reason.ONWARD)], Costs(practice.ability()))
