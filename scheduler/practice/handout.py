"""An assignment, handed out by a teacher and taken by a student."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from scheduler.errors import AssignmentError, SchedulerError, UsageError
from scheduler.guitar.definitions import in_use, in_words
from scheduler.guitar.items import check_fits
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import SLASH, Pattern, matching, parse_pattern
from scheduler.guitar.routine import Routine
from scheduler.ledger.assignment_file import TO_BEGIN_WITH
from scheduler.ledger.settings_said import setting_words
from scheduler.plan.assignment import Assignment, Handout, read_places
from scheduler.plan.settings import OF_ROUTINE, format_setting, read_settings, with_values
from scheduler.practice.practice import Practice
from scheduler.practice.settings import change_settings, words_of


class Wish(NamedTuple):
    """What a teacher says of an assignment.

    Attributes:
        places: Patterns, such as `1` or `2+3:asc`.
        until: The last day on which it counts.
        by: Who says so, or "".
        words: A sentence to the player, or "".
        routine: The routine; None for that of the places, else the one that goes onward.
        settings: Settings that count for whoever takes it, in words.
    """

    places: Sequence[str]
    until: date
    by: str
    words: str
    routine: Routine | None
    settings: dict[str, str]


def handout_of(practice: Practice, wish: Wish) -> Handout:
    """What is handed out: what is wished, and one's own settings to begin with.

    Raises:
        UsageError: A part of it can't be read, or its day is over.
        NeckError: The routine doesn't fit the neck.
    """
    if wish.until < practice.now.date:
        msg = f"{wish.until} is over: an assignment counts until a day to come"
        raise UsageError(msg)
    patterns = [parse_pattern(_of(wish.routine, place), practice.routines) for place in wish.places]
    routine = wish.routine or (patterns[0].routine if patterns else practice.state.routine)
    if any(pattern.routine is not routine for pattern in patterns):
        msg = f"an assignment is of one routine, here {routine.name}: name its boxes with its name"
        raise UsageError(msg)
    settings = read_settings(wish.settings)
    stands = with_values(practice.settings, settings)
    _check_places(stands.neck, routine, patterns)
    began = practice.state.round_of(routine)
    values = {**stands._asdict(), "floor_tempo": float(began.floor_tempo), **settings}
    words = {name: format_setting(values[name]) for name in TO_BEGIN_WITH}
    texts = read_places(" ".join(dict.fromkeys(each.text for each in patterns))).split()
    assignment = Assignment(tuple(texts), wish.until, wish.by, wish.words)
    return Handout(
        assignment, routine, {name: words[name] for name in settings},
        {name: text for name, text in words.items() if name not in settings},
    )  # fmt: skip


def _of(routine: Routine | None, place: str) -> str:
    """A place with the name of the routine that was said, where it names none itself."""
    if routine is None or not routine.key or SLASH in place:
        return place
    return f"{routine.key}{SLASH}{place}"


def _check_places(neck: Neck, routine: Routine, patterns: Sequence[Pattern]) -> None:
    """Refuse places that the neck hasn't.

    Raises:
        NeckError: The routine doesn't fit it.
        AddressError: It has no position for one of them.
    """
    check_fits(neck, routine)
    for pattern in patterns:
        matching(neck, pattern)


class Change(NamedTuple):
    """What taking an assignment changes.

    Attributes:
        handout: What was handed out.
        settings: The settings that become other ones, beside the assignment itself: in words, what
            they will be and what they are.
        is_there: Whether it was taken before and stands.
    """

    handout: Handout
    settings: dict[str, tuple[str, str]]
    is_there: bool


def _values(practice: Practice, handout: Handout) -> dict[str, object]:
    """The settings that it brings: those that were said.

    To somebody who hasn't played yet, those to begin with, too, but for what they set themselves.
    """
    words = dict(handout.settings)
    if practice.ledger.is_empty():
        own = setting_words(practice.ledger)
        begun = {n: text for n, text in handout.to_begin_with.items() if n not in own}
        words = {**begun, **words}
    values = read_settings(words)
    return {**values, "routine": handout.routine.key, **handout.assignment.settings()}


def change_by(practice: Practice, handout: Handout) -> Change:
    """What taking an assignment would change; nothing is changed yet.

    Raises:
        AssignmentError: The neck has no place for it, its day is over, or its routine has a name
            that another one has here.
    """
    assignment, routine = handout.assignment, handout.routine
    if assignment.until < practice.now.date:
        msg = f"its day, {assignment.until}, is over: ask for another one"
        raise AssignmentError(msg)
    if practice.routines.get(routine.key, routine) is not routine:
        raise AssignmentError(in_use(routine.name))
    values = _values(practice, handout)
    try:
        after = with_values(practice.settings, values)
        _check_places(after.neck, routine, handout.patterns())
        words = words_of(practice, values)
    except SchedulerError as problem:
        msg = f"it doesn't go with your guitar: {problem}"
        raise AssignmentError(msg) from problem
    return Change(handout, _told(practice, handout, words), is_there=not words)


def _told(
    practice: Practice, handout: Handout, words: dict[str, str]
) -> dict[str, tuple[str, str]]:
    """The settings that differ: what they will be, and what they are."""
    state, told = practice.state, {}
    now = {name: format_setting(value) for name, value in practice.settings._asdict().items()}
    now["floor_tempo"] = format_setting(float(state.round_of(handout.routine).floor_tempo))
    for kept, text in words.items():
        name, _, of = kept.partition(" ")
        if name in TO_BEGIN_WITH and (name != "floor_tempo" or of == handout.routine.key):
            told[name] = (text, now[name])
    if "routine" in words:
        told["routine"] = (handout.routine.name, state.routine.name)
    return told


def take_assignment(practice: Practice, change: Change) -> None:
    """Take an assignment as settings, one act: the one before it is replaced.

    Raises:
        LedgerError: The file can't be written.
    """
    handout, routine = change.handout, change.handout.routine
    beside = {}
    if routine.key not in practice.routines:
        beside = {OF_ROUTINE + routine.key: in_words(routine)}
    change_settings(practice, _values(practice, handout), what="assignment", beside=beside)
