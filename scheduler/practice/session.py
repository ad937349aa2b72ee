"""The session of a day."""

from datetime import date
from functools import partial
from typing import NamedTuple

from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.ledger.plans import KeptPlan, keep_plan, kept_plan
from scheduler.plan.assignment import first_of_all
from scheduler.plan.cautions import return_of
from scheduler.plan.planner import plan_more, plan_session
from scheduler.plan.session import Session, joined
from scheduler.player.moments import Moment, start_of_day
from scheduler.practice.assignment import comes_first
from scheduler.practice.practice import Practice

NOON_MS = 12 * 3_600_000
FEWEST_PASSES, GOOD_SHARE = 8, 0.75
"""With more clean passes than this, or fewer passes, nothing is said of a day (our choice)."""
LEAST_MORE_SECONDS = 60.0
"""For less the list doesn't go on (our choice)."""


def moment_on(practice: Practice, day: int) -> Moment:
    """Now, noon of a day to come, the end of one that is over."""
    if day == practice.now.day:
        return practice.now
    if day < practice.now.day:
        next_day = start_of_day(day + 1, practice.now.offset_minutes)
        return next_day._replace(utc_ms=next_day.utc_ms - 1)
    midnight = start_of_day(day, practice.now.offset_minutes)
    return Moment(midnight.utc_ms + NOON_MS, midnight.offset_minutes)


def planned_for(
    practice: Practice,
    day: int,
    budget_seconds: float | None = None,
    besides: frozenset[Item] | None = None,
) -> Session:
    """A session for a day (ordinal) as the player stands now; it isn't kept.

    Args:
        practice: The player's practice.
        day: The day.
        budget_seconds: The time there is; None for what the settings say.
        besides: Where it goes on with another one, without a warm-up: what that one still holds.
    """
    plan = plan_session if besides is None else partial(plan_more, besides=besides)
    first = comes_first(practice, day)
    return plan(
        practice.ability(moment_on(practice, day)),
        first_of_all(practice.order, first),
        budget_seconds or practice.settings.budget_seconds,
        practice.settings.revisit / 100,
        # A minute that is practised yields less than a minute of what is planned.
        min(1.0, practice.pace().seconds_per_minute / 60),
        first,
    )


def todays_plan(
    practice: Practice, budget_seconds: float | None = None, *, afresh: bool = False
) -> KeptPlan:
    """The plan kept for today, made now if there is none or another one is wanted.

    Raises:
        LedgerError: The file can't be written.
    """
    today = practice.now.day
    kept = kept_plan(practice.ledger, today, practice.basis())
    if kept is not None and not afresh:
        if budget_seconds is None or budget_seconds == kept.session.wanted_seconds:
            return kept
        if kept.recorded:
            practice.tell(
                f"part of today's plan of {kept.session.wanted_seconds / 60:g} minutes is "
                "recorded, so it stays: --more --minutes 10 adds ten minutes, --afresh makes a "
                "new one"
            )
            return kept
    session = planned_for(practice, today, budget_seconds)
    return keep_plan(practice.ledger, session, practice.now, practice.basis())


def whats_left_today(practice: Practice, budget_seconds: float | None = None) -> KeptPlan:
    """The plan of today, with something left of it.

    Args:
        practice: The player's practice.
        budget_seconds: The time there is; None for what the settings say.

    Raises:
        PlanError: Nothing is left.
        LedgerError: The file can't be written.
    """
    plan = todays_plan(practice, budget_seconds)
    if plan.is_through:
        msg = "nothing is left of today's session: upneck today --more goes on"
        raise PlanError(msg)
    return plan


def more_of_today(practice: Practice, budget_seconds: float | None = None) -> KeptPlan:
    """Today's session with what comes after it, kept as the plan of the day.

    Args:
        practice: The player's practice.
        budget_seconds: The time there is; None for what is left of today's minutes.

    Raises:
        PlanError: Nothing is left, of the minutes or to play; or the session isn't through, and
            it wasn't said how many more minutes there are.
        LedgerError: The file can't be written.
    """
    before = kept_plan(practice.ledger, practice.now.day, practice.basis())
    if before is not None and not before.is_through and budget_seconds is None:
        left = ", ".join(str(number) for number, items in before.all_left().items() if items)
        msg = (
            f"today's session isn't through, blocks left: {left}; --more --minutes 10 adds ten "
            "minutes, --afresh plans another"
        )
        raise PlanError(msg)
    days, day = practice.state.days, practice.now.day
    played = days[day].practised_seconds if day in days else 0.0
    if budget_seconds is None:
        budget_seconds = practice.settings.budget_seconds - played
    if budget_seconds < LEAST_MORE_SECONDS:
        msg = (
            f"today's minutes are used up ({played / 60:.0f} played): upneck today --more "
            "--minutes 10 adds ten"
        )
        raise PlanError(msg)
    back = return_of(days, day)
    if back is not None and back.seconds_left(days, day) < LEAST_MORE_SECONDS:
        msg = (
            f"{played / 60:.0f} minutes are enough after {back.days} days without playing: "
            "ten more the next day"
        )
        raise PlanError(msg)
    left_of = before.all_left().values() if before is not None else ()
    besides = frozenset(item for items in left_of for item in items)
    session = planned_for(practice, day, budget_seconds, besides)
    if not session.blocks:
        msg = "nothing more is left to play: upneck round says where the round stands"
        raise PlanError(msg)
    if before is not None:
        so_far = before.session.budget_seconds if besides else played
        session = joined(before.session, session, so_far + budget_seconds)
    return keep_plan(practice.ledger, session, practice.now, practice.basis(), before)


def session_of_day(
    practice: Practice, day: date, budget_seconds: float | None = None, *, afresh: bool = False
) -> KeptPlan:
    """The session of a day: today's is kept, one to come is only planned.

    Args:
        practice: The player's practice.
        day: The day.
        budget_seconds: The time there is; None for what the settings say.
        afresh: Whether today's is planned anew.

    Raises:
        PlanError: No session was planned for a day that is over.
        LedgerError: The file can't be read or written.
    """
    if day == practice.now.date:
        return todays_plan(practice, budget_seconds, afresh=afresh)
    number = day.toordinal()
    if day > practice.now.date:
        return KeptPlan(0, planned_for(practice, number, budget_seconds), practice.now.utc_ms, {})
    kept = kept_plan(practice.ledger, number)
    if kept is None:
        msg = f"no session was planned for {day}: upneck calendar shows what was played"
        raise PlanError(msg)
    return kept


class BadDay(NamedTuple):
    """The last day with passes, where many of them were sloppy."""

    day: date
    passes: int
    sloppy: int


def bad_day_before(practice: Practice) -> BadDay | None:
    """The last day with passes before today, if it was bad enough to make today's slower."""
    days = practice.state.days
    day = practice.state.last_practice_day(practice.now.day)
    if not day or days[day].passes < FEWEST_PASSES:
        return None
    tally = days[day]
    if tally.clean / tally.passes > GOOD_SHARE:
        return None
    return BadDay(date.fromordinal(day), tally.passes, tally.passes - tally.clean)
