"""A session: numbered blocks of items that are played one after the other at one tempo."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from scheduler.guitar.durations import opening_seconds, way_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS, BeatsPerMinute, speed_of
from scheduler.plan.cost import expected_passes, visit_seconds
from scheduler.player.facts import Fault
from scheduler.player.replay import RECENT_DAYS
from scheduler.player.tempo import Ability

MARKS_IN_A_BLOCK = 2
"""Items whose tempos lie further apart than so many marks are not played in one block."""

PLAYING_BEFORE_BREAK_SECONDS = 1800.0
BREAK_SECONDS = 300.0
"""Five minutes for every half hour: British Association for Performing Arts Medicine, "Ten Top
Health Tips for Musicians"."""


FEWEST_FAULTS, FAULT_SHARE = 2, 0.75


class Reason(StrEnum):
    """Why a block is in the session."""

    WARM_UP = "warm-up"
    REPAIR = "repair"
    ONWARD = "onward"
    REFRESH = "refresh"
    FIND_WAY = "find your way"


class Visit(NamedTuple):
    """An item that the session should hold, before it is put into a block.

    Attributes:
        item: The item.
        tempo: The tempo that suits it.
        reason: Why it is played.
        worth: What revisiting it is worth; 0 for warm-up and onward.
        why: The same in words.
    """

    item: Item
    tempo: BeatsPerMinute
    reason: Reason
    worth: float = 0.0
    why: str = ""


class PlannedItem(NamedTuple):
    """An item in a block.

    Attributes:
        item: The item.
        tempo: The block's tempo.
        clean_chance: The chance of a clean pass at it.
        expected_passes: Passes until clean, giving up after three.
        seconds: The expected time, with settling and the way to it from the item before.
        worth: What revisiting it is worth.
        why: Why it is here.
    """

    item: Item
    tempo: BeatsPerMinute
    clean_chance: float
    expected_passes: float
    seconds: float
    worth: float
    why: str


class Block(NamedTuple):
    """Items of one box or coupling, played one after the other at one tempo.

    Attributes:
        number: From 1 on.
        reason: Why it is in the session.
        tempo: In beats per minute.
        notes_per_beat: 1, 2, 3, 4 or 6.
        seconds: The expected time.
        items: What is played, in order.
        fault: The fault that recent sloppy passes of its items share, if they do.
    """

    number: int
    reason: Reason
    tempo: BeatsPerMinute
    notes_per_beat: int
    seconds: float
    items: tuple[PlannedItem, ...]
    fault: Fault | None = None

    @property
    def all_items(self) -> tuple[Item, ...]:
        """What is played, without how."""
        return tuple(planned.item for planned in self.items)


class Break(NamedTuple):
    """A break, on top of the budget."""

    after_block: int
    seconds: float


class Session(NamedTuple):
    """What to play on one day.

    Attributes:
        day: The local day, as an ordinal.
        budget_seconds: What the player has.
        blocks: What to play, numbered from 1.
        breaks: When to rest.
        cautions: Sentences to read before playing.
        short_of_floor: The share of the items still ahead that would be clean less than half of
            the time at the floor tempo.
        fitting_floor: The floor tempo that would suit, where too many of them would; else None.
        wanted_seconds: The time that was asked for; the budget is less on the first days back.
        is_round_done: Whether nothing of the round is ahead.
    """

    day: int
    budget_seconds: float
    blocks: tuple[Block, ...]
    breaks: tuple[Break, ...]
    cautions: tuple[str, ...]
    short_of_floor: float = 0.0
    fitting_floor: BeatsPerMinute | None = None
    wanted_seconds: float = 0.0
    is_round_done: bool = False

    @property
    def planned_seconds(self) -> float:
        """The expected time of all blocks."""
        return sum(block.seconds for block in self.blocks)

    @property
    def warm_up_seconds(self) -> float:
        """The expected time of the warm-up."""
        return sum(block.seconds for block in self.blocks if block.reason is Reason.WARM_UP)


def _belongs_with(group: list[Visit], visit: Visit) -> bool:
    """Whether a visit can be played in one block with those before it."""
    first = group[0]
    if (
        first.reason is not visit.reason
        or (first.item.box, first.item.coupling, first.item.stroke)
        != (visit.item.box, visit.item.coupling, visit.item.stroke)
        or (visit.item.coupling and first.item.direction is not visit.item.direction)
    ):
        return False
    tempos = [member.tempo for member in group] + [visit.tempo]
    return _marks_between(min(tempos), max(tempos)) <= MARKS_IN_A_BLOCK


def _marks_between(slower: float, faster: float) -> int:
    return sum(1 for mark in MARKS if slower < mark <= faster)


def grouped(visits: Iterable[Visit]) -> list[list[Visit]]:
    """Visits, in order, in the groups that become blocks."""
    groups: list[list[Visit]] = []
    for visit in visits:
        if groups and _belongs_with(groups[-1], visit):
            groups[-1].append(visit)
        else:
            groups.append([visit])
    return groups


class Costs:
    """Chances and seconds of items at tempos, each computed once."""

    def __init__(self, ability: Ability) -> None:
        self.ability = ability
        self._outlook = ability.outlook
        self._known: dict[tuple[Item, float], tuple[float, float]] = {}

    def of(self, item: Item, tempo: BeatsPerMinute) -> tuple[float, float]:
        """Chance of a clean pass, and expected seconds inside a block."""
        key = (item, tempo)
        if key not in self._known:
            beat = self.ability.notes_per_beat
            chance = self._outlook(item).clean_chance(speed_of(tempo, beat))
            seconds = visit_seconds(self.ability.notes(item), tempo, beat, chance)
            self._known[key] = (chance, seconds)
        return self._known[key]

    def alone(self, visit: Visit) -> float:
        """Expected seconds of an item in a block of its own."""
        return self.of(visit.item, visit.tempo)[1] + opening_seconds(visit.tempo)


def block_of(number: int, group: list[Visit], costs: Costs) -> Block:
    """The block of a group of visits, at the slowest of their tempos."""
    tempo = min(visit.tempo for visit in group)
    before = [None, *(visit.item for visit in group)]
    items = []
    for last, visit in zip(before, group, strict=False):
        chance, seconds = costs.of(visit.item, tempo)
        way = way_seconds(last, visit.item, tempo)
        items.append(
            PlannedItem(
                visit.item, tempo, chance, expected_passes(chance), seconds + way,
                visit.worth, visit.why,
            )
        )  # fmt: skip
    return Block(
        number=number,
        reason=group[0].reason,
        tempo=tempo,
        notes_per_beat=costs.ability.notes_per_beat,
        seconds=sum(item.seconds for item in items),
        items=tuple(items),
        fault=shared_fault(costs.ability, [visit.item for visit in group]),
    )


def shared_fault(ability: Ability, items: Sequence[Item]) -> Fault | None:
    """The fault that at least two, and most, of the recent sloppy passes of some items had."""
    since = ability.now.day - RECENT_DAYS
    said = Counter(
        fault for item in items for day, fault in ability.state.history(item).faults if day >= since
    )
    for fault, times in said.most_common(1):
        if times >= FEWEST_FAULTS and times >= FAULT_SHARE * said.total():
            return Fault(fault)
    return None


def blocks_of(visits: Iterable[Visit], costs: Costs) -> tuple[Block, ...]:
    """Blocks of visits, in order."""
    blocks = (block for group in grouped(visits) for block in _in_parts(group, costs))
    return numbered(blocks)


def numbered(blocks: Iterable[Block]) -> tuple[Block, ...]:
    """Blocks in order, numbered from 1 on."""
    return tuple(block._replace(number=number) for number, block in enumerate(blocks, start=1))


def _in_parts(group: list[Visit], costs: Costs) -> Iterator[Block]:
    """The block of a group; more than one where it would last too long without a break."""
    block = block_of(1, group, costs)
    if len(group) == 1 or block.seconds <= PLAYING_BEFORE_BREAK_SECONDS:
        yield block
        return
    fits = bisect_right(
        range(1, len(group)),
        PLAYING_BEFORE_BREAK_SECONDS,
        key=lambda count: block_of(1, group[:count], costs).seconds,
    )
    yield block_of(1, group[: max(fits, 1)], costs)
    yield from _in_parts(group[max(fits, 1) :], costs)


def middle_of(visits: list[Visit], seconds: Callable[[Visit], float]) -> int:
    """Where to cut onward items in two: a change of block near the middle, else the middle."""
    times = [seconds(visit) for visit in visits]
    half, so_far, cut = sum(times) / 2, 0.0, len(visits)
    for place, time in enumerate(times):
        if so_far >= half:
            cut = place
            break
        so_far += time
    edges = [0]
    for group in grouped(visits):
        edges.append(edges[-1] + len(group))
    nearest = min(edges[1:-1], key=lambda edge: abs(edge - cut), default=cut)
    return nearest if abs(nearest - cut) <= len(visits) // 5 else cut


def breaks_in(blocks: Iterable[Block]) -> tuple[Break, ...]:
    """A break wherever half an hour of playing would be passed by the next block."""
    breaks, played = [], 0.0
    for block in blocks:
        if played and played + block.seconds > PLAYING_BEFORE_BREAK_SECONDS:
            breaks.append(Break(block.number - 1, BREAK_SECONDS))
            played = 0.0
        played += block.seconds
    return tuple(breaks)


def joined(before: Session, more: Session, budget_seconds: float) -> Session:
    """A session and how it goes on, as one; the blocks of the first keep their numbers."""
    blocks = numbered((*before.blocks, *more.blocks))
    return more._replace(
        budget_seconds=max(before.budget_seconds, budget_seconds),
        wanted_seconds=max(before.wanted_seconds, budget_seconds),
        blocks=blocks,
        breaks=breaks_in(blocks),
        cautions=before.cautions,
    )
