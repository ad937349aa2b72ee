"""What an item costs: seconds of its passes and of settling between them."""

from scheduler.guitar.durations import pass_seconds, settle_seconds
from scheduler.guitar.metronome import BeatsPerMinute, speed_of

PASSES_A_VISIT = 3
"""After so many sloppy passes in a row the session leaves an item and goes on (our choice)."""


def expected_passes(clean_chance: float) -> float:
    """Expected passes until clean, giving up after three in one visit: (1 - (1-p)^3) / p.

    Example:
        >>> expected_passes(1.0), expected_passes(0.5), expected_passes(0.0)
        (1.0, 1.75, 3.0)
    """
    sloppy = 1.0 - clean_chance
    return sum(sloppy**sooner for sooner in range(PASSES_A_VISIT))


def visit_seconds(
    notes: int, tempo: BeatsPerMinute, notes_per_beat: int, clean_chance: float
) -> float:
    """Expected seconds of an item inside its block: passes until clean, and settling after each."""
    one = pass_seconds(notes, speed_of(tempo, notes_per_beat))
    return expected_passes(clean_chance) * (one + settle_seconds(tempo))
