"""The command `sheet`: what is left of today's session, for the printer."""

import shlex

from scheduler.cli.options import read_budget, read_page
from scheduler.cli.telling import tell
from scheduler.errors import UsageError
from scheduler.ledger.files import write_whole
from scheduler.practice.practice import Practice
from scheduler.practice.session import whats_left_today
from scheduler.practice.sheet import sheets_of
from scheduler.practice.written import written_session
from scheduler.show.paper import PAPERS, paper_of, paper_page


def sheet(
    practice: Practice, *, minutes: str | None, paper: str, output: str, force: bool, command: str
) -> None:
    """Write the sheet of what is left of today's session.

    Raises:
        UsageError: The paper, or the file's ending, isn't known.
        PlanError: Nothing is left.
        OutputError: The file can't be written.
    """
    if paper.lower() not in PAPERS:
        msg = f"the paper is {' or '.join(PAPERS)}, not {paper!r}"
        raise UsageError(msg)
    path = read_page(output)
    plan = whats_left_today(practice, read_budget(minutes))
    written = written_session(practice, plan, sheets_of(practice, plan.session.blocks))
    page = paper_page(paper_of(written, command), paper.lower())
    write_whole(path, page.encode(), force=force)
    tell(f"wrote {output}: open and print it in a browser", err=True)


def command_of(player: str | None) -> str:
    """What a line to be typed begins with."""
    return "upneck" if player is None else f"upneck --player {shlex.quote(player)}"
