"""The command `report`: where a player stands, in pictures."""

import typer

from scheduler.cli.options import read_page
from scheduler.cli.telling import tell
from scheduler.errors import UsageError
from scheduler.ledger.files import write_whole
from scheduler.practice.practice import Practice
from scheduler.practice.report.report import report_of
from scheduler.show.as_json import as_text
from scheduler.show.report.page import report_json, report_page


def report(
    practice: Practice, *, output: str | None, name: str, force: bool, as_json: bool
) -> None:
    """Write the report as a page, or print its numbers.

    Raises:
        UsageError: Neither was asked for, or the file's ending isn't known.
        LedgerError: The ledger can't be read.
        OutputError: The file can't be written.
    """
    if output is None and not as_json:
        msg = "report draws into a file: upneck report -o report.html; --json prints its numbers"
        raise UsageError(msg)
    path = None if output is None else read_page(output)
    found = report_of(practice)
    if path is not None:
        write_whole(path, report_page(found, name).encode(), force=force)
        tell(f"wrote {output}: open or print it in a browser", err=True)
    if as_json:
        typer.echo(as_text(report_json(found)))
