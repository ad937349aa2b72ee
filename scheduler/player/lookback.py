"""A look back at a round: what it took, what was gained, and what was hardest."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, mark_at_or_below, marks_away, tempo_of
from scheduler.guitar.metronome import NotesPerSecond as Speed
from scheduler.player.progress import Tally, TripKey
from scheduler.player.tempo import Ability

HARDEST = 3
FEWEST_PASSES = 5
SECURE_SHARE = 0.1
"""The next floor tempo is one that nine in ten items reached."""


@dataclass(frozen=True, slots=True)
class LookBack:
    """What a round was like.

    Attributes:
        total: Passes, clean passes and seconds.
        days: Days with passes since it began.
        first_tempo: The median over its items of the first clean tempo in the round.
        last_tempo: The median of the fastest clean tempo in the round.
        hardest: The trips with the smallest share of clean passes, hardest first.
        next_floor: A floor tempo for another round: nine in ten items reached it.
    """

    total: Tally
    days: int
    first_tempo: BeatsPerMinute
    last_tempo: BeatsPerMinute
    hardest: tuple[tuple[TripKey, float], ...]
    next_floor: BeatsPerMinute


def look_back(ability: Ability, items: Sequence[Item]) -> LookBack | None:
    """Look back at the round under way; None before its first clean pass."""
    progress, beat = ability.state.round, ability.notes_per_beat
    reached = [
        best for item in items if (best := ability.state.history(item).round_best)
    ]  # fmt: skip
    if not reached:
        return None
    fastest = sorted(tempo_of(Speed(best[-1][1]), beat) for best in reached)
    secure = fastest[int(SECURE_SHARE * len(fastest))]
    floor = ability.floor_tempo
    shares = [
        (key, tally.clean / tally.passes)
        for key, tally in progress.trips.items()
        if tally.passes >= FEWEST_PASSES
    ]
    return LookBack(
        total=progress.total,
        days=sum(day >= progress.started for day in ability.state.days),
        first_tempo=BeatsPerMinute(median(tempo_of(Speed(b[0][1]), beat) for b in reached)),
        last_tempo=BeatsPerMinute(median(fastest)),
        hardest=tuple(sorted(shares, key=lambda pair: pair[1])[:HARDEST]),
        next_floor=max(mark_at_or_below(secure), marks_away(floor, 1)),
    )
