"""The application: what all commands share, and the options before a command."""

# ruff: noqa: FBT001, FBT002

from collections.abc import Callable
from typing import Annotated, NamedTuple, Optional

import typer

from scheduler.cli.edge import Edge

app = typer.Typer(
    name="upneck",
    cls=Edge,
    help="Practise a long alternate-picking routine in daily sessions that fit your time.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def addresses(incomplete: str) -> list[str]:
    """Ways to go on with an address, for the shell's completion."""
    from scheduler.cli.completion import complete_address

    return complete_address(incomplete)


def routine_names(incomplete: str) -> list[str]:
    """Names of routines, for the shell's completion."""
    from scheduler.guitar.routines import INSIDE

    return [found.name for found in INSIDE.values() if found.name.startswith(incomplete)]


def in_key(address: str, key: str | None) -> str:
    """An address and the key behind it, as one."""
    return address if key is None else f"{address} {key}"


def one_of(*words: str) -> Callable[[str], list[str]]:
    """Some words, for the shell's completion."""

    def complete(incomplete: str) -> list[str]:
        return [word for word in words if word.startswith(incomplete)]

    return complete


def player_names(incomplete: str) -> list[str]:
    """Names of players, for the shell's completion."""
    from scheduler.cli.completion import complete_player

    return complete_player(incomplete)


class Said(NamedTuple):
    """What was said before the command.

    Attributes:
        demo: Whether the demo's players are meant.
        ledger: The ledger that was named.
        player: The player who was named.
    """

    demo: bool
    ledger: str | None
    player: str | None


Text = Optional[str]
Address = Annotated[
    str,
    typer.Argument(help="The item, such as 3:asc:down:7.", autocompletion=addresses),
]
InKey = Annotated[
    Text, typer.Argument(metavar="[KEY]", help="In place of the fret: 2 Am.", show_default=False)
]
Json = Annotated[bool, typer.Option("--json", help="Print one JSON object.")]
Force = Annotated[bool, typer.Option("--force", "-f", help="Write over a file that is there.")]
Yes = Annotated[bool, typer.Option("--yes", "-y", help="Don't ask.")]
On = Annotated[Text, typer.Option("--on", metavar="DATE", help="As of another day.")]
Minutes = Annotated[Text, typer.Option("--minutes", metavar="N", help="Minutes, 1 to 720.")]
CleanOfTen = Annotated[
    Text,
    typer.Option(
        "--clean-of-ten", metavar="N", help="Clean passes of ten at suggested tempos, 5 to 9.9."
    ),
]
Days = Annotated[Text, typer.Option("--days", metavar="DAYS", help="Such as mon-fri, or weekends.")]
Frets = Annotated[Text, typer.Option("--frets", metavar="N", help="Last fret, 12 to 48.")]
Tuning = Annotated[
    Text, typer.Option("--tuning", metavar="NOTES", help="Open strings, or a name: drop D.")
]
FloorTempo = Annotated[
    Text,
    typer.Option("--floor-tempo", metavar="N", help="Slowest tempo that counts in the round."),
]
HomeKey = Annotated[
    Text,
    typer.Option("--home-key", metavar="KEY", help="Where boxes are first looked at, such as Am."),
]


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
    player: Annotated[
        Text,
        typer.Option(
            "--player", metavar="NAME", help="One of several players.", autocompletion=player_names
        ),
    ] = None,
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
    ctx.obj = Said(demo, ledger, player)
