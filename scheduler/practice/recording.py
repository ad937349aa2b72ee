"""What was played, recorded: blocks of a session, or items by their pattern."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from scheduler.errors import RecordError, UsageError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import Pattern, matching
from scheduler.ledger.acts import MEANWHILE
from scheduler.ledger.events import TOOK, SettingChanged
from scheduler.ledger.plans import KeptPlan, kept_plan, latest_plan, mark_played, recorded_of
from scheduler.plan.session import Block
from scheduler.plan.settings import format_setting
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment
from scheduler.player.standing import Judgement
from scheduler.practice.act import act
from scheduler.practice.practice import Practice

AFTER_MIDNIGHT_MS = 12 * 3_600_000
"""A plan made so long ago may still be recorded if its day is over."""


class Frets(NamedTuple):
    """Some frets, of one block of the session or of whatever is recorded."""

    block: int | None
    frets: frozenset[int]


class Told(NamedTuple):
    """What a player tells of what was played.

    Attributes:
        blocks: Numbers of blocks; none for all of them.
        pattern: The items; None where blocks are told.
        clean: Whether they were clean, but for what follows.
        tempo: Beats per minute; None for the planned tempo.
        errors: Errors of each sloppy pass; None if not counted.
        fault: What was sloppy.
        second_try: What was sloppy first, clean when repeated.
        sloppy: What stayed sloppy.
        note: The player's own words.
        at: When it was played; None for now.
        repeat: Whether blocks that are recorded already were played again.
        took: How many minutes it took, where the player says so.
        to: The last fret that was played of a block, where the rest is left.
    """

    blocks: frozenset[int] = frozenset()
    pattern: Pattern | None = None
    clean: bool = True
    tempo: BeatsPerMinute | None = None
    errors: int | None = None
    fault: Fault | None = None
    second_try: tuple[Frets, ...] = ()
    sloppy: tuple[Frets, ...] = ()
    note: str = ""
    at: Moment | None = None
    repeat: bool = False
    took: float | None = None
    to: int | None = None


class Playing(NamedTuple):
    """An item that was played: for which block of the plan, if any, and at what tempo."""

    item: Item
    tempo: BeatsPerMinute
    block: int | None
    notes_per_beat: int


@dataclass(frozen=True, slots=True)
class Recorded:
    """What was recorded.

    Attributes:
        passes: The passes.
        judgements: Where their items stand now.
        plan: The plan that blocks of were recorded, with what is left of it; None without one.
        left_out: Items that a pattern named, but that aren't in the round.
    """

    passes: tuple[Pass, ...]
    judgements: dict[Item, Judgement]
    plan: KeptPlan | None
    left_out: tuple[Item, ...]


def record(practice: Practice, told: Told) -> Recorded:
    """Record passes as one act. Whatever is wrong is found before anything is written.

    Raises:
        UsageError: What is told doesn't go together, or names what isn't there.
        RecordError: There is no session to record, or the block is recorded already.
        LedgerError: The file can't be written.
    """
    moment = told.at or practice.now
    is_today = moment.day == practice.now.day
    plan = kept_plan(practice.ledger, moment.day, practice.basis() if is_today else None)
    if plan is None and told.at is None:
        since = moment.utc_ms - AFTER_MIDNIGHT_MS
        plan = latest_plan(practice.ledger, since, practice.basis())
    if plan is None and told.at is None and told.pattern is None:
        plan = kept_plan(practice.ledger, moment.day - 1, practice.basis())
        if plan is not None:
            told = told._replace(at=_end_of(plan, practice))
    left_out: tuple[Item, ...] = ()
    if told.pattern is None:
        playings = _blocks(told, plan)
    else:
        playings, left_out = _items(practice, told, told.pattern, plan)
    results = _results(told, playings)
    if all(all(tries) for _, tries in results) and (told.errors or told.fault):
        msg = (
            "errors and faults belong to sloppy passes: say which with sloppy, --sloppy or "
            "--second-try"
        )
        raise UsageError(msg)
    return replace(_written(practice, told, results, plan), left_out=left_out)


def _end_of(plan: KeptPlan, practice: Practice) -> Moment:
    """When yesterday's session was probably over; the player is told so."""
    ends_ms = plan.made_at_ms + round(1000 * plan.session.planned_seconds)
    ended = practice.now._replace(utc_ms=min(ends_ms, practice.now.utc_ms))
    practice.tell(
        f"no session is planned today, so this counts for yesterday's, at "
        f"{ended.as_datetime():%H:%M}: --at gives another time"
    )
    return ended


def _blocks(told: Told, plan: KeptPlan | None) -> list[Playing]:
    if plan is None:
        msg = "no session is planned for that day: plan one with upneck today, or name an address"
        raise RecordError(msg)
    blocks = plan.session.blocks
    if not blocks:
        msg = "today's session has no blocks: name an address"
        raise RecordError(msg)
    playings = []
    for number in sorted(told.blocks) or range(1, len(blocks) + 1):
        if not 1 <= number <= len(blocks):
            there = f"blocks 1 to {len(blocks)}" if len(blocks) > 1 else "one block"
            msg = f"no block {number}: today's session has {there}"
            raise UsageError(msg)
        block = blocks[number - 1]
        items = block.all_items
        left = items if told.repeat else plan.left(number)
        if told.to is not None:
            left = _up_to(left, told.to, number)
        tempo = told.tempo or block.tempo
        playings += [Playing(item, tempo, number, block.notes_per_beat) for item in left]
    if not playings:
        numbers = sorted(told.blocks) or list(range(1, len(blocks) + 1))
        many = len(numbers) > 1
        words = f"blocks {', '.join(map(str, numbers))} are" if many else f"block {numbers[0]} is"
        again = "them" if many else "it"
        msg = f"{words} recorded already: --repeat if you played {again} again"
        raise RecordError(msg)
    return playings


def _up_to(left: Sequence[Item], fret: int, number: int) -> tuple[Item, ...]:
    """What is left of a block, as far as a fret.

    Raises:
        UsageError: The fret isn't in it.
    """
    frets = [item.fret for item in left]
    if left and fret not in frets:
        there = ", ".join(map(str, frets))
        msg = f"--to: no fret {fret} in what is left of block {number}; its frets are {there}"
        raise UsageError(msg)
    return tuple(left[: frets.index(fret) + 1]) if left else ()


def _items(
    practice: Practice, told: Told, pattern: Pattern, plan: KeptPlan | None
) -> tuple[list[Playing], tuple[Item, ...]]:
    """The items of a pattern that are in the round, in its order, else all; what is left out."""
    found = matching(practice.neck, pattern)
    wanted = frozenset(found)
    in_round = [item for item in practice.order if item in wanted]
    left_out = tuple(sorted(wanted.difference(in_round))) if in_round else ()
    playings = []
    for item in in_round or found:
        block = _planned(plan, item)
        number = None if block is None else block.number
        beat = practice.settings.notes_per_beat
        tempo = told.tempo
        if tempo is None and block is not None:
            tempo, beat = block.tempo, block.notes_per_beat
        if tempo is None:
            msg = f"{item.address} is not in today's session: say the tempo with --tempo"
            raise UsageError(msg)
        playings.append(Playing(item, tempo, number, beat))
    return playings, left_out


def _planned(plan: KeptPlan | None, item: Item) -> Block | None:
    """The block that an item is left in, else one that holds it."""
    if plan is None:
        return None
    holding = [block for block in plan.session.blocks if item in block.all_items]
    for block in sorted(holding, key=lambda block: item not in plan.left(block.number)):
        return block
    return None


def _results(told: Told, playings: list[Playing]) -> list[tuple[Playing, tuple[bool, ...]]]:
    """How each item went, try after try."""
    second = _chosen(told.second_try, playings, "--second-try")
    sloppy = _chosen(told.sloppy, playings, "--sloppy")
    both = second & sloppy
    if both:
        msg = f"fret {min(p.item.fret for p in both)} is in --second-try and in --sloppy"
        raise UsageError(msg)
    results: list[tuple[Playing, tuple[bool, ...]]] = []
    for each in playings:
        if each in second:
            results.append((each, (False, True)))
        else:
            results.append((each, (told.clean and each not in sloppy,)))
    return results


def _chosen(named: Iterable[Frets], playings: list[Playing], option: str) -> set[Playing]:
    chosen: set[Playing] = set()
    for block, frets in named:
        for fret in sorted(frets):
            found = {
                p for p in playings if p.item.fret == fret and (block is None or p.block == block)
            }
            if not found and block is not None and all(p.block != block for p in playings):
                msg = f"{option}: block {block} is not recorded here, or is recorded already"
                raise UsageError(msg)
            if not found:
                of_block = {p.item.fret for p in playings if block is None or p.block == block}
                there = ", ".join(map(str, sorted(of_block)))
                where = "no block" if block is None else f"block {block}"
                verb = "has fret" if block is None else "has no fret"
                msg = f"{option}: {where} {verb} {fret} left: the frets left are {there}"
                raise UsageError(msg)
            chosen |= found
    return chosen


def _written(
    practice: Practice,
    told: Told,
    results: list[tuple[Playing, tuple[bool, ...]]],
    plan: KeptPlan | None,
) -> Recorded:
    """Write the passes, all at one moment, their ids in order."""
    flat = [(playing, clean) for playing, tries in results for clean in tries]
    with act(practice, "record") as doing:
        if plan is not None and recorded_of(practice.ledger, plan) != plan.recorded:
            raise RecordError(MEANWHILE)
        passes = [
            Pass(
                id=doing.ids.next(),
                moment=told.at or doing.moment,
                item=playing.item,
                notes=playing.item.notes_on(practice.neck.strings),
                tempo=playing.tempo,
                notes_per_beat=playing.notes_per_beat,
                clean=clean,
                errors=0 if clean else told.errors,
                fault=None if clean else told.fault,
                note=told.note,
            )
            for playing, clean in flat
        ]
        doing.add(passes)
        if told.took is not None:
            minutes = format_setting(told.took)
            doing.add([SettingChanged(doing.ids.next(), passes[0].moment, TOOK, minutes)])
        marks = [
            (playing.block, played.id)
            for (playing, _), played in zip(flat, passes, strict=True)
            if playing.block is not None
        ]
        if plan is not None and marks:
            mark_played(practice.ledger, plan, marks)
    if plan is not None:
        plan = plan.with_recorded(
            (playing.block, playing.item) for playing, _ in results if playing.block is not None
        )
    items = dict.fromkeys(played.item for played in passes)
    return Recorded(tuple(passes), practice.judge_all(items), plan, ())
