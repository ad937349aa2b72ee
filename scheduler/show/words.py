"""Words: how a musician says what is to be played, and how numbers and times are said."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from scheduler.guitar.items import Item
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import PENTATONIC, Direction, Part, Routine, Stroke
from scheduler.plan.session import Reason
from scheduler.player.facts import Fault
from scheduler.player.progress import TripKey

if TYPE_CHECKING:
    # Not imported for every command: few need it.
    from scheduler.plan.projection import Milestone

FAULT_ADVICE = {
    Fault.RINGING: "Strings rang on here lately: mute them with the free fingers and the palm",
    Fault.SYNC: "Your hands were out of sync here lately: slow down until they line up",
    Fault.NOTES: "Wrong or missed notes here lately: look at the shape first, then play",
}
"""What players do about a fault in general (common practice, no source)."""

REASON_WORDS = {
    Reason.WARM_UP: "warm-up",
    Reason.REPAIR: "repair",
    Reason.ONWARD: "new ground",
    Reason.REFRESH: "refresh",
    Reason.FIND_WAY: "find your way",
}
FAULT_WORDS = {
    Fault.RINGING: "string noise",
    Fault.SYNC: "hands not together",
    Fault.NOTES: "wrong notes",
}
MANY_MINUTES = 120

DIRECTION_WORDS = {Direction.ASC: "ascending", Direction.DESC: "descending"}
START_WORDS = {Direction.ASC: "from the bottom", Direction.DESC: "from the top"}
STROKE_WORDS = {Stroke.DOWN: "downstroke first", Stroke.UP: "upstroke first"}
PART_WORDS = {
    Part.SINGLES: "single boxes",
    Part.FROM_BOTTOM: "all couplings from the bottom",
    Part.FROM_TOP: "all couplings from the top",
}


def boxes(box: int, *, coupling: bool, routine: Routine = PENTATONIC) -> str:
    """A box or coupling, where the routine is plain.

    Example:
        >>> boxes(2, coupling=False), boxes(5, coupling=True)
        ('box 2', 'boxes 5+1')
    """
    return f"boxes {box}+{routine.next_box(box)}" if coupling else f"box {box}"


def boxes_of(item: Item) -> str:
    """An item's box or coupling, with the name of its routine if that isn't the first."""
    name = boxes(item.box, coupling=item.coupling, routine=item.routine)
    return f"{item.routine.key} {name}".lstrip()


def way(item: Item) -> str:
    """Which way an item starts."""
    return (START_WORDS if item.coupling else DIRECTION_WORDS)[item.direction]


def item_words(item: Item) -> str:
    """An item as a musician would say it.

    Example:
        >>> item_words(Item(2, False, Direction.ASC, Stroke.DOWN, 7))
        'box 2 at fret 7, ascending, downstroke first'
    """
    return f"{place_words(item)}, {STROKE_WORDS[item.stroke]}"


def place_words(item: Item) -> str:
    """An item without its stroke."""
    return f"{boxes_of(item)} at fret {item.fret}, {way(item)}"


def at_fret_words(item: Item) -> str:
    """An item beside others of its box or coupling."""
    return f"fret {item.fret}, {way(item)}"


def trip_words(trip: Trip) -> str:
    """A trip: its box, or its coupling and where that starts.

    Example:
        >>> trip_words(Trip(Part.FROM_TOP, 1, True, ()))
        'boxes 1+2 from the top'
    """
    name = boxes(trip.box, coupling=trip.coupling, routine=trip.routine)
    if trip.part is Part.SINGLES:
        return name
    return f"{name} {'from the bottom' if trip.part is Part.FROM_BOTTOM else 'from the top'}"


def key_words(key: TripKey, routine: Routine = PENTATONIC) -> str:
    """A trip by its key.

    Example:
        >>> key_words((1, True, "desc"))
        'boxes 1+2 from the top'
    """
    box, coupling, direction = key
    name = boxes(box, coupling=coupling, routine=routine)
    return f"{name} {START_WORDS[Direction(direction)]}" if coupling else name


def round_words(number: int, routine: Routine = PENTATONIC) -> str:
    """A round, with the name of its routine if that isn't the first.

    Example:
        >>> round_words(2)
        'round 2'
    """
    return f"{routine.key} round {number}".lstrip()


def milestone_words(milestone: "Milestone", of_round: str) -> str:
    """What a milestone finishes; the round itself as `round_words` calls it."""
    if milestone.trip is not None:
        return trip_words(milestone.trip)
    if milestone.part is not None:
        return PART_WORDS[milestone.part]
    return of_round


def sentence(words: str) -> str:
    """Words as a sentence begins with them.

    Example:
        >>> sentence("box 2")
        'Box 2'
    """
    return f"{words[0].upper()}{words[1:]}"


def listed(words: Sequence[str]) -> str:
    """Words in a row.

    Example:
        >>> listed(["4", "6", "9 to 11"])
        '4, 6 and 9 to 11'
    """
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def fret_words(frets: Sequence[int]) -> str:
    """Frets in the order in which they are played, runs of neighbours together.

    Example:
        >>> fret_words([7]), fret_words([11, 10, 9, 4])
        ('fret 7', 'frets 11 to 9 and 4')
    """
    runs: list[list[int]] = []
    for fret in dict.fromkeys(frets):
        run = runs[-1] if runs else []
        step = run[1] - run[0] if len(run) > 1 else None
        if run and abs(fret - run[-1]) == 1 and step in {None, fret - run[-1]}:
            run.append(fret)
        else:
            runs.append([fret])
    words = []
    for run in runs:
        if len(run) > 2:  # noqa: PLR2004
            words.append(f"{run[0]} to {run[-1]}")
        else:
            words += [str(fret) for fret in run]
    alone = len(runs) == 1 and len(runs[0]) == 1
    return f"{'fret' if alone else 'frets'} {listed(words)}"


def block_words(items: Sequence[Item]) -> str:
    """The items of a block in one sentence.

    Example:
        >>> up = [Item(2, False, Direction.ASC, Stroke.DOWN, fret) for fret in range(4, 12)]
        >>> block_words(up)
        'box 2, frets 4 to 11, up the neck, downstroke first, ascending'
    """
    first, frets = items[0], [item.fret for item in items]
    words = [boxes_of(first)]
    if first.coupling:
        words[0] += f" {way(first)}"
    words.append(fret_words(frets))
    if frets == sorted(frets) and frets[0] < frets[-1]:
        words.append("up the neck")
    elif frets == sorted(frets, reverse=True) and frets[0] > frets[-1]:
        words.append("down the neck")
    words.append(STROKE_WORDS[first.stroke])
    if not first.coupling:
        words.append(_directions(items))
    return ", ".join(words)


def _directions(items: Sequence[Item]) -> str:
    ways = [item.direction for item in items]
    if len(set(ways)) == 1:
        return DIRECTION_WORDS[ways[0]]
    if all(a is not b for a, b in pairwise(ways)):
        first, second = (f"{item.fret} {DIRECTION_WORDS[item.direction]}" for item in items[:2])
        return f"fret {first}, {second}{' and so on' if len(items) > 2 else ''}"  # noqa: PLR2004
    if len(ways) == 2 * len({item.fret for item in items}):
        other = next(way for way in Direction if way is not ways[0])
        return f"each fret {DIRECTION_WORDS[ways[0]]} and {DIRECTION_WORDS[other]}"
    by_parity = {(item.fret % 2, item.direction) for item in items}
    if len(by_parity) == len(Direction):
        even, odd = (DIRECTION_WORDS[way] for _, way in sorted(by_parity))
        return f"even frets {even}, odd frets {odd}"
    parts = []
    for direction in dict.fromkeys(ways):
        frets = [item.fret for item in items if item.direction is direction]
        parts.append(f"{DIRECTION_WORDS[direction]} at {fret_words(frets)}")
    return ", ".join(parts)


def duration(seconds: float) -> str:
    """A length of time.

    Example:
        >>> duration(45), duration(83), duration(1200), duration(16700)
        ('45 s', '1 min 23 s', '20 min', '4 h 38 min')
    """
    whole = round(seconds)
    minutes, left = divmod(whole, 60)
    if minutes >= MANY_MINUTES:
        hours, rest = divmod(minutes, 60)
        return f"{hours} h {rest} min"
    if not minutes:
        return f"{left} s"
    return f"{minutes} min {left} s" if left else f"{minutes} min"


def clock_words(seconds: float) -> str:
    """A length of time in minutes and seconds.

    Example:
        >>> clock_words(271.2)
        '4:31'
    """
    minutes, left = divmod(round(seconds), 60)
    return f"{minutes}:{left:02d}"


def count(number: int, one: str, many: str = "") -> str:
    """A number of things.

    Example:
        >>> count(1, "pass", "passes"), count(2, "item")
        ('1 pass', '2 items')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def tempo_words(tempo: float) -> str:
    """A tempo without needless decimals.

    Example:
        >>> tempo_words(60.0), tempo_words(72.5)
        ('60', '72.5')
    """
    return f"{tempo:.4g}"


def share(value: float | None) -> str:
    """A share in whole percent."""
    return "-" if value is None else f"{value:.0%}"


def without_controls(text: str) -> str:
    """A player's own words without what could draw on a terminal.

    Example:
        >>> without_controls("a" + chr(27) + "[2Jb")
        'a?[2Jb'
    """
    return "".join(mark if mark.isprintable() else "?" for mark in text)


def lines(texts: Iterable[str]) -> str:
    """Sentences, one a line."""
    return "\n".join(texts)
