"""The command `item`: one item, whole."""

import typer

from scheduler.guitar.patterns import parse_item
from scheduler.practice.items import item_report
from scheduler.practice.practice import Practice


def item(practice: Practice, address: str, *, is_why: bool, as_json: bool) -> None:
    """Show one item."""
    report = item_report(practice, parse_item(practice.neck, address, practice.routines))
    if as_json:
        from scheduler.show.as_json import as_text, item_json

        typer.echo(as_text(item_json(report)))
        return
    from scheduler.show.items import item_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(item_screen(report, practice.now.date, screen.width, is_why=is_why))
