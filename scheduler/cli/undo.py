"""The command `undo`: take the last entry back."""

from scheduler.cli.desk import Desk
from scheduler.cli.telling import tell_events
from scheduler.errors import RecordError
from scheduler.ledger.events import Withdrawal
from scheduler.ledger.plans import drop_plan

WORDS = {
    "pass": ("pass", "passes"),
    "reset": ("reset", "resets"),
    "round": ("start of a round", "starts of rounds"),
}


def undo(desk: Desk, *, as_json: bool) -> None:
    """Withdraw the events of the last entry.

    Raises:
        RecordError: There is nothing left to take back.
    """
    last = desk.ledger.last_entry()
    if not last:
        msg = "there is nothing to take back: no pass, reset or round is recorded"
        raise RecordError(msg)
    ids = desk.ledger.ids(desk.now)
    desk.ledger.append([Withdrawal(ids.next(), desk.now, event_id) for event_id, _ in last])
    desk.forget_changes()
    kind = last[0][1]
    if kind == "round":
        drop_plan(desk.ledger, desk.now.day)
    targets = [event_id for event_id, _ in last]
    number = len(targets)
    said = f"took back {number} {WORDS[kind][number != 1]}"
    items = desk.ledger.items_of(targets)
    tell_events(desk, "withdrawn", targets, items, said, as_json=as_json)
