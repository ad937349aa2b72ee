"""Passes recorded one by one while they are played, and what is said of them afterwards."""

from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.acts import Act
from scheduler.ledger.events import FaultSaid
from scheduler.ledger.plans import KeptPlan, mark_played
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment
from scheduler.practice.act import act
from scheduler.practice.practice import Practice


class Playing(NamedTuple):
    """A pass that has just been played.

    Attributes:
        item: What was played.
        tempo: Beats per minute.
        notes_per_beat: 1, 2, 3, 4 or 6.
        clean: Whether it was clean.
        errors: 0 when clean; None if not counted.
        id: Its id, where it was given one elsewhere: sent again, it is the same pass.
        at: When it was played; None for now.
    """

    item: Item
    tempo: BeatsPerMinute
    notes_per_beat: int
    clean: bool
    errors: int | None
    id: str | None = None
    at: Moment | None = None


class Recorded(NamedTuple):
    """A pass that is on disk, and the act that put it there; None if it was there already."""

    played: Pass
    act: Act | None


def record_pass(
    practice: Practice, playing: Playing, plan: KeptPlan, block: int | None
) -> Recorded:
    """Record a pass: it is on disk when this returns.

    Args:
        practice: The player's practice, at the moment of the pass.
        playing: What was played.
        plan: The plan of the session.
        block: The block that is through with the item by this pass; None if it comes again.

    Raises:
        LedgerError: The file can't be written.
    """
    notes = playing.item.notes_on(practice.neck.strings)
    with act(practice, "play") as doing:
        played = Pass(
            playing.id or doing.ids.next(), playing.at or doing.moment, playing.item, notes,
            playing.tempo, playing.notes_per_beat, playing.clean, playing.errors,
        )  # fmt: skip
        doing.add([played])
        if block is not None:
            mark_played(practice.ledger, plan, [(block, played.id)])
    return Recorded(played, doing.act)


def say_fault(practice: Practice, played: Pass, fault: Fault) -> Act | None:
    """Say what was sloppy about a pass that is recorded; the act that this is.

    Raises:
        LedgerError: The file can't be written.
    """
    with act(practice, "fault") as doing:
        doing.add([FaultSaid(doing.ids.next(), doing.moment, played.id, fault)])
    return doing.act
