"""A player's practice, opened for one command: ledger, clock, and what is told at the end."""

import gc
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, TypeVar

import typer

from scheduler.cli.telling import tell
from scheduler.errors import SchedulerError, UsageError

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.cli.app import Said
    from scheduler.player.facts import Fact
    from scheduler.practice.practice import Practice

Value = TypeVar("Value")

FACTS_A_SECOND = 20_000
EXPECTED = (SchedulerError, OSError, typer.Exit, typer.Abort, typer.TyperException)


def with_bar(found: Iterable[Value], number: int, what: str) -> Iterable[Value]:
    """Something that takes its time, one by one; on a terminal, with a progress bar.

    Args:
        found: What comes one by one.
        number: How many will come.
        what: What is done meanwhile, in words.
    """
    if not sys.stderr.isatty():
        return found
    from rich.console import Console
    from rich.progress import track

    return track(found, what, total=number, console=Console(stderr=True), transient=True)


def watched(facts: "Sequence[Fact]") -> "Iterable[Fact]":
    """The facts; with a progress bar where folding them takes more than a second."""
    if len(facts) < FACTS_A_SECOND:
        return facts
    return with_bar(facts, len(facts), "working out what you can do")


def ledger_of(ctx: typer.Context) -> "Path":
    """Where a command's ledger lies, or would lie.

    Raises:
        PlayerError: The player who was named isn't known.
        UsageError: A player and a ledger were named.
    """
    said: Said = ctx.obj
    if said.player is not None:
        return _of_player(said, players_folder(ctx))
    return own_ledger(ctx)


def own_ledger(ctx: typer.Context) -> "Path":
    """Where one's own ledger lies, or would lie, whoever was named."""
    from scheduler.cli.ledger_file import default_ledger, named_ledger

    return named_ledger(ctx.obj.ledger) or default_ledger()


def players_folder(ctx: typer.Context) -> "Path":
    """Where the ledgers of several players lie; of the demo's class, made afresh once a day."""
    from scheduler.cli.ledger_file import PLAYERS_FOLDER, data_folder

    if ctx.obj.demo:
        from scheduler.cli.demo import demo_class

        return demo_class()
    return data_folder() / PLAYERS_FOLDER


def _of_player(said: "Said", folder: "Path") -> "Path":
    """The ledger of the player who was named.

    Raises:
        PlayerError: There is none of that name.
        UsageError: A ledger was named as well.
    """
    from scheduler.ledger.players import player_named

    if said.ledger is not None:
        msg = "--player and --ledger both name a ledger: give one of them"
        raise UsageError(msg)
    return player_named(folder, said.player or "").path


def _path(ctx: typer.Context, *, may_make: bool) -> "Path":
    """The ledger that a command is to open."""
    from scheduler.cli.ledger_file import ledger_to_open

    said: Said = ctx.obj
    if said.player is not None:
        return _of_player(said, players_folder(ctx))
    if said.demo:
        from scheduler.cli.demo import demo_ledger

        return demo_ledger()
    return ledger_to_open(said.ledger, may_make=may_make)


@contextmanager
def open_practice(
    ctx: typer.Context, *, may_make: bool = False, path: "Path | None" = None
) -> "Iterator[Practice]":
    """The practice of the player, of the one who was named, or of the demo player.

    What nobody expected of a damaged ledger is told as damage.

    Args:
        ctx: What was said before the command.
        may_make: Whether the command makes a ledger where the one named isn't there.
        path: The ledger, where it isn't what was said before the command that tells.

    Raises:
        LedgerError: The ledger can't be opened, or is damaged.
        PlayerError: The player who was named isn't known.
        TimeError: The clock can't be right.
    """
    from scheduler.cli.clock import now
    from scheduler.ledger.record import Ledger
    from scheduler.practice.practice import Practice

    if not gc.isenabled():
        # What imports made lives until the end: the collector is kept from scanning it.
        gc.freeze()
        gc.enable()
    moment = now()
    path = path or _path(ctx, may_make=may_make)
    with closing(Ledger(path)) as ledger:
        practice: Practice | None = None
        try:
            practice = Practice(ledger, moment, watched)
            yield practice
        except Exception as problem:
            if not isinstance(problem, EXPECTED):
                ledger.raise_if_damaged(problem)
            raise
        finally:
            for notice in practice.notices if practice is not None else ():
                tell(f"upneck: {notice}", err=True)
