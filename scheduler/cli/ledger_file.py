"""Which ledger a command is about: the option, the variable, or the platform's data folder."""

import os
import sys
from pathlib import Path

import typer

from scheduler.cli.telling import wrapped
from scheduler.errors import LedgerError

LEDGER_VARIABLE = "UPNECK_LEDGER"
LEDGER_NAME = "upneck.db"
PLAYERS_FOLDER = "players"


def named_ledger(option: str | None) -> Path | None:
    """The ledger that the option or the variable names; None if neither does."""
    named = option or os.environ.get(LEDGER_VARIABLE)
    return Path(named).expanduser() if named else None


def default_ledger() -> Path:
    """The ledger in the platform's data folder."""
    return data_folder() / LEDGER_NAME


def ledger_to_open(option: str | None, *, may_make: bool) -> Path:
    """The ledger of a command. One that is named and isn't there is made only on purpose.

    Args:
        option: What --ledger says.
        may_make: Whether the command is one that makes a ledger where none is.

    Raises:
        LedgerError: There is none, and nobody can be asked.
    """
    if option == "":
        msg = "--ledger names no file"
        raise LedgerError(msg)
    named = named_ledger(option)
    if named is None:
        return default_ledger()
    there = named.exists() and not (named.is_file() and named.stat().st_size == 0)
    if there or (may_make and named.parent.is_dir()):
        return named
    where = "" if named.parent.is_dir() else f" (there is no folder {named.parent} either)"
    if not sys.stdin.isatty():
        way = f"upneck --ledger {named} setup makes one"
        if not named.parent.is_dir():
            way = "make the folder first" if may_make else f"make the folder first, then {way}"
        msg = f"there is no ledger {named}{where}: {way}"
        raise LedgerError(msg)
    typer.confirm(wrapped(f"There is no ledger {named}{where}: make one?"), abort=True, err=True)
    return named


def data_folder() -> Path:
    """The platform's folder for the program's data.

    On Linux it is told by the XDG Base Directory Specification in one line; elsewhere platformdirs
    knows it, whose import alone takes a twelfth of a command's time.
    """
    system: str = sys.platform
    if system == "linux":
        told = Path(os.environ.get("XDG_DATA_HOME") or "")
        return (told if told.is_absolute() else Path.home() / ".local" / "share") / "upneck"
    from platformdirs import user_data_path

    return user_data_path("upneck", appauthor=False)
