"""A look back at a round: what it took, what was gained, and what was hardest."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, tempo_of
from scheduler.guitar.metronome import NotesPerSecond as Speed
from scheduler.player.progress import Tally, TripKey
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import Ability, suggested_tempo

HARDEST = 3
FEWEST_PASSES = 5
NEXT_CHANCE, NEXT_SHARE = 0.7, 0.1
"""At the next round's floor tempo nine in ten of its items are clean with at least this chance."""


@dataclass(frozen=True, slots=True)
class LookBack:
    """What a round was like.

    Attributes:
        total: Passes, clean passes and seconds.
        days: Days with passes of it.
        first_tempo: The median over its items of the first clean tempo in the round.
        last_tempo: The median of the fastest clean tempo in the round.
        hardest: The trips with the smallest share of clean passes, hardest first.
        next_floor: The floor tempo that suits another round; None while this one isn't finished.
    """

    total: Tally
    days: int
    first_tempo: BeatsPerMinute
    last_tempo: BeatsPerMinute
    hardest: tuple[tuple[TripKey, float], ...]
    next_floor: BeatsPerMinute | None


def look_back(ability: Ability, items: Sequence[Item]) -> LookBack | None:
    """Look back at the round under way; None before its first clean pass."""
    progress, beat = ability.round, ability.notes_per_beat
    reached = [
        best for item in items if (best := ability.state.history(item).round_best)
    ]  # fmt: skip
    if not reached:
        return None
    fastest = sorted(tempo_of(Speed(best[-1][1]), beat) for best in reached)
    shares = [
        (key, tally.clean / tally.passes)
        for key, tally in progress.trips.items()
        if tally.passes >= FEWEST_PASSES and tally.clean < tally.passes
    ]
    return LookBack(
        total=progress.total,
        days=progress.days,
        first_tempo=BeatsPerMinute(median(tempo_of(Speed(b[0][1]), beat) for b in reached)),
        last_tempo=BeatsPerMinute(median(fastest)),
        hardest=tuple(sorted(shares, key=lambda pair: pair[1])[:HARDEST]),
        next_floor=_next_floor(ability, items),
    )


def _next_floor(ability: Ability, items: Sequence[Item]) -> BeatsPerMinute | None:
    """The fastest mark at which most items would be clean, never under the floor tempo now."""
    floor = ability.floor_speed
    if not all(counts_in_round(ability.state.history(item), floor) for item in items):
        return None
    less_sure = ability._replace(clean_target=NEXT_CHANCE)
    marks = sorted(suggested_tempo(less_sure, item) for item in items)
    return max(marks[int(NEXT_SHARE * len(marks))], ability.floor_tempo)
