"""How long commands take on a long record: `python -m tests.benchmarks.long_record`.

Every read command on an empty ledger and on one of 100,000 passes, beside the floor of
`tests.benchmarks.start_up`; then import and export of 100,000 passes. Run it in an environment
without numerical libraries.
"""

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.start_up import COMMANDS, FLOOR, timed
from tests.ledger.bulk import write_passes

PASSES = 100_000
ROUNDS = 5
MORE = (["neck"], ["tab", "1:asc:down:1"])


def main() -> None:
    """Print the report."""
    with tempfile.TemporaryDirectory() as folder:
        homes = {name: Path(folder) / name for name in ("empty", "long")}
        floor = Path(folder) / "floor.py"
        floor.write_text(FLOOR)
        write_passes(homes["long"] / "upneck" / "upneck.db", PASSES)
        environments = {
            name: {**os.environ, "HOME": str(home), "XDG_DATA_HOME": str(home)}
            for name, home in homes.items()
        }
        upneck = [sys.executable, "-m", "scheduler"]
        for environment in environments.values():
            environment.pop("UPNECK_LEDGER", None)
            subprocess.run([*upneck, "today"], env=environment, check=True, capture_output=True)
        commands = [*COMMANDS, *MORE]
        ledger = str(homes["empty"] / "upneck" / "upneck.db")
        base = median(
            timed([sys.executable, str(floor), "--name", ledger], environments["empty"])[0]
            for _ in range(ROUNDS)
        )
        print(f"floor: {base * 1000:.0f} ms\n")
        print("| command | empty, x floor | 100,000 passes, x floor | x empty | MiB |")
        print("| --- | --- | --- | --- | --- |")
        for words in commands:
            runs = {
                name: [timed([*upneck, *words], environment) for _ in range(ROUNDS)]
                for name, environment in environments.items()
            }
            walls = {name: median(s for s, _ in found) for name, found in runs.items()}
            peak = max(mib for _, mib in runs["long"])
            print(
                f"| {' '.join(words)} | {walls['empty'] / base:.2f} | {walls['long'] / base:.2f} | "
                f"{walls['long'] / walls['empty']:.2f} | {peak:.0f} |"
            )
        in_and_out(upneck, environments, Path(folder))


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
