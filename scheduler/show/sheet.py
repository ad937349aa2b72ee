"""A sheet: everything that tablature and music notation of one item need."""

from dataclasses import dataclass

from scheduler.guitar.boxes import StringFrets, box_frets, key_name, neighbour_shift, next_box
from scheduler.guitar.durations import pass_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.neck import Neck
from scheduler.guitar.sequence import Note, notes_of

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
        notes_per_beat: 3, 4 or 6.
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
        return key_name(self.neck, self.item.box, self.item.fret)

    @property
    def seconds(self) -> float:
        """How long one pass takes."""
        return pass_seconds(len(self.notes), speed_of(self.tempo, self.notes_per_beat))

    @property
    def notes_in_a_bar(self) -> int:
        """Notes to a bar of four beats."""
        return BEATS_IN_A_BAR * self.notes_per_beat

    def boxes(self) -> list[tuple[int, tuple[StringFrets, ...]]]:
        """The boxes it touches, each with its pair of frets per string, lowest string first."""
        item, neck = self.item, self.neck
        found = [(item.box, box_frets(neck, item.box, item.fret))]
        if item.coupling:
            fret = item.fret + neighbour_shift(neck.tuning, item.box)
            higher = next_box(item.box)
            found.append((higher, box_frets(neck, higher, fret)))
        return found


def sheet_of(
    neck: Neck,
    item: Item,
    fingers: tuple[int, ...],
    tempo: BeatsPerMinute,
    notes_per_beat: int,
) -> Sheet:
    """The sheet of an item."""
    return Sheet(neck, item, notes_of(neck, item), fingers, tempo, notes_per_beat)
