"""The commands `backup` and `check`."""

from pathlib import Path

from scheduler.cli.telling import tell
from scheduler.errors import LedgerError
from scheduler.ledger.backup import ASKED_FOR, back_up, keep_copy
from scheduler.ledger.check import problems_of, repair
from scheduler.practice.act import say_clock_is_right
from scheduler.practice.practice import Practice


def backup(practice: Practice, *, output: str | None, force: bool) -> None:
    """Copy the ledger to a file, or beside itself."""
    connection, ledger = practice.ledger.db.conn, practice.ledger.path
    if output is None:
        path = keep_copy(connection, ledger, ASKED_FOR)
    else:
        path = Path(output)
        back_up(connection, path, force=force)
    tell(f"wrote {path}")


def check(practice: Practice, *, mend: bool, clock_is_right: bool) -> None:
    """Say what is wrong with the ledger and what to do.

    With --repair, what is derived is built again; with --clock-is-right, what is dated later than
    the clock is moved to just before now.

    Raises:
        LedgerError: Something is wrong.
    """
    if clock_is_right:
        moved = say_clock_is_right(practice)
        tell(
            f"{moved} events were dated later than the clock: they count as done just before now"
            if moved
            else "nothing is dated later than the clock"
        )
    if mend:
        repair(practice.ledger)
        tell("what follows from your record was worked out again")
    found = problems_of(practice.ledger, practice.now)
    if found:
        for line in found:
            tell(line)
        msg = f"ledger {practice.ledger.path}: {len(found)} found"
        raise LedgerError(msg)
    tell("your record is in order")
