"""Identifiers, dates and the knapsack against standards and published tables."""

from datetime import UTC, date, datetime

import pytest

from scheduler.ledger.events import EventIds, uuid7
from scheduler.plan.knapsack import Option, best_choice
from scheduler.plan.practice_days import weekday_of
from scheduler.player.moments import Moment, moment_of, start_of_day
from tests.conftest import Run, reference_rows


def test_a_uuid_of_version_7_is_the_published_one() -> None:
    """Source: RFC 9562, appendix A.6, example of a UUIDv7 value (from memory)."""
    assert uuid7(0x017F22E279B0, 0xCC3, 0x18C4DC0C0C07398F) == (
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
    )


def test_ids_sort_in_the_order_in_which_they_are_given_out() -> None:
    ids = EventIds(1_764_000_000_000)
    made = [ids.next() for _ in range(5000)]

    assert made == sorted(made)
    assert len(set(made)) == 5000
    assert all(text[14] == "7" and text[19] in "89ab" for text in made)


@pytest.mark.parametrize("row", reference_rows("iso_week_dates.csv"))
def test_the_calendars_weeks_are_iso_weeks(row: dict[str, str], run: Run) -> None:
    """Source: reference/SOURCES.md, iso_week_dates.csv: 2026 has a week 53."""
    day = date.fromisoformat(row["calendar_date"])
    _, week, number = row["iso_week_date"].replace("W", "").split("-")

    out = run("calendar", "--months", "0", "--on", day.isoformat()).out
    line = next(line for line in out.splitlines() if f"│{day.day} *" in line)

    assert int(line.split("│")[1]) == int(week)
    assert line.split("│")[1 + int(number)].startswith(f"{day.day} *")
    assert weekday_of(day.toordinal()) == int(number) - 1


@pytest.mark.parametrize("row", reference_rows("knapsack_p01_p08.csv"), ids=lambda r: r["instance"])
def test_the_published_knapsacks_are_filled_to_their_optimum(row: dict[str, str]) -> None:
    """Source: reference/SOURCES.md, knapsack_p01_p08.csv; every optimum there is unique."""
    weights = [int(text) for text in row["weights"].split()]
    profits = [int(text) for text in row["profits"].split()]
    chosen = best_choice(
        [Option(w, p) for w, p in zip(weights, profits, strict=True)], int(row["capacity"])
    )

    assert [int(place in chosen) for place in range(len(weights))] == [
        int(text) for text in row["optimal_selection"].split()
    ]


@pytest.mark.parametrize("text", ["1969-12-31T23:59:59.999+00:00", "2026-11-25T23:30:00-03:30"])
def test_moments_are_those_of_the_standard_library(text: str) -> None:
    when = datetime.fromisoformat(text)
    moment = moment_of(when)

    assert moment.as_datetime() == when
    assert moment.date == when.date()
    assert datetime.fromisoformat(moment.isoformat()) == when
    assert moment.utc_ms == round((when - datetime(1970, 1, 1, tzinfo=UTC)).total_seconds() * 1000)


def test_midnight_begins_a_day() -> None:
    midnight = start_of_day(date(2026, 11, 25).toordinal(), 60)

    assert midnight.date == date(2026, 11, 25)
    assert Moment(midnight.utc_ms - 1, 60).date == date(2026, 11, 24)
