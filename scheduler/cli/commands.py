"""The words of the command line: commands, arguments, options and their help.

Each command hands over to a module of its own, imported only when it runs, so that a command
loads no more than it needs.
"""

# ruff: noqa: FBT001, FBT002

from contextlib import closing
from typing import TYPE_CHECKING, Annotated, Optional

import typer

from scheduler.cli.edge import Edge

if TYPE_CHECKING:
    from scheduler.cli.desk import Desk

app = typer.Typer(
    name="upneck",
    cls=Edge,
    help="Practise a long alternate-picking routine in daily sessions that fit your time.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Text = Optional[str]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Yes = Annotated[bool, typer.Option("--yes", "-y", help="Don't ask.")]
On = Annotated[Text, typer.Option("--on", metavar="DATE", help="As of another day.")]
Minutes = Annotated[Text, typer.Option("--minutes", metavar="N", help="Minutes, 1 to 720.")]
CleanTarget = Annotated[
    Text,
    typer.Option(
        "--clean-target", metavar="P", help="Chance of a clean pass at suggested tempos, 0.5-0.99."
    ),
]
Days = Annotated[Text, typer.Option("--days", metavar="DAYS", help="Weekdays, such as mon-fri.")]


def _version(value: bool) -> None:
    if value:
        from scheduler import __version__

        typer.echo(f"upneck {__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def main(
    ctx: typer.Context,
    demo: Annotated[bool, typer.Option("--demo", help="Use the invented demo player.")] = False,
    ledger: Annotated[Text, typer.Option("--ledger", metavar="FILE", help="The ledger.")] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Practise a long alternate-picking routine in daily sessions that fit your time.

    upneck today plans a session, upneck record takes down what you played, upneck calendar says
    when the whole routine will be done. Stop when it hurts; a health professional's advice comes
    before this program's.
    """
    del version
    if ctx.invoked_subcommand is None:
        typer.echo(ctx.get_help())
        return
    ctx.obj = (demo, ledger)


def _desk(ctx: typer.Context) -> "closing[Desk]":
    from scheduler.cli.desk import Desk, ledger_path

    demo, ledger = ctx.obj
    if demo:
        from scheduler.cli.demo import demo_ledger

        return closing(Desk(demo_ledger()))
    return closing(Desk(ledger_path(ledger)))


@app.command()
def setup(
    ctx: typer.Context,
    frets: Annotated[Text, typer.Option(metavar="N", help="Last fret, 12 to 36.")] = None,
    tuning: Annotated[
        Text, typer.Option(metavar="NOTES", help="Open strings, low to high.")
    ] = None,
    lowest_fret: Annotated[
        Text, typer.Option(metavar="N", help="Lowest fret used; 1: no open strings.")
    ] = None,
    notes_per_beat: Annotated[Text, typer.Option(metavar="N", help="3, 4 or 6.")] = None,
    floor_tempo: Annotated[
        Text, typer.Option(metavar="N", help="Slowest tempo that counts in the round.")
    ] = None,
    clean_target: CleanTarget = None,
    minutes: Minutes = None,
    days: Days = None,
    revisit: Annotated[
        Text, typer.Option(metavar="N", help="Most for repair and refresh, 0 to 50 percent.")
    ] = None,
    left_handed: Annotated[
        Optional[bool], typer.Option("--left-handed/--right-handed", help="Draw necks mirrored.")
    ] = None,
    both_directions: Annotated[
        Optional[bool],
        typer.Option("--both-directions/--one-direction", help="Singles both ways in one round."),
    ] = None,
    as_json: Json = False,
) -> None:
    """Show or change the settings.

    Example: upneck setup --frets 24 --minutes 30
    """
    from scheduler.cli.setup import setup as run

    flags = {"left_handed": left_handed, "both_directions": both_directions}
    words = {
        "frets": frets,
        "tuning": tuning,
        "lowest_fret": lowest_fret,
        "notes_per_beat": notes_per_beat,
        "floor_tempo": floor_tempo,
        "clean_target": clean_target,
        "minutes": minutes,
        "days": days,
        "revisit": revisit,
        **{name: {None: None, True: "yes", False: "no"}[flag] for name, flag in flags.items()},
    }
    with _desk(ctx) as desk:
        run(desk, {name: text for name, text in words.items() if text is not None}, as_json=as_json)


@app.command()
def today(
    ctx: typer.Context,
    minutes: Minutes = None,
    on: On = None,
    afresh: Annotated[bool, typer.Option("--afresh", help="Plan anew.")] = False,
    as_json: Json = False,
) -> None:
    """Show today's session; run again, what is done and what is left.

    Example: upneck today --minutes 20
    """
    from scheduler.cli.today import today as run

    with _desk(ctx) as desk:
        run(desk, minutes=minutes, on=on, afresh=afresh, as_json=as_json)


@app.command()
def record(
    ctx: typer.Context,
    what: Annotated[
        str,
        typer.Argument(help="Blocks of today's session (2, 1-3, all), an address or a pattern."),
    ],
    verdict: Annotated[str, typer.Argument(metavar="clean|sloppy", help="How it went.")],
    tempo: Annotated[Text, typer.Option(metavar="N", help="Tempo; default: as planned.")] = None,
    errors: Annotated[Text, typer.Option(metavar="N", help="Errors of the sloppy passes.")] = None,
    fault: Annotated[
        Text, typer.Option(metavar="FAULT", help="What was sloppy: ringing, sync, notes.")
    ] = None,
    again: Annotated[
        Text, typer.Option(metavar="FRETS", help="Sloppy first, clean when repeated: 7,9 or 2/7.")
    ] = None,
    sloppy: Annotated[
        Text, typer.Option(metavar="FRETS", help="These stayed sloppy: 11 or 3/11.")
    ] = None,
    note: Annotated[Text, typer.Option(metavar="TEXT", help="Your own words.")] = None,
    at: Annotated[
        Text, typer.Option(metavar="TIME", help="When: 19:30, 2026-11-24T19:30, yesterday.")
    ] = None,
    repeat: Annotated[
        bool, typer.Option("--repeat", help="A block that is recorded already was played again.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Record clean or sloppy passes.

    Example: upneck record 2 clean --again 7,9 --sloppy 11
    """
    from scheduler.cli.record import Telling
    from scheduler.cli.record import record as run

    telling = Telling(
        what=what, verdict=verdict, tempo=tempo, errors=errors, fault=fault, again=again,
        sloppy=sloppy, note=note, at=at, repeat=repeat,
    )  # fmt: skip
    with _desk(ctx) as desk:
        run(desk, telling, as_json=as_json)


@app.command()
def undo(ctx: typer.Context, as_json: Json = False) -> None:
    """Take the last record, reset or start of a round back.

    Example: upneck undo
    """
    from scheduler.cli.undo import undo as run

    with _desk(ctx) as desk:
        run(desk, as_json=as_json)


@app.command()
def calendar(
    ctx: typer.Context,
    months: Annotated[
        Text, typer.Option(metavar="N", help="Months before and after this one.")
    ] = None,
    minutes: Minutes = None,
    days: Days = None,
    off: Annotated[
        Text,
        typer.Option(metavar="DATES", help="Days off: 2026-12-24..2026-12-27,2027-01-01."),
    ] = None,
    clean_target: CleanTarget = None,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Show the months, and when what will be finished; with options, what if.

    Example: upneck calendar --minutes 30
    """
    from scheduler.cli.calendar import WhatIf
    from scheduler.cli.calendar import calendar as run

    what_if = WhatIf(minutes=minutes, days=days, off=off, clean_target=clean_target)
    with _desk(ctx) as desk:
        run(desk, what_if, months=months, on=on, as_json=as_json)


@app.command()
def reset(
    ctx: typer.Context,
    address: Annotated[str, typer.Argument(help="The item, such as 3:asc:down:7.")],
    yes: Yes = False,
    as_json: Json = False,
) -> None:
    """Let one item start afresh; nothing is deleted, and undo takes it back.

    Example: upneck reset 3:asc:down:7
    """
    from scheduler.cli.reset import reset as run

    with _desk(ctx) as desk:
        run(desk, address, yes=yes, as_json=as_json)


@app.command()
def item(
    ctx: typer.Context,
    address: Annotated[str, typer.Argument(help="The item, such as 3:asc:down:7.")],
    as_json: Json = False,
) -> None:
    """Show one item: where it stands and why, its tempos, its history.

    Example: upneck item 3:asc:down:7
    """
    from scheduler.cli.item import item as run

    with _desk(ctx) as desk:
        run(desk, address, as_json=as_json)


@app.command()
def items(
    ctx: typer.Context,
    pattern: Annotated[str, typer.Argument(help="Such as 3, 1+2:any:down, 4:asc:up:5-9.")] = "any",
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
    with _desk(ctx) as desk:
        run(desk, pattern, [word for word, wanted in chosen.items() if wanted], as_json=as_json)


@app.command("round")
def this_round(
    ctx: typer.Context,
    start_next: Annotated[bool, typer.Option("--next", help="Begin the next round.")] = False,
    floor_tempo: Annotated[
        Text, typer.Option(metavar="N", help="The slowest tempo that counts.")
    ] = None,
    yes: Yes = False,
    as_json: Json = False,
) -> None:
    """Show where the round stands; begin the next one.

    Example: upneck round --next --floor-tempo 72
    """
    from scheduler.cli.round import this_round as run

    with _desk(ctx) as desk:
        run(desk, start_next=start_next, floor_tempo=floor_tempo, yes=yes, as_json=as_json)
