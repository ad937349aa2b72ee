"""The edge: where an error becomes one line on stderr and an exit code.

Exit codes: 0 done, 1 the request can't be met, 2 wrong usage, 130 interrupted.
"""

import os
import sys
from typing import Any, NoReturn

import typer
from typer.core import TyperGroup

from scheduler.cli.telling import tell
from scheduler.errors import SchedulerError

TRACEBACK_VARIABLE = "UPNECK_TRACEBACK"


def fail(message: str, exit_code: int) -> NoReturn:
    """Write one line to stderr and leave."""
    tell(f"upneck: {' '.join(message.split())}", err=True)
    sys.exit(exit_code)


class Edge(TyperGroup):
    """The group of commands, with every expected error told in one line."""

    def main(self, *args: Any, **kwargs: Any) -> NoReturn:  # noqa: ANN401
        """Run a command; typer's own errors are told in one line as well."""
        kwargs["standalone_mode"] = False
        try:
            result = super().main(*args, **kwargs)
        except SchedulerError as error:
            fail(str(error), error.exit_code)
        except typer.Abort:
            fail("nothing was done", 1)
        except typer.TyperException as error:
            # Typer's error types are private; their message and exit code are not.
            message = getattr(error, "format_message", error.__str__)()
            where = getattr(getattr(error, "ctx", None), "command_path", "upneck")
            fail(f"{message} ({where} --help)", getattr(error, "exit_code", 2))
        sys.exit(result if isinstance(result, int) else 0)


def run_at_edge(app: typer.Typer) -> None:
    """Run the program; what nobody expected is a bug and is told as one."""
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            # It was closed: no other file may take its place, and what is said there is lost.
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_RDWR), mode))
    for stream in (sys.stdout, sys.stderr):
        # A note may hold letters that the terminal has no code for.
        stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except OSError as error:
        # What can't be written now can't be at the very end either.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            sys.exit(1)
        where = f"{error.filename}: " if error.filename else ""
        fail(f"{where}{error.strerror or error}", 1)
    except Exception as error:
        if os.environ.get(TRACEBACK_VARIABLE):
            raise
        fail(f"bug: {type(error).__name__}: {error}; {TRACEBACK_VARIABLE}=1 shows where", 1)
