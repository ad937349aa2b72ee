"""The command `reset`: one item starts afresh."""

import sys

import typer

from scheduler.cli.standings import print_standings
from scheduler.cli.telling import tell, wrapped
from scheduler.errors import UsageError
from scheduler.guitar.patterns import parse_item
from scheduler.practice.practice import Practice
from scheduler.practice.reset import reset_item
from scheduler.show.words import count, item_words


def reset(practice: Practice, address: str, *, yes: bool, as_json: bool) -> None:
    """Reset one item, after asking on a terminal.

    Raises:
        UsageError: Not on a terminal, and --yes wasn't said.
    """
    item = parse_item(practice.neck, address, practice.routines)
    passes = count(practice.state.history(item).passes, "pass", "passes")
    if not yes:
        if not sys.stdin.isatty():
            msg = f"add --yes to reset {item.address}: nobody can be asked here"
            raise UsageError(msg)
        typer.confirm(
            wrapped(f"{item_words(item)}: set its {passes} aside and start afresh?"),
            abort=True,
            err=True,
        )
    event_id, judgement = reset_item(practice, item)
    if as_json:
        from scheduler.show.as_json import as_text, events_json

        typer.echo(as_text(events_json("reset", [event_id], {item: judgement})))
        return
    tell(f"{item.address} starts afresh, {passes} set aside (upneck undo takes it back)")
    print_standings(practice, {item: judgement})
