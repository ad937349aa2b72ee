"""The tempo at which an item should be played next."""

from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.keys import Key
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
from scheduler.guitar.routine import PENTATONIC, Routine
from scheduler.player.belief import Outlook
from scheduler.player.moments import Moment
from scheduler.player.progress import RoundProgress
from scheduler.player.replay import State

MARKS_ABOVE_FASTEST, SHARE_ABOVE_FASTEST = 2, 1.2
"""A planned tempo is at most so many marks, and a fifth, above the fastest clean pass of its
shape. Without it plans ran ahead of what was ever played (docs/measurements.md); the two
numbers are our choice."""

DAYS_A_MARK, MOST_MARKS_AWAY = 14, 4
"""Every fortnight without playing lowers that by a mark, up to four; every practice day since gives
one back (our choice)."""

FAIR_CHANCE = 2 / 3
"""An item still ahead is played at the floor tempo, rather than under it, if its chance there is at
least this (set on simulated players, docs/measurements.md)."""

CLEAN_FIRST = 3
"""So many clean passes in a row under the floor tempo lead to a faster one (our choice)."""

FIRST_PASSES = 12
"""So few passes are no more than a warm-up or two (our choice)."""

COMFORTABLE_CHANCE = 0.5
"""Under this chance at the floor tempo, a lower one would suit (our choice)."""

WARM_UP_TEMPO_SHARE = 0.8
"""A warm-up is slower than the piece (common practice, no source; the share is our choice)."""
ROUNDING = 1e-6


class Ability(NamedTuple):
    """What every question about tempo needs: who, on what, how.

    Attributes:
        state: What was concluded from the record.
        now: The moment of the question.
        neck: The neck it is played on.
        notes_per_beat: 1, 2, 3, 4 or 6.
        floor_tempo: The slowest tempo that counts in the round.
        clean_target: The chance of a clean pass that a suggested tempo must give.
        routine: The routine that goes onward.
        resting: The routines that are left out of revisits.
        home_key: The key in which a box or coupling is first looked at; None for nowhere.
    """

    state: State
    now: Moment
    neck: Neck
    notes_per_beat: int
    floor_tempo: BeatsPerMinute
    clean_target: float
    routine: Routine = PENTATONIC
    resting: frozenset[Routine] = frozenset()
    home_key: Key | None = None

    @property
    def round(self) -> RoundProgress:
        """The round under way of the routine that goes onward."""
        return self.state.round_of(self.routine)

    def notes(self, item: Item) -> int:
        """The notes of a pass."""
        return item.notes_on(self.neck.strings)

    def outlook(self, item: Item) -> Outlook:
        """What is believed of an item now."""
        practice = self.state.history(item).practice(self.now)
        return self.state.belief.outlook(item, self.notes(item), practice, self.now.day)

    @property
    def floor_speed(self) -> NotesPerSecond:
        """The floor tempo in notes per second."""
        return speed_of(self.floor_tempo, self.notes_per_beat)


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


def fastest_allowed(ability: Ability, item: Item) -> BeatsPerMinute | None:
    """The fastest mark that may be planned for an item; None before anything was clean.

    Two marks, and a fifth of the notes a second, above the fastest clean pass in its shape, else
    of its kind, else of any; a mark less for every fortnight without playing. While its last pass
    is sloppy, no more than the tempo that failed, and a mark under it after two failures in a row.
    """
    state, beat = ability.state, ability.notes_per_beat
    history = state.history(item)
    bounds = []
    fastest = state.fastest_like(item)
    if fastest is not None:
        tempo = tempo_of(NotesPerSecond(fastest), beat) + ROUNDING
        most = min(
            marks_away(tempo, MARKS_ABOVE_FASTEST), mark_at_or_below(SHARE_ABOVE_FASTEST * tempo)
        )
        bounds.append(marks_away(most, -_marks_lower(state, ability.now.day)))
    if history.failed_speed:
        failed = tempo_of(NotesPerSecond(history.failed_speed), beat) + ROUNDING
        keeps_failing = history.sloppy_in_a_row > 1
        bounds.append(marks_away(mark_at_or_below(failed), -1 if keeps_failing else 0))
    return min(bounds, default=None)


def _marks_lower(state: State, day: int) -> int:
    """By how many marks, 0 to 4, time without playing lowers the limit.

    One a fortnight, less one for each practice day since; older gaps have been given back.
    """
    most, later = 0, day
    for since in range(MOST_MARKS_AWAY):
        last = state.last_practice_day(later)
        if not last:
            break
        most = max(most, min((later - last) // DAYS_A_MARK, MOST_MARKS_AWAY) - since)
        later = last
    return most


def suggested_tempo(ability: Ability, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The fastest mark that may be planned at which a pass is clean as often as was asked for.

    Never under the slowest mark.
    """
    mark = fastest_mark(
        outlook or ability.outlook(item), ability.notes_per_beat, ability.clean_target
    )
    allowed = fastest_allowed(ability, item)
    return mark if allowed is None else min(mark, allowed)


def onward_tempo(ability: Ability, item: Item, outlook: Outlook | None = None) -> BeatsPerMinute:
    """The tempo of an item still ahead: slow enough to be clean.

    The suggested tempo. Where that lies under the floor tempo: the floor tempo if it is clean there
    with `FAIR_CHANCE`; else, after `CLEAN_FIRST` clean passes in a row, a mark above the last one.
    Neither is faster than may be planned, but for the floor tempo after the first warm-up.
    """
    outlook = outlook or ability.outlook(item)
    suggested = suggested_tempo(ability, item, outlook)
    floor = ability.floor_tempo
    if suggested >= floor:
        return suggested
    wanted = suggested
    history = ability.state.history(item)
    if outlook.clean_chance(ability.floor_speed) >= FAIR_CHANCE:
        wanted = floor
        if _is_warm_for_floor(ability, item, outlook):
            return floor
    elif (
        history.round_speed
        and history.round_passes >= CLEAN_FIRST
        and all(history.recent_clean[-CLEAN_FIRST:])
    ):
        # What keeps being clean under the floor tempo comes a mark faster, until it is there.
        last = tempo_of(NotesPerSecond(history.working_speed), ability.notes_per_beat)
        wanted = min(floor, marks_away(last + ROUNDING, 1))
    allowed = fastest_allowed(ability, item)
    return max(suggested, wanted if allowed is None else min(wanted, allowed))


def _is_warm_for_floor(ability: Ability, item: Item, outlook: Outlook) -> bool:
    """Whether little more than a clean warm-up for the floor tempo was played so far.

    Who stopped after the first warm-up would else be planned under the floor tempo on the next day,
    where nothing counts. The floor tempo has to be as clean there as was asked for.
    """
    state = ability.state
    fastest = state.fastest_like(item)
    if fastest is None or state.history(item).failed_speed:
        return False
    warm = tempo_of(NotesPerSecond(fastest), ability.notes_per_beat) + ROUNDING
    return (
        not state.has_more_passes_than(FIRST_PASSES)
        and warm >= warm_up_tempo(ability.floor_tempo)
        and outlook.clean_chance(ability.floor_speed) >= ability.clean_target
    )


def slower_tempo(tempo: BeatsPerMinute, suggested: BeatsPerMinute) -> BeatsPerMinute:
    """The tempo of the third try: a mark slower, two where the suggested tempo is lower still."""
    return max(min(suggested, marks_away(tempo, -1)), marks_away(tempo, -2))


def warm_up_tempo(tempo: BeatsPerMinute) -> BeatsPerMinute:
    """About four fifths of a tempo, at a mark."""
    return mark_at_or_below(WARM_UP_TEMPO_SHARE * tempo)
