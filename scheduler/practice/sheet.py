"""A sheet: everything that tablature and music notation of one item need."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from scheduler.guitar.boxes import StringFrets
from scheduler.guitar.durations import pass_seconds
from scheduler.guitar.fingering import fingering
from scheduler.guitar.items import Item, boxes_under
from scheduler.guitar.keys import key_of_item
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.neck import Neck
from scheduler.guitar.sequence import Note, Place, half_of, legs_of, notes_of, runs_of
from scheduler.ledger.plans import kept_plan
from scheduler.ledger.settings_said import setting_words
from scheduler.plan.session import Block
from scheduler.player.standing import tempo_to_play
from scheduler.practice.fingers import fingers_of, fingers_setting
from scheduler.practice.practice import Practice

BEATS_IN_A_BAR = 4


@dataclass(frozen=True, slots=True)
class Sheet:
    """One item, ready to be written down.

    Attributes:
        neck: The neck it is played on.
        item: The item.
        notes: Its notes, in order.
        fingers: A finger per note; 0 for an open string.
        tempo: In beats per minute.
        notes_per_beat: 1, 2, 3, 4 or 6.
    """

    neck: Neck
    item: Item
    notes: tuple[Note, ...]
    fingers: tuple[int, ...]
    tempo: BeatsPerMinute
    notes_per_beat: int

    @property
    def key(self) -> str:
        """The key, such as "A minor"."""
        return key_of_item(self.neck, self.item).words

    @property
    def short_key(self) -> str:
        """The key in few letters, such as "Am"."""
        return key_of_item(self.neck, self.item).short

    @property
    def seconds(self) -> float:
        """How long one pass takes."""
        return pass_seconds(len(self.notes), speed_of(self.tempo, self.notes_per_beat))

    @property
    def notes_in_a_bar(self) -> int:
        """Notes to a bar of four beats."""
        return BEATS_IN_A_BAR * self.notes_per_beat

    def boxes(self) -> list["BoxPicture"]:
        """The boxes it touches, as they are first played."""
        item, neck = self.item, self.neck
        frets = boxes_under(neck, item)
        legs = {half_of(item, n): leg for n, leg in enumerate(legs_of(neck, item)[: len(frets)])}
        return [
            BoxPicture(box, strings, self._held(legs[half]))
            for half, (box, strings) in enumerate(frets)
        ]

    def _held(self, leg: range) -> dict[Place, int]:
        """The fingers of a run through a box, each string as it is held when most of it is."""
        best: dict[int, dict[int, int]] = {}
        for run in runs_of(self.neck, self.item):
            if run[0] in leg:
                string = self.notes[run[0]].string
                grip = {self.notes[number].fret: self.fingers[number] for number in run}
                if len(grip) > len(best.get(string, ())):
                    best[string] = grip
        # Notes that no run plays together take the finger they are first played with.
        for number in leg:
            note = self.notes[number]
            best[note.string].setdefault(note.fret, self.fingers[number])
        return {
            (string, fret): held for string, grip in best.items() for fret, held in grip.items()
        }


class BoxPicture(NamedTuple):
    """A box as it lies under the hand.

    Attributes:
        box: Its number.
        strings: Its frets by string, lowest string first.
        fingers: The finger by string and fret; 0 for an open string.
    """

    box: int
    strings: tuple[StringFrets, ...]
    fingers: dict[Place, int]


def sheet_of(practice: Practice, item: Item, tempo: BeatsPerMinute | None = None) -> Sheet:
    """The sheet of an item, at the tempo given, planned today, or suggested."""
    if tempo is None:
        tempo = _planned_tempo(practice, item)
    if tempo is None:
        tempo = tempo_to_play(practice.ability(), item, frozenset(practice.order))
    return _sheet(practice, item, tempo, setting_words(practice.ledger))


def sheets_of(practice: Practice, blocks: Iterable[Block]) -> dict[Item, Sheet]:
    """The sheets of the items of some blocks, at their tempos."""
    kept = setting_words(practice.ledger)
    return {
        item: _sheet(practice, item, block.tempo, kept)
        for block in blocks
        for item in block.all_items
    }


def _sheet(practice: Practice, item: Item, tempo: BeatsPerMinute, kept: Mapping[str, str]) -> Sheet:
    """The sheet of an item, with the player's own fingers where they are kept."""
    words = kept.get(fingers_setting(item), "")
    fingers = fingers_of(practice.neck, item, words) if words else None
    if fingers is None:
        fingers = fingering(practice.neck, item, practice.settings.scale_length)
    notes = notes_of(practice.neck, item)
    return Sheet(practice.neck, item, notes, fingers, tempo, practice.settings.notes_per_beat)


def _planned_tempo(practice: Practice, item: Item) -> BeatsPerMinute | None:
    plan = kept_plan(practice.ledger, practice.now.day, practice.basis())
    tempos = [
        block.tempo for block in (plan.session.blocks if plan else ()) if item in block.all_items
    ]
    return tempos[-1] if tempos else None
