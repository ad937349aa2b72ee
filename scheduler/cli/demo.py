"""The option `--demo`: the same command on the invented demo player."""

from pathlib import Path

import typer

from scheduler.cli.clock import now
from scheduler.cli.ledger_file import data_folder
from scheduler.ledger.demo import is_of_today, make_demo

DEMO_NAME = "demo.db"


def demo_ledger() -> Path:
    """The demo's ledger, made afresh once a day; the player's own isn't touched."""
    path = data_folder() / DEMO_NAME
    today = now()
    if not is_of_today(path, today):
        path.parent.mkdir(parents=True, exist_ok=True)
        make_demo(path, today)
        typer.echo("the demo player, invented, made afresh for today", err=True)
    return path
