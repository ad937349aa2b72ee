"""Settings are read from words, each within its range."""

import re

import pytest

from scheduler.errors import NeckError, SettingError, TempoError, UsageError
from scheduler.plan.settings import READERS, Settings, changed, format_setting, in_force
from scheduler.plan.values import format_days, parse_days


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("frets", "11"), ("frets", "49"), ("frets", "22.5"), ("frets", "many"), ("frets", "1e1"),
        ("lowest_fret", "13"), ("notes_per_beat", "5"), ("floor_tempo", "19"),
        ("floor_tempo", "nan"), ("floor_tempo", "inf"), ("floor_tempo", "1_00"),
        ("clean_of_ten", "3"), ("clean_of_ten", "10"), ("minutes", "0"), ("minutes", "-5"),
        ("minutes", "721"), ("minutes", ""), ("days", ""), ("days", "mon,xyz"), ("revisit", "51"),
        ("left_handed", "perhaps"), ("tuning", "G2 D3 A3 E4"),
    ],
)  # fmt: skip
def test_what_is_out_of_range_is_refused(name: str, text: str) -> None:
    with pytest.raises(UsageError):
        changed(Settings(), {name: text})


def test_each_cause_has_its_own_error() -> None:
    with pytest.raises(NeckError):
        changed(Settings(), {"tuning": "E2 A2"})
    with pytest.raises(TempoError):
        changed(Settings(), {"floor_tempo": "500"})
    with pytest.raises(SettingError):
        changed(Settings(), {"minutes": "900"})


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("mon-sun", {0, 1, 2, 3, 4, 5, 6}), ("fri-mon", {4, 5, 6, 0}), ("wed", {2}),
        ("Monday, thursday", {0, 3}), ("mon-wed,sat", {0, 1, 2, 5}),
    ],
)  # fmt: skip
def test_weekdays_come_as_lists_and_ranges(text: str, days: set[int]) -> None:
    assert parse_days(text) == days


@pytest.mark.parametrize("number", range(1, 128))
def test_every_set_of_weekdays_reads_back(number: int) -> None:
    days = frozenset(day for day in range(7) if number >> day & 1)

    assert parse_days(format_days(days)) == days


def test_every_setting_reads_back() -> None:
    settings = Settings(
        tuning="B1 E2 A2 D3 G3 B3 E4", floor_tempo=63.5, clean_of_ten=8.5, minutes=7.5
    )
    words = {name: format_setting(getattr(settings, name)) for name in READERS}

    assert changed(Settings(), words) == settings


def test_a_neck_that_no_box_lies_on_is_refused() -> None:
    with pytest.raises(NeckError, match="no box lies between frets 12 and 12"):
        changed(Settings(), {"frets": "12", "lowest_fret": "12"})


def test_the_latest_value_of_each_setting_stands() -> None:
    found = in_force([{"minutes": "30", "frets": "24"}, {"lowest_fret": "0"}, {"minutes": "10"}])

    assert found == (Settings(minutes=10, frets=24, lowest_fret=0), {})


def test_what_leaves_no_box_on_the_neck_is_left_out_until_it_fits_again() -> None:
    changes = [{"lowest_fret": "12"}, {"frets": "12", "minutes": "30"}]

    assert in_force(changes) == (Settings(lowest_fret=12, minutes=30), {"frets": "12"})
    again = in_force([*changes, {"lowest_fret": "1"}])
    assert again == (Settings(lowest_fret=1, frets=12, minutes=30), {})


@pytest.mark.parametrize("word", ["monfri", "montag", "mondays", "m", "mo", "fr", "sun1"])
def test_a_day_is_its_name_or_the_beginning_of_it(word: str) -> None:
    with pytest.raises(SettingError, match=re.escape(repr(word))):
        parse_days(word)


def test_days_may_be_written_out() -> None:
    assert parse_days("Monday, thurs, saturday-sun") == frozenset({0, 3, 5, 6})
