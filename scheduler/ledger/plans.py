"""The plan of a day, kept so that its block numbers stay what they were while you record.

Plans are only added. The one in use is the newest of the day that was made for the neck, the round
and the settings in force; so an undo of a setting brings back the plan made before it, with no code
of its own.
"""

import json
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from scheduler.errors import SchedulerError
from scheduler.guitar.items import Item
from scheduler.ledger.events import item_from
from scheduler.ledger.record import OF_ITEM, Ledger
from scheduler.plan.session import Reason, Session
from scheduler.plan.session_dict import session_from_dict, session_to_dict
from scheduler.player.moments import Moment

GOES_ON = "goes_on"
PLANS = "SELECT number, made_at_ms, body, made_for, settings FROM plans"


class Basis(NamedTuple):
    """What a plan goes with.

    Attributes:
        items: What decides which items there are: the neck, the round, notes per beat.
        settings: The settings that decide tempos and shares; a plan that was begun stays whatever
            they are.
    """

    items: str
    settings: str


class KeptPlan(NamedTuple):
    """A plan: the session, when it was made, and what was recorded of it by block.

    Attributes:
        number: The number under which it is kept; 0 if it isn't.
        session: The session.
        made_at_ms: When it was made (UTC, ms).
        recorded: The items that were recorded, by the block's number.
        goes_on: The numbers of the plans with whose blocks it begins.
    """

    number: int
    session: Session
    made_at_ms: int
    recorded: dict[int, frozenset[Item]]
    goes_on: tuple[int, ...] = ()

    @property
    def numbers(self) -> frozenset[int]:
        """Its own number, and those of the plans with whose blocks it begins."""
        return frozenset((*self.goes_on, self.number))

    @property
    def is_through(self) -> bool:
        """Whether nothing is left of it."""
        return not any(self.all_left().values())

    def left(self, number: int) -> tuple[Item, ...]:
        """The items of a block that were not recorded yet, in order."""
        recorded = self.recorded.get(number, frozenset())
        block = self.session.blocks[number - 1]
        return tuple(planned.item for planned in block.items if planned.item not in recorded)

    def all_left(self) -> dict[int, tuple[Item, ...]]:
        """What is left of every block."""
        return {block.number: self.left(block.number) for block in self.session.blocks}

    def with_recorded(self, played: Iterable[tuple[int, Item]]) -> "KeptPlan":
        """The plan after more items were recorded, each for a block."""
        recorded = dict(self.recorded)
        for number, item in played:
            recorded[number] = recorded.get(number, frozenset()) | {item}
        return self._replace(recorded=recorded)


def keep_plan(
    ledger: Ledger, session: Session, now: Moment, basis: Basis, before: KeptPlan | None = None
) -> KeptPlan:
    """Keep a session as the newest plan of its day.

    Of the days before, plans that gave way to others unused are forgotten.

    Args:
        ledger: The ledger.
        session: The session.
        now: The moment.
        basis: What it goes with.
        before: The plan with whose blocks it begins, if there is one.

    Raises:
        LedgerError: The file can't be written.
    """
    goes_on = () if before is None else (*before.goes_on, before.number)
    body = {**session_to_dict(session), GOES_ON: goes_on}
    row = {
        "day": session.day, "made_at_ms": now.utc_ms,
        "made_for": basis.items, "settings": basis.settings,
        "body": json.dumps(body, separators=(",", ":")),
    }  # fmt: skip
    with ledger.writing():
        ledger.db.execute(
            "DELETE FROM plans WHERE day < ? AND number NOT IN (SELECT plan FROM played_for) "
            "AND number NOT IN (SELECT max(number) FROM plans GROUP BY day)",
            [session.day],
        )
        number = int(ledger.db.table("plans").insert(row).last_rowid or 0)
    recorded = {} if before is None else before.recorded
    return KeptPlan(number, session, now.utc_ms, recorded, goes_on)


def kept_plan(ledger: Ledger, day: int, basis: Basis | None = None) -> KeptPlan | None:
    """The newest plan of a day that goes with what is in force, if one was kept.

    Args:
        ledger: The ledger.
        day: The local day, as an ordinal.
        basis: What is in force; None takes any plan.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(
        f"{PLANS} WHERE day = :day ORDER BY number DESC",
        {"day": day},
    )
    return next(_fitting(ledger, rows, basis), None)


def plan_numbered(ledger: Ledger, number: int) -> KeptPlan | None:
    """The plan that is kept under a number, if there is one.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(f"{PLANS} WHERE number = :number", {"number": number})
    return next(_fitting(ledger, rows, None), None)


def latest_plan(ledger: Ledger, since_ms: int, basis: Basis) -> KeptPlan | None:
    """The newest plan that goes with what is in force and was made since an instant (UTC, ms).

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(
        f"{PLANS} WHERE made_at_ms >= :since ORDER BY day DESC, number DESC",
        {"since": since_ms},
    )
    return next(_fitting(ledger, rows, basis), None)


def _fitting(
    ledger: Ledger, rows: Iterable[tuple[Any, ...]], basis: Basis | None
) -> Iterator[KeptPlan]:
    for number, made_at_ms, body, made_for, settings in rows:
        if basis is not None and made_for != basis.items:
            continue
        try:
            found = json.loads(body)
            session = session_from_dict(found, ledger.routines)
            goes_on = tuple(found.get(GOES_ON, ()))
        except (ValueError, KeyError, TypeError, SchedulerError):
            # A plan can be made again: a damaged one is as good as none.
            continue
        plan = as_recorded(ledger, KeptPlan(number, session, made_at_ms, {}, goes_on))
        if basis is None or plan.recorded or settings == basis.settings:
            yield plan


def as_recorded(ledger: Ledger, plan: KeptPlan) -> KeptPlan:
    """A plan with what was recorded of it by now.

    Raises:
        LedgerError: The file can't be read.
    """
    return plan._replace(recorded=recorded_of(ledger, plan))


def recorded_of(ledger: Ledger, plan: KeptPlan) -> dict[int, frozenset[Item]]:
    """What was recorded of a plan by now, by the block's number.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(
        f"SELECT events.id, at_ms, block, {OF_ITEM} FROM played_for CROSS JOIN events ON "
        "events.id = played_for.event_id CROSS JOIN passes ON passes.event_id = events.id "
        "WHERE plan IN (SELECT value FROM json_each(:plans))",
        {"plans": json.dumps(sorted(plan.numbers))},
    )
    routines = ledger.routines
    with ledger.reading():
        played = [
            (block, item_from(columns, routines)) for _, _, block, *columns in ledger.standing(rows)
        ]
    return plan._replace(recorded={}).with_recorded(played).recorded


def marked_among(ledger: Ledger, ids: Iterable[str], plans: Iterable[int]) -> set[str]:
    """Those of some passes that were played for a block of one of some plans.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(
        "SELECT event_id FROM played_for WHERE event_id IN (SELECT value FROM json_each(:ids)) "
        "AND plan IN (SELECT value FROM json_each(:plans))",
        {"ids": json.dumps(list(ids)), "plans": json.dumps(list(plans))},
    )
    return {str(row[0]) for row in rows}


def reasons_of(ledger: Ledger, since_day: int) -> dict[str, Reason]:
    """Why passes were played that were recorded for a block, by the id of the pass.

    Args:
        ledger: The ledger.
        since_day: The first day (ordinal) whose plans are looked at.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(f"{PLANS} WHERE day >= :since ORDER BY number", {"since": since_day})
    reasons = {
        (plan.number, block.number): block.reason
        for plan in _fitting(ledger, rows, None)
        for block in plan.session.blocks
    }
    marks = ledger.rows(
        "SELECT event_id, plan, block FROM played_for "
        "WHERE plan IN (SELECT value FROM json_each(:plans))",
        {"plans": json.dumps(sorted({plan for plan, _ in reasons}))},
    )
    return {event_id: reasons[plan, block] for event_id, plan, block in marks}


def mark_played(ledger: Ledger, plan: KeptPlan, marks: Iterable[tuple[int, str]]) -> None:
    """Say which passes were played for which block; inside a transaction that is open already."""
    ledger.db.table("played_for").insert_all(
        ({"plan": plan.number, "block": block, "event_id": event_id} for block, event_id in marks),
        ignore=True,
    )
