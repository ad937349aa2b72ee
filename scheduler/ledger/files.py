"""Files that the program writes for the player: whole or not at all."""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from scheduler.errors import OutputError

READABLE = 0o644


@contextmanager
def whole_file(path: Path, *, force: bool) -> Iterator[BinaryIO]:
    """A file to write into beside its place; it is put there when all went well.

    Raises:
        OutputError: The file exists and `force` wasn't said, or it can't be written.
    """
    if path.is_dir():
        msg = f"{path} is a folder: name a file"
        raise OutputError(msg)
    if path.exists() and not force:
        msg = f"{path} exists already: --force writes over it"
        raise OutputError(msg)
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    except OSError as problem:
        raise _cannot_write(path, problem) from problem
    try:
        with os.fdopen(handle, "wb") as beside:
            yield beside
        Path(name).chmod(READABLE)
        Path(name).replace(path)
    except BaseException as problem:
        Path(name).unlink(missing_ok=True)
        if isinstance(problem, OSError):
            raise _cannot_write(path, problem) from problem
        raise


def write_whole(path: Path, content: bytes, *, force: bool) -> None:
    """Write a file at once.

    Raises:
        OutputError: The file exists and `force` wasn't said, or it can't be written.
    """
    with whole_file(path, force=force) as beside:
        beside.write(content)


def _cannot_write(path: Path, problem: OSError) -> OutputError:
    return OutputError(f"{path} can't be written: {problem.strerror}")
