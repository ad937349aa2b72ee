"""Files that the program writes for the player: whole or not at all."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from scheduler.errors import OutputError

READABLE = 0o644
LEDGERS_BEGIN = b"SQLite format 3\0"
"""A record that was written over is lost: no --force does that."""


@contextmanager
def whole_file(path: Path, *, force: bool) -> Iterator[BinaryIO]:
    """A file to write into beside its place; it is put there when all went well.

    A pipe or a device is written into as it is.

    Raises:
        OutputError: The file exists and `force` wasn't said, or it can't be written.
    """
    with _told(path):
        if path.is_dir():
            msg = f"{path} is a folder: name a file"
            raise OutputError(msg)
        if path.exists() and not path.is_file():
            with path.open("wb") as opened:
                yield opened
            return
        if path.exists() and not force:
            msg = f"{path} exists already: --force writes over it"
            raise OutputError(msg)
        if path.exists() and _is_ledger(path):
            msg = f"{path} is a ledger: name another file"
            raise OutputError(msg)
        with _beside(path.resolve()) as opened:
            yield opened


def _is_ledger(path: Path) -> bool:
    with path.open("rb") as opened:
        return opened.read(len(LEDGERS_BEGIN)) == LEDGERS_BEGIN


@contextmanager
def _beside(path: Path) -> Iterator[BinaryIO]:
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "wb") as opened:
            yield opened
        Path(name).chmod(READABLE)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


def write_whole(path: Path, content: bytes, *, force: bool) -> None:
    """Write a file at once.

    Raises:
        OutputError: The file exists and `force` wasn't said, or it can't be written.
    """
    with whole_file(path, force=force) as beside:
        beside.write(content)


@contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as problem:
        msg = f"{path} can't be written: {problem.strerror}"
        raise OutputError(msg) from problem
