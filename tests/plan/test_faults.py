"""Faults that the recent sloppy passes of a block share."""

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.plan.session import shared_fault
from scheduler.player.facts import Fault, Pass
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability
from tests.player.logs import moment

ITEMS = [parse_address(f"3:asc:down:{fret}") for fret in (5, 7, 9)]


def ability(said: list[tuple[float, int, str]], day: float = 3) -> Ability:
    """Sloppy passes: day, number of the item, fault or nothing."""
    passes = [
        Pass(f"{n:036d}", moment(when), ITEMS[place], 24, BeatsPerMinute(60), 3, clean=False,
             fault=Fault(fault) if fault else None)
        for n, (when, place, fault) in enumerate(said)
    ]  # fmt: skip
    return Ability(replay(passes), moment(day), parse_neck(), 3, BeatsPerMinute(60), 0.9)


@pytest.mark.parametrize(
    ("said", "day", "shared"),
    [
        ([(1, 0, "ringing"), (2, 1, "ringing")], 3, Fault.RINGING),
        ([(1, 0, "ringing")], 3, None),
        ([(1, 0, "ringing"), (2, 1, "sync")], 3, None),
        ([(1, 0, "sync"), (1, 1, "sync"), (1, 2, "sync"), (2, 2, "notes")], 3, Fault.SYNC),
        ([(1, 0, ""), (1, 1, ""), (1, 2, "notes"), (2, 2, "notes")], 3, Fault.NOTES),
        ([(1, 0, "ringing"), (2, 1, "ringing")], 33, None),
        ([], 3, None),
    ],
)
def test_most_recent_sloppy_passes_that_say_a_fault_say_the_same(
    said: list[tuple[float, int, str]], day: float, shared: Fault | None
) -> None:
    assert shared_fault(ability(said, day), ITEMS) is shared
