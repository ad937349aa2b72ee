"""Passes recorded one by one while they are played, and what is said of them afterwards."""

from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.sequence import notes_in
from scheduler.ledger.events import FaultSaid
from scheduler.ledger.plans import KeptPlan, mark_played
from scheduler.player.facts import Fault, Pass
from scheduler.practice.act import act
from scheduler.practice.practice import Practice


class Playing(NamedTuple):
    """A pass that has just been played.

    Attributes:
        item: What was played.
        tempo: Beats per minute.
        notes_per_beat: 3, 4 or 6.
        clean: Whether it was clean.
        errors: 0 when clean; None if not counted.
    """

    item: Item
    tempo: BeatsPerMinute
    notes_per_beat: int
    clean: bool
    errors: int | None


def record_pass(practice: Practice, playing: Playing, plan: KeptPlan, block: int | None) -> Pass:
    """Record a pass: it is on disk when this returns.

    Args:
        practice: The player's practice, at the moment of the pass.
        playing: What was played.
        plan: The plan of the session.
        block: The block that is through with the item by this pass; None if it comes again.

    Raises:
        LedgerError: The file can't be written.
    """
    notes = notes_in(practice.neck.strings, coupling=playing.item.coupling)
    with act(practice, "play") as doing:
        played = Pass(
            doing.ids.next(), doing.moment, playing.item, notes, playing.tempo,
            playing.notes_per_beat, playing.clean, playing.errors,
        )  # fmt: skip
        doing.add([played])
        if block is not None:
            mark_played(practice.ledger, plan, [(block, played.id)])
    return played


def say_fault(practice: Practice, played: Pass, fault: Fault) -> None:
    """Say what was sloppy about a pass that is recorded.

    Raises:
        LedgerError: The file can't be written.
    """
    with act(practice, "fault") as doing:
        doing.add([FaultSaid(doing.ids.next(), doing.moment, played.id, fault)])
