"""Assignments in and out: JSON that a teacher writes and a student's program takes in.

It says how to begin and what comes first. It holds nothing that was played.
"""

import json
from typing import Any

from scheduler.errors import AssignmentError, SchedulerError
from scheduler.guitar.definitions import from_words, in_words
from scheduler.guitar.routine import FIRST_NAME, Routine
from scheduler.guitar.routines import INSIDE
from scheduler.plan.assignment import ASSIGNED, Handout, assignment_of
from scheduler.plan.settings import READERS, format_setting

FORMAT, VERSION = "upneck assignment", 1
TO_BEGIN_WITH = (
    "tuning", "frets", "lowest_fret", "notes_per_beat", "both_directions", "floor_tempo",
    "minutes", "days", "home_key",
)  # fmt: skip
"""The settings that an assignment may carry."""

FIELDS = {"format", "version", "by", "words", "until", "places", "routine", "definition",
          "settings", "to_begin_with"}  # fmt: skip


def handout_text(handout: Handout) -> str:
    """An assignment as JSON."""
    assignment, routine = handout.assignment, handout.routine
    told: dict[str, Any] = {
        "format": FORMAT, "version": VERSION, "by": assignment.by, "words": assignment.words,
        "until": assignment.until.isoformat(), "places": list(assignment.places),
        "routine": routine.name,
    }  # fmt: skip
    if routine.key not in INSIDE:
        told["definition"] = in_words(routine)
    told |= {"settings": handout.settings, "to_begin_with": handout.to_begin_with}
    return json.dumps(told, ensure_ascii=False, indent=2) + "\n"


def is_handout(told: object) -> bool:
    """Whether JSON says that it is an assignment."""
    return isinstance(told, dict) and told.get("format") == FORMAT


def handout_from(told: dict[str, Any]) -> Handout:
    """Read an assignment.

    Raises:
        AssignmentError: It is of another version, or something in it can't be read.
    """
    if type(told.get("version")) is not int or told["version"] != VERSION:
        msg = f"an assignment of version {VERSION} is needed: bring this program up to date"
        raise AssignmentError(msg)
    strange = sorted(told.keys() - FIELDS)
    if strange:
        msg = f"an assignment has no field {strange[0][:40]!r}: nothing was taken"
        raise AssignmentError(msg)
    try:
        return _read(told)
    except (SchedulerError, ValueError, TypeError) as problem:
        msg = f"in the assignment, {problem}: nothing was taken"
        raise AssignmentError(msg) from problem


def _read(told: dict[str, Any]) -> Handout:
    routine = _routine(_text(told, "routine"), told.get("definition"))
    places = told.get("places")
    if not isinstance(places, list):
        msg = "places are a list of texts"
        raise TypeError(msg)
    texts = dict.fromkeys(_text({"places": place}, "places") for place in places)
    if any(len(text.split()) != 1 for text in texts):
        msg = "a place is a pattern without blanks, such as 2+3:asc"
        raise ValueError(msg)
    words = (
        " ".join(texts),
        _text(told, "until"), _text(told, "by"), _text(told, "words"),
    )  # fmt: skip
    read = [str(READERS[name](word)) for name, word in zip(ASSIGNED, words, strict=True)]
    assignment = assignment_of(read[0], read[1], read[2], read[3])
    if assignment is None:
        msg = "until is missing"
        raise ValueError(msg)
    handout = Handout(
        assignment, routine, _settings(told, "settings"), _settings(told, "to_begin_with")
    )
    for pattern in handout.patterns():
        if pattern.routine is not routine:
            msg = f"{pattern.text} is not of the routine {routine.name}"
            raise ValueError(msg)
    return handout


def _routine(name: str, definition: object) -> Routine:
    if definition is not None:
        if not isinstance(definition, str):
            msg = "definition is a text"
            raise TypeError(msg)
        return from_words(name, definition)
    found = INSIDE.get("" if name == FIRST_NAME else name)
    if found is None:
        msg = f"the routine {name[:40]!r} isn't defined"
        raise ValueError(msg)
    return found


def _settings(told: dict[str, Any], field: str) -> dict[str, str]:
    """Settings in words, each read once."""
    settings = told.get(field)
    if not isinstance(settings, dict):
        msg = f"{field} is an object"
        raise TypeError(msg)
    for name in settings:
        if name not in TO_BEGIN_WITH:
            msg = f"no setting {name[:40]!r} is handed out"
            raise ValueError(msg)
    return {name: format_setting(READERS[name](_text(settings, name))) for name in settings}


def _text(told: dict[str, Any], name: str) -> str:
    value = told.get(name)
    if not isinstance(value, str):
        msg = f"{name} is a text"
        raise TypeError(msg)
    # Half of a surrogate pair is told by JSON's escapes, but is no text.
    value.encode()
    return value
