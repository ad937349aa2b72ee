"""Cautions, as the British Association for Performing Arts Medicine gives them.

Source: "Ten Top Health Tips for Musicians" (at most ten minutes more from day to day) and
"Returning to Playing and Performance for Instrumental Musicians" (graded return, 5-60-5).
"""

import pytest

from scheduler.plan.cautions import cautions
from scheduler.player.replay import Day

TODAY = 740_000


def days(**minutes: int) -> dict[int, Day]:
    """Minutes by `d` and the number of days ago."""
    return {
        TODAY - int(name[1:]): Day(passes=1, work_seconds=value * 60.0)
        for name, value in minutes.items()
    }


@pytest.mark.parametrize(
    ("record", "planned_minutes", "word"),
    [
        ({}, 20, "Nothing is recorded yet"),
        ({"d1": 20}, 30, None),
        ({"d1": 20}, 31, "more than ten above"),
        ({"d1": 5, "d7": 25}, 31, None),
        ({"d1": 5, "d8": 45}, 31, "more than ten above"),
        ({"d6": 20}, 20, None),
        ({"d7": 20}, 5, "7 days without playing"),
        ({"d30": 60}, 20, "30 days without playing: begin with five minutes"),
    ],
)
def test_a_sudden_increase_and_a_lay_off_get_a_caution(
    record: dict[str, int], planned_minutes: int, word: str | None
) -> None:
    said = cautions(days(**record), TODAY, planned_minutes * 60)

    assert len(said) == (0 if word is None else 1)
    assert all((word or "") in text for text in said)


def test_what_was_played_today_is_not_compared() -> None:
    assert cautions(days(d0=40, d1=20), TODAY, 31 * 60)
