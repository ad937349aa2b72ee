"""The command `neck`: the neck as a map, on the screen or as a picture."""

from pathlib import Path

import typer

from scheduler.cli.desk import Desk
from scheduler.errors import UsageError
from scheduler.guitar.metronome import NotesPerSecond, tempo_of
from scheduler.ledger.files import write_whole
from scheduler.show.neck_map import neck_screen, rows_of
from scheduler.show.neck_picture import neck_svg


def neck(desk: Desk, *, tempo: bool, output: str | None, force: bool) -> None:
    """Draw the map.

    Raises:
        UsageError: The file isn't called .svg.
    """
    if output is not None and not output.lower().endswith(".svg"):
        msg = f"{output} has an ending that isn't known: the map is written as .svg"
        raise UsageError(msg)
    verdicts = desk.judge_all(desk.order)
    standings = {item: verdict.standing for item, verdict in verdicts.items()}
    beat = desk.settings.notes_per_beat
    tempos = {
        item: float(tempo_of(NotesPerSecond(history.fastest_speed), beat))
        for item, history in desk.state.histories.items()
        if history.fastest_speed
    }
    rows = rows_of(desk.trips(), standings, tempos)
    frets, left_handed = desk.neck.frets, desk.settings.left_handed
    if output is not None:
        picture = neck_svg(rows, frets, tempo=tempo, left_handed=left_handed)
        write_whole(Path(output), picture.encode(), force=force)
        typer.echo(f"wrote {output}", err=True)
        return
    from scheduler.show.terminal import console

    screen = console()
    screen.print(neck_screen(rows, frets, screen.width, tempo=tempo, left_handed=left_handed))
