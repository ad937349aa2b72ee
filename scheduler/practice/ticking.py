"""Sessions ticked off by passes that were recorded elsewhere: on a phone, on another machine."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import speed_of
from scheduler.ledger.plans import Basis, KeptPlan, kept_plan, mark_played, marked_among
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Block, Reason
from scheduler.player.facts import Pass
from scheduler.player.history import SPEED_TOLERANCE
from scheduler.player.moments import start_of_day
from scheduler.player.replay import State
from scheduler.practice.practice import Practice


def tick_off(practice: Practice, basis: Basis, state: State, ids: Collection[str]) -> None:
    """Take passes that came from elsewhere as played for yesterday's and today's sessions.

    To be called in the transaction in which they were taken in.

    Args:
        practice: The player's practice.
        basis: What plans go with, until then.
        state: The state until then.
        ids: The ids of what is new here.

    Raises:
        LedgerError: The file can't be read or written.
    """
    ledger, today = practice.ledger, practice.now.day
    # On a journey a day may have begun a day earlier.
    since = start_of_day(today - 2, practice.now.offset_minutes).utc_ms
    by_day: defaultdict[int, list[Pass]] = defaultdict(list)
    for played in ledger.passes(since):
        by_day[played.moment.day].append(played)
    for day in (today - 1, today):
        plan = kept_plan(ledger, day, basis) if by_day[day] else None
        if plan is not None:
            known = marked_among(ledger, ids, plan.numbers)
            passes = [played for played in by_day[day] if played.id not in known]
            mark_played(ledger, plan, _marks(state, plan, passes, ids))


def _marks(
    state: State, plan: KeptPlan, passes: Sequence[Pass], ids: Collection[str]
) -> Iterator[tuple[int, str]]:
    """Blocks and the passes by which they are through with an item: one visit each, in order.

    A visit may have begun before; its last pass is new here.
    """
    visits: defaultdict[Item, list[Pass]] = defaultdict(list)
    for last in _last_of_visits(passes):
        if last.id in ids:
            visits[last.item].append(last)
    for number, items in plan.all_left().items():
        block = plan.session.blocks[number - 1]
        for item in items:
            # The slowest that will do: another block may ask for more.
            fitting = (each for each in visits[item] if _counts(state, block, each))
            found = min(fitting, key=lambda each: each.speed, default=None)
            if found is not None:
                visits[item].remove(found)
                yield number, found.id


def _last_of_visits(passes: Sequence[Pass]) -> Iterator[Pass]:
    """The passes that end a visit: clean ones, and those that are the last of the tries."""
    sloppy: defaultdict[Item, int] = defaultdict(int)
    for played in passes:
        sloppy[played.item] += not played.clean
        if played.clean or sloppy[played.item] == PASSES_A_VISIT:
            sloppy[played.item] = 0
            yield played


def _counts(state: State, block: Block, played: Pass) -> bool:
    """Whether a block is through with an item by a pass: new ground asks for its tempo."""
    if block.reason is not Reason.ONWARD or not played.clean:
        return True
    floor = state.floor_speed_of(played.item.routine)
    planned = speed_of(block.tempo, block.notes_per_beat)
    return played.speed >= min(floor, planned) * (1 - SPEED_TOLERANCE)
