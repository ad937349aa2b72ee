"""Cautions, as the British Association for Performing Arts Medicine gives them.

Source: "Ten Top Health Tips for Musicians" (at most ten minutes more from day to day) and
"Returning to Playing and Performance for Instrumental Musicians" (graded return, 5-60-5).
"""

import pytest

from scheduler.plan.cautions import cautions, return_of
from scheduler.player.day import Day

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
        ({"d7": 20}, 20, None),
        ({"d8": 20}, 5, "7 days without playing"),
        ({"d31": 60}, 20, "30 days without playing: five minutes, a rest, five minutes more"),
        ({"d40": 60, "d1": 10}, 20, "coming back after 38 days without playing: 20 minutes today"),
        ({"d40": 60, "d2": 10, "d1": 20}, 30, None),
    ],
)
def test_a_sudden_increase_and_a_lay_off_get_a_caution(
    record: dict[str, int], planned_minutes: int, word: str | None
) -> None:
    said = cautions(days(**record), TODAY, planned_minutes * 60, 1800.0)

    assert len(said) == (0 if word is None else 1)
    assert all((word or "") in text for text in said)


def test_what_was_played_today_counts_beside_what_is_planned() -> None:
    assert cautions(days(d0=10, d1=20), TODAY, 20 * 60, 1200.0) == ()
    assert "31 minutes are more" in cautions(days(d0=11, d1=20), TODAY, 20 * 60, 1200.0)[0]


def test_days_are_counted_from_the_day_that_is_asked_about() -> None:
    assert return_of(days(d1=20), TODAY + 6) is None
    assert return_of(days(d1=20), TODAY + 7) == (7, 1)


def test_a_return_goes_on_for_as_long_as_ten_minutes_a_day_need() -> None:
    played = days(d40=60, d3=10, d2=20)

    assert return_of(played, TODAY) == (36, 3)
    assert return_of(days(d3=10, d2=20), TODAY) is None
