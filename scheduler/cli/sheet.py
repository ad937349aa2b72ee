"""The command `sheet`: what is left of today's session, for the printer."""

import shlex
from pathlib import Path

import typer

from scheduler.errors import PlanError, UsageError
from scheduler.ledger.files import write_whole
from scheduler.plan.values import parse_minutes
from scheduler.practice.assignment import assignment_report
from scheduler.practice.practice import Practice
from scheduler.practice.session import todays_plan
from scheduler.practice.sheet import sheets_of
from scheduler.show.assignment import assigned_lines
from scheduler.show.paper import PAPERS, Paper, paper_of, paper_page


def sheet(
    practice: Practice, *, minutes: str | None, paper: str, output: str, force: bool, command: str
) -> None:
    """Write the sheet of what is left of today's session.

    Raises:
        UsageError: The paper isn't known.
        PlanError: Nothing is left.
        OutputError: The file can't be written.
    """
    if paper.lower() not in PAPERS:
        msg = f"the paper is {' or '.join(PAPERS)}, not {paper!r}"
        raise UsageError(msg)
    budget = None if minutes is None else parse_minutes(minutes) * 60
    found = todays_paper(practice, budget, command)
    write_whole(Path(output), paper_page(found, paper.lower()).encode(), force=force)
    typer.echo(f"wrote {output}: open it and print it", err=True)


def todays_paper(practice: Practice, budget: float | None, command: str) -> Paper:
    """What is left of today's session, as it goes on paper.

    Raises:
        PlanError: Nothing is left.
    """
    plan = todays_plan(practice, budget)
    left = plan.all_left()
    if not any(left.values()):
        msg = "nothing is left of today's session: upneck today --more goes on"
        raise PlanError(msg)
    report = assignment_report(practice, plan.session.day)
    return paper_of(
        plan.session,
        left,
        sheets_of(practice, plan.session.blocks),
        command=command,
        assigned=assigned_lines(report, practice.state.routine, practice.now.date),
        left_handed=practice.settings.left_handed,
    )


def command_of(player: str | None) -> str:
    """What a line to be typed begins with."""
    return "upneck" if player is None else f"upneck --player {shlex.quote(player)}"
