"""The neck as a map: rows by box and coupling, columns by fret, each cell where its items stand.

A cell stands for all items of a trip at a fret: its standing is that of the one that needs most.
"""

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import NotesPerSecond, tempo_of
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import PART_ORDER, PENTATONIC, Part, Routine
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice

MOST_URGENT_FIRST = (
    Standing.WEAK, Standing.STALE, Standing.AHEAD, Standing.CLEAN, Standing.OUTSIDE,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cell:
    """One trip at one fret.

    Attributes:
        standing: The standing that needs most.
        is_partly_clean: Whether some of its items are clean while others are still ahead.
        tempo: The fastest clean tempo among its items; None before a clean pass.
        is_below_floor: Whether what is ahead of it was clean in the round under the floor tempo.
    """

    standing: Standing
    is_partly_clean: bool
    tempo: float | None
    is_below_floor: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A box or coupling: its cells by fret."""

    part: Part
    box: int
    coupling: bool
    cells: Mapping[int, Cell]
    routine: Routine = PENTATONIC


def neck_map(practice: Practice) -> list[Row]:
    """The rows of the round under way."""
    beat = practice.settings.notes_per_beat
    judgements = practice.judge_all(practice.order)
    tempos = {
        item: float(tempo_of(NotesPerSecond(history.fastest_speed), beat))
        for item, history in practice.state.histories.items()
        if history.fastest_speed
    }
    standings = {item: judged.standing for item, judged in judgements.items()}
    histories = practice.state.histories.items()
    begun = frozenset(item for item, history in histories if history.round_best)
    return rows_of(practice.trips(), standings, tempos, begun)


def rows_of(
    trips: Sequence[Trip],
    standings: Mapping[Item, Standing],
    tempos: Mapping[Item, float],
    begun: Container[Item] = frozenset(),
) -> list[Row]:
    """The rows of some trips, part by part; `begun`: items with a clean pass in the round."""
    rows = []
    for trip in trips:
        by_fret = groupby(sorted(trip.items, key=lambda item: item.fret), lambda item: item.fret)
        cells = {
            fret: _cell(
                [standings[item] for item in group],
                [tempos.get(item) for item in group],
                is_begun=any(item in begun for item in group),
            )
            for fret, group in ((fret, list(items)) for fret, items in by_fret)
        }
        rows.append(Row(trip.part, trip.box, trip.coupling, cells, trip.routine))
    return sorted(rows, key=lambda row: PART_ORDER.index(row.part))


def _cell(standings: Sequence[Standing], tempos: Sequence[float | None], *, is_begun: bool) -> Cell:
    worst = next(standing for standing in MOST_URGENT_FIRST if standing in standings)
    is_partly_clean = worst is Standing.AHEAD and Standing.CLEAN in standings
    known = [tempo for tempo in tempos if tempo is not None]
    is_below = worst is Standing.AHEAD and is_begun and not is_partly_clean
    return Cell(worst, is_partly_clean, max(known, default=None), is_below)
