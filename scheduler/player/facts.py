"""The facts that everything is concluded from: passes, resets, rounds started."""

from enum import StrEnum
from typing import NamedTuple

from scheduler.errors import SettingError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, speed_of
from scheduler.guitar.routine import PENTATONIC, Routine
from scheduler.player.moments import Moment

MOST_ERRORS = 999
MOST_NOTE = 500
"""Characters of a note."""


LAST_ROUND = 9999
"""The highest number of a round that is read: a guard against damaged input (our choice)."""


def clean_note(text: str) -> str:
    """A note in which control characters, which could draw on a terminal, are spaces."""
    return "".join(mark if mark.isprintable() else " " for mark in text).strip()


def check_note(text: str) -> str:
    """Give a note back, cleaned, if it isn't too long.

    Raises:
        SettingError: It is.
    """
    text = clean_note(text)
    if len(text) > MOST_NOTE:
        msg = f"a note has at most {MOST_NOTE} characters, this one {len(text)}"
        raise SettingError(msg)
    return text


class Fault(StrEnum):
    """What was sloppy."""

    RINGING = "ringing"
    SYNC = "sync"
    NOTES = "notes"


class Pass(NamedTuple):
    """One playing of one item at one tempo.

    Attributes:
        id: The event's id (UUIDv7); it orders passes of the same millisecond.
        moment: When it was played.
        item: What was played.
        notes: How many notes that was, on the instrument of that day.
        tempo: Beats per minute, 20 to 400.
        notes_per_beat: 1, 2, 3, 4 or 6.
        clean: Whether it was clean.
        errors: 0 when clean; when sloppy 1 or more, None if not counted.
        fault: What was sloppy, where the player said so.
        note: The player's own words.
    """

    id: str
    moment: Moment
    item: Item
    notes: int
    tempo: BeatsPerMinute
    notes_per_beat: int
    clean: bool
    errors: int | None = None
    fault: Fault | None = None
    note: str = ""

    @property
    def speed(self) -> NotesPerSecond:
        """Notes per second."""
        return speed_of(self.tempo, self.notes_per_beat)

    @property
    def seconds(self) -> float:
        """How long it took."""
        return self.notes / self.speed


class Reset(NamedTuple):
    """From this moment on the item's own history starts afresh."""

    id: str
    moment: Moment
    item: Item


class RoundStarted(NamedTuple):
    """A round begins: no item has a clean pass in it yet.

    Attributes:
        id: The event's id.
        moment: When.
        number: The number of the round.
        only: The items it visits, in order, if it doesn't visit all.
        routine: The routine.
    """

    id: str
    moment: Moment
    number: int
    only: tuple[Item, ...] = ()
    routine: Routine = PENTATONIC


class RoutineBegun(NamedTuple):
    """From now on this routine is the one that goes onward."""

    id: str
    moment: Moment
    routine: Routine


class FloorChanged(NamedTuple):
    """What counts in a round changes: floor tempo, notes per beat, both directions, or one.

    The floor tempo is that of one routine.
    """

    id: str
    moment: Moment
    floor_tempo: BeatsPerMinute | None = None
    notes_per_beat: int | None = None
    both_directions: bool | None = None
    routine: Routine = PENTATONIC


class PlaysClean(NamedTuple):
    """What a player says to play clean in box 1, before anything was played."""

    id: str
    moment: Moment
    tempo: BeatsPerMinute


class Took(NamedTuple):
    """How long what was recorded on a day took, as the player says."""

    id: str
    moment: Moment
    minutes: float


Fact = Pass | Reset | RoundStarted | RoutineBegun | FloorChanged | PlaysClean | Took
