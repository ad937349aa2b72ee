"""A routine: the scale, how its notes lie on the strings, in what groups and parts it is played.

Boxes, items, notes and rounds all come from this one value.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from itertools import pairwise

from scheduler.errors import RoutineError

FIRST_NAME = "pentatonic"
OCTAVE = 12
MOST_NOTES_A_STRING = 4
MOST_TIMES_ROUND = 4
MINOR_THIRD, MAJOR_THIRD = 3, 4


class Direction(StrEnum):
    """Which way an item starts."""

    ASC = "asc"
    DESC = "desc"


class Stroke(StrEnum):
    """The pick stroke of the first note."""

    DOWN = "down"
    UP = "up"


class Part(StrEnum):
    """The parts of a routine, as a musician names them."""

    SINGLES = "singles"
    FROM_BOTTOM = "couplings from the bottom"
    FROM_TOP = "couplings from the top"


PART_ORDER = tuple(Part)


class Mode(StrEnum):
    """What the third of a scale makes of its keys."""

    MINOR = "minor"
    MAJOR = "major"
    NEITHER = ""


@dataclass(frozen=True, slots=True, eq=False)
class Routine:
    """A routine that was checked; `routine` makes it, one value for one definition.

    Attributes:
        name: Its short name.
        title: What it is, in words.
        scale: Semitones above the root, rising from 0.
        notes_a_string: 1 to 4.
        group: The notes of a group.
        step: By how many notes of the box the next group begins later.
        times_round: How often a coupling goes up and down before its last note.
        parts: What a round consists of, in order.
        strokes: The first strokes of the way up the neck and of the way back.
    """

    name: str
    title: str
    scale: tuple[int, ...]
    notes_a_string: int
    group: int
    step: int
    times_round: int
    parts: tuple[Part, ...]
    strokes: tuple[Stroke, Stroke]

    def __lt__(self, other: "Routine") -> bool:
        """By name; items of one place in two routines have an order too."""
        return self.name < other.name

    def __reduce__(self) -> tuple[object, tuple[object, ...]]:
        """What is sent to another process comes to be the one value there."""
        return routine, (
            self.name, self.title, self.scale, self.notes_a_string, self.group, self.step,
            self.times_round, self.parts, self.strokes,
        )  # fmt: skip

    @property
    def key(self) -> str:
        """What addresses and the record name it by: "" for the first routine, else its name."""
        return "" if self.name == FIRST_NAME else self.name

    @property
    def boxes(self) -> range:
        """The numbers of its boxes: as many as the scale has notes."""
        return range(1, len(self.scale) + 1)

    def next_box(self, box: int) -> int:
        """The next higher box; the first, an octave up, after the last."""
        return box % len(self.scale) + 1

    def scale_note(self, index: int) -> int:
        """Semitones of the index-th note of the scale above a root, through all octaves.

        Example:
            >>> [PENTATONIC.scale_note(i) for i in range(7)]
            [0, 3, 5, 7, 10, 12, 15]
        """
        octave, degree = divmod(index, len(self.scale))
        return OCTAVE * octave + self.scale[degree]

    @property
    def mode(self) -> Mode:
        """Minor or major, by its third."""
        if MINOR_THIRD in self.scale and MAJOR_THIRD not in self.scale:
            return Mode.MINOR
        if MAJOR_THIRD in self.scale and MINOR_THIRD not in self.scale:
            return Mode.MAJOR
        return Mode.NEITHER

    @property
    def keeps_strings_whole(self) -> bool:
        """Whether every group begins and ends with a string."""
        return not (self.group % self.notes_a_string or self.step % self.notes_a_string)

    def groups(self, strings: int) -> int:
        """How many groups a run through a box on so many strings has."""
        return max((strings * self.notes_a_string - self.group) // self.step + 1, 0)

    def notes_in(self, strings: int, *, coupling: bool) -> int:
        """The number of notes of an item.

        Example:
            >>> PENTATONIC.notes_in(6, coupling=False), PENTATONIC.notes_in(6, coupling=True)
            (24, 97)
        """
        run = self.groups(strings) * self.group
        return self.times_round * 2 * run + 1 if coupling else run


@cache
def routine(
    name: str,
    title: str,
    scale: tuple[int, ...],
    notes_a_string: int,
    group: int,
    step: int,
    times_round: int = 2,
    parts: tuple[Part, ...] = PART_ORDER,
    strokes: tuple[Stroke, Stroke] = (Stroke.DOWN, Stroke.UP),
) -> Routine:
    """Check a definition and give its routine, the same value for the same definition.

    Raises:
        RoutineError: The definition makes no routine.
    """
    _check_scale(scale)
    _check_numbers(notes_a_string, group, step, times_round)
    if not parts or len(set(parts)) < len(parts):
        msg = "a routine has parts, each of them once"
        raise RoutineError(msg)
    if set(strokes) != set(Stroke):
        msg = "a routine starts one way along the neck with down, the other with up"
        raise RoutineError(msg)
    return Routine(name, title, scale, notes_a_string, group, step, times_round, parts, strokes)


def _check_scale(scale: tuple[int, ...]) -> None:
    if not scale or scale[0] != 0:
        msg = "a scale begins with 0, its root"
        raise RoutineError(msg)
    if len(scale) < 2 or any(b <= a for a, b in pairwise(scale)) or scale[-1] >= OCTAVE:  # noqa: PLR2004
        msg = "a scale rises from 0 within an octave: semitones above the root, the last under 12"
        raise RoutineError(msg)


def _check_numbers(notes_a_string: int, group: int, step: int, times_round: int) -> None:
    if not 1 <= notes_a_string <= MOST_NOTES_A_STRING:
        msg = f"a routine has 1 to {MOST_NOTES_A_STRING} notes a string, not {notes_a_string}"
        raise RoutineError(msg)
    if group < 2:  # noqa: PLR2004
        msg = f"a group has 2 notes or more, not {group}"
        raise RoutineError(msg)
    if not 1 <= step <= group:
        msg = f"the next group begins 1 to {group} notes later, not {step}"
        raise RoutineError(msg)
    if not 1 <= times_round <= MOST_TIMES_ROUND:
        msg = f"a coupling goes round 1 to {MOST_TIMES_ROUND} times, not {times_round}"
        raise RoutineError(msg)


MINOR_PENTATONIC = (0, 3, 5, 7, 10)
MAJOR = (0, 2, 4, 5, 7, 9, 11)
NATURAL_MINOR = (0, 2, 3, 5, 7, 8, 10)
HARMONIC_MINOR = (0, 2, 3, 5, 7, 8, 11)

PENTATONIC = routine(
    FIRST_NAME, "minor pentatonic, two notes a string, in sixes", MINOR_PENTATONIC, 2, 6, 2
)
"""The first routine."""
