"""The command `reset`: one item starts afresh."""

import sys

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.telling import tell_events
from scheduler.errors import UsageError
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.backup import back_up_before
from scheduler.player.facts import Reset
from scheduler.show.words import count, item_words


def reset(desk: Desk, address: str, *, yes: bool, as_json: bool) -> None:
    """Reset one item, after asking on a terminal.

    Raises:
        UsageError: Not on a terminal, and --yes wasn't said.
    """
    item = parse_item(desk.neck, address)
    passes = count(desk.state.history(item).passes, "pass", "passes")
    if not yes:
        if not sys.stdin.isatty():
            msg = f"a reset of {item.address} needs --yes where nobody can be asked"
            raise UsageError(msg)
        typer.confirm(
            f"{item_words(item)}: set its {passes} aside and start afresh?", abort=True, err=True
        )
    back_up_before(desk.ledger, "reset", desk.now)
    event = Reset(desk.ledger.ids(desk.now).next(), desk.now, item)
    desk.ledger.append([event])
    desk.forget_changes()
    said = f"{item.address} starts afresh, {passes} set aside (upneck undo takes it back)"
    tell_events(desk, "reset", [event.id], [item], said, as_json=as_json)
