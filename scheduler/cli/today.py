"""The command `today`: plan a session, keep it, and show what is done and what is left."""

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.options import read_day
from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.ledger.plans import KeptPlan, keep_plan, kept_plan
from scheduler.plan.planner import plan_session
from scheduler.plan.session import Session
from scheduler.plan.settings import parse_minutes
from scheduler.player.moments import Moment, start_of_day

NOON_MS = 12 * 3_600_000


def today(desk: Desk, *, minutes: str | None, on: str | None, afresh: bool, as_json: bool) -> None:
    """Show the session of a day."""
    budget = None if minutes is None else parse_minutes(minutes) * 60
    day = desk.now.date if on is None else read_day(on, desk.now.date)
    if day == desk.now.date:
        plan = plan_of_today(desk, budget, afresh=afresh)
    elif day > desk.now.date:
        plan = KeptPlan(session_on(desk, day.toordinal(), budget), desk.now.utc_ms, {})
    else:
        kept = kept_plan(desk.ledger, day.toordinal())
        if kept is None:
            msg = f"no session was planned for {day}: upneck calendar shows what was played"
            raise PlanError(msg)
        plan = kept
    show_plan(desk, plan, as_json=as_json)


def moment_on(desk: Desk, day: int) -> Moment:
    """Now, or noon of another day."""
    if day == desk.now.day:
        return desk.now
    midnight = start_of_day(day, desk.now.offset_minutes)
    return Moment(midnight.utc_ms + NOON_MS, midnight.offset_minutes)


def session_on(desk: Desk, day: int, budget: float | None) -> Session:
    """Plan a session for a day as the player stands now."""
    return plan_session(
        desk.bench(moment_on(desk, day)),
        desk.order,
        budget or desk.settings.budget_seconds,
        desk.settings.revisit / 100,
    )


def plan_of_today(desk: Desk, budget: float | None, *, afresh: bool) -> KeptPlan:
    """The plan kept for today, made now if there is none or another one is wanted."""
    kept = kept_plan(desk.ledger, desk.now.day)
    if kept is not None and not afresh:
        same = budget is None or budget == kept.session.budget_seconds
        if same:
            return kept
        if kept.done:
            typer.echo(
                f"upneck: part of today's plan of {kept.session.budget_seconds / 60:g} minutes is "
                "recorded, so it stays: --afresh plans anew",
                err=True,
            )
            return kept
    return keep_plan(desk.ledger, session_on(desk, desk.now.day, budget), desk.now)


def left_of(plan: KeptPlan) -> dict[int, tuple[Item, ...]]:
    """What is left of every block."""
    return {block.number: plan.left(block.number) for block in plan.session.blocks}


def show_plan(desk: Desk, plan: KeptPlan, *, as_json: bool) -> None:
    """Print a plan."""
    if as_json:
        from scheduler.show.as_json import as_text, session_json

        typer.echo(as_text(session_json(plan.session, left_of(plan))))
        return
    from scheduler.show.session import session_screen
    from scheduler.show.terminal import console

    console().print(session_screen(plan.session, left_of(plan), desk.settings.floor_tempo))
