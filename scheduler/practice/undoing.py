"""What was done last is taken back, and what was taken back is brought back."""

from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.errors import RecordError
from scheduler.guitar.items import Item
from scheduler.ledger.acts import Act, last_done, last_undone, redo_act, undo_act
from scheduler.ledger.events import item_from
from scheduler.ledger.events_table import ITEM_COLUMNS, known_events
from scheduler.player.moments import Moment
from scheduler.practice.practice import Practice

SAID = ("pass", "reset", "round", "setting", "fault")
"""Kinds of events that a player did; the others keep the record in order."""


@dataclass(frozen=True, slots=True)
class Done:
    """What an act did: what an undo takes back, or a redo brings back.

    Attributes:
        what: What had been done: `record`, `play`, `setup`, `import` and so on.
        moment: When.
        ids: The ids of the events, in the order in which they were entered.
        passes: How many passes among them.
        clean: How many clean passes among them.
        items: The items of passes, resets and faults, each once.
        settings: The values of settings, in words.
        round_number: The number of the round that had been begun, if one was.
    """

    what: str
    moment: Moment
    ids: tuple[str, ...]
    passes: int
    clean: int
    items: tuple[Item, ...]
    settings: dict[str, str]
    round_number: int | None


def next_to_undo(practice: Practice) -> Act:
    """The act that was done last.

    Raises:
        RecordError: There is none.
    """
    last = last_done(practice.ledger)
    if last is None:
        msg = "there is nothing to undo here"
        raise RecordError(msg)
    return last


def undo(practice: Practice, act: Act, *, only_last: bool = True) -> Done:
    """Take back what an act done on this machine did, whole.

    Args:
        practice: The player's practice.
        act: The act.
        only_last: Whether it must still be the last one.

    Raises:
        RecordError: Another program did something meanwhile.
        LedgerError: The file can't be written.
    """
    ids = undo_act(practice.ledger, act, practice.now, only_last=only_last)
    practice.look_again()
    return done_by(practice, act, ids)


def redo(practice: Practice) -> Done:
    """Bring back what the last undo took back, whole.

    Raises:
        RecordError: There is nothing to bring back.
        LedgerError: The file can't be written.
    """
    act = last_undone(practice.ledger)
    if act is None:
        msg = "there is nothing to bring back: nothing was undone, or something was done since"
        raise RecordError(msg)
    ids = redo_act(practice.ledger, act, practice.now)
    practice.look_again()
    return done_by(practice, act, ids)


def done_by(practice: Practice, act: Act, ids: Sequence[str]) -> Done:
    """What an act did.

    Args:
        practice: The player's practice.
        act: The act.
        ids: The ids of its events that are meant, in the order in which they were entered.

    Raises:
        LedgerError: The file can't be read.
    """
    ledger = practice.ledger
    with ledger.reading():
        known = known_events(ledger.db.conn, ids)
        targets = known_events(ledger.db.conn, [r["target"] for r in known.values() if "fault" in r
                                                and r["kind"] == "fault"])  # fmt: skip
    rows = [known[event_id] for event_id in ids if known[event_id]["kind"] in SAID]
    named = [targets[row["target"]] if row["kind"] == "fault" else row for row in rows]
    routines = ledger.routines
    items = [
        item_from([row[column] for column in ITEM_COLUMNS], routines)
        for row in named
        if "box" in row
    ]
    rounds = [row["number"] for row in rows if row["kind"] == "round"]
    return Done(
        what=act.what,
        moment=act.moment,
        ids=tuple(row["id"] for row in rows),
        passes=sum(row["kind"] == "pass" for row in rows),
        clean=sum(row["kind"] == "pass" and bool(row["clean"]) for row in rows),
        items=tuple(dict.fromkeys(items)),
        settings={row["name"]: row["value"] for row in rows if row["kind"] == "setting"},
        round_number=max(rounds, default=None),
    )
