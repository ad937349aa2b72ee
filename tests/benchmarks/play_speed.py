"""How fast `play` answers and how steady its beat is: `python -m tests.benchmarks.play_speed`.

From key press to the next screen, in a pseudo-terminal on a ledger of 50,000 passes; the beat in
real time, each click against its deadline, beside a plain loop of sleeps that adds up its lateness.
"""

import os
import select
import tempfile
import time
from pathlib import Path
from statistics import median, quantiles

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.beats import Kind, Run
from scheduler.stage.beat import BeatClock
from tests.commands.test_play import PAGE_DOWN, PAUSE, Terminal
from tests.ledger.bulk import write_passes

PASSES = 50_000
PRESSES = 40
SECONDS, TEMPO = 60, 240.0


def press_times() -> list[float]:
    """Milliseconds from a verdict's key to the end of the screen it leads to."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        write_passes(home / "data" / "upneck" / "upneck.db", PASSES)
        terminal = Terminal(home, "play", "--silent", "--minutes", "60")
        terminal.read_until("move to it", 60)
        times = []
        for _ in range(PRESSES):
            terminal.send(b" ")
            terminal.read_until("play ")
            time.sleep(PAUSE)
            drain(terminal)
            start = time.perf_counter()
            terminal.send(PAGE_DOWN)
            terminal.read_until("q: stop")
            times.append(1000 * (time.perf_counter() - start))
            time.sleep(PAUSE)
        terminal.send(b"q")
        terminal.close()
    return times


def drain(terminal: Terminal) -> None:
    """Read what is there."""
    while select.select([terminal.master], [], [], 0)[0]:
        terminal.text += os.read(terminal.master, 65536).decode(errors="replace")


def lateness() -> tuple[list[float], list[float]]:
    """Milliseconds by which clicks were asked for late: our clock, and sleeps that add up."""
    beat = BeatClock(time.monotonic)
    beat.begin([Run(Kind.PLAY, 1 << 20, BeatsPerMinute(TEMPO))])
    ours = []
    for _ in range(int(SECONDS * TEMPO / 60)):
        next_at = beat.next_at
        select.select([], [], [], max(0.0, next_at - time.monotonic()))
        if beat.tick() is not None:
            ours.append(1000 * (time.monotonic() - next_at))
    start, plain_loop = time.monotonic(), []
    for number in range(int(SECONDS * TEMPO / 60)):
        plain_loop.append(1000 * (time.monotonic() - start - number * 60 / TEMPO))
        time.sleep(60 / TEMPO)
    return ours, plain_loop


def main() -> None:
    """Print the report."""
    times = press_times()
    print(
        f"key to screen, {PASSES} passes: median {median(times):.1f} ms, most {max(times):.1f} ms"
    )
    for name, late in zip(("our clock", "sleeps"), lateness(), strict=True):
        ninety_ninth = quantiles(late, n=100)[98]
        drift = median(late[-10:]) - median(late[:10])
        print(
            f"{name}, {SECONDS} s at {TEMPO:g}: drift {drift:.2f} ms a minute, "
            f"99th percentile {ninety_ninth:.2f} ms late, most {max(late):.2f} ms"
        )


if __name__ == "__main__":
    main()
