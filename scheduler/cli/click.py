"""The command `click`: a click track to play along to."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from scheduler.cli.options import read_output
from scheduler.cli.telling import tell
from scheduler.errors import UsageError
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.files import whole_file, write_whole
from scheduler.plan.beats import Kind, Run, runs_of, total_seconds
from scheduler.plan.session import Block
from scheduler.plan.values import parse_tempo
from scheduler.practice.blocks import block_with, blocks_left
from scheduler.practice.practice import Practice
from scheduler.show.words import block_words, clock_words, duration

WAVE, MIDI = (".wav", ".mid")


def click(
    practice: Practice,
    *,
    output: str,
    item: str | None,
    tempo: str | None,
    notes: bool,
    force: bool,
) -> None:
    """Write the click track of what is left of today's session, or of one item.

    Raises:
        UsageError: The file's ending isn't known.
    """
    path = read_output(output, "a click track", WAVE, MIDI)
    if notes and path.suffix.lower() != MIDI:
        msg = "--notes goes with a MIDI file: name one that ends in .mid"
        raise UsageError(msg)
    beats = None if tempo is None else parse_tempo(tempo)
    blocks = (
        blocks_left(practice)
        if item is None
        else [block_with(practice, parse_item(practice.neck, item, practice.routines), beats)]
    )
    runs = runs_of(blocks, practice.neck.strings)
    if path.suffix.lower() == WAVE:
        from scheduler.show.click_wave import write_wave

        with whole_file(path, force=force) as beside:
            write_wave(beside, runs)
    else:
        from scheduler.show.click_midi import click_midi

        beat = blocks[0].notes_per_beat
        content = click_midi(runs, practice.neck, beat, _names(blocks), notes=notes)
        write_whole(path, content, force=force)
    _tell(output, runs, _names(blocks))


def _names(blocks: Sequence[Block]) -> dict[int, str]:
    return {
        block.number: f"block {block.number}: {block_words(block.all_items)}" for block in blocks
    }


def _tell(output: str, runs: list[Run], names: Mapping[int, str]) -> None:
    """Tell what was written, and when which block begins."""
    tell(f"wrote {output}, {duration(total_seconds(runs))}: every item once", err=True)
    start = 0.0
    for run in runs:
        if run.kind is Kind.CHANGEOVER and run.block in names:
            tell(f"{clock_words(start):>6}  {names[run.block]}", err=True)
        start += run.seconds
    tell("two tones announce a block: once for block 1, twice for block 2 and so on", err=True)
    at = "the clicks peak at -12 dB: " if Path(output).suffix.lower() == ".wav" else ""
    tell(f"{at}start low and set a level that you could listen to all day", err=True)
