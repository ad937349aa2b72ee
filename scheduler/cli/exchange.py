"""The commands `export` and `merge`: the record out, and two ledgers together."""

import sys
from pathlib import Path

import typer

from scheduler.cli.opening import own_ledger, players_folder
from scheduler.cli.options import STANDARD
from scheduler.cli.telling import tell
from scheduler.errors import UsageError
from scheduler.guitar.patterns import nearest
from scheduler.ledger.events_table import all_events
from scheduler.ledger.files import whole_file
from scheduler.ledger.logfile import log_lines
from scheduler.ledger.merge import read_other
from scheduler.ledger.players import known_in, player_named
from scheduler.ledger.record_file import Origin, record_lines
from scheduler.practice.practice import Practice
from scheduler.practice.taking_in import merge as merge_ledger
from scheduler.practice.whose import check_named

FORMATS = ("csv", "json")


def export(practice: Practice, *, form: str, output: str, notes: bool, force: bool) -> None:
    """Write the passes as CSV, or the whole record as JSON; with the player's notes or without.

    Raises:
        UsageError: There is no such format.
    """
    if form not in FORMATS:
        msg = f"no format {form!r}: it is csv or json{nearest(form, list(FORMATS))}"
        raise UsageError(msg)
    ledger = practice.ledger
    with ledger.reading():
        told = (
            log_lines(ledger.passes(), notes=notes)
            if form == "csv"
            else record_lines(all_events(ledger.db.conn), ledger.routines, notes=notes)
        )
        lines = (line.encode() for line in told)
        if output == STANDARD:
            sys.stdout.flush()
            sys.stdout.buffer.writelines(lines)
            return
        with whole_file(Path(output), force=force) as file:
            file.writelines(lines)
    tell(f"wrote {output}", err=True)


def merge(ctx: typer.Context, practice: Practice, other: str, *, same_player: bool) -> None:
    """Take in all events of another ledger that aren't known.

    Raises:
        StrangerError: It is the ledger of another player who is known here.
    """
    theirs = read_other(Path(other))
    said = ctx.obj
    if not (same_player or said.demo or said.ledger):
        folder = players_folder(ctx)
        named = None if said.player is None else player_named(folder, said.player)
        ids = frozenset(row["id"] for row in theirs if row["kind"] == "player")
        check_named(Origin(ids, 0), known_in(folder, own_ledger(ctx)), named, other, "merge")
    merged = merge_ledger(practice, theirs, is_same_player=same_player)
    tell(f"{merged.taken.new} merged, {merged.taken.known} already there")
    for name, value in merged.settings.items():
        tell(f"{name.replace('_', ' ')} is {value} now: it came with the other ledger")
    for clash in merged.clashes:
        whose = "this ledger's" if clash.is_ours else "the other ledger's"
        tell(
            f"{clash.name} was changed in both: {clash.stands}, {whose}, is later and stands; "
            f"{clash.older} doesn't"
        )
