"""The command `record`: take down what was played."""

import re
from typing import NamedTuple

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.options import read_errors, read_fault, read_moment, read_note
from scheduler.cli.telling import tell_events
from scheduler.errors import RecordError, UsageError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import matching, nearest, parse_frets, parse_pattern
from scheduler.guitar.sequence import notes_in
from scheduler.ledger.plans import KeptPlan, kept_plan, latest_plan, mark_done
from scheduler.plan.settings import parse_tempo
from scheduler.player.facts import Pass
from scheduler.player.moments import Moment

CLEAN, SLOPPY = "clean", "sloppy"
AFTER_MIDNIGHT_MS = 12 * 3_600_000
"""A plan made so long ago may still be recorded if its day is over."""


class Telling(NamedTuple):
    """The words of one `record`."""

    what: str
    verdict: str
    tempo: str | None = None
    errors: str | None = None
    fault: str | None = None
    again: str | None = None
    sloppy: str | None = None
    note: str | None = None
    at: str | None = None
    repeat: bool = False


class Played(NamedTuple):
    """An item that was played: for which block of the plan, if any, and at what tempo."""

    item: Item
    tempo: BeatsPerMinute
    block: int | None
    notes_per_beat: int


class Verdict(NamedTuple):
    """How often and how an item was played."""

    played: Played
    results: tuple[bool, ...]


def record(desk: Desk, telling: Telling, *, as_json: bool) -> None:
    """Record passes as one entry, and say where the items stand now."""
    verdicts, plan, moment = _read(desk, telling)
    passes, marks = _passes(desk, telling, verdicts, moment)
    with desk.ledger.writing():
        desk.ledger.insert(passes)
        if plan is not None and marks:
            mark_done(desk.ledger, plan.session.day, marks)
    desk.forget_changes()
    items = list(dict.fromkeys(played.item for played in passes))
    clean = sum(played.clean for played in passes)
    said = f"recorded {_passes_words(len(passes))}: {clean} clean, {len(passes) - clean} sloppy"
    tell_events(desk, "recorded", [played.id for played in passes], items, said, as_json=as_json)
    if not as_json and plan is not None:
        done = ((v.played.block, v.played.item) for v in verdicts if v.played.block is not None)
        _say_what_is_left(plan.with_done(done))


def _passes_words(number: int) -> str:
    return "1 pass" if number == 1 else f"{number} passes"


def _say_what_is_left(plan: KeptPlan) -> None:
    left = [str(block.number) for block in plan.session.blocks if plan.left(block.number)]
    typer.echo(f"blocks left: {', '.join(left)}" if left else "the whole session is recorded")


def _read(desk: Desk, telling: Telling) -> tuple[list[Verdict], KeptPlan | None, Moment]:
    """Everything that can be wrong is found out here, before anything is written."""
    if telling.verdict not in {CLEAN, SLOPPY}:
        hint = nearest(telling.verdict, [CLEAN, SLOPPY])
        msg = f"a pass is clean or sloppy, not {telling.verdict!r}{hint}"
        raise UsageError(msg)
    moment = desk.now if telling.at is None else read_moment(telling.at, desk.now)
    plan = kept_plan(desk.ledger, moment.day)
    if plan is None and telling.at is None:
        plan = latest_plan(desk.ledger, since_ms=moment.utc_ms - AFTER_MIDNIGHT_MS)
    tempo = None if telling.tempo is None else parse_tempo(telling.tempo)
    if _names_blocks(telling.what):
        played = _blocks(telling, plan, tempo)
    else:
        played = _items(desk, telling, plan, tempo)
    verdicts = _verdicts(telling, played)
    if all(all(verdict.results) for verdict in verdicts) and (telling.errors or telling.fault):
        msg = (
            "errors and faults belong to sloppy passes: say which with sloppy, --sloppy or --again"
        )
        raise UsageError(msg)
    return verdicts, plan, moment


def _names_blocks(what: str) -> bool:
    return what == "all" or re.fullmatch(r"[0-9,-]+", what) is not None


def _blocks(telling: Telling, plan: KeptPlan | None, tempo: BeatsPerMinute | None) -> list[Played]:
    if plan is None:
        msg = "no session is planned for that day: plan one with upneck today, or name an address"
        raise RecordError(msg)
    blocks = plan.session.blocks
    numbers = (
        list(range(1, len(blocks) + 1))
        if telling.what == "all"
        else sorted(parse_frets(telling.what))
    )
    played = []
    for number in numbers:
        if not 1 <= number <= len(blocks):
            msg = f"no block {number}: today's session has blocks 1 to {len(blocks)}"
            raise UsageError(msg)
        block = blocks[number - 1]
        left = plan.left(number)
        if telling.repeat:
            left = tuple(planned.item for planned in block.items)
        played += [Played(i, tempo or block.tempo, number, block.notes_per_beat) for i in left]
    if not played:
        msg = f"block {telling.what} is recorded already: --repeat if you played it again"
        raise RecordError(msg)
    return played


def _items(
    desk: Desk, telling: Telling, plan: KeptPlan | None, tempo: BeatsPerMinute | None
) -> list[Played]:
    pattern = parse_pattern(telling.what)
    found = matching(desk.neck, pattern)
    wanted = frozenset(found)
    in_round = [item for item in desk.order if item in wanted]
    played = []
    for item in in_round or found:
        number, planned = _planned(plan, item)
        at = tempo or planned
        if at is None:
            msg = f"{item.address} is not in today's session: say the tempo with --tempo"
            raise UsageError(msg)
        played.append(Played(item, at, number, desk.settings.notes_per_beat))
    return played


def _planned(plan: KeptPlan | None, item: Item) -> tuple[int | None, BeatsPerMinute | None]:
    """The block that an item is left in (else one that holds it), and its tempo there."""
    if plan is None:
        return None, None
    holding = [block for block in plan.session.blocks if any(p.item == item for p in block.items)]
    for block in sorted(holding, key=lambda block: item not in plan.left(block.number)):
        return block.number, block.tempo
    return None, None


def _verdicts(telling: Telling, played: list[Played]) -> list[Verdict]:
    again = _chosen(telling.again, played, "--again")
    sloppy = _chosen(telling.sloppy, played, "--sloppy")
    both = again & sloppy
    if both:
        msg = f"fret {min(p.item.fret for p in both)} is in --again and in --sloppy"
        raise UsageError(msg)
    verdicts = []
    for each in played:
        if each in again:
            results: tuple[bool, ...] = (False, True)
        elif each in sloppy:
            results = (False,)
        else:
            results = (telling.verdict == CLEAN,)
        verdicts.append(Verdict(each, results))
    return verdicts


def _chosen(text: str | None, played: list[Played], option: str) -> set[Played]:
    """Those at the frets that an option names; `2/7,9` means frets 7 and 9 of block 2."""
    if text is None:
        return set()
    chosen: set[Played] = set()
    block: int | None = None
    for piece in text.split(","):
        head, slash, frets = piece.rpartition("/")
        if slash:
            block = int(head) if head.isascii() and head.isdigit() else 0
        for fret in sorted(parse_frets(frets)):
            found = {
                p for p in played if p.item.fret == fret and (block is None or p.block == block)
            }
            if not found:
                where = "what is left of it" if block is None else f"what is left of block {block}"
                msg = f"{option}: no fret {fret} in {where}; its frets are {_frets(played)}"
                raise UsageError(msg)
            chosen |= found
    return chosen


def _frets(played: list[Played]) -> str:
    frets = sorted({p.item.fret for p in played})
    return ", ".join(str(fret) for fret in frets)


def _passes(
    desk: Desk, telling: Telling, verdicts: list[Verdict], moment: Moment
) -> tuple[list[Pass], list[tuple[int, str]]]:
    """The passes, and which block each was played for; all at one moment, their ids in order."""
    errors = None if telling.errors is None else read_errors(telling.errors)
    fault = None if telling.fault is None else read_fault(telling.fault)
    note = "" if telling.note is None else read_note(telling.note)
    ids = desk.ledger.ids(desk.now)
    flat = [(v.played, clean) for v in verdicts for clean in v.results]
    passes, marks = [], []
    for played, clean in flat:
        made = Pass(
            id=ids.next(),
            moment=moment,
            item=played.item,
            notes=notes_in(desk.neck.strings, coupling=played.item.coupling),
            tempo=played.tempo,
            notes_per_beat=played.notes_per_beat,
            clean=clean,
            errors=0 if clean else errors,
            fault=None if clean else fault,
            note=note,
        )
        passes.append(made)
        if played.block is not None:
            marks.append((played.block, made.id))
    return passes, marks
