"""The words of the commands for when the instrument is in hand: tab."""

# ruff: noqa: FBT002

from typing import Annotated

import typer

from scheduler.cli.app import Force, Text, app, open_desk

Output = Annotated[Text, typer.Option("-o", "--output", metavar="FILE", help="Write to a file.")]


@app.command()
def tab(
    ctx: typer.Context,
    address: Annotated[str, typer.Argument(help="The item, such as 3:asc:down:7.")],
    tempo: Annotated[Text, typer.Option(metavar="N", help="Tempo; default: as planned.")] = None,
    fingers: Annotated[
        Text,
        typer.Option(metavar="FINGERS", help="Keep your own: one a note, 1-4 1-3 ...; or none."),
    ] = None,
    musicxml: Annotated[
        Text, typer.Option("--musicxml", metavar="FILE", help="Write MusicXML.")
    ] = None,
    output: Output = None,
    force: Force = False,
) -> None:
    """Show tablature with pick strokes and fingers.

    Example: upneck tab 2+3:asc:down:7
    """
    from scheduler.cli.tab import tab as run

    with open_desk(ctx) as desk:
        run(desk, address, tempo=tempo, fingers=fingers, files=(output, musicxml), force=force)
