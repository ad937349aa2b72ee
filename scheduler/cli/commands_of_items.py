"""The words of the commands that look at what was recorded: item, items, diary."""

# ruff: noqa: FBT002

from typing import Annotated

import typer

from scheduler.cli.app import Address, InKey, Json, Text, addresses, app, in_key
from scheduler.cli.opening import open_practice


@app.command()
def item(
    ctx: typer.Context,
    address: Address,
    key: InKey = None,
    why: Annotated[
        bool, typer.Option("--why", help="What the chance of a clean pass comes from.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Show one item: standing, tempos, history.

    Example: upneck item 3:asc:down:7
    """
    from scheduler.cli.item import item as run

    with open_practice(ctx) as practice:
        run(practice, in_key(address, key), is_why=why, as_json=as_json)


@app.command()
def items(
    ctx: typer.Context,
    pattern: Annotated[
        str, typer.Argument(help="Such as 3, 1+2:any:down, 4:asc:up:5-9.", autocompletion=addresses)
    ] = "any",
    key: Annotated[Text, typer.Option(metavar="KEY", help="In a key, such as Am.")] = None,
    weak: Annotated[bool, typer.Option("--weak", help="Weak ones.")] = False,
    stale: Annotated[bool, typer.Option("--stale", help="Stale ones.")] = False,
    ahead: Annotated[bool, typer.Option("--ahead", help="Ones still ahead.")] = False,
    clean: Annotated[bool, typer.Option("--clean", help="Clean ones.")] = False,
    as_json: Json = False,
) -> None:
    """List items with their standing and why.

    Example: upneck items 3 --weak --stale
    """
    from scheduler.cli.items import items as run

    chosen = {"weak": weak, "stale": stale, "ahead": ahead, "clean": clean}
    with open_practice(ctx) as practice:
        run(
            practice, in_key(pattern, key), [word for word, wanted in chosen.items() if wanted],
            as_json=as_json,
        )  # fmt: skip


@app.command()
def diary(
    ctx: typer.Context,
    day: Annotated[Text, typer.Option("--day", metavar="DATE", help="One day.")] = None,
    take_back: Annotated[
        Text, typer.Option("--take-back", metavar="NUMBER", help="Take this line back.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Show what was recorded, day by day.

    Any line of it can be taken back.

    Example: upneck diary --day yesterday
    """
    from scheduler.cli.diary import diary as run

    with open_practice(ctx) as practice:
        run(practice, day=day, number=take_back, as_json=as_json)
