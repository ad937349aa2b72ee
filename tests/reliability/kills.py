"""Killed at random moments: `python -m tests.reliability.kills [kills]`.

record, import, merge and play are killed with SIGKILL after a random time. What they had
acknowledged must be there, nothing may be there by halves, and the ledger must be sound.
"""

import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.commands.test_play import PAGE_DOWN, Terminal
from tests.commands.test_screen import environment

KILLS = 300
PLAYING_SECONDS = 2.5
EARLIEST, LATEST = 0.7, 1.6
"""Kills fall between these shares of the time that the command takes when it is left alone."""

RECORDED, IMPORTED, MERGED = 7, 400, 60


class Home:
    """A player's folder with a ledger, and helpers to look into it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.ledger = folder / "data" / "upneck" / "upneck.db"
        self.seconds: dict[str, float] = {}

    def start(self, *words: str) -> "subprocess.Popen[bytes]":
        return subprocess.Popen(
            [sys.executable, "-m", "scheduler", *words],
            env=environment(self.folder), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def run(self, *words: str) -> str:
        done = self.start(*words)
        out, _ = done.communicate()
        assert done.returncode == 0, words
        return out.decode()

    def passes(self) -> int:
        connection = sqlite3.connect(self.ledger)
        (count,) = connection.execute("SELECT count(*) FROM passes").fetchone()
        (events,) = connection.execute("SELECT count(*) FROM events WHERE kind = 'pass'").fetchone()
        (sound,) = connection.execute("PRAGMA integrity_check").fetchone()
        broken = connection.execute("PRAGMA foreign_key_check").fetchone()
        connection.close()
        assert sound == "ok"
        assert broken is None
        assert count == events, "half an event"
        return int(count)


def log_of(passes: int, serial: int) -> str:
    """A log of so many passes, other ones for another number."""
    lines = ["played_at,item,tempo,notes_per_beat,clean,errors,fault,note"]
    lines += [
        f"2025-{1 + serial % 12:02d}-{1 + n % 28:02d}T{n // 28 % 24:02d}:{serial % 60:02d}:"
        f"{n % 60:02d}+00:00,1:asc:down:{1 + n % 19},60,3,1,0,,{serial}"
        for n in range(passes)
    ]
    return "\r\n".join(lines) + "\r\n"


def words_for(home: Home, what: str, serial: int) -> tuple[list[str], int]:
    """The words of a command that records something new, and how many passes that is."""
    if what == "record":
        return ["record", "2:any:down:3-9", "clean", "--tempo", "60"], RECORDED
    if what == "import":
        log = home.folder / "log.csv"
        log.write_text(log_of(IMPORTED, serial))
        return ["import", str(log)], IMPORTED
    other = home.folder / f"other-{serial}.db"
    log = home.folder / "other.csv"
    log.write_text(log_of(MERGED, serial + 5000))
    home.run("--ledger", str(other), "setup")
    home.run("--ledger", str(other), "import", str(log))
    return ["merge", str(other), "--same-player"], MERGED


def kill_one(home: Home, what: str, serial: int, rng: random.Random) -> str:
    """Start, kill, look: what became of it."""
    if what == "play":
        return kill_play(home, home.passes(), rng)
    if what not in home.seconds:
        words, _ = words_for(home, what, serial + 2500)
        start = time.monotonic()
        home.run(*words)
        home.seconds[what] = time.monotonic() - start
    words, batch = words_for(home, what, serial)
    before = home.passes()
    process = home.start(*words)
    time.sleep(home.seconds[what] * rng.uniform(EARLIEST, LATEST))
    process.kill()
    out, _ = process.communicate()
    added = home.passes() - before
    assert added in {0, batch}, f"{what}: {added} of {batch}"
    if b"recorded" in out or b" imported" in out or b" merged" in out:
        assert added == batch, f"{what}: acknowledged and lost"
        return "acknowledged, there"
    return "there" if added else "not there"


def kill_play(home: Home, before: int, rng: random.Random) -> str:
    """Play with the pedal, killed at some moment; every screen shown means a pass on disk."""
    terminal = Terminal(home.folder, "play", "--silent", "--minutes", "60")
    shown = 0
    try:
        # What is typed before the screen stands is thrown away.
        terminal.read_until("q: stop")
        end = time.monotonic() + rng.uniform(0.3, PLAYING_SECONDS)
        while time.monotonic() < end:
            terminal.send(b" ")
            terminal.read_until("play ")
            time.sleep(0.26)
            terminal.send(PAGE_DOWN)
            terminal.read_until("settle")
            shown += 1
            time.sleep(0.26)
    finally:
        terminal.close()
    added = home.passes() - before
    assert added == shown, f"play: {added} on disk, {shown} shown"
    return "acknowledged, there"


def main(kills: int = KILLS) -> None:
    """Kill so many times and print what became of each."""
    rng = random.Random(20)
    found: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        home = Home(Path(folder))
        home.run("setup", "--minutes", "60")
        home.run("today")
        for serial in range(kills):
            what = "play" if serial % 15 == 14 else ("record", "import", "merge")[serial % 3]
            found[what, kill_one(home, what, serial, rng)] += 1
            if what == "play":
                home.run("today", "--afresh")
        assert "in order" in home.run("check")
    print(
        "| command | kills | acknowledged, there | there, not yet acknowledged | not there "
        "| lost or half |"
    )
    print("| --- | --- | --- | --- | --- | --- |")
    for what in ("record", "import", "merge", "play"):
        counts = [found[what, how] for how in ("acknowledged, there", "there", "not there")]
        print(f"| {what} | {sum(counts)} | {' | '.join(map(str, counts))} | 0 |")


if __name__ == "__main__":
    os.environ.pop("UPNECK_LEDGER", None)
    main(*map(int, sys.argv[1:]))
