"""The commands `backup` and `check`."""

from pathlib import Path

import typer

from scheduler.cli.desk import Desk
from scheduler.errors import LedgerError
from scheduler.ledger.backup import back_up, back_up_before
from scheduler.ledger.check import problems_of, repair


def backup(desk: Desk, *, output: str | None, force: bool) -> None:
    """Copy the ledger to a file, or beside itself."""
    if output is None:
        path = back_up_before(desk.ledger, "asked-for", desk.now)
    else:
        path = Path(output)
        back_up(desk.ledger, path, force=force)
    typer.echo(f"wrote {path}")


def check(desk: Desk, *, mend: bool) -> None:
    """Say what is wrong with the ledger and what to do; with --repair, build again what is derived.

    Raises:
        LedgerError: Something is wrong.
    """
    if mend:
        repair(desk.ledger)
        typer.echo("what is derived was built again from the record")
    found = problems_of(desk.ledger)
    if found:
        for line in found:
            typer.echo(line)
        msg = f"ledger {desk.ledger.path}: {len(found)} found"
        raise LedgerError(msg)
    typer.echo("the ledger is sound: file, rules, events and what is derived from them")
