"""The command `items`: a list of items with their standing and why."""

from collections.abc import Sequence

import typer

from scheduler.guitar.patterns import parse_pattern
from scheduler.practice.items import item_lines
from scheduler.practice.practice import Practice

LINES_SHOWN = 60


def items(practice: Practice, pattern: str, standings: Sequence[str], *, as_json: bool) -> None:
    """List the items of a pattern; of the standings named, if any is."""
    lines = item_lines(practice, parse_pattern(pattern, practice.routines), standings)
    if as_json:
        from scheduler.show.as_json import as_text, items_json

        typer.echo(as_text(items_json(lines)))
        return
    from scheduler.show.items import items_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(items_screen(lines, screen.width, LINES_SHOWN))
