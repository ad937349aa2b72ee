"""The option `--demo`: the same command on the invented demo player."""

from pathlib import Path

from scheduler.cli.clock import now
from scheduler.cli.ledger_file import data_folder
from scheduler.cli.telling import tell
from scheduler.ledger.demo import class_names, is_of_today, make_class, make_demo

DEMO_NAME, CLASS_FOLDER = "demo.db", "demo players"


def demo_ledger() -> Path:
    """The demo's ledger, made afresh once a day; the player's own isn't touched."""
    path = data_folder() / DEMO_NAME
    today = now()
    if not is_of_today(path, today):
        path.parent.mkdir(parents=True, exist_ok=True)
        make_demo(path, today)
        tell("the demo player, invented, made afresh for today", err=True)
    return path


def demo_class() -> Path:
    """The folder of the demo's class, made afresh once a day; no player of the user's is in it."""
    folder, today = data_folder() / CLASS_FOLDER, now()
    if not all(is_of_today(folder / f"{name}.db", today) for name in class_names()):
        folder.mkdir(parents=True, exist_ok=True)
        make_class(folder, today)
        tell("the demo's class, invented, made afresh for today", err=True)
    return folder
