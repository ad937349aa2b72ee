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
from scheduler.guitar.neck import Neck
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


class Ability(NamedTuple):
    """What every question about tempo needs: who, on what, how.

    Attributes:
        state: What was concluded from the record.
        now: The moment of the question.
        neck: The neck it is played on.
        notes_per_beat: 3, 4 or 6.
        floor_tempo: The slowest tempo that counts in the round.
        clean_target: The chance of a clean pass that a suggested tempo must give.
    """

    state: State
    now: Moment
    neck: Neck
    notes_per_beat: int
    floor_tempo: BeatsPerMinute
    clean_target: float

    def notes(self, item: Item) -> int:
        """The notes of a pass."""
        return notes_in(self.neck.strings, coupling=item.coupling)

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
    def floor_speed(self) -> NotesPerSecond:
        """The floor tempo in notes per second."""
        return speed_of(self.floor_tempo, self.notes_per_beat)


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


def suggested_tempo(ability: Ability, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The fastest mark at which a clean pass is at least as likely as was asked for.

    Never under the slowest mark, and never more than two marks above the fastest clean pass in
    the same shape within the last 30 days.
    """
    mark = fastest_mark(
        outlook or ability.outlook(item), ability.notes_per_beat, ability.clean_target
    )
    recent = ability.state.fastest_recent(item, ability.now)
    if recent is None:
        return mark
    fastest = tempo_of(NotesPerSecond(recent), ability.notes_per_beat)
    return min(mark, marks_away(fastest, MARKS_ABOVE_FASTEST))


def onward_tempo(ability: Ability, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The tempo of an item still ahead.

    The faster of suggested and floor tempo as long as its chance there is at least one third;
    else the suggested tempo, as practice towards the floor tempo.
    """
    outlook = outlook or ability.outlook(item)
    suggested = suggested_tempo(ability, item, outlook)
    if suggested >= ability.floor_tempo or not reaches_floor(ability, outlook):
        return suggested
    return ability.floor_tempo


def reaches_floor(ability: Ability, outlook: Outlook) -> bool:
    """Whether an item has a fair chance at the floor tempo."""
    return outlook.clean_chance(ability.floor_speed) >= FAIR_CHANCE


def warm_up_tempo(tempo: BeatsPerMinute) -> BeatsPerMinute:
    """About four fifths of a tempo, at a mark."""
    return mark_at_or_below(WARM_UP_TEMPO_SHARE * tempo)
