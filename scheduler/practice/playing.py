"""Passes recorded one by one while they are played, and what is said of them afterwards."""

from collections.abc import Iterable
from contextlib import suppress
from json import dumps
from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.ledger.acts import act_with
from scheduler.ledger.events import FaultSaid
from scheduler.ledger.events_table import Row, known_events
from scheduler.ledger.plans import KeptPlan, mark_played
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment
from scheduler.practice.act import act
from scheduler.practice.practice import Practice
from scheduler.practice.undoing import undo

PLAY, FAULT = ACTS_OF_PLAYING = ("play", "fault")
"""What is done while playing, as an undo names it."""


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


def record_pass(
    practice: Practice, playing: Playing, plan: KeptPlan | None, block: int | None
) -> Pass:
    """Record a pass: it is on disk when this returns.

    Args:
        practice: The player's practice, at the moment of the pass.
        playing: What was played.
        plan: The plan of the session; None where it isn't known any more.
        block: The block that is through with the item by this pass; None if it comes again.

    Raises:
        LedgerError: The file can't be written.
    """
    notes = playing.item.notes_on(practice.neck.strings)
    with act(practice, PLAY) as doing:
        played = Pass(
            playing.id or doing.ids.next(), playing.at or doing.moment, playing.item, notes,
            playing.tempo, playing.notes_per_beat, playing.clean, playing.errors,
        )  # fmt: skip
        doing.add([played])
        if plan is not None and block is not None:
            mark_played(practice.ledger, plan, [(block, played.id)])
    return played


def known_row(practice: Practice, event_id: str) -> Row | None:
    """What is recorded under an id, also if it was taken back since; None if nothing is.

    Raises:
        LedgerError: The file can't be read.
    """
    with practice.ledger.reading():
        return known_events(practice.ledger.db.conn, [event_id]).get(event_id)


def standing_ids(practice: Practice, ids: Iterable[str]) -> set[str]:
    """Those of some events that stand: recorded, and not taken back.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = practice.ledger.rows(
        "SELECT id, at_ms FROM events WHERE id IN (SELECT value FROM json_each(:ids))",
        {"ids": dumps(list(ids))},
    )
    with practice.ledger.reading():
        return {str(row[0]) for row in practice.ledger.standing(rows)}


def take_back(practice: Practice, event_id: str) -> bool:
    """Take back the act of playing that recorded something, unless it was taken back already.

    Returns:
        Whether it was such an act; what else was done isn't taken back from here.

    Raises:
        LedgerError: The file can't be written.
    """
    done = act_with(practice.ledger, event_id)
    if done is None or done.what not in ACTS_OF_PLAYING:
        return False
    if done.undone is None:
        # Another program may have taken it back just now.
        with suppress(RecordError):
            undo(practice, done, only_last=False)
    return True


def say_fault(practice: Practice, played: str, fault: Fault, fault_id: str | None = None) -> str:
    """Say what was sloppy about a pass that is recorded; the id of what is said.

    Args:
        practice: The player's practice.
        played: The id of the pass.
        fault: What was sloppy.
        fault_id: The id of what is said, where it was given one elsewhere.

    Raises:
        LedgerError: The file can't be written.
    """
    with act(practice, FAULT) as doing:
        said = FaultSaid(fault_id or doing.ids.next(), doing.moment, played, fault)
        doing.add([said])
    return said.id
