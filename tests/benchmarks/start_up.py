"""How long a command takes beside its floor: `python -m tests.benchmarks.start_up`.

The floor is a ten-line typer command that opens an SQLite file through sqlite-utils and prints one
rich table. Run it in an environment without numerical libraries: sqlite-utils imports pandas and
numpy wherever it finds them.
"""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from statistics import median
from typing import TypeVar

Key = TypeVar("Key")

FLOOR = """
import sqlite3, typer
from rich.console import Console
from rich.table import Table
from sqlite_utils import Database
app = typer.Typer(rich_markup_mode=None)
@app.command()
def show(name: str = "x") -> None:
    db = Database(sqlite3.connect(name), execute_plugins=False)
    table = Table("table")
    for row in db.query("SELECT name FROM sqlite_master"):
        table.add_row(row["name"])
    Console().print(table)
app()
"""
ROUNDS = 15
COMMANDS = (
    ["--version"], ["today"], ["record", "1:asc:down:1", "clean", "--tempo", "60"],
    ["item", "1:asc:down:1"], ["items", "--weak"], ["round"], ["calendar"], ["setup"],
)  # fmt: skip


def as_installed(home: str) -> dict[str, str]:
    """The environment of a player whose home is a folder.

    Installed programs have their byte code beside them; without it every start compiles anew.
    """
    left_out = {"UPNECK_LEDGER", "UPNECK_NOW", "PYTHONDONTWRITEBYTECODE", "PYTHONUNBUFFERED"}
    kept = {name: value for name, value in os.environ.items() if name not in left_out}
    return {**kept, "HOME": home, "XDG_DATA_HOME": home}


def timed(words: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Seconds of wall time and MiB at the peak of one run."""
    code = (
        "import resource, subprocess, sys; subprocess.run(sys.argv[1:], "
        "stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL); "
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)"
    )
    start = time.perf_counter()
    subprocess.run(
        words, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False
    )
    seconds = time.perf_counter() - start
    peak = subprocess.run(
        [sys.executable, "-c", code, *words],
        env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return seconds, int(peak.stdout) / 1024


def in_turn(
    runs: Mapping[Key, tuple[list[str], dict[str, str]]], rounds: int
) -> dict[Key, list[tuple[float, float]]]:
    """What `timed` says of each run, taken in turn: a busy machine is busy for all of them."""
    found: dict[Key, list[tuple[float, float]]] = {key: [] for key in runs}
    for number in range(rounds + 1):
        for key, run in runs.items():
            once = timed(*run)
            # The first time writes byte code.
            found[key] += [once] if number else []
    return found


def main() -> None:
    """Print wall time, its ratio to the floor, and peak memory, run by run interleaved."""
    with tempfile.TemporaryDirectory() as home:
        environment = as_installed(home)
        floor = Path(home) / "floor.py"
        floor.write_text(FLOOR)
        upneck = [sys.executable, "-m", "scheduler"]
        runs = {"floor": [sys.executable, str(floor), "--name", f"{home}/upneck/upneck.db"]}
        runs |= {" ".join(words): upneck + words for words in COMMANDS}
        subprocess.run([*upneck, "today"], env=environment, check=True, capture_output=True)
        times = in_turn({name: (words, environment) for name, words in runs.items()}, ROUNDS)
    base = median(seconds for seconds, _ in times["floor"])
    print(f"{'command':45} {'ms':>6} {'x floor':>8} {'MiB':>6}")
    for name, found in times.items():
        wall = median(seconds for seconds, _ in found)
        peak = max(mib for _, mib in found)
        print(f"{name:45} {wall * 1000:6.0f} {wall / base:8.2f} {peak:6.1f}")


if __name__ == "__main__":
    main()
