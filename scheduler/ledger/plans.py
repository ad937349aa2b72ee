"""The plan of a day, kept so that its block numbers stay what they were while you record."""

import json
from collections.abc import Iterable
from typing import NamedTuple

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.ledger.events import COLUMNS_OF_RESETS, resets_from
from scheduler.ledger.record import NOT_WITHDRAWN, Ledger
from scheduler.plan.plain import session_as_plain, session_from_plain
from scheduler.plan.session import Session
from scheduler.player.moments import Moment


class KeptPlan(NamedTuple):
    """A kept plan: the session, when it was made, and what was recorded of it by block."""

    session: Session
    made_at_ms: int
    done: dict[int, frozenset[Item]]

    def left(self, number: int) -> tuple[Item, ...]:
        """The items of a block that were not recorded yet, in order."""
        done = self.done.get(number, frozenset())
        block = self.session.blocks[number - 1]
        return tuple(planned.item for planned in block.items if planned.item not in done)

    def with_done(self, played: Iterable[tuple[int, Item]]) -> "KeptPlan":
        """The plan after more items were recorded, each for a block."""
        done = dict(self.done)
        for number, item in played:
            done[number] = done.get(number, frozenset()) | {item}
        return self._replace(done=done)


def keep_plan(ledger: Ledger, session: Session, now: Moment) -> KeptPlan:
    """Keep a session as the plan of its day, in place of an older one.

    Raises:
        LedgerError: The file can't be written.
    """
    body = json.dumps(session_as_plain(session), separators=(",", ":"))
    with ledger.writing():
        ledger.db.execute("DELETE FROM plans WHERE day = ?", [session.day])
        ledger.db.table("plans").insert(
            {"day": session.day, "made_at_ms": now.utc_ms, "body": body}
        )
    return KeptPlan(session, now.utc_ms, {})


def drop_plan(ledger: Ledger, day: int) -> None:
    """Forget the plan of a day.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        ledger.db.execute("DELETE FROM plans WHERE day = ?", [day])


def latest_plan(ledger: Ledger, since_ms: int) -> KeptPlan | None:
    """The newest plan, if it was made since an instant (UTC, ms).

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.reading():
        row = ledger.db.execute(
            "SELECT day FROM plans WHERE made_at_ms >= ? ORDER BY day DESC LIMIT 1", [since_ms]
        ).fetchone()
    return None if row is None else kept_plan(ledger, row[0])


def kept_plan(ledger: Ledger, day: int) -> KeptPlan | None:
    """The plan of a day, if one was kept.

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.reading():
        row = ledger.db.execute(
            "SELECT made_at_ms, body FROM plans WHERE day = ?", [day]
        ).fetchone()
        if row is None:
            return None
        rows = ledger.db.execute(
            f"SELECT block, {COLUMNS_OF_RESETS} FROM done JOIN events ON events.id = done.event_id "
            f"JOIN passes ON passes.event_id = events.id WHERE day = ? AND {NOT_WITHDRAWN}",
            [day],
        ).fetchall()
    items = [played.item for played in resets_from(columns[1:] for columns in rows)]
    try:
        session = session_from_plain(json.loads(row[1]))
    except (ValueError, KeyError, TypeError, SchedulerError):
        # A plan can be made again: a damaged one is as good as none.
        return None
    blocks = [columns[0] for columns in rows]
    return KeptPlan(session, row[0], {}).with_done(zip(blocks, items, strict=True))


def mark_done(ledger: Ledger, day: int, marks: list[tuple[int, str]]) -> None:
    """Say which passes were played for which block; inside a transaction that is open already."""
    ledger.db.table("done").insert_all(
        {"day": day, "block": block, "event_id": event_id} for block, event_id in marks
    )
