"""The days ahead, as far as they can be planned."""

from dataclasses import dataclass

FURTHEST_DAYS = 5 * 366
"""A future that has no end in five years has no day."""


def weekday_of(day: int) -> int:
    """The weekday of an ordinal day, Monday = 0."""
    return (day - 1) % 7


@dataclass(frozen=True, slots=True)
class PracticeDays:
    """What the days ahead hold, as far as it can be planned.

    Attributes:
        minutes: The budget of a practised day.
        weekdays: The weekdays with practice.
        off: Days (ordinals) without practice.
    """

    minutes: float
    weekdays: frozenset[int]
    off: frozenset[int] = frozenset()

    def is_planned(self, day: int) -> bool:
        """Whether practice is planned on a day."""
        return weekday_of(day) in self.weekdays and day not in self.off
