"""The words of the commands for the record as a whole: export, import, merge, backup, check."""

# ruff: noqa: FBT002

from typing import Annotated

import typer

from scheduler.cli.app import Force, Text, app
from scheduler.cli.opening import open_practice

SamePlayer = Annotated[
    bool,
    typer.Option("--same-player", help="Both are yours: join two ledgers that never met."),
]


@app.command()
def export(
    ctx: typer.Context,
    form: Annotated[
        str, typer.Option("--format", metavar="csv|json", help="Passes, or the whole record.")
    ] = "csv",
    output: Annotated[
        str, typer.Option("-o", "--output", metavar="FILE", help="A file; - for the screen.")
    ] = "-",
    notes: Annotated[
        bool, typer.Option("--notes/--no-notes", help="With your notes, or without them.")
    ] = True,
    force: Force = False,
) -> None:
    """Write your passes, or the whole record.

    Example: upneck export --format json -o record.json
    """
    from scheduler.cli.exchange import export as run

    with open_practice(ctx) as practice:
        run(practice, form=form, output=output, notes=notes, force=force)


@app.command("import")
def take(
    ctx: typer.Context,
    file: Annotated[
        str,
        typer.Argument(help="A log (CSV), record or assignment (JSON), or folder; - for input."),
    ],
    dry_run: Annotated[
        bool, typer.Option("--dry-run", "-n", help="Only say what would be taken.")
    ] = False,
    same_player: SamePlayer = False,
    yes: Annotated[
        bool,
        typer.Option("--yes", "-y", help="Don't ask; name new players after their files."),
    ] = False,
) -> None:
    """Take in a log, a record or an assignment.

    A record finds its player among several; a folder may hold the records of many. Taking in the
    same file twice is the same as once.

    Example: upneck import log.csv --dry-run
    """
    from scheduler.cli.taking import How
    from scheduler.cli.taking import take as run

    run(ctx, file, How(dry_run, same_player, yes))


@app.command()
def merge(
    ctx: typer.Context,
    other: Annotated[str, typer.Argument(help="Another ledger, which is only read.")],
    same_player: SamePlayer = False,
) -> None:
    """Take in another ledger of yours.

    Example: upneck merge laptop.db
    """
    from scheduler.cli.exchange import merge as run

    with open_practice(ctx) as practice:
        run(ctx, practice, other, same_player=same_player)


@app.command()
def backup(
    ctx: typer.Context,
    output: Annotated[
        Text,
        typer.Option(
            "-o",
            "--output",
            metavar="FILE",
            help="Where to; default: the folder backups beside the ledger.",
        ),
    ] = None,
    force: Force = False,
) -> None:
    """Copy the ledger safely.

    Example: upneck backup -o upneck-copy.db
    """
    from scheduler.cli.upkeep import backup as run

    with open_practice(ctx) as practice:
        run(practice, output=output, force=force)


@app.command()
def check(
    ctx: typer.Context,
    mend: Annotated[
        bool, typer.Option("--repair", help="Rebuild what follows from the record.")
    ] = False,
    clock_is_right: Annotated[
        bool, typer.Option("--clock-is-right", help="The clock is right; later dates are wrong.")
    ] = False,
) -> None:
    """Check the ledger and say what to do.

    Example: upneck check
    """
    from scheduler.cli.upkeep import check as run

    with open_practice(ctx) as practice:
        run(practice, mend=mend, clock_is_right=clock_is_right)
