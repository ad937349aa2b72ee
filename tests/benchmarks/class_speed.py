"""How long `upneck players` takes for a class: `python -m tests.benchmarks.class_speed`.

Two numbers may follow: of players, and of passes of each. The first look at everybody of the hour,
from checkpoints as an import leaves them; a second look; a look when one of them has new passes;
and a look with nothing kept at all, as after another version of the program. Each beside the floor
of `tests.benchmarks.start_up`.
"""

import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path

from scheduler.ledger.record import Ledger
from tests.benchmarks.start_up import FLOOR, as_installed
from tests.ledger.bulk import write_passes

PLAYERS, PASSES = 200, 20_000


def seconds_of(words: list[str], environment: Mapping[str, str]) -> float:
    """Wall time of one run, which must succeed."""
    start = time.perf_counter()
    subprocess.run(words, env=dict(environment), check=True, capture_output=True)
    return time.perf_counter() - start


def main(players: int = PLAYERS, passes: int = PASSES) -> None:
    """Print the table."""
    upneck = [sys.executable, "-m", "scheduler"]
    with tempfile.TemporaryDirectory() as home:
        environment = as_installed(home)
        folder = Path(home) / "upneck" / "players"
        folder.mkdir(parents=True)
        one = Path(home) / "one.db"
        write_passes(one, passes)
        ledger = Ledger(one)
        ((last,),) = ledger.rows("SELECT max(at_ms) FROM events")
        ledger.close()
        # The day after the last pass.
        day = time.strftime("%Y-%m-%dT12:00:00+00:00", time.gmtime(last / 1000 + 86_400))
        environment["UPNECK_NOW"] = day
        never = {"nothing kept": seconds_for(upneck, environment, folder, one, players)}
        subprocess.run(
            [*upneck, "--ledger", str(one), "round"], env=environment, check=True,
            capture_output=True,
        )  # fmt: skip
        first = seconds_for(upneck, environment, folder, one, players)
        second = seconds_of([*upneck, "players"], environment)
        record = ["record", "1:asc:down:1", "clean", "--tempo", "60"]
        seconds_of([*upneck, "--player", "Player 1", *record], environment)
        one_new = seconds_of([*upneck, "players"], environment)
        script = Path(home) / "floor.py"
        script.write_text(FLOOR)
        floor = min(
            seconds_of([sys.executable, str(script), "--name", str(one)], environment)
            for _ in range(5)
        )
    print(f"{players} players, {passes} passes each; floor {floor * 1000:.0f} ms\n")
    print("| a look | seconds | x floor |\n| --- | --- | --- |")
    looks = {"first of the hour": first, "second": second, "one has new passes": one_new, **never}
    for name, seconds in looks.items():
        print(f"| {name} | {seconds:.1f} | {seconds / floor:.1f} |")


def seconds_for(
    upneck: list[str], environment: Mapping[str, str], folder: Path, one: Path, players: int
) -> float:
    """The time of a look at a class of players who all have one ledger's record."""
    shutil.rmtree(folder)
    folder.mkdir()
    for number in range(1, players + 1):
        shutil.copyfile(one, folder / f"Player {number}.db")
    return seconds_of([*upneck, "players"], environment)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
