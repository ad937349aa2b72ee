"""Whether an open ledger is still the file that its path names.

Where a ledger's file is replaced or deleted while it is open, this process goes on writing to the
old one, and what it writes is lost. So whoever acknowledges looks first.
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
