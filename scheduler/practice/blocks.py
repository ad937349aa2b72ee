"""Blocks to play along to: what is left of today's session, or one item alone."""

from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.session import Block, Costs, Reason, Visit, block_of
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


def block_with(practice: Practice, item: Item, tempo: BeatsPerMinute | None) -> Block:
    """A block of one item, at the tempo given, planned today, or suggested."""
    tempo = sheet_of(practice, item, tempo).tempo
    return block_of(1, [Visit(item, tempo, Reason.ONWARD)], Costs(practice.ability()))
