"""Cautions before a session: a sudden increase, and coming back after days without playing.

Source:
    British Association for Performing Arts Medicine, "Ten Top Health Tips for Musicians" (at most
    ten minutes more from day to day) and "Returning to Playing and Performance for Instrumental
    Musicians" (a sudden increase, also after a lay-off, is a common trigger of injury; level 1 of
    the graded return is five minutes of playing, a rest, five minutes more).
"""

from collections.abc import Mapping

from scheduler.player.replay import Day

STEP_SECONDS = 600.0
LOOK_BACK_DAYS = 7
LAY_OFF_DAYS = 7

NOTHING_RECORDED = (
    "Nothing is recorded yet: if you haven't been playing lately, begin with ten minutes "
    "and add at most ten minutes from day to day."
)
LAY_OFF = (
    "{days} days without playing: begin with five minutes, rest, and play five more; "
    "add time over days, and stop at pain."
)
STEP = (
    "{planned:.0f} minutes are more than ten above your longest day of the last week "
    "({longest:.0f} minutes): add at most ten minutes from day to day."
)


def cautions(days: Mapping[int, Day], today: int, planned_seconds: float) -> tuple[str, ...]:
    """Sentences for a session that is planned for a day.

    Args:
        days: What was recorded, by day (ordinal).
        today: The day of the session.
        planned_seconds: How long it is.
    """
    before = [day for day in days if day < today]
    if not before:
        return (NOTHING_RECORDED,)
    away = today - max(before)
    if away >= LAY_OFF_DAYS:
        return (LAY_OFF.format(days=away),)
    longest = max(
        (days[day].practised_seconds for day in before if day >= today - LOOK_BACK_DAYS),
        default=0.0,
    )
    if planned_seconds > longest + STEP_SECONDS:
        return (STEP.format(planned=planned_seconds / 60, longest=longest / 60),)
    return ()
