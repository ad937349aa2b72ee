"""A player's practice, opened for one command: ledger, clock, and what is told at the end."""

import gc
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import TYPE_CHECKING

import typer

from scheduler.errors import SchedulerError

if TYPE_CHECKING:
    from pathlib import Path

    from scheduler.player.facts import Fact
    from scheduler.practice.practice import Practice

FACTS_A_SECOND = 20_000
EXPECTED = (SchedulerError, OSError, typer.Exit, typer.Abort, typer.TyperException)


def watched(facts: "Sequence[Fact]") -> "Iterable[Fact]":
    """The facts; on a terminal, with a progress bar where folding them takes more than a second."""
    if len(facts) < FACTS_A_SECOND or not sys.stderr.isatty():
        return facts
    from rich.console import Console
    from rich.progress import track

    return track(facts, "working out what you can do", console=Console(stderr=True), transient=True)


def ledger_of(ctx: typer.Context) -> "Path":
    """Where a command's ledger lies, or would lie."""
    from scheduler.cli.ledger_file import default_ledger, named_ledger

    _, option = ctx.obj
    return named_ledger(option) or default_ledger()


@contextmanager
def open_practice(ctx: typer.Context, *, may_make: bool = False) -> "Iterator[Practice]":
    """The practice of the player, or of the demo player.

    What nobody expected of a damaged ledger is told as damage.

    Args:
        ctx: What was said before the command.
        may_make: Whether the command makes a ledger where the one named isn't there.

    Raises:
        LedgerError: The ledger can't be opened, or is damaged.
        TimeError: The clock can't be right.
    """
    from scheduler.cli.clock import now
    from scheduler.cli.ledger_file import ledger_to_open
    from scheduler.ledger.record import Ledger
    from scheduler.practice.practice import Practice

    if not gc.isenabled():
        # What the imports made stays to the end; the collector needn't go through it.
        gc.freeze()
        gc.enable()
    demo, option = ctx.obj
    moment = now()
    if demo:
        from scheduler.cli.demo import demo_ledger

        path = demo_ledger()
    else:
        path = ledger_to_open(option, may_make=may_make)
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
                typer.echo(f"upneck: {notice}", err=True)
