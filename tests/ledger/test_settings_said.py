"""The settings that a record holds: the later one stands, in whatever order they were entered."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.ledger.events import EventIds, SettingChanged
from scheduler.ledger.record import Ledger
from scheduler.ledger.settings_said import setting_changes, setting_history, setting_words
from scheduler.player.facts import RoundStarted
from scheduler.player.moments import Moment
from tests.ledger.bulk import append

START = Moment(1_764_000_000_000, 60)
IDS = EventIds(START.utc_ms)


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    opened = Ledger(tmp_path / "ledger.db")
    yield opened
    opened.close()


def said(name: str, value: str, moment: Moment = START) -> SettingChanged:
    return SettingChanged(IDS.next(), moment, name, value)


def test_an_older_setting_that_comes_in_later_changes_nothing(ledger: Ledger) -> None:
    older, newer = Moment(START.utc_ms, 120), Moment(START.utc_ms + 1, 60)
    append(ledger, [said("minutes", "25", newer)])
    append(ledger, [said("minutes", "40", older)], "import")

    assert setting_words(ledger) == {"minutes": "25"}
    assert setting_history(ledger, "minutes") == [(older, "40"), (newer, "25")]


def test_of_two_settings_in_one_millisecond_the_one_said_last_stands(ledger: Ledger) -> None:
    first, last = said("minutes", "25"), said("minutes", "40")
    append(ledger, [last])
    append(ledger, [first], "import")

    assert setting_words(ledger) == {"minutes": "40"}


def test_settings_of_one_entry_were_changed_together_and_those_of_two_were_not(
    ledger: Ledger,
) -> None:
    together = [said("minutes", "25"), said("frets", "24")]
    alone = said("minutes", "40")
    append(ledger, together)
    append(ledger, [alone])

    assert setting_changes(ledger) == [{"minutes": "25", "frets": "24"}, {"minutes": "40"}]


def test_a_floor_tempo_set_with_a_round_that_had_begun_is_in_vain(ledger: Ledger) -> None:
    for number, tempo in ((1, "60"), (2, "80")):
        moment = START._replace(utc_ms=START.utc_ms + number)
        begun = RoundStarted(IDS.next(), moment, 2)
        append(ledger, [begun, said("floor_tempo", tempo, moment)])

    assert setting_words(ledger) == {"floor_tempo": "60"}
    assert [value for _, value in setting_history(ledger, "floor_tempo")] == ["60"]
