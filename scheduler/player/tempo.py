"""The tempo at which an item should be played next."""

from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import (
    MARKS,
    BeatsPerMinute,
    NotesPerSecond,
    mark_at_or_below,
    marks_away,
    speed_of,
    tempo_of,
)
from scheduler.guitar.sequence import notes_in
from scheduler.player.belief import Outlook
from scheduler.player.history import History
from scheduler.player.moments import Moment
from scheduler.player.replay import State

MARKS_ABOVE_FASTEST = 2
"""A suggestion is never more than this many marks above the fastest recent clean pass."""

FAIR_CHANCE = 1 / 3
"""An item still ahead is planned at the floor tempo if its chance there is at least this: three
tries make it clean in seven of ten visits. With one half, simulated players near the floor tempo
spent their days on slow passes and finished a sixth later (docs/measurements.md)."""

COMFORTABLE_CHANCE = 0.5
"""Under this chance at the floor tempo, a lower one would suit."""

WARM_UP_TEMPO_SHARE = 0.8


class Bench(NamedTuple):
    """What every question about tempo needs: who, on what, how.

    Attributes:
        state: What was concluded from the record.
        now: The moment of the question.
        strings: The strings of the neck: they decide the notes of an item.
        notes_per_beat: 3, 4 or 6.
        floor_speed: The round's floor tempo, in notes per second.
        clean_target: The chance of a clean pass that a suggested tempo must give.
    """

    state: State
    now: Moment
    strings: int
    notes_per_beat: int
    floor_speed: NotesPerSecond
    clean_target: float

    def notes(self, item: Item) -> int:
        """The notes of a pass."""
        return notes_in(self.strings, coupling=item.coupling)

    def outlook(self, item: Item) -> Outlook:
        """What is believed of an item now."""
        practice = self.state.history(item).practice(self.now)
        return self.state.belief.outlook(item, self.notes(item), practice, self.now.day)

    def fresh_outlook(self, item: Item) -> Outlook:
        """What would be believed of it if nothing had been forgotten since its last pass."""
        history = self.state.history(item)
        practice = history.practice(Moment(history.last_ms, 0))
        return self.state.belief.outlook(item, self.notes(item), practice, self.now.day)

    @property
    def floor_tempo(self) -> BeatsPerMinute:
        """The floor tempo in beats per minute."""
        return tempo_of(self.floor_speed, self.notes_per_beat)


def working_speed(history: History, floor_speed: NotesPerSecond) -> NotesPerSecond:
    """The latest clean tempo of an item, else the round's floor tempo, in notes per second."""
    return NotesPerSecond(history.working_speed or floor_speed)


def fastest_mark(outlook: Outlook, notes_per_beat: int, target: float) -> BeatsPerMinute:
    """The fastest mark with at least that chance of a clean pass; the slowest if none has."""
    low, high = 0, len(MARKS) - 1
    while low < high:
        middle = (low + high + 1) // 2
        if outlook.clean_chance(speed_of(MARKS[middle], notes_per_beat)) >= target:
            low = middle
        else:
            high = middle - 1
    return MARKS[low]


def suggested_tempo(bench: Bench, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The fastest mark at which the chance of a clean pass is at least the clean target.

    Never under the slowest mark, and never more than two marks above the fastest clean pass in
    the same shape within the last 30 days.
    """
    mark = fastest_mark(outlook or bench.outlook(item), bench.notes_per_beat, bench.clean_target)
    recent = bench.state.fastest_recent(item, bench.now)
    if recent is None:
        return mark
    fastest = tempo_of(NotesPerSecond(recent), bench.notes_per_beat)
    return min(mark, marks_away(fastest, MARKS_ABOVE_FASTEST))


def onward_tempo(bench: Bench, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The tempo of an item still ahead.

    The faster of suggested and floor tempo as long as its chance there is at least one third;
    else the suggested tempo, as practice towards the floor tempo.
    """
    outlook = outlook or bench.outlook(item)
    suggested = suggested_tempo(bench, item, outlook)
    if suggested >= bench.floor_tempo or not reaches_floor(bench, outlook):
        return suggested
    return bench.floor_tempo


def reaches_floor(bench: Bench, outlook: Outlook) -> bool:
    """Whether an item has a fair chance at the floor tempo."""
    return outlook.clean_chance(bench.floor_speed) >= FAIR_CHANCE


def warm_up_tempo(tempo: BeatsPerMinute) -> BeatsPerMinute:
    """About four fifths of a tempo, at a mark."""
    return mark_at_or_below(WARM_UP_TEMPO_SHARE * tempo)
