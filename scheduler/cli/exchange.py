"""The commands `export`, `import` and `merge`: the record in and out."""

import sys
from pathlib import Path

import typer

from scheduler.errors import LogfileError, UsageError
from scheduler.guitar.patterns import nearest
from scheduler.ledger.events_table import all_events
from scheduler.ledger.files import whole_file
from scheduler.ledger.logfile import log_lines
from scheduler.ledger.merge import read_other
from scheduler.ledger.record_file import record_lines
from scheduler.practice.practice import Practice
from scheduler.practice.taking_in import TakenIn, take_file
from scheduler.practice.taking_in import merge as merge_ledger

FORMATS = ("csv", "json")
STANDARD = "-"
PROBLEMS_SHOWN = 20


def export(practice: Practice, *, form: str, output: str, force: bool) -> None:
    """Write the passes as CSV, or the whole record as JSON.

    Raises:
        UsageError: There is no such format.
    """
    if form not in FORMATS:
        msg = f"no format {form!r}: it is csv or json{nearest(form, list(FORMATS))}"
        raise UsageError(msg)
    ledger = practice.ledger
    with ledger.reading():
        told = (
            log_lines(ledger.passes())
            if form == "csv"
            else record_lines(all_events(ledger.db.conn), ledger.routines)
        )
        lines = (line.encode() for line in told)
        if output == STANDARD:
            sys.stdout.flush()
            sys.stdout.buffer.writelines(lines)
            return
        with whole_file(Path(output), force=force) as file:
            file.writelines(lines)
    typer.echo(f"wrote {output}", err=True)


def take(practice: Practice, file: str, *, dry_run: bool, same_player: bool) -> None:
    """Take in a file, all of it or nothing, and say what was taken, known and refused.

    Raises:
        LogfileError: The file can't be read, or something in it is wrong.
    """
    found = take_file(practice, _text_of(file), dry_run=dry_run, is_same_player=same_player)
    _refuse("standard input" if file == STANDARD else file, found)
    word = "would be taken" if dry_run else "taken"
    typer.echo(f"{found.taken.new} {word}, {found.taken.known} known already, 0 refused")
    if found.beyond_neck:
        typer.echo(
            f"{found.beyond_neck} at places that this neck hasn't: they count on a neck that has"
        )
    # The belief is built now, with its progress, and not by the next command.
    _ = practice.state


def _text_of(file: str) -> str:
    try:
        data = sys.stdin.buffer.read() if file == STANDARD else Path(file).read_bytes()
        return data.decode("utf-8-sig")
    except OSError as problem:
        msg = f"{file} can't be read: {problem.strerror}"
        raise LogfileError(msg) from problem
    except UnicodeDecodeError as problem:
        hint = ": a ledger is taken in with upneck merge" if data[:6] == b"SQLite" else ""
        msg = f"{file} is not UTF-8 text (byte {problem.start}){hint}"
        raise LogfileError(msg) from problem


def _refuse(file: str, found: TakenIn) -> None:
    if not found.problems:
        return
    for problem in found.problems[:PROBLEMS_SHOWN]:
        typer.echo(f"line {problem.line}: {' '.join(problem.message.split())}", err=True)
    msg = (
        f"{file}: {len(found.problems)} refused, {found.fine} would do: nothing was "
        "taken; mend the lines and import again"
    )
    raise LogfileError(msg)


def merge(practice: Practice, other: str, *, same_player: bool) -> None:
    """Take in all events of another ledger that aren't known."""
    merged = merge_ledger(practice, read_other(Path(other)), is_same_player=same_player)
    typer.echo(f"{merged.taken.new} taken, {merged.taken.known} known already")
    for name, value in merged.settings.items():
        typer.echo(f"{name.replace('_', ' ')} is {value} now: it came with the other ledger")
    for clash in merged.clashes:
        whose = "this ledger's" if clash.is_ours else "the other ledger's"
        typer.echo(
            f"{clash.name} was changed in both: {clash.stands}, {whose}, is later and stands; "
            f"{clash.older} doesn't"
        )
