"""Whether an open ledger is still the file that its path names.

A file that is put in its place, or deleted, leaves an open one behind that nobody finds again.
"""

from pathlib import Path
from typing import NamedTuple

from scheduler.errors import LedgerError


class FileIdentity(NamedTuple):
    """What tells a file from another one of the same name."""

    device: int
    number: int


def identity_of(path: Path) -> FileIdentity | None:
    """The file that a path names; None if there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return FileIdentity(found.st_dev, found.st_ino)


def check_in_place(path: Path, opened: FileIdentity | None) -> None:
    """Make sure that a path still names the file that was opened.

    Raises:
        LedgerError: It names another one, or none.
    """
    if identity_of(path) != opened:
        msg = f"ledger {path}: another file was put in its place, or it is gone: begin again"
        raise LedgerError(msg)
