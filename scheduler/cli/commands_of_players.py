"""The words of the commands of several players: players, assign."""

# ruff: noqa: FBT002

from typing import Annotated, Optional

import typer

from scheduler.cli.app import (
    Days,
    FloorTempo,
    Force,
    Frets,
    HomeKey,
    Json,
    Minutes,
    Text,
    Tuning,
    addresses,
    app,
    player_names,
    routine_names,
)
from scheduler.cli.opening import open_practice


@app.command()
def players(
    ctx: typer.Context,
    name: Annotated[
        Text, typer.Argument(help="One of them, beside the others.", autocompletion=player_names)
    ] = None,
    add: Annotated[Text, typer.Option("--add", metavar="NAME", help="Make a new player.")] = None,
    week: Annotated[
        bool, typer.Option("--week", help="The last seven days in sentences, to send.")
    ] = False,
    output: Annotated[
        Text, typer.Option("-o", "--output", metavar="FILE", help="In pictures, as class.html.")
    ] = None,
    force: Force = False,
    as_json: Json = False,
) -> None:
    """Show all players, who needs a look first.

    With a name, that one beside the others.

    Example: upneck players --week
    """
    from scheduler.cli.players import Wanted
    from scheduler.cli.players import players as run

    run(ctx, Wanted(name, add, as_json, week=week, output=output, force=force))


@app.command()
def assign(
    ctx: typer.Context,
    places: Annotated[
        Optional[list[str]],
        typer.Argument(
            help="Boxes and couplings, such as 1 2 2+3:asc; none: all.", autocompletion=addresses
        ),
    ] = None,
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="A file; - for the screen.")
    ] = "-",
    until: Annotated[
        str, typer.Option("--until", metavar="DATE", help="Its last day; default: in a week.")
    ] = "+7",
    by: Annotated[Text, typer.Option("--by", metavar="NAME", help="Who assigns it.")] = None,
    say: Annotated[Text, typer.Option("--say", metavar="TEXT", help="A sentence.")] = None,
    routine: Annotated[
        Text,
        typer.Option(metavar="NAME", help="The routine to work on.", autocompletion=routine_names),
    ] = None,
    floor_tempo: FloorTempo = None,
    minutes: Minutes = None,
    days: Days = None,
    home_key: HomeKey = None,
    frets: Frets = None,
    tuning: Tuning = None,
    force: Force = False,
) -> None:
    """Write what a student plays first.

    The student takes it with upneck import. It holds nothing that was played.

    Example: upneck assign 1 2 --until +7 --say "Slowly, and even." -o week.json
    """
    from scheduler.cli.assign import Words
    from scheduler.cli.assign import assign as run

    settings = {
        "floor_tempo": floor_tempo, "minutes": minutes, "days": days, "home_key": home_key,
        "frets": frets, "tuning": tuning,
    }  # fmt: skip
    given = {name: text for name, text in settings.items() if text is not None}
    words = Words(places or [], until, by, say, routine, given)
    with open_practice(ctx) as practice:
        run(practice, words, output=output, force=force)
