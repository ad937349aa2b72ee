"""Log files in and out: passes as comma-separated values (RFC 4180, UTF-8), one line a pass.

The columns are `played_at,item,tempo,notes_per_beat,clean,errors,fault,note`; times are ISO 8601
with an offset, clean is 1 or 0. What is wrong with a line is a value, so that all of it can be
told at once.
"""

import csv
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import NOTES_PER_BEAT, BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.plan.values import parse_tempo, whole_number
from scheduler.player.facts import MOST_ERRORS, Fault, Pass, check_note, clean_note
from scheduler.player.moments import Moment, parse_moment

FORMULA_STARTS = "=+-@"
GUARD = "'"
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
    text: Iterable[str], latest: Moment | None = None, routines: Routines = INSIDE
) -> tuple[list[LogLine], list[Problem]]:
    """Read a log file.

    Args:
        text: Its lines.
        latest: No pass may be later, where this is given.
        routines: The routines whose items it may tell.
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
                lines.append(_read_line(row, latest, routines))
            except (SchedulerError, ValueError) as problem:
                problems.append(Problem(reader.line_num, str(problem)))
    except csv.Error as problem:
        problems.append(Problem(reader.line_num, str(problem)))
    return lines, problems


def _read_line(row: list[str], latest: Moment | None, routines: Routines) -> LogLine:
    if len(row) != len(COLUMNS):
        msg = f"{len(row)} fields instead of {len(COLUMNS)}"
        raise ValueError(msg)
    played_at, address, tempo, notes_per_beat, clean, errors, fault, note = row
    moment = parse_moment(played_at)
    if latest is not None and moment.utc_ms > latest.utc_ms:
        msg = f"the time {played_at} lies in the future"
        raise ValueError(msg)
    if notes_per_beat not in {str(number) for number in NOTES_PER_BEAT}:
        msg = f"notes per beat are 1, 2, 3, 4 or 6, not {notes_per_beat!r}"
        raise ValueError(msg)
    if clean not in {"0", "1"}:
        msg = f"clean is 1 or 0, not {clean!r}"
        raise ValueError(msg)
    return LogLine(
        moment=moment,
        item=parse_address(address, routines),
        tempo=parse_tempo(tempo),
        notes_per_beat=int(notes_per_beat),
        clean=clean == "1",
        errors=_read_errors(errors, is_clean=clean == "1"),
        fault=_read_fault(fault, is_clean=clean == "1"),
        note=check_note(unguarded(note)),
    )


def _read_errors(text: str, *, is_clean: bool) -> int | None:
    if not text:
        return 0 if is_clean else None
    number = whole_number(text)
    fits = number is not None and (number == 0 if is_clean else 1 <= number <= MOST_ERRORS)
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


def guarded(note: str) -> str:
    """A note that no spreadsheet takes for a formula; `unguarded` is the inverse.

    Example:
        >>> guarded("=1+1"), unguarded(guarded("=1+1")), guarded("fine")
        ("'=1+1", '=1+1', 'fine')
    """
    starts = note[:1]
    if starts and (starts in FORMULA_STARTS or _is_guarded(note)):
        return GUARD + note
    return note


def unguarded(note: str) -> str:
    """A note as it was before `guarded`."""
    return note[1:] if _is_guarded(note) else note


def _is_guarded(note: str) -> bool:
    return len(note) > 1 and note[0] == GUARD and note[1] in FORMULA_STARTS + GUARD


def log_lines(passes: Iterable[Pass], *, notes: bool = True) -> Iterator[str]:
    """Passes as the lines of a log file (RFC 4180), with the player's notes or without."""
    writer = csv.writer(_Echo())
    yield writer.writerow(COLUMNS)
    for played in passes:
        yield writer.writerow(told(played if notes else played._replace(note="")))


def told(played: "Pass | LogLine") -> tuple[str, ...]:
    """The fields of a pass: what they say alike is the same pass."""
    return (
        played.moment.isoformat(), played.item.address, f"{played.tempo:.10g}",
        str(played.notes_per_beat), str(int(played.clean)),
        "" if played.errors is None else str(played.errors), str(played.fault or ""),
        guarded(clean_note(played.note)),
    )  # fmt: skip


class _Echo:
    """What csv writes a line into: the line comes back from `writerow`."""

    def write(self, line: str) -> str:
        return line
