"""The command `round`: where the round stands, and the start of the next one."""

from datetime import date

import typer

from scheduler.errors import UsageError
from scheduler.guitar.routine import Routine
from scheduler.plan.values import parse_tempo
from scheduler.practice.assignment import AssignmentReport, assignment_report
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import round_report


def this_round(
    practice: Practice,
    *,
    start_next: bool,
    weak: bool,
    floor_tempo: str | None,
    yes: bool,
    as_json: bool,
) -> None:
    """Show the round, after starting the next one or changing the floor tempo if asked to.

    Raises:
        UsageError: --weak without --next.
    """
    if weak and not start_next:
        msg = "--weak goes with --next: it begins a round of what is weak or stale"
        raise UsageError(msg)
    tempo = None if floor_tempo is None else parse_tempo(floor_tempo)
    if start_next:
        from scheduler.practice.next_round import begin_next_round

        begin_next_round(practice, only_weak=weak, floor_tempo=tempo, although_unfinished=yes)
    elif tempo is not None:
        from scheduler.practice.settings import change_settings

        change_settings(practice, {"floor_tempo": float(tempo)})
    report, assigned = round_report(practice), assignment_report(practice)
    if as_json:
        from scheduler.show.as_json import as_text, assignment_json, round_json

        typer.echo(as_text({**round_json(report), "assignment": assignment_json(assigned)}))
        return
    from scheduler.show.rounds import round_screen
    from scheduler.show.terminal import console

    screen = console()
    another = _another(practice) if report.is_finished else []
    today = practice.now.date
    lines = [] if assigned is None else _lines(assigned, report.routine, today)
    screen.print(round_screen(report, today, screen.width, another, lines))


def _lines(assigned: AssignmentReport, routine: Routine, today: date) -> list[str]:
    from scheduler.show.assignment import report_lines

    return report_lines(assigned, routine, today)


def _another(practice: Practice) -> list[str]:
    """What another routine would take, when this round is finished."""
    from scheduler.practice.routines import next_routine, routine_report
    from scheduler.show.routines import another_lines

    routine = next_routine(practice)
    if routine is None:
        return []
    return another_lines(routine, routine_report(practice, routine).finish, practice.now.date)
