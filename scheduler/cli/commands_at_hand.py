"""The words of the commands for when the instrument is in hand: play, tab, click, neck."""

# ruff: noqa: FBT002

from typing import Annotated

import typer

from scheduler.cli.app import (
    Address,
    Force,
    InKey,
    Json,
    Minutes,
    Text,
    addresses,
    app,
    in_key,
    one_of,
)
from scheduler.cli.opening import open_practice
from scheduler.errors import UsageError

Output = Annotated[Text, typer.Option("-o", "--output", metavar="FILE", help="Write to a file.")]


@app.command()
def tab(
    ctx: typer.Context,
    address: Address,
    key: InKey = None,
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
    """Show tablature with strokes and fingers.

    Example: upneck tab 2+3:asc:down:7
    """
    from scheduler.cli.tab import tab as run

    with open_practice(ctx) as practice:
        run(
            practice,
            in_key(address, key),
            tempo=tempo,
            fingers=fingers,
            files=(output, musicxml),
            force=force,
        )


@app.command()
def neck(
    ctx: typer.Context,
    tempo: Annotated[
        bool, typer.Option("--tempo", help="Fastest clean tempos instead of standings.")
    ] = False,
    output: Output = None,
    force: Force = False,
) -> None:
    """Show the neck as a map.

    With -o FILE.svg it is written as a picture.

    Example: upneck neck --tempo
    """
    from scheduler.cli.neck import neck as run

    with open_practice(ctx) as practice:
        run(practice, tempo=tempo, output=output, force=force)


@app.command()
def click(
    ctx: typer.Context,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="A .wav or .mid file.")
    ],
    item: Annotated[
        Text, typer.Option(metavar="ADDRESS", help="One item instead of the session.")
    ] = None,
    tempo: Annotated[Text, typer.Option(metavar="N", help="With --item: its tempo.")] = None,
    notes: Annotated[
        bool, typer.Option("--notes", help="MIDI: the items' notes as a guide.")
    ] = False,
    force: Force = False,
) -> None:
    """Write today's session as a click track.

    Every item that is left is played once; the ending says whether as sound or as MIDI.

    Example: upneck click -o session.mid --notes
    """
    from scheduler.cli.click import click as run

    with open_practice(ctx) as practice:
        run(practice, output=output, item=item, tempo=tempo, notes=notes, force=force)


@app.command()
def sheet(
    ctx: typer.Context,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="The page, such as sheet.html.")
    ],
    minutes: Minutes = None,
    paper: Annotated[
        str,
        typer.Option(metavar="SIZE", help="a4 or letter.", autocompletion=one_of("a4", "letter")),
    ] = "a4",
    force: Force = False,
) -> None:
    """Write today's session for the printer.

    A square a fret to tick, and under each block the line to type in.

    Example: upneck sheet -o sheet.html
    """
    from scheduler.cli.sheet import command_of
    from scheduler.cli.sheet import sheet as run

    with open_practice(ctx) as practice:
        command = command_of(ctx.obj.player)
        run(practice, minutes=minutes, paper=paper, output=output, force=force, command=command)


@app.command()
def report(
    ctx: typer.Context,
    output: Annotated[
        Text, typer.Option("-o", "--output", metavar="FILE", help="The page, such as report.html.")
    ] = None,
    force: Force = False,
    as_json: Json = False,
) -> None:
    """Draw where you stand, in seven pictures.

    The way to the end, the neck, tempos, whether the chances were right, time, faults, rounds.

    Example: upneck report -o report.html
    """
    from scheduler.cli.report import report as run

    with open_practice(ctx) as practice:
        name = ctx.obj.player or ""
        run(practice, output=output, name=name, force=force, as_json=as_json)


@app.command()
def stand(
    ctx: typer.Context,
    minutes: Minutes = None,
    network: Annotated[
        bool, typer.Option("--network", help="For a phone or tablet on your network.")
    ] = False,
    address: Annotated[
        Text, typer.Option(metavar="IP", help="Use this address of the computer.")
    ] = None,
    port: Annotated[Text, typer.Option(metavar="N", help="At this port or the next free.")] = None,
    output: Annotated[
        Text,
        typer.Option("-o", "--output", metavar="FILE", help="Write a file that needs no server."),
    ] = None,
    force: Force = False,
) -> None:
    """Put today's session on a phone or tablet.

    Until Ctrl-C it is served from this machine; with -o it becomes a file for somebody without
    Upneck, whose record import takes.

    Example: upneck stand --network
    """
    from scheduler.cli.stand import Where
    from scheduler.cli.stand import stand as run

    run(ctx, minutes, Where(network, address, port), output, force=force)


@app.command()
def play(
    ctx: typer.Context,
    minutes: Minutes = None,
    bell: Annotated[
        bool, typer.Option("--bell", help="Ring the terminal's bell where there is no sound.")
    ] = False,
    silent: Annotated[bool, typer.Option("--silent", help="No sound.")] = False,
    item: Annotated[
        Text,
        typer.Option(metavar="ADDRESS", help="One item alone.", autocompletion=addresses),
    ] = None,
    tempo: Annotated[Text, typer.Option(metavar="N", help="At another tempo; with --item.")] = None,
) -> None:
    """Play today's session on the screen.

    Keys and page-turner pedals give the verdicts; the screen names them.

    Example: upneck play --minutes 20
    """
    from scheduler.cli.play import Alone
    from scheduler.cli.play import play as run

    if tempo is not None and item is None:
        msg = "--tempo goes with --item: the keys up and down change a session's tempos"
        raise UsageError(msg)
    alone = None if item is None else Alone(item, tempo)
    with open_practice(ctx) as practice:
        run(practice, alone, minutes=minutes, bell=bell, sound=not silent)
