"""Cautions before a session: a sudden increase, and coming back after days without playing.

Source:
    British Association for Performing Arts Medicine, "Ten Top Health Tips for Musicians" (at most
    ten minutes more from day to day) and "Returning to Playing and Performance for Instrumental
    Musicians" (a sudden increase, also after a lay-off, is a common trigger of injury; level 1 of
    the graded return is five minutes of playing, a rest, five minutes more).
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from scheduler.player.day import Day

STEP_SECONDS = 600.0
"""Ten minutes more from day to day (BAPAM, as above)."""
LOOK_BACK_DAYS = 7
LAY_OFF_DAYS = 7
"""How far back the longest day counts, and from how many days on it is a return (our choice)."""

NOTHING_RECORDED = (
    "Nothing is recorded yet: if you haven't been playing lately, begin with ten minutes "
    "and add at most ten minutes from day to day."
)
LAY_OFF = (
    "{days} days without playing: five minutes, a rest, five minutes more, slower, of what you "
    "know; then ten minutes more from day to day. If it hurts, stop."
)
LAY_OFF_UNKNOWN = (
    "{days} days without playing: ten minutes today, slowly, with a rest half way; then ten "
    "minutes more from day to day. If it hurts, stop."
)
COMING_BACK = (
    "You are coming back after {days} days without playing: {minutes:.0f} minutes today, ten more "
    "the next day. If it hurts, stop."
)
STEP = (
    "{planned:.0f} minutes are more than ten above your longest day of the last week "
    "({longest:.0f} minutes): add at most ten minutes from day to day."
)


class Return(NamedTuple):
    """A return after days without playing.

    Attributes:
        days: The days without playing.
        step: Which day with practice since this one is: 1, 2 and so on.
    """

    days: int
    step: int

    @property
    def most_seconds(self) -> float:
        """The most to play on that day: ten minutes, and ten more for every day since."""
        return STEP_SECONDS * self.step

    def seconds_left(self, days: Mapping[int, Day], today: int) -> float:
        """What is left of them on that day."""
        played = days[today].practised_seconds if today in days else 0.0
        return max(self.most_seconds - played, 0.0)


def return_of(days: Iterable[int], today: int) -> Return | None:
    """Which step of a return a day is; None if there was no week without playing, or nothing ever.

    Args:
        days: The days with passes (ordinals).
        today: The day.
    """
    later, step = today, 1
    for day in sorted((day for day in days if day < today), reverse=True):
        without = later - day - 1
        if without >= LAY_OFF_DAYS:
            return Return(without, step)
        later, step = day, step + 1
    return None


def shares_of_return(days: Iterable[int], today: int, budget_seconds: float) -> list[float]:
    """What share of the budget is played on each of the next practice days of a return.

    Those on which all of it is played are left out.

    Args:
        days: The days with passes (ordinals).
        today: The day.
        budget_seconds: The budget of a day.

    Example:
        >>> shares_of_return([100], 149, 1500.0)
        [0.4, 0.8]
        >>> shares_of_return([100, 147, 148], 149, 1500.0), shares_of_return([148], 149, 1500.0)
        ([], [])
    """
    back = return_of(days, today)
    shares: list[float] = []
    while back is not None and back.most_seconds < budget_seconds:
        shares.append(back.most_seconds / budget_seconds)
        back = back._replace(step=back.step + 1)
    return shares


def cautions(
    days: Mapping[int, Day],
    today: int,
    planned_seconds: float,
    wanted_seconds: float,
    *,
    is_known: bool = True,
) -> tuple[str, ...]:
    """Sentences for a session that is planned for a day.

    Args:
        days: What was recorded, by day (ordinal).
        today: The day of the session.
        planned_seconds: How long it takes by the clock.
        wanted_seconds: How long it would have been, had there been no return to heed.
        is_known: Whether there is something that was clean before, to come back with.
    """
    before = [day for day in days if day < today]
    if not before:
        return () if today in days else (NOTHING_RECORDED,)
    back = return_of(days, today)
    if back is not None and back.step == 1:
        return ((LAY_OFF if is_known else LAY_OFF_UNKNOWN).format(days=back.days),)
    if back is not None and back.most_seconds < wanted_seconds:
        return (COMING_BACK.format(days=back.days, minutes=back.most_seconds / 60),)
    longest = max(
        (days[day].practised_seconds for day in before if day >= today - LOOK_BACK_DAYS),
        default=0.0,
    )
    seconds = planned_seconds + (days[today].practised_seconds if today in days else 0.0)
    if seconds > longest + STEP_SECONDS:
        return (STEP.format(planned=seconds / 60, longest=longest / 60),)
    return ()
