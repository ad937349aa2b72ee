"""Fingering: the cheapest path of the hand over the notes of an item.

A hand position is the fret under the first finger; one finger a fret is free, a stretch of one
fret beyond (first finger back, fourth finger on) costs, and so do shifts and other fingers on a
pair of notes that was just played. Costs are in millimetres of the real neck, so that stretches
are dearer low on it; a whole trip is fingered alike, by the mean of its positions.

Source:
    Distance from nut to fret: L (1 - 2^(-n/12)), equal temperament. The weights are our choice,
    set so that box 1 is fingered 1-4 1-3 1-3 1-3 1-4 1-4 (common practice, no source).
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations
from typing import NamedTuple

from scheduler.guitar.items import Item, places_of
from scheduler.guitar.neck import Neck
from scheduler.guitar.sequence import legs_of, notes_of, runs_of

SCALE_LENGTH_MM = 648.0
"""25.5 inches, the long scale of electric guitars."""

FINGERS = 4
STRETCH_WEIGHT = 1.2
SHIFT_POWER = 1.5
"""Many small shifts are easier than one large one."""

CHANGE_COST = 0.6
MILLIMETRES = 25.0
"""The unit of cost: about the width of a fret in the middle of the neck."""

HIGHEST_POSITION = 40


class Grip(NamedTuple):
    """How neighbouring notes on a string are held.

    Attributes:
        position: The fret under the first finger.
        fingers: A finger per note, 1 to 4; 0 for an open string.
        stretch: The cost of stretching, in units.
    """

    position: int
    fingers: tuple[int, ...]
    stretch: float


class Ruler(NamedTuple):
    """Distances along the neck, as the mean over the positions of a trip.

    Attributes:
        shifts: By how many frets the trip's positions lie above the one that is fingered.
        scale_length: Of the instrument, in millimetres.
    """

    shifts: tuple[int, ...]
    scale_length: float

    def units(self, first: int, second: int) -> float:
        """The distance between two frets, in units of cost."""
        return abs(
            sum(
                fret_mm(second + shift, self.scale_length)
                - fret_mm(first + shift, self.scale_length)
                for shift in self.shifts
            )
        ) / (len(self.shifts) * MILLIMETRES)


@lru_cache(maxsize=512)
def fret_mm(fret: int, scale_length: float = SCALE_LENGTH_MM) -> float:
    """Millimetres from the nut to a fret.

    Example:
        >>> fret_mm(12), round(fret_mm(1), 4)
        (324.0, 36.3694)
    """
    return float(scale_length * (1.0 - 2.0 ** (-fret / 12)))


@lru_cache(maxsize=64)
def fingering(neck: Neck, item: Item, scale_length: float = SCALE_LENGTH_MM) -> tuple[int, ...]:
    """A finger per note of an item, 1 to 4, 0 for an open string.

    The same along the whole trip; the second time round of a coupling may differ from the first.

    Example:
        >>> from scheduler.guitar.neck import parse_neck
        >>> from scheduler.guitar.patterns import parse_address
        >>> fingering(parse_neck(), parse_address("1:asc:down:5"))[:6]
        (1, 4, 1, 3, 1, 3)
    """
    shifts = tuple(fret - item.fret for fret in places_of(neck, item)) or (0,)
    ruler = Ruler(shifts, scale_length)
    if item.routine.keeps_strings_whole:
        return _fingers(visits(neck, item), ruler)
    return _by_whole_strings(neck, item, ruler)


def _by_whole_strings(neck: Neck, item: Item, ruler: Ruler) -> tuple[int, ...]:
    """Fingers where groups end in the middle of a string: those of the strings as a whole."""
    notes = notes_of(neck, item)
    visited = []
    for number, leg in enumerate(legs_of(neck, item)):
        frets: dict[int, dict[int, None]] = {}
        for place in leg:
            frets.setdefault(notes[place].string, {})[notes[place].fret] = None
        visited += [(number, string, tuple(found)) for string, found in frets.items()]
    path = cheapest_path(tuple((string, frets) for _, string, frets in visited), ruler)
    held = {
        (number, string, fret): finger
        for (number, string, frets), grip in zip(visited, path, strict=True)
        for fret, finger in zip(frets, grip.fingers, strict=True)
    }
    return tuple(
        held[number, notes[place].string, notes[place].fret]
        for number, leg in enumerate(legs_of(neck, item))
        for place in leg
    )


def visits(neck: Neck, item: Item) -> tuple[tuple[int, tuple[int, ...]], ...]:
    """The strings that are visited one after the other, each with the frets played there.

    A group begins a visit of its own, also where its string was visited just before.
    """
    notes = notes_of(neck, item)
    return tuple(
        (notes[run[0]].string, tuple(notes[number].fret for number in run))
        for run in runs_of(neck, item)
    )


@lru_cache(maxsize=256)
def _fingers(runs: tuple[tuple[int, tuple[int, ...]], ...], ruler: Ruler) -> tuple[int, ...]:
    path = cheapest_path(runs, ruler)
    return tuple(finger for grip in path for finger in grip.fingers)


def grips(frets: tuple[int, ...], ruler: Ruler) -> list[Grip]:
    """All ways to hold some notes on a string."""
    stopped = [fret for fret in frets if fret > 0]
    if not stopped:
        return [Grip(position, (0,) * len(frets), 0.0) for position in range(1, HIGHEST_POSITION)]
    found = []
    for position in range(max(1, max(stopped) - FINGERS), min(stopped) + 2):
        fingers, stretch = [], 0.0
        for fret in frets:
            finger, cost = _finger_at(position, fret, ruler)
            fingers.append(finger)
            stretch += cost
        stopping = [finger for finger in fingers if finger]
        if all(1 <= finger <= FINGERS for finger in stopping) and len(set(stopping)) == len(
            {fret for fret in frets if fret}
        ):
            found.append(Grip(position, tuple(fingers), stretch))
    taught = [grip for grip in found if _is_taught(frets, grip.fingers)]
    return taught or found or _wide_grips(frets, ruler)


def _is_taught(frets: Sequence[int], fingers: Sequence[int]) -> bool:
    """Whether three notes of a string have the fingers that they are taught with.

    The first finger for the lowest, the fourth for the highest; the third between them where the
    highest is a fret away, else the second: 1-3-4, 1-2-4, and 1-2-4 with a stretch for two whole
    tones. Three in a row are 1-2-3 (common practice, no source).
    """
    held = sorted(
        {fret: finger for fret, finger in zip(frets, fingers, strict=True) if fret}.items()
    )
    if len(held) != 3:  # noqa: PLR2004
        return True
    (low, _), (middle, _), (high, _) = held
    middle_finger = 3 if high - middle == 1 else 2
    taught = (1, 2, 3) if high - low == 2 else (1, middle_finger, 4)  # noqa: PLR2004
    return tuple(finger for _, finger in held) == taught


def _wide_grips(frets: tuple[int, ...], ruler: Ruler) -> list[Grip]:
    """Ways to hold notes that a finger a fret, stretched by one on either side, doesn't reach.

    One finger after the other, each stretched as far as it needs.
    """
    stopped = sorted({fret for fret in frets if fret > 0})
    found = []
    for position in range(max(1, stopped[0] - 1), stopped[-1] + 1):
        for chosen in combinations(range(1, FINGERS + 1), len(stopped)):
            held = dict(zip(stopped, chosen, strict=True))
            stretch = STRETCH_WEIGHT * sum(
                ruler.units(fret, position + finger - 1) for fret, finger in held.items()
            )
            found.append(Grip(position, tuple(held.get(fret, 0) for fret in frets), stretch))
    return found


def _finger_at(position: int, fret: int, ruler: Ruler) -> tuple[int, float]:
    """The finger for a fret in a position, and the cost of its stretch."""
    if fret == 0:
        return 0, 0.0
    if fret == position - 1:
        return 1, STRETCH_WEIGHT * ruler.units(fret, position)
    if fret == position + FINGERS:
        return FINGERS, STRETCH_WEIGHT * ruler.units(fret - 1, fret)
    return fret - position + 1, 0.0


def path_cost(
    runs: Sequence[tuple[int, tuple[int, ...]]], path: Sequence[Grip], ruler: Ruler
) -> float:
    """What a path costs: stretches, shifts, and other fingers on a pair played just before."""
    cost = 0.0
    for place, grip in enumerate(path):
        cost += grip.stretch
        if place:
            cost += _shift_cost(path[place - 1], grip, ruler)
        for back in (1, 2):
            if place >= back:
                cost += _change_cost(runs[place - back], path[place - back], runs[place], grip)
    return cost


def _shift_cost(before: Grip, grip: Grip, ruler: Ruler) -> float:
    return float(ruler.units(before.position, grip.position) ** SHIFT_POWER)


def _change_cost(
    run_before: tuple[int, tuple[int, ...]],
    before: Grip,
    run: tuple[int, tuple[int, ...]],
    grip: Grip,
) -> float:
    """The cost of notes that are repeated with another finger."""
    if run_before[0] != run[0]:
        return 0.0
    held = dict(zip(run_before[1], before.fingers, strict=True))
    return CHANGE_COST * sum(
        held.get(fret, finger) != finger for fret, finger in zip(run[1], grip.fingers, strict=True)
    )


def cheapest_path(runs: Sequence[tuple[int, tuple[int, ...]]], ruler: Ruler) -> tuple[Grip, ...]:
    """The grips of the cheapest path: dynamic programming over the last two of them."""
    options = [grips(frets, ruler) for _, frets in runs]
    best: dict[tuple[Grip | None, Grip], tuple[float, tuple[Grip, ...]]] = {
        (None, grip): (grip.stretch, (grip,)) for grip in options[0]
    }
    for place in range(1, len(runs)):
        grown: dict[tuple[Grip | None, Grip], tuple[float, tuple[Grip, ...]]] = {}
        for (earlier, last), (cost, path) in best.items():
            for grip in options[place]:
                added = grip.stretch + _shift_cost(last, grip, ruler)
                added += _change_cost(runs[place - 1], last, runs[place], grip)
                if earlier is not None:
                    added += _change_cost(runs[place - 2], earlier, runs[place], grip)
                known = grown.get((last, grip))
                if known is None or cost + added < known[0]:
                    grown[last, grip] = (cost + added, (*path, grip))
        best = grown
    return min(best.values(), key=lambda pair: pair[0])[1]


def pair_words(fingers: Sequence[int]) -> str:
    """Fingers as pairs, as they are written for a box.

    Example:
        >>> pair_words((1, 4, 1, 3))
        '1-4 1-3'
    """
    pairs = [fingers[place : place + 2] for place in range(0, len(fingers), 2)]
    return " ".join("-".join(map(str, pair)) for pair in pairs)
