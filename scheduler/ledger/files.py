"""Files that the program writes for the player: whole or not at all."""

import os
import tempfile
from pathlib import Path

from scheduler.errors import OutputError


def write_whole(path: Path, content: bytes, *, force: bool) -> None:
    """Write beside the file, then put it in its place.

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
            beside.write(content)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as problem:
        Path(name).unlink(missing_ok=True)
        raise _cannot_write(path, problem) from problem


def _cannot_write(path: Path, problem: OSError) -> OutputError:
    return OutputError(f"{path} can't be written: {problem.strerror}")
