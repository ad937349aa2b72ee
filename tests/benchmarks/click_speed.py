"""How long a click track of 20 minutes takes: `python -m tests.benchmarks.click_speed`.

In a process of its own, so that the peak of memory is its own; beside writing as much silence.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

MEASURED = """
import resource, sys, time, wave
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.beats import Kind, Run
from scheduler.show.click_wave import RATE, write_wave
start = time.perf_counter()
with open(sys.argv[1], "wb") as file:
    if sys.argv[2] == "click":
        write_wave(file, [Run(Kind.COUNT_IN, 1860, BeatsPerMinute(93))])
    else:
        with wave.open(file, "wb") as track:
            track.setnchannels(1); track.setsampwidth(2); track.setframerate(RATE)
            for _ in range(1200):
                track.writeframesraw(bytes(2 * RATE))
seconds = time.perf_counter() - start
print(seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, "numpy" in sys.modules)
"""


def main() -> None:
    """Print seconds, the ratio to silence, and the peak of memory."""
    with tempfile.TemporaryDirectory() as folder:
        found = {}
        for what in ("silence", "click"):
            path = Path(folder) / "track.wav"
            done = subprocess.run(
                [sys.executable, "-c", MEASURED, str(path), what],
                capture_output=True, text=True, check=True, env=dict(os.environ),
            )  # fmt: skip
            seconds, peak, numpy = done.stdout.split()
            found[what] = float(seconds)
            print(
                f"20 minutes of {what}: {float(seconds):.2f} s, "
                f"{float(seconds) / found['silence']:.1f} x silence, {float(peak):.0f} MiB, "
                f"{path.stat().st_size / 1e6:.1f} MB, numpy imported: {numpy}"
            )


if __name__ == "__main__":
    main()
