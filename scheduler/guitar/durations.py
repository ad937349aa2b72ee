"""How long things take: a pass, the pauses between passes, the way from one item to the next."""

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond

COUNT_IN_BEATS = 4
SETTLE_SECONDS = 3.0
"""Between the passes of a block, to the same or the neighbouring fret (our choice)."""

CHANGEOVER_SECONDS = 8.0
"""To anywhere else on the neck (our choice)."""


def pass_seconds(notes: int, speed: NotesPerSecond) -> float:
    """How long one pass takes.

    Example:
        >>> pass_seconds(24, NotesPerSecond(3.0))
        8.0
    """
    return notes / speed


def whole_beats_seconds(seconds: float, tempo: BeatsPerMinute) -> float:
    """A pause of at least `seconds`, rounded up to whole beats.

    Example:
        >>> whole_beats_seconds(2.9, BeatsPerMinute(60))
        3.0
    """
    beat = 60 / tempo
    beats = -int(-(seconds / beat - 1e-9) // 1)
    return beats * beat


def settle_seconds(tempo: BeatsPerMinute) -> float:
    """The pause after a pass, in whole beats."""
    return whole_beats_seconds(SETTLE_SECONDS, tempo)


def opening_seconds(tempo: BeatsPerMinute) -> float:
    """Seconds before the first note of a block: the changeover, then the count-in."""
    return whole_beats_seconds(CHANGEOVER_SECONDS, tempo) + COUNT_IN_BEATS * 60 / tempo


def way_seconds(before: Item | None, item: Item, tempo: BeatsPerMinute) -> float:
    """The way to an item beside the settling: a new block, a jump along the neck, or nothing."""
    if before is None or (before.box, before.coupling, before.stroke) != (
        item.box,
        item.coupling,
        item.stroke,
    ):
        return opening_seconds(tempo)
    if abs(item.fret - before.fret) > 1:
        return whole_beats_seconds(CHANGEOVER_SECONDS, tempo) - settle_seconds(tempo)
    return 0.0
