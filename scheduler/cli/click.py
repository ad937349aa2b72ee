"""The command `click`: a click track to play along to."""

from pathlib import Path

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.tab import sheet_for
from scheduler.cli.today import plan_of_today
from scheduler.errors import PlanError, UsageError
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.files import whole_file, write_whole
from scheduler.plan.beats import Run, runs_of, total_seconds
from scheduler.plan.session import Block, Costing, Reason, Wish, block_of
from scheduler.plan.settings import parse_tempo
from scheduler.show.words import duration

WAVE, MIDI = (".wav", ".mid")


def click(
    desk: Desk, *, output: str, item: str | None, tempo: str | None, notes: bool, force: bool
) -> None:
    """Write the click track of what is left of today's session, or of one item.

    Raises:
        UsageError: The file's ending isn't known.
        PlanError: Nothing is left of today's session.
    """
    path = Path(output)
    if path.suffix.lower() not in {WAVE, MIDI}:
        msg = f"{output} has an ending that isn't known: a click track is written as .wav or .mid"
        raise UsageError(msg)
    if notes and path.suffix.lower() != MIDI:
        msg = "--notes goes with a MIDI file: name one that ends in .mid"
        raise UsageError(msg)
    blocks = _blocks_left(desk) if item is None else [_block_of_item(desk, item, tempo)]
    runs = runs_of(blocks, desk.neck.strings)
    if path.suffix.lower() == WAVE:
        from scheduler.show.click_wave import write_wave

        with whole_file(path, force=force) as beside:
            write_wave(beside, runs)
    else:
        from scheduler.show.click_midi import click_midi

        beat = blocks[0].notes_per_beat
        write_whole(path, click_midi(runs, desk.neck, beat, notes=notes), force=force)
    _tell(output, runs)


def _tell(output: str, runs: list[Run]) -> None:
    typer.echo(f"wrote {output}, {duration(total_seconds(runs))}: every item once", err=True)
    typer.echo(
        "peaks lie at a quarter of full scale (-12 dB): start low and set a level that you could "
        "listen to all day",
        err=True,
    )


def _blocks_left(desk: Desk) -> list[Block]:
    """Today's blocks that have something left."""
    plan = plan_of_today(desk, None, afresh=False)
    blocks = [block for block in plan.session.blocks if plan.left(block.number)]
    if not blocks:
        msg = "nothing is left of today's session: name an item with --item"
        raise PlanError(msg)
    return blocks


def _block_of_item(desk: Desk, address: str, tempo: str | None) -> Block:
    item = parse_item(desk.neck, address)
    sheet = sheet_for(desk, item, None if tempo is None else parse_tempo(tempo))
    return block_of(1, [Wish(item, sheet.tempo, Reason.ONWARD)], Costing(desk.bench()))
