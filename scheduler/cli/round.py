"""The command `round`: where the round stands, and the start of the next one."""

from datetime import date

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.setup import change_settings
from scheduler.errors import RecordError
from scheduler.ledger.plans import drop_plan
from scheduler.player.facts import RoundStarted
from scheduler.player.standing import done_in_round
from scheduler.show.rounds import RoundReport, TripProgress


def this_round(
    desk: Desk, *, start_next: bool, floor_tempo: str | None, yes: bool, as_json: bool
) -> None:
    """Show the round, after starting the next one or changing the floor tempo if asked to.

    Raises:
        RecordError: The round isn't finished, and --yes wasn't said.
    """
    if start_next:
        _check_may_start(desk, yes=yes)
    if floor_tempo is not None:
        change_settings(desk, {"floor_tempo": floor_tempo})
    if start_next:
        number = desk.state.round_number + 1
        event = RoundStarted(desk.ledger.ids(desk.now).next(), desk.now, number)
        desk.ledger.append([event])
        desk.forget_changes()
        drop_plan(desk.ledger, desk.now.day)
    report = report_of(desk)
    if as_json:
        from scheduler.show.as_json import as_text, round_json

        typer.echo(as_text(round_json(report)))
        return
    from scheduler.show.rounds import round_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(round_screen(report, desk.now.date, screen.width))


def _check_may_start(desk: Desk, *, yes: bool) -> None:
    report = report_of(desk)
    if not report.is_finished and not yes:
        msg = (
            f"round {report.number} is not finished, {report.clean} of {report.total} items are "
            "clean: --yes begins the next one all the same"
        )
        raise RecordError(msg)


def report_of(desk: Desk) -> RoundReport:
    """Where the round stands."""
    state, floor = desk.state, desk.settings.floor_speed
    return RoundReport(
        number=state.round_number,
        floor_tempo=desk.settings.floor_tempo,
        started_on=date.fromordinal(state.round_started) if state.round_started else None,
        trips=tuple(
            TripProgress(
                trip, sum(done_in_round(state.history(item), floor) for item in trip.items)
            )
            for trip in desk.trips
        ),
    )
