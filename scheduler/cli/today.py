"""The command `today`: the session of a day, what of it is recorded and what is left."""

import typer

from scheduler.cli.options import read_budget, read_day
from scheduler.errors import UsageError
from scheduler.plan.settings import read_guitar
from scheduler.practice.assignment import assignment_report
from scheduler.practice.practice import Practice
from scheduler.practice.session import bad_day_before, more_of_today, session_of_day


def today(
    practice: Practice,
    *,
    minutes: str | None,
    on: str | None,
    afresh: bool,
    more: bool,
    guitar: str | None,
    as_json: bool,
) -> None:
    """Show the session of a day, or how today's goes on.

    Raises:
        UsageError: --more with another day, or with --afresh.
    """
    budget = read_budget(minutes)
    day = practice.now.date if on is None else read_day(on, practice.now.date)
    if more and (afresh or day != practice.now.date):
        msg = "--more goes on with today's session: it goes with neither --afresh nor another day"
        raise UsageError(msg)
    if guitar is not None:
        from scheduler.practice.settings import take_guitar

        take_guitar(practice, read_guitar(guitar))
    if more:
        plan = more_of_today(practice, budget)
    else:
        plan = session_of_day(practice, day, budget, afresh=afresh)
    report = assignment_report(practice, plan.session.day)
    if as_json:
        from scheduler.show.as_json import as_text, assignment_json, session_json

        told = session_json(plan.session, plan.all_left())
        typer.echo(as_text({**told, "assignment": assignment_json(report)}))
        return
    from scheduler.show.session import session_screen
    from scheduler.show.terminal import console

    settings, lines = practice.settings, []
    if report is not None:
        from scheduler.show.assignment import assigned_lines

        lines = assigned_lines(report, practice.state.routine, practice.now.date)
    bad = bad_day_before(practice) if day == practice.now.date else None
    if bad is not None:
        from scheduler.show.dates import day_words

        when = day_words(bad.day, practice.now.date)
        lines = [
            *lines,
            f"Slower today: on {when} {bad.sloppy} of {bad.passes} passes were sloppy.",
        ]
    floor, guitar = settings.floor_tempo, settings.guitar
    console().print(session_screen(plan.session, plan.all_left(), floor, guitar, lines))
