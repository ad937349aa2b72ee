"""An assignment in words: what it asks for, whose it is, how far it is done."""

from collections.abc import Sequence
from datetime import date

from scheduler.guitar.patterns import Pattern
from scheduler.guitar.routine import Routine
from scheduler.plan.assignment import Assignment, Handout
from scheduler.practice.assignment import AssignmentReport
from scheduler.practice.handout import Change
from scheduler.show.dates import day_words
from scheduler.show.words import (
    DIRECTION_WORDS,
    START_WORDS,
    STROKE_WORDS,
    count,
    fret_words,
    listed,
    sentence,
    without_controls,
)

UNNAMED = "your teacher"


def pattern_words(pattern: Pattern) -> str:
    """A pattern as a musician would say it.

    Example:
        >>> from scheduler.guitar.patterns import parse_pattern
        >>> [pattern_words(parse_pattern(text)) for text in ("2", "2+3:desc", "any:any:up:5-7")]
        ['box 2', 'boxes 2+3 from the top', 'all boxes, upstroke first, frets 5 to 7']
    """
    if pattern.boxes is None:
        name, coupling = "all boxes", False
    else:
        box, coupling = pattern.boxes
        name = f"boxes {box}+{pattern.routine.next_box(box)}" if coupling else f"box {box}"
    said = [f"{pattern.routine.key} {name}".lstrip()]
    if pattern.direction is not None and coupling:
        said = [f"{said[0]} {START_WORDS[pattern.direction]}"]
    elif pattern.direction is not None:
        said.append(DIRECTION_WORDS[pattern.direction])
    if pattern.stroke is not None:
        said.append(STROKE_WORDS[pattern.stroke])
    if pattern.frets is not None:
        said.append(fret_words(sorted(pattern.frets)))
    if pattern.key is not None:
        said.append(f"in {pattern.key.words}")
    return ", ".join(said)


def places_words(patterns: Sequence[Pattern], routine: Routine) -> str:
    """What an assignment asks for."""
    if patterns:
        return listed([pattern_words(pattern) for pattern in patterns])
    return f"the whole round of {routine.name}"


def whose_words(assignment: Assignment, today: date) -> str:
    """Whose an assignment is, and until when."""
    by = without_controls(assignment.by) or UNNAMED
    return f"by {by}, until {day_words(assignment.until, today)}"


def said_words(assignment: Assignment) -> str:
    """The teacher's sentence, in quotation marks; "" where there is none."""
    return f"\u201c{without_controls(assignment.words)}\u201d" if assignment.words else ""


def assigned_lines(report: AssignmentReport | None, routine: Routine, today: date) -> list[str]:
    """Lines beside a session about an assignment that counts; none where there is none."""
    if report is None or report.assigned.is_over:
        return []
    return report_lines(report, routine, today)


def report_lines(report: AssignmentReport, routine: Routine, today: date) -> list[str]:
    """How far an assignment is done, and what the teacher says."""
    assigned, what = report.assigned, places_words(report.patterns, routine)
    whose = f"Assigned {whose_words(assigned.assignment, today)}"
    if not assigned.total:
        done = "this round has none of its items"
    elif assigned.is_done:
        done = f"all of its {count(assigned.total, 'item')} are clean"
    else:
        done = f"{assigned.clean} of {count(assigned.total, 'item')} clean"
    over = " (that day is over)" if assigned.is_over else ""
    words = said_words(assigned.assignment)
    return list(filter(None, [f"{whose}{over}: {what}; {done}.", words]))


def handout_words(handout: Handout, today: date) -> str:
    """What is handed out, in one line."""
    what = places_words(handout.patterns(), handout.routine)
    return f"an assignment {whose_words(handout.assignment, today)}: {what}"


def change_lines(change: Change, today: date) -> list[str]:
    """What taking an assignment would change."""
    handout = change.handout
    lines = [f"{sentence(handout_words(handout, today))}."]
    if handout.assignment.words:
        lines.append(said_words(handout.assignment))
    if change.settings:
        words = [
            f"{name.replace('_', ' ')} {text or 'none'} instead of {now or 'none'}"
            for name, (text, now) in change.settings.items()
        ]
        lines.append(f"It changes your settings: {', '.join(words)}.")
    return lines
