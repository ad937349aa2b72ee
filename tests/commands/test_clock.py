"""The clock is read at one door: the real one, frozen here, with its local offset."""

import time
from collections.abc import Iterator

import pytest
from freezegun import freeze_time

from scheduler.cli.clock import now
from scheduler.cli.options import read_day, read_days_off, read_moment
from scheduler.errors import TimeError


@pytest.fixture(autouse=True)
def in_berlin(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("TZ", "Europe/Berlin")
    monkeypatch.delenv("UPNECK_NOW", raising=False)
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize(
    ("utc", "local"),
    [
        ("2026-11-25 22:59:59", "2026-11-25T23:59:59+01:00"),
        ("2026-11-25 23:00:01", "2026-11-26T00:00:01+01:00"),
        ("2026-07-01 22:30:00", "2026-07-02T00:30:00+02:00"),
    ],
)
def test_a_day_is_the_local_day(monkeypatch: pytest.MonkeyPatch, utc: str, local: str) -> None:
    monkeypatch.setenv("UPNECK_NOW", local)
    with freeze_time(utc):
        from_variable = now()
        monkeypatch.delenv("UPNECK_NOW")
        from_clock = now()

    assert from_clock.utc_ms == from_variable.utc_ms
    assert from_variable.isoformat() == local


@pytest.mark.parametrize(
    ("text", "iso"),
    [
        ("11:30", "2026-11-25T11:30:00+01:00"),
        ("yesterday", "2026-11-24T12:00:00+01:00"),
        ("2026-07-01T19:30", "2026-07-01T19:30:00+02:00"),
        ("2026-07-01 19:30:15", "2026-07-01T19:30:15+02:00"),
        ("2026-07-01T19:30+00:00", "2026-07-01T19:30:00+00:00"),
        ("-3", "2026-11-22T12:00:00+01:00"),
        ("today", "2026-11-25T12:00:00+01:00"),
        ("23:50", "2026-11-24T23:50:00+01:00"),
        ("12:00", "2026-11-25T12:00:00+01:00"),
        ("today 11:30", "2026-11-25T11:30:00+01:00"),
        ("yesterday 23:30", "2026-11-24T23:30:00+01:00"),
        ("2026-11-24T19:30:00+05:30", "2026-11-24T19:30:00+05:30"),
        ("2026-11-24t19:30Z", "2026-11-24T19:30:00+00:00"),
        ("19:30+09:00", "2026-11-25T19:30:00+09:00"),
        ("05:30-05:00", "2026-11-25T05:30:00-05:00"),
        ("23:30-05:00", "2026-11-24T23:30:00-05:00"),
    ],
)
def test_when_it_was_played_is_read_as_local_time(
    monkeypatch: pytest.MonkeyPatch, text: str, iso: str
) -> None:
    monkeypatch.setenv("UPNECK_NOW", "2026-11-25T12:00:00+01:00")

    assert read_moment(text, now()).isoformat() == iso


@pytest.mark.parametrize(
    ("now_at", "text", "iso"),
    [
        ("2026-11-25T09:00:00+01:00", "today", "2026-11-25T09:00:00+01:00"),
        ("2026-11-25T00:10:00+01:00", "23:50", "2026-11-24T23:50:00+01:00"),
        ("2026-11-25T00:10:00+01:00", "today", "2026-11-25T00:10:00+01:00"),
        ("2026-11-25T00:10:00+01:00", "00:05", "2026-11-25T00:05:00+01:00"),
    ],
)
def test_a_time_or_day_alone_means_the_past(
    monkeypatch: pytest.MonkeyPatch, now_at: str, text: str, iso: str
) -> None:
    monkeypatch.setenv("UPNECK_NOW", now_at)

    assert read_moment(text, now()).isoformat() == iso


def test_days_are_read_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UPNECK_NOW", "2026-12-30T12:00:00+01:00")
    today = now().date

    assert [read_day(t, today).isoformat() for t in ("today", "tomorrow", "+3", "2027-02-01")] == [
        "2026-12-30", "2026-12-31", "2027-01-02", "2027-02-01",
    ]  # fmt: skip
    assert len(read_days_off("2026-12-30..2027-01-02,2027-02-01", today)) == 5
    with pytest.raises(TimeError):
        read_day("32 December", today)


def test_a_time_that_is_soon_to_come_is_a_slip_of_the_keys(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UPNECK_NOW", "2026-11-25T19:30:00+01:00")

    with pytest.raises(TimeError, match="in the future"):
        read_moment("20:30", now())
