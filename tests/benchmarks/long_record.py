"""How long commands take on a long record: `python -m tests.benchmarks.long_record`.

Every read command on an empty ledger and on one of 100,000 passes, beside the floor of
`tests.benchmarks.start_up`; then import and export of 100,000 passes. Run it in an environment
without numerical libraries.
"""

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.start_up import COMMANDS, FLOOR, as_installed, in_turn
from tests.ledger.bulk import write_passes

PASSES = 100_000
ROUNDS = 9
MORE = (["neck"], ["tab", "1:asc:down:1"])


def main() -> None:
    """Print the report."""
    with tempfile.TemporaryDirectory() as folder:
        homes = {name: Path(folder) / name for name in ("empty", "long")}
        floor = Path(folder) / "floor.py"
        floor.write_text(FLOOR)
        write_passes(homes["long"] / "upneck" / "upneck.db", PASSES)
        environments = {name: as_installed(str(home)) for name, home in homes.items()}
        upneck = [sys.executable, "-m", "scheduler"]
        for environment in environments.values():
            subprocess.run([*upneck, "today"], env=environment, check=True, capture_output=True)
        ledger = str(homes["empty"] / "upneck" / "upneck.db")
        runs = {"floor": [sys.executable, str(floor), "--name", ledger]}
        runs |= {" ".join(words): [*upneck, *words] for words in [*COMMANDS, *MORE]}
        table(runs, environments)
        in_and_out(upneck, environments, Path(folder))


def table(runs: dict[str, list[str]], environments: dict[str, dict[str, str]]) -> None:
    """Wall times and their ratios, a line for each command."""
    found = in_turn(
        {
            (command, name): (words, environment)
            for command, words in runs.items()
            for name, environment in environments.items()
        },
        ROUNDS,
    )
    walls = {key: median(seconds for seconds, _ in times) for key, times in found.items()}
    base = median(s for name in environments for s, _ in found["floor", name])
    print(f"floor: {base * 1000:.0f} ms\n")
    print("| command | empty, x floor | 100,000 passes, x floor | x empty | MiB |")
    print("| --- | --- | --- | --- | --- |")
    for command in runs:
        empty, long = walls[command, "empty"], walls[command, "long"]
        peak = max(mib for _, mib in found[command, "long"])
        print(
            f"| {command} | {empty / base:.2f} | {long / base:.2f} | {long / empty:.2f} | "
            f"{peak:.0f} |"
        )


def in_and_out(upneck: list[str], environments: dict[str, dict[str, str]], folder: Path) -> None:
    """Export and import of the long record."""
    print()
    for form in ("csv", "json"):
        file = folder / f"record.{form}"
        start = time.perf_counter()
        subprocess.run(
            [*upneck, "export", "--format", form, "-o", str(file)],
            env=environments["long"], check=True, capture_output=True,
        )  # fmt: skip
        out = time.perf_counter() - start
        start = time.perf_counter()
        subprocess.run(
            [*upneck, "--ledger", str(folder / f"{form}.db"), "import", str(file)],
            env=environments["empty"], check=True, capture_output=True,
        )  # fmt: skip
        taken = time.perf_counter() - start
        print(f"{form}: export of {PASSES} passes {out:.1f} s, import with belief {taken:.1f} s")


if __name__ == "__main__":
    main()
