"""How long the report takes on a long record: `python -m tests.benchmarks.report_speed`.

On 100,000 passes over ten years of evenings, round after round, beside the floor of
`tests.benchmarks.start_up`, and how large it is. Run it in an environment without numerical
libraries.
"""

import subprocess
import sys
import tempfile
from pathlib import Path
from random import Random
from statistics import median

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.events import Event, EventIds, row_of
from scheduler.ledger.events_table import insert_rows
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fault, Pass, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment
from tests.benchmarks.start_up import FLOOR, as_installed, in_turn

PASSES, A_DAY, TIMES = 100_000, 28, 7
FIRST_MS, APART_MS = 1_400_000_000_000, 30_000
CLEAN = 0.9


def main() -> None:
    """Print the report's time beside the floor, and its size."""
    with tempfile.TemporaryDirectory() as folder:
        home, page = Path(folder) / "long", Path(folder) / "report.html"
        path = home / "upneck" / "upneck.db"
        last_ms = write_evenings(path, PASSES)
        environment = as_installed(str(home))
        environment["UPNECK_NOW"] = Moment(last_ms + APART_MS, 0).isoformat()
        upneck = [sys.executable, "-m", "scheduler"]
        subprocess.run([*upneck, "today"], env=environment, check=True, capture_output=True)
        floor = Path(folder) / "floor.py"
        floor.write_text(FLOOR)
        found = in_turn(
            {
                "floor": ([sys.executable, str(floor), "--name", str(path)], environment),
                "report": ([*upneck, "report", "-o", str(page), "--force"], environment),
            },
            TIMES,
        )
        walls = {key: median(seconds for seconds, _ in times) for key, times in found.items()}
        print("| command | ms | x floor | kB |")
        print("| --- | --- | --- | --- |")
        size = page.stat().st_size / 1000
        for key, wall in walls.items():
            kb = f"{size:.0f}" if key == "report" else ""
            print(f"| {key} | {wall * 1000:.0f} | {wall / walls['floor']:.1f} | {kb} |")


def write_evenings(path: Path, number: int) -> int:
    """Write evenings of passes in the order of round after round; when the last one was."""
    random, neck = Random(1), parse_neck()
    round_number, left = 1, list(round_items(neck))
    events: list[Event] = []
    for n in range(number):
        at = FIRST_MS + n // A_DAY * MS_PER_DAY + n % A_DAY * APART_MS
        item = left[0]
        clean = random.random() < CLEAN
        fault = None if clean else random.choice([None, *Fault])
        tempo = BeatsPerMinute(random.choice([60, 66, 72]))
        moment, event_id = Moment(at, 0), EventIds(at).next()
        events.append(
            Pass(event_id, moment, item, item.notes_on(6), tempo, 3, clean, 0 if clean else None,
                 fault)
        )  # fmt: skip
        left = left[1:] if clean else left
        if not left:
            round_number += 1
            left = list(round_items(neck, round_number))
            begun = Moment(at + 1, 0)
            events.append(RoundStarted(EventIds(at + 1).next(), begun, round_number))
    ledger = Ledger(path)
    with ledger.writing():
        insert_rows(ledger.db.conn, [row_of(event, event.id) for event in events])
    ledger.close()
    return events[-1].moment.utc_ms


if __name__ == "__main__":
    main()
