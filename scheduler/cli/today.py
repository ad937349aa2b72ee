"""The command `today`: the session of a day, what of it is recorded and what is left."""

import typer

from scheduler.cli.options import read_day
from scheduler.plan.values import parse_minutes
from scheduler.practice.practice import Practice
from scheduler.practice.session import session_of_day


def today(
    practice: Practice, *, minutes: str | None, on: str | None, afresh: bool, as_json: bool
) -> None:
    """Show the session of a day."""
    budget = None if minutes is None else parse_minutes(minutes) * 60
    day = practice.now.date if on is None else read_day(on, practice.now.date)
    plan = session_of_day(practice, day, budget, afresh=afresh)
    if as_json:
        from scheduler.show.as_json import as_text, session_json

        typer.echo(as_text(session_json(plan.session, plan.all_left())))
        return
    from scheduler.show.session import session_screen
    from scheduler.show.terminal import console

    floor_tempo = practice.settings.floor_tempo
    console().print(session_screen(plan.session, plan.all_left(), floor_tempo))
