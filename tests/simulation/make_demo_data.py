"""Make the settings and logs of the demo player and the demo's class, always the same.

Run it as `python -m tests.simulation.make_demo_data`.
"""

import csv
import io
import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.ledger.logfile import COLUMNS
from scheduler.plan.settings import Settings, changed
from scheduler.player.facts import Pass
from tests.simulation.players import FAMILIES, Family, Player
from tests.simulation.playing import Practice

DEMO_DATA = Path(__file__).parents[2] / "demo_data"
WORDS = {"minutes": "20", "days": "mon-sat"}
LAST_DAY = date(2001, 3, 24)
DAYS = 22
DAYS_OFF = {4, 5, 11, 17, 18}
NOTES = {1: "new strings", 9: "tired hand, stopped early", 15: "slow and even", 20: "felt easy"}
SEED = 7


def demo_settings() -> Settings:
    """The demo player's settings."""
    return changed(Settings(), WORDS)


def demo_log() -> str:
    """The demo player's log, its last day being yesterday for the one who loads it."""
    family = replace(FAMILIES[0], day_sd=0.35, base=-5.0, minutes_share=0.9, item_sd=0.5)
    player = Player(family, SEED, first_day=LAST_DAY.toordinal() - DAYS)
    return _log(player, demo_settings(), DAYS, DAYS_OFF, NOTES)


class StuckOnCouplings(Player):
    """A player whose hands don't get over from one box to the next."""

    def fixed_log_rate(self, item: Item) -> float:
        """The part of the log error rate that lies in the player and the item."""
        return super().fixed_log_rate(item) + (2.0 if item.coupling else 0.0)


class Student(NamedTuple):
    """One of the demo's class: what they can do, and their weeks."""

    family: Family
    seed: int
    words: dict[str, str]
    days: int
    days_off: set[int]
    kind: type[Player] = Player


def _weeks(days: int, weekdays: str) -> set[int]:
    """The days, counted from 0, that aren't among some weekdays, told as digits from Monday."""
    first = LAST_DAY.toordinal() - (days - 1)
    return {n for n in range(days) if str((first + n - 1) % 7) not in weekdays}


USUAL = replace(FAMILIES[0], day_sd=0.25, minutes_share=0.9)
CLASS = {
    # Strong: every day, fast, a good way into the couplings.
    "Solvei": Student(replace(USUAL, base=-5.4, item_sd=0.2), 11, {"minutes": "25"}, 15, {6, 13}),
    # Busy: a weekend now and then, of what was planned for every day.
    "Edda": Student(replace(USUAL, base=-5.0, minutes_share=0.6), 12,
                    {"minutes": "20"}, 24, _weeks(24, "56")),
    "Torben": Student(replace(USUAL, base=-5.4, item_sd=0.3), 13,
                      {"minutes": "20", "floor_tempo": "54"}, 24,
                      _weeks(24, "01234"), StuckOnCouplings),
    # Away for nearly two weeks.
    "Ylva": Student(replace(USUAL, base=-5.0), 14, {"minutes": "15"}, 30,
                    _weeks(30, "012345") | set(range(18, 30))),
}  # fmt: skip


def class_log(student: Student) -> str:
    """The log of one of the demo's class."""
    settings = changed(Settings(), student.words)
    first_day = LAST_DAY.toordinal() - student.days
    player = student.kind(student.family, student.seed, first_day=first_day)
    return _log(player, settings, student.days, student.days_off, {})


def _log(
    player: Player, settings: Settings, days: int, days_off: set[int], notes: Mapping[int, str]
) -> str:
    practice = Practice(player, settings)
    rows: list[list[object]] = []
    for number in range(days):
        day = LAST_DAY.toordinal() - (days - 1 - number)
        if number in days_off:
            continue
        for place, played in enumerate(practice.practise(day)):
            rows.append(_row(played, notes.get(number, "") if place == 0 else ""))
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows(rows)
    return text.getvalue()


def _row(played: Pass, note: str) -> list[object]:
    return [
        played.moment.as_datetime().isoformat(timespec="seconds"),
        played.item.address,
        f"{played.tempo:g}",
        played.notes_per_beat,
        int(played.clean),
        "" if played.errors is None else played.errors,
        played.fault or "",
        note,
    ]


if __name__ == "__main__":
    (DEMO_DATA / "settings.json").write_text(json.dumps(WORDS, indent=2) + "\n")
    (DEMO_DATA / "log.csv").write_bytes(demo_log().encode())
    (DEMO_DATA / "class").mkdir(exist_ok=True)
    words = {name: student.words for name, student in CLASS.items()}
    (DEMO_DATA / "class" / "settings.json").write_text(json.dumps(words, indent=2) + "\n")
    for name, student in CLASS.items():
        (DEMO_DATA / "class" / f"{name}.csv").write_bytes(class_log(student).encode())
