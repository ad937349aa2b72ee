"""The commands `routines` and `routine`: what there is, and which one goes onward."""

from pathlib import Path

import typer

from scheduler.cli.telling import tell
from scheduler.errors import RoutineError, UsageError
from scheduler.practice.practice import Practice
from scheduler.practice.routines import (
    add_routine,
    begin_routine,
    let_rest,
    routine_lines,
    routine_named,
    routine_report,
)

LARGEST_FILE = 100_000


def routines(practice: Practice, *, add: str | None, as_json: bool) -> None:
    """List the routines, after an own one was added if a file is given.

    Raises:
        RoutineError: The file can't be read, or defines no routine.
    """
    if add is not None:
        own = add_routine(practice, _text_of(Path(add)))
        tell(f"{own.name} is kept: upneck routine {own.name} shows it", err=as_json)
    lines = routine_lines(practice)
    if as_json:
        from scheduler.show.as_json import as_text, routines_json

        typer.echo(as_text(routines_json(lines)))
        return
    from scheduler.show.routines import routines_screen
    from scheduler.show.terminal import console

    console().print(routines_screen(lines))


def routine(
    practice: Practice, name: str, *, begin: bool, rest: bool | None, as_json: bool
) -> None:
    """Show one routine, after it was begun or laid to rest if asked to.

    Raises:
        UsageError: It shall go onward and rest.
        RoutineError: There is none of that name.
    """
    if begin and rest:
        msg = "the routine you work on doesn't rest: --begin or --rest"
        raise UsageError(msg)
    found = routine_named(practice, name)
    if begin:
        begin_routine(practice, found)
    elif rest is not None:
        let_rest(practice, found, rests=rest)
    report = routine_report(practice, found)
    if as_json:
        from scheduler.show.as_json import as_text, routine_json

        typer.echo(as_text(routine_json(report)))
        return
    from scheduler.show.routines import routine_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(routine_screen(report, practice.now.date, screen.width))


def _text_of(path: Path) -> str:
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except OSError as problem:
        msg = f"{path}: it can't be read ({problem.strerror})"
        raise RoutineError(msg) from problem
    if len(data) > LARGEST_FILE:
        msg = f"{path}: a routine's file is no longer than {LARGEST_FILE} bytes"
        raise RoutineError(msg)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        msg = f"{path}: it is no UTF-8 text"
        raise RoutineError(msg) from problem
