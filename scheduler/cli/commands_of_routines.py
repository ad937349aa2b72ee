"""The words of the commands about routines and their rounds: routines, routine, round."""

# ruff: noqa: FBT002

from typing import Annotated, Optional

import typer

from scheduler.cli.app import Json, Text, Yes, app, routine_names
from scheduler.cli.opening import open_practice


@app.command()
def routines(
    ctx: typer.Context,
    add: Annotated[
        Text, typer.Option("--add", metavar="FILE", help="Keep your own, from a TOML file.")
    ] = None,
    as_json: Json = False,
) -> None:
    """List the routines, where each stands.

    Example: upneck routines
    """
    from scheduler.cli.routines import routines as run

    with open_practice(ctx) as practice:
        run(practice, add=add, as_json=as_json)


@app.command()
def routine(
    ctx: typer.Context,
    name: Annotated[
        str, typer.Argument(help="The routine, such as major3.", autocompletion=routine_names)
    ],
    begin: Annotated[bool, typer.Option("--begin", help="Make it the one you work on.")] = False,
    rest: Annotated[
        Optional[bool],
        typer.Option("--rest/--no-rest", help="Leave it out of revisits."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Show one routine, and what it would take.

    Example: upneck routine major3 --begin
    """
    from scheduler.cli.routines import routine as run

    with open_practice(ctx) as practice:
        run(practice, name, begin=begin, rest=rest, as_json=as_json)


@app.command("round")
def this_round(
    ctx: typer.Context,
    start_next: Annotated[bool, typer.Option("--next", help="Begin the next round.")] = False,
    weak: Annotated[
        bool, typer.Option("--weak", help="With --next: only what is weak or stale now.")
    ] = False,
    floor_tempo: Annotated[
        Text, typer.Option(metavar="N", help="The slowest tempo that counts.")
    ] = None,
    yes: Yes = False,
    as_json: Json = False,
) -> None:
    """Show the round; begin the next one.

    When the round is finished: a look back, and what could come next.

    Example: upneck round --next --floor-tempo 72
    """
    from scheduler.cli.round import this_round as run

    with open_practice(ctx) as practice:
        run(
            practice, start_next=start_next, weak=weak, floor_tempo=floor_tempo, yes=yes,
            as_json=as_json,
        )  # fmt: skip
