"""The command `record`: take down what was played."""

import re
from typing import NamedTuple

import typer

from scheduler.cli.options import read_errors, read_fault, read_moment
from scheduler.cli.standings import print_standings
from scheduler.cli.telling import tell
from scheduler.errors import UsageError
from scheduler.guitar.patterns import nearest, parse_frets, parse_pattern
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.plan.values import parse_minutes, parse_tempo, whole_number
from scheduler.player.facts import check_note
from scheduler.player.moments import Moment
from scheduler.practice.practice import Practice
from scheduler.practice.recording import Frets, Recorded, Told
from scheduler.practice.recording import record as record_passes

CLEAN, SLOPPY, ALL = "clean", "sloppy", "all"
BLOCKS = re.compile(r"[0-9]{1,3}(?:-[0-9]{1,3})?(?:,[0-9]{1,3}(?:-[0-9]{1,3})?)*")
NUMBERS = "0123456789,-"


class Words(NamedTuple):
    """The words of one `record`."""

    what: str
    verdict: str
    tempo: str | None = None
    errors: str | None = None
    fault: str | None = None
    second_try: str | None = None
    sloppy: str | None = None
    note: str | None = None
    at: str | None = None
    repeat: bool = False
    took: str | None = None
    to: str | None = None


def record(practice: Practice, words: Words, *, as_json: bool) -> None:
    """Record passes as one act, and say where the items stand now."""
    recorded = record_passes(practice, read_words(words, practice.now, practice.routines))
    ids = [played.id for played in recorded.passes]
    if as_json:
        from scheduler.show.as_json import as_text, events_json

        typer.echo(as_text(events_json("recorded", ids, recorded.judgements)))
        return
    tell(_said(recorded, practice.now))
    print_standings(practice, recorded.judgements)
    if _is_all_sloppy(words, recorded):
        tell(
            f"all {len(recorded.passes)} count as sloppy; if only some were: upneck undo, then "
            f"upneck record {words.what} clean --sloppy FRETS"
        )
    if recorded.plan is not None:
        left = [str(number) for number, items in recorded.plan.all_left().items() if items]
        tell(f"blocks left: {', '.join(left)}" if left else "the whole session is recorded")


def _is_all_sloppy(words: Words, recorded: Recorded) -> bool:
    """Whether whole blocks were said to be sloppy, where perhaps only some frets were."""
    is_block = words.what == ALL or BLOCKS.fullmatch(words.what) is not None
    return is_block and words.verdict == SLOPPY and len(recorded.passes) > 1


def _said(recorded: Recorded, now: Moment) -> str:
    from scheduler.show.acts import left_out_words, when_words
    from scheduler.show.words import count

    number = len(recorded.passes)
    clean = sum(played.clean for played in recorded.passes)
    passes = count(number, "pass", "passes")
    when = recorded.passes[0].moment
    if when.utc_ms < now.utc_ms:
        passes += f" of {when_words(when, now)}"
    said = f"recorded {passes}: {clean} clean, {number - clean} sloppy"
    if recorded.left_out:
        said += f"\n{left_out_words(list(recorded.judgements), recorded.left_out)}"
    return said


def read_words(words: Words, now: Moment, routines: Routines = INSIDE) -> Told:
    """Read what a player tells of what was played.

    Raises:
        UsageError: A word can't be read.
    """
    if words.verdict not in {CLEAN, SLOPPY}:
        hint = nearest(words.verdict, [CLEAN, SLOPPY])
        msg = f"a pass is clean or sloppy, not {words.verdict!r}{hint}"
        raise UsageError(msg)
    names_blocks = words.what == ALL or BLOCKS.fullmatch(words.what) is not None
    if words.what and not names_blocks and not words.what.strip(NUMBERS):
        msg = f"blocks are written 3, 1-4 or 1,3, not {words.what!r}"
        raise UsageError(msg)
    return Told(
        blocks=_read_blocks(words.what) if names_blocks else frozenset(),
        pattern=None if names_blocks else parse_pattern(words.what, routines),
        clean=words.verdict == CLEAN,
        tempo=None if words.tempo is None else parse_tempo(words.tempo),
        errors=None if words.errors is None else read_errors(words.errors),
        fault=None if words.fault is None else read_fault(words.fault),
        second_try=() if words.second_try is None else _read_frets(words.second_try),
        sloppy=() if words.sloppy is None else _read_frets(words.sloppy),
        note="" if words.note is None else check_note(words.note),
        at=None if words.at is None else read_moment(words.at, now),
        repeat=words.repeat,
        took=None if words.took is None else parse_minutes(words.took),
        to=None if words.to is None else _read_to(words.to, words.what),
    )


def _read_to(fret: str, what: str) -> int:
    last = whole_number(fret)
    if last is None or not what.isdecimal():
        msg = "--to names the last fret that was played of one block: record 3 clean --to 10"
        raise UsageError(msg)
    return last


def _read_blocks(text: str) -> frozenset[int]:
    if text == ALL:
        return frozenset()
    numbers: set[int] = set()
    for piece in text.split(","):
        first, _, last = piece.partition("-")
        ends = int(first), int(last or first)
        if ends[0] > ends[1]:
            msg = f"the blocks {piece} run backwards: write {last}-{first}"
            raise UsageError(msg)
        numbers.update(range(ends[0], ends[1] + 1))
    return frozenset(numbers)


def _read_frets(text: str) -> tuple[Frets, ...]:
    """Read frets; `2/7,9` means frets 7 and 9 of block 2."""
    found = []
    block: int | None = None
    for piece in text.split(","):
        head, slash, frets = piece.rpartition("/")
        if slash:
            block = whole_number(head) or 0
        found.append(Frets(block, parse_frets(frets)))
    return tuple(found)
