"""What goes wrong: faults over time, by box and by region of the neck; the hardest frets."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from scheduler.ledger.sloppy import last_resets, sloppy_passes
from scheduler.player.belief import KNOT_FRETS
from scheduler.player.facts import Fault, Pass
from scheduler.player.progress import TripKey, trip_key
from scheduler.player.replay import place_in_time
from scheduler.practice.practice import Practice
from scheduler.practice.report.periods import Period

HARDEST = 10
FEWEST_PASSES = 4
"""Of fewer passes nothing is said of a fret (our choice)."""

Faults = Counter[Fault | None]
"""Sloppy passes by what was sloppy; None where that wasn't said."""


class Hard(NamedTuple):
    """A box or coupling at a fret that is often sloppy.

    Attributes:
        key: The box or coupling.
        fret: The fret.
        passes: The passes of its items since they were last reset.
        clean: Clean ones among them.
    """

    key: TripKey
    fret: int
    passes: int
    clean: int


class FaultsReport(NamedTuple):
    """What goes wrong.

    Attributes:
        over_time: By period.
        by_trip: By box or coupling of the routine that goes onward, since its items were last
            reset.
        passes: All passes of its items since then, likewise.
        by_region: By the first fret of a region of four.
        hardest: At most ten places with the smallest share of clean passes, hardest first.
    """

    over_time: dict[Period, Faults]
    by_trip: dict[TripKey, Faults]
    passes: dict[TripKey, int]
    by_region: dict[int, Faults]
    hardest: tuple[Hard, ...]


def faults_report(practice: Practice, periods: Sequence[Period]) -> FaultsReport:
    """What goes wrong, in all passes that were sloppy.

    Raises:
        LedgerError: The ledger can't be read.
    """
    routine = practice.state.routine
    over_time: dict[Period, Faults] = {period: Counter() for period in periods}
    of_day = {day: period for period in periods for day in period.days}
    by_trip: defaultdict[TripKey, Faults] = defaultdict(Counter)
    by_region: defaultdict[int, Faults] = defaultdict(Counter)
    resets = last_resets(practice.ledger)
    for played in sloppy_passes(practice.ledger):
        # What is dated after the last period, by a clock that was ahead, belongs to it.
        over_time[of_day.get(played.moment.day, periods[-1])][played.fault] += 1
        by_region[region_of(played)][played.fault] += 1
        is_set_aside = place_in_time(played) < resets.get(played.item, (0, ""))
        if played.item.routine is routine and not is_set_aside:
            by_trip[trip_key(played.item)][played.fault] += 1
    return FaultsReport(
        over_time,
        dict(sorted(by_trip.items(), key=lambda pair: (pair[0][1], pair[0][2], pair[0][0]))),
        _passes(practice),
        dict(sorted(by_region.items())),
        _hardest(practice),
    )


def _passes(practice: Practice) -> dict[TripKey, int]:
    found: Counter[TripKey] = Counter()
    for item, history in practice.state.histories.items():
        if item.routine is practice.state.routine:
            found[trip_key(item)] += history.passes
    return dict(found)


def region_of(played: Pass) -> int:
    """The first fret of the region that a pass lies in; open strings belong to the first."""
    return (max(played.item.fret, 1) - 1) // KNOT_FRETS * KNOT_FRETS + 1


def _hardest(practice: Practice) -> tuple[Hard, ...]:
    state = practice.state
    tallies: defaultdict[tuple[TripKey, int], list[int]] = defaultdict(lambda: [0, 0])
    for item, history in state.histories.items():
        if item.routine is state.routine and practice.has(item):
            tally = tallies[trip_key(item), item.fret]
            tally[0] += history.passes
            tally[1] += history.clean
    found = [
        Hard(key, fret, passes, clean)
        for (key, fret), (passes, clean) in tallies.items()
        if passes >= FEWEST_PASSES and clean < passes
    ]
    found.sort(key=lambda hard: (hard.clean / hard.passes, -hard.passes, hard.key, hard.fret))
    return tuple(found[:HARDEST])
