"""The command `diary`: what was recorded, day by day, and any line of it taken back."""

import typer

from scheduler.cli.options import read_day
from scheduler.errors import UsageError
from scheduler.plan.values import whole_number
from scheduler.practice.diary import diary as entries
from scheduler.practice.diary import take_back_line
from scheduler.practice.practice import Practice


def diary(practice: Practice, *, day: str | None, number: str | None, as_json: bool) -> None:
    """Show the diary, or take a line of it back.

    Raises:
        UsageError: The number is none, or a day is named beside it.
        RecordError: There is no such line.
    """
    if number is not None:
        from scheduler.cli.undo import tell_undone

        line = whole_number(number)
        if day is not None or line is None:
            msg = "--take-back takes the number of a line: upneck diary --take-back 12"
            raise UsageError(msg)
        undone = take_back_line(practice, line)
        tell_undone(practice, "withdrawn", "undone", undone, as_json=as_json)
        return
    asked = None if day is None else read_day(day, practice.now.date)
    found = entries(practice, asked)
    if as_json:
        from scheduler.show.as_json import as_text
        from scheduler.show.diary import diary_json

        typer.echo(as_text(diary_json(found)))
        return
    from scheduler.show.diary import diary_screen
    from scheduler.show.terminal import console

    console().print(diary_screen(found, practice.now, asked))
