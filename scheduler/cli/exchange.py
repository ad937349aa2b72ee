"""The commands `export`, `import` and `merge`: the record in and out."""

import sys
from pathlib import Path

import typer

from scheduler.cli.desk import Desk, watched
from scheduler.errors import LogfileError, UsageError
from scheduler.guitar.patterns import nearest
from scheduler.ledger.backup import back_up_before
from scheduler.ledger.cache import current_state
from scheduler.ledger.events_table import all_events
from scheduler.ledger.exchange import Reading, log_lines, read_log, read_record, record_lines
from scheduler.ledger.files import whole_file
from scheduler.ledger.merge import read_other, setting_clashes, take_in

FORMATS = ("csv", "json")
STANDARD = "-"
PROBLEMS_SHOWN = 20


def export(desk: Desk, *, form: str, output: str, force: bool) -> None:
    """Write the passes as CSV, or the whole record as JSON.

    Raises:
        UsageError: There is no such format.
    """
    if form not in FORMATS:
        msg = f"no format {form!r}: it is csv or json{nearest(form, list(FORMATS))}"
        raise UsageError(msg)
    ledger = desk.ledger
    with ledger.reading():
        told = (
            log_lines(ledger.passes())
            if form == "csv"
            else record_lines(all_events(ledger.db.conn))
        )
        lines = (line.encode() for line in told)
        if output == STANDARD:
            sys.stdout.flush()
            sys.stdout.buffer.writelines(lines)
            return
        with whole_file(Path(output), force=force) as file:
            file.writelines(lines)
    typer.echo(f"wrote {output}", err=True)


def take(desk: Desk, file: str, *, dry_run: bool) -> None:
    """Take in a file, all of it or nothing, and say what was taken, known and refused.

    Raises:
        LogfileError: The file can't be read, or something in it is wrong.
    """
    text = _text_of(file)
    is_record = text.lstrip()[:1] == "{"
    if is_record:
        reading = read_record(text)
    else:
        reading = read_log(text, desk.neck, desk.ledger.passes(), desk.now)
    _refuse("standard input" if file == STANDARD else file, reading)
    if reading.rows and not dry_run:
        back_up_before(desk.ledger, "import", desk.now)
    taken = take_in(desk.ledger, reading.rows, dry_run=dry_run)
    word = "would be taken" if dry_run else "taken"
    typer.echo(f"{taken.new} {word}, {taken.known + reading.known} known already, 0 refused")
    if not dry_run and taken.new:
        # The belief is built now, with its progress, and not by the next command.
        current_state(desk.ledger, watch=watched)


def _text_of(file: str) -> str:
    try:
        data = sys.stdin.buffer.read() if file == STANDARD else Path(file).read_bytes()
        return data.decode("utf-8-sig")
    except OSError as problem:
        msg = f"{file} can't be read: {problem.strerror}"
        raise LogfileError(msg) from problem
    except UnicodeDecodeError as problem:
        msg = f"{file} is not UTF-8 text (byte {problem.start})"
        raise LogfileError(msg) from problem


def _refuse(file: str, reading: Reading) -> None:
    if not reading.problems:
        return
    for problem in reading.problems[:PROBLEMS_SHOWN]:
        typer.echo(f"line {problem.line}: {' '.join(problem.message.split())}", err=True)
    fine = len(reading.rows) + reading.known
    msg = (
        f"{file}: {len(reading.problems)} refused, {fine} would do: nothing was "
        "taken; mend the lines and import again"
    )
    raise LogfileError(msg)


def merge(desk: Desk, other: str) -> None:
    """Take in all events of another ledger that aren't known."""
    theirs = read_other(Path(other))
    clashes = setting_clashes(desk.ledger, theirs)
    back_up_before(desk.ledger, "merge", desk.now)
    taken = take_in(desk.ledger, theirs, dry_run=False)
    typer.echo(f"{taken.new} taken, {taken.known} known already")
    for clash in clashes:
        whose = "this ledger's" if clash.is_ours else "the other ledger's"
        typer.echo(
            f"{clash.name} was changed in both: {clash.stands}, {whose}, is later and stands; "
            f"{clash.older} doesn't"
        )
    desk.forget_changes()
