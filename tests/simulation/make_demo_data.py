"""Make the demo player's settings and log, always the same.

Run it as `python -m tests.simulation.make_demo_data`.
"""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from pathlib import Path

from scheduler.ledger.logfile import COLUMNS
from scheduler.plan.settings import Settings, changed
from scheduler.player.facts import Pass
from tests.simulation.players import FAMILIES, Player
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
    practice = Practice(
        Player(family, SEED, first_day=LAST_DAY.toordinal() - DAYS), demo_settings()
    )
    rows: list[list[object]] = []
    for number in range(DAYS):
        day = LAST_DAY.toordinal() - (DAYS - 1 - number)
        if number in DAYS_OFF:
            continue
        for place, played in enumerate(practice.practise(day)):
            rows.append(_row(played, NOTES.get(number, "") if place == 0 else ""))
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
