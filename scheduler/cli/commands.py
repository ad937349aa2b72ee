"""The words of the practice commands: arguments, options and their help.

Each command hands over to a module of its own, imported only when it runs, so that a command
loads no more than it needs.
"""

# ruff: noqa: FBT002

from typing import Annotated, Optional

import typer

from scheduler.cli.app import (
    Address,
    CleanOfTen,
    Days,
    FloorTempo,
    Force,
    Frets,
    HomeKey,
    InKey,
    Json,
    Minutes,
    On,
    Text,
    Tuning,
    Yes,
    addresses,
    app,
    in_key,
    one_of,
    routine_names,
)
from scheduler.cli.opening import ledger_of, open_practice


@app.command()
def setup(
    ctx: typer.Context,
    frets: Frets = None,
    tuning: Tuning = None,
    guitar: Annotated[
        Text, typer.Option(metavar="NAME", help="Play another guitar; main is the first.")
    ] = None,
    lowest_fret: Annotated[
        Text, typer.Option(metavar="N", help="Lowest fret used; 1: no open strings.")
    ] = None,
    notes_per_beat: Annotated[Text, typer.Option(metavar="N", help="1, 2, 3, 4 or 6.")] = None,
    floor_tempo: FloorTempo = None,
    clean_of_ten: CleanOfTen = None,
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
        typer.Option("--both-directions/--one-direction", help="Single boxes both up and down."),
    ] = None,
    scale_length: Annotated[
        Text, typer.Option(metavar="MM", help="Scale length, 300 to 1000 mm.")
    ] = None,
    home_key: HomeKey = None,
    plays_clean: Annotated[
        Text, typer.Option(metavar="N", help="Tempo you play box 1 clean at, before you begin.")
    ] = None,
    no_assignment: Annotated[
        bool, typer.Option("--no-assignment", help="Drop what a teacher assigned.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Show or change the settings.

    Example: upneck setup --frets 24 --minutes 30
    """
    from scheduler.cli.setup import read_words
    from scheduler.cli.setup import setup as run

    flags = {"left_handed": left_handed, "both_directions": both_directions}
    words = {
        "frets": frets,
        "tuning": tuning,
        "guitar": guitar,
        "lowest_fret": lowest_fret,
        "notes_per_beat": notes_per_beat,
        "floor_tempo": floor_tempo,
        "clean_of_ten": clean_of_ten,
        "minutes": minutes,
        "days": days,
        "revisit": revisit,
        "scale_length": scale_length,
        "home_key": home_key,
        "plays_clean": plays_clean,
        **{name: {None: None, True: "yes", False: "no"}[flag] for name, flag in flags.items()},
    }
    values = read_words(words, ledger_of(ctx), no_assignment=no_assignment)
    with open_practice(ctx, may_make=True) as practice:
        run(practice, values, as_json=as_json)


@app.command()
def today(
    ctx: typer.Context,
    minutes: Minutes = None,
    on: On = None,
    afresh: Annotated[bool, typer.Option("--afresh", help="Make a new plan.")] = False,
    more: Annotated[
        bool, typer.Option("--more", help="Go on, for what is left of the minutes.")
    ] = False,
    guitar: Annotated[
        Text, typer.Option(metavar="NAME", help="Take this guitar; main for the first.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Show today's session and what is left.

    Example: upneck today --minutes 20
    """
    from scheduler.cli.today import today as run

    with open_practice(ctx) as practice:
        run(
            practice, minutes=minutes, on=on, afresh=afresh, more=more, guitar=guitar,
            as_json=as_json,
        )  # fmt: skip


@app.command()
def record(
    ctx: typer.Context,
    what: Annotated[
        str,
        typer.Argument(
            help="Blocks of today's session (2, 1-3, all), an address or a pattern.",
            autocompletion=addresses,
        ),
    ],
    verdict: Annotated[
        str,
        typer.Argument(
            metavar="clean|sloppy", help="How it went.", autocompletion=one_of("clean", "sloppy")
        ),
    ],
    tempo: Annotated[Text, typer.Option(metavar="N", help="Tempo; default: as planned.")] = None,
    errors: Annotated[Text, typer.Option(metavar="N", help="Errors of the sloppy passes.")] = None,
    fault: Annotated[
        Text,
        typer.Option(
            metavar="FAULT",
            help="What was sloppy: ringing, sync, notes.",
            autocompletion=one_of("ringing", "sync", "notes"),
        ),
    ] = None,
    second_try: Annotated[
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
    took: Annotated[Text, typer.Option(metavar="MINUTES", help="How long all of it took.")] = None,
    to: Annotated[Text, typer.Option(metavar="FRET", help="Of one block, only up to here.")] = None,
    as_json: Json = False,
) -> None:
    """Record clean or sloppy passes.

    Example: upneck record 2 clean --second-try 7,9 --sloppy 11
    """
    from scheduler.cli.record import Words
    from scheduler.cli.record import record as run

    words = Words(
        what=what, verdict=verdict, tempo=tempo, errors=errors, fault=fault, second_try=second_try,
        sloppy=sloppy, note=note, at=at, repeat=repeat, took=took, to=to,
    )  # fmt: skip
    with open_practice(ctx) as practice:
        run(practice, words, as_json=as_json)


@app.command()
def undo(ctx: typer.Context, yes: Yes = False, as_json: Json = False) -> None:
    """Undo the last thing.

    Whatever it was: a record, a fault, a reset, a round, settings, an import, a merge.

    Example: upneck undo
    """
    from scheduler.cli.undo import undo as run

    with open_practice(ctx) as practice:
        run(practice, yes=yes, as_json=as_json)


@app.command()
def redo(ctx: typer.Context, as_json: Json = False) -> None:
    """Bring back what undo took back.

    It can be brought back until something else is done.

    Example: upneck redo
    """
    from scheduler.cli.undo import redo as run

    with open_practice(ctx) as practice:
        run(practice, as_json=as_json)


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
    clean_of_ten: CleanOfTen = None,
    routine: Annotated[
        Text, typer.Option(metavar="NAME", help="Another routine.", autocompletion=routine_names)
    ] = None,
    ics: Annotated[
        Text, typer.Option("--ics", metavar="FILE", help="Write a calendar file (iCalendar).")
    ] = None,
    start: Annotated[
        str, typer.Option("--start", metavar="TIME", help="When its sessions begin.")
    ] = "18:00",
    force: Force = False,
    on: On = None,
    as_json: Json = False,
) -> None:
    """Show the months, and when each part is done.

    With other minutes, days, days off, clean passes of ten or routine: what if.

    Example: upneck calendar --minutes 30
    """
    from scheduler.cli.calendar import AsFile, Words
    from scheduler.cli.calendar import calendar as run

    as_file = None if ics is None else AsFile(ics, start, force)
    what_if = Words(minutes, days, off, clean_of_ten, routine)
    with open_practice(ctx) as practice:
        run(practice, what_if, as_file, months=months, on=on, as_json=as_json)


@app.command()
def reset(
    ctx: typer.Context,
    address: Address,
    key: InKey = None,
    yes: Yes = False,
    as_json: Json = False,
) -> None:
    """Let one item start afresh.

    Its history is set aside; nothing is deleted.

    Example: upneck reset 3:asc:down:7
    """
    from scheduler.cli.reset import reset as run

    with open_practice(ctx) as practice:
        run(practice, in_key(address, key), yes=yes, as_json=as_json)
