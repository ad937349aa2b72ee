"""Log files: passes as comma-separated values (RFC 4180, UTF-8), one line a pass.

The columns are `played_at,item,tempo,notes_per_beat,clean,errors,fault,note`; times are ISO 8601
with an offset, clean is 1 or 0. What is wrong with a line is a value, so that all of it can be
told at once.
"""

import csv
from collections.abc import Iterable
from typing import NamedTuple

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import NOTES_PER_BEAT, BeatsPerMinute
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import parse_item
from scheduler.plan.settings import parse_tempo
from scheduler.player.facts import MOST_ERRORS, Fault, check_note
from scheduler.player.moments import Moment, parse_moment

COLUMNS = ("played_at", "item", "tempo", "notes_per_beat", "clean", "errors", "fault", "note")


class LogLine(NamedTuple):
    """A pass as a log file tells it; ids and notes are the ledger's business."""

    moment: Moment
    item: Item
    tempo: BeatsPerMinute
    notes_per_beat: int
    clean: bool
    errors: int | None
    fault: Fault | None
    note: str


class Problem(NamedTuple):
    """What is wrong with a line."""

    line: int
    message: str


def parse_log(
    text: Iterable[str], neck: Neck, latest: Moment | None = None
) -> tuple[list[LogLine], list[Problem]]:
    """Read a log file.

    Args:
        text: Its lines.
        neck: The neck that its items must lie on.
        latest: No pass may be later, where this is given.
    """
    reader = csv.reader(text, strict=True)
    lines: list[LogLine] = []
    problems: list[Problem] = []
    try:
        header = next(reader, None)
        if header is None or tuple(header) != COLUMNS:
            return [], [Problem(1, f"the first line must be {','.join(COLUMNS)}")]
        # A blank line says nothing; spreadsheets leave some at the end.
        for row in filter(None, reader):
            try:
                lines.append(_read_line(row, neck, latest))
            except (SchedulerError, ValueError) as problem:
                problems.append(Problem(reader.line_num, str(problem)))
    except csv.Error as problem:
        problems.append(Problem(reader.line_num, str(problem)))
    return lines, problems


def _read_line(row: list[str], neck: Neck, latest: Moment | None) -> LogLine:
    if len(row) != len(COLUMNS):
        msg = f"{len(row)} fields instead of {len(COLUMNS)}"
        raise ValueError(msg)
    played_at, address, tempo, notes_per_beat, clean, errors, fault, note = row
    moment = parse_moment(played_at)
    if latest is not None and moment.utc_ms > latest.utc_ms:
        msg = f"the time {played_at} lies in the future"
        raise ValueError(msg)
    if notes_per_beat not in {str(number) for number in NOTES_PER_BEAT}:
        msg = f"notes per beat are 3, 4 or 6, not {notes_per_beat!r}"
        raise ValueError(msg)
    if clean not in {"0", "1"}:
        msg = f"clean is 1 or 0, not {clean!r}"
        raise ValueError(msg)
    return LogLine(
        moment=moment,
        item=parse_item(neck, address),
        tempo=parse_tempo(tempo),
        notes_per_beat=int(notes_per_beat),
        clean=clean == "1",
        errors=_read_errors(errors, is_clean=clean == "1"),
        fault=_read_fault(fault, is_clean=clean == "1"),
        note=check_note(note),
    )


def _read_errors(text: str, *, is_clean: bool) -> int | None:
    if not text:
        return 0 if is_clean else None
    number = int(text) if text.isascii() and text.isdigit() else -1
    fits = number == 0 if is_clean else 1 <= number <= MOST_ERRORS
    if not fits:
        msg = (
            f"errors are 0 for a clean pass, 1 to {MOST_ERRORS} or empty for a sloppy one, "
            f"not {text!r}"
        )
        raise ValueError(msg)
    return number


def _read_fault(text: str, *, is_clean: bool) -> Fault | None:
    if not text:
        return None
    if is_clean or text not in list(Fault):
        msg = f"a fault is {', '.join(Fault)}, of a sloppy pass, not {text!r}"
        raise ValueError(msg)
    return Fault(text)
