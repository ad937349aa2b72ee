"""The command `round`: where the round stands, and the start of the next one."""

from dataclasses import dataclass
from datetime import date

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.setup import change_settings
from scheduler.errors import RecordError, UsageError
from scheduler.guitar.items import Item
from scheduler.ledger.plans import drop_plan
from scheduler.player.facts import RoundStarted
from scheduler.player.lookback import look_back
from scheduler.player.standing import Standing, done_in_round
from scheduler.show.rounds import RoundReport, TripProgress


@dataclass(frozen=True, slots=True)
class Wanted:
    """What the command was asked to do."""

    start_next: bool
    weak: bool
    floor_tempo: str | None
    yes: bool


def this_round(desk: Desk, wanted: Wanted, *, as_json: bool) -> None:
    """Show the round, after starting the next one or changing the floor tempo if asked to.

    Raises:
        RecordError: The round isn't finished, and --yes wasn't said, or nothing is weak.
        UsageError: --weak without --next.
    """
    if wanted.weak and not wanted.start_next:
        msg = "--weak goes with --next: it begins a round of what is weak or stale"
        raise UsageError(msg)
    only = _checked_start(desk, wanted) if wanted.start_next else ()
    if wanted.floor_tempo is not None:
        change_settings(desk, {"floor_tempo": wanted.floor_tempo})
    if wanted.start_next:
        number = desk.state.round.number + 1
        event = RoundStarted(desk.ledger.ids(desk.now).next(), desk.now, number, only)
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


def _checked_start(desk: Desk, wanted: Wanted) -> tuple[Item, ...]:
    """The items of a round that visits only some; everything is checked before it begins."""
    report = report_of(desk)
    if not report.is_finished and not wanted.yes:
        msg = (
            f"round {report.number} is not finished, {report.clean} of {report.total} items are "
            "clean: --yes begins the next one all the same"
        )
        raise RecordError(msg)
    if not wanted.weak:
        return ()
    verdicts = desk.judge_all(desk.order)
    only = tuple(
        item
        for item, verdict in verdicts.items()
        if verdict.standing in {Standing.WEAK, Standing.STALE}
    )
    if not only:
        msg = "nothing is weak or stale: leave --weak out for a whole round"
        raise RecordError(msg)
    return only


def report_of(desk: Desk) -> RoundReport:
    """Where the round stands."""
    state, floor = desk.state, desk.settings.floor_speed
    return RoundReport(
        number=state.round.number,
        floor_tempo=desk.settings.floor_tempo,
        visits_all=not state.round.only,
        look_back=look_back(desk.bench(), desk.order),
        started_on=date.fromordinal(state.round.started) if state.round.started else None,
        trips=tuple(
            TripProgress(
                trip, sum(done_in_round(state.history(item), floor) for item in trip.items)
            )
            for trip in desk.trips()
        ),
    )
