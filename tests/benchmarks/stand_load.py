"""The stand under load: `python -m tests.benchmarks.stand_load [PHONES] [SECONDS] [PASSES]`.

So many phones play one session of `upneck stand`, a program of its own: each sends a pass every
other second, and asks in between where the session stands, as the page does; on a ledger of so many
passes. Printed: what was lost, and how long answers took, beside a floor, as many commits of
SQLite's own.
"""

import http.client
import json
import sqlite3
import sys
import tempfile
import threading
import time
from pathlib import Path
from statistics import quantiles
from typing import Any

from scheduler.cli.clock import now as clock
from scheduler.ledger.events import EventIds
from tests.browser.conftest import Program
from tests.ledger.bulk import write_passes

PAUSE_SECONDS = 2.0


class PhoneThread(threading.Thread):
    """A phone that plays for some seconds, once all are there."""

    def __init__(self, program: Program, seconds: float, ready: threading.Barrier) -> None:
        super().__init__()
        self.address, self.key = program.address.removeprefix("http://").split("/#")
        self.seconds, self.ready = seconds, ready
        self.cookie = ""
        self.sent: list[str] = []
        self.refused = 0
        self.sending: list[float] = []
        self.asking: list[float] = []

    def ask(self, method: str, path: str, told: object = None) -> tuple[dict[str, str], str]:
        """Ask as the page does."""
        connection = http.client.HTTPConnection(self.address, timeout=30)
        headers = {"Cookie": self.cookie}
        if method == "POST":
            headers |= {"Origin": f"http://{self.address}", "Content-Type": "application/json"}
        body = json.dumps(told) if method == "POST" else None
        connection.request(method, path, body, headers)
        answer = connection.getresponse()
        found = dict(answer.getheaders()), answer.read().decode()
        connection.close()
        return found

    def run(self) -> None:
        """Open the page, wait for the others; send, ask, wait."""
        headers, _ = self.ask("POST", "/enter", {"key": self.key})
        self.cookie = headers["set-cookie"].partition(";")[0]
        page = self.ask("GET", "/session")[1]
        told = json.loads(page.partition('id="told">')[2].partition("</script>")[0])
        number = self.ready.wait()
        time.sleep(PAUSE_SECONDS * number / self.ready.parties)
        until, place = time.monotonic() + self.seconds, 0
        while time.monotonic() < until:
            self.play(told, told["steps"][place % len(told["steps"])])
            place += 1

    def play(self, told: Any, step: Any) -> None:  # noqa: ANN401
        """A pass, and a question."""
        message = {
            "kind": "pass", "id": EventIds(clock().utc_ms).next(), "plan": told["state"]["plan"],
            "block": step["block"], "item": step["item"], "back": False, "tempo": step["tempo"],
            "clean": True, "errors": 0, "goes_on": True, "notes_per_beat": 3,
        }  # fmt: skip
        sent = {"owner": told["owners"][0], "messages": [message]}
        before = time.perf_counter()
        _, text = self.ask("POST", "/messages", sent)
        self.sending.append(1000 * (time.perf_counter() - before))
        if json.loads(text)["results"] == [{"id": message["id"], "why": ""}]:
            self.sent.append(message["id"])
        time.sleep(PAUSE_SECONDS / 2)
        before = time.perf_counter()
        self.ask("GET", "/state")
        self.asking.append(1000 * (time.perf_counter() - before))
        time.sleep(PAUSE_SECONDS / 2)


def floor_ms(path: Path, commits: int) -> list[float]:
    """Milliseconds of commits of one row, synchronous as the ledger's."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("CREATE TABLE rows (id TEXT)")
    took = []
    for number in range(commits):
        before = time.perf_counter()
        connection.execute("INSERT INTO rows VALUES (?)", [str(number)])
        took.append(1000 * (time.perf_counter() - before))
    connection.close()
    return took


def tell(name: str, took: list[float]) -> None:
    """A line of medians and high quantiles."""
    cuts = quantiles(took, n=100)
    print(
        f"{name:<16} {len(took):>5}  median {cuts[49]:6.1f} ms  90 % {cuts[89]:6.1f}  "
        f"99 % {cuts[98]:6.1f}  most {max(took):6.1f}"
    )


def main(phones: int = 20, seconds: int = 60, passes: int = 20_000) -> None:
    """Play, and print."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        if passes:
            write_passes(home / "data" / "upneck" / "upneck.db", passes)
        program = Program(home, "--minutes", "60")
        ready = threading.Barrier(phones)
        playing = [PhoneThread(program, seconds, ready) for _ in range(phones)]
        for each in playing:
            each.start()
        for each in playing:
            each.join()
        there = {event_id for event_id, _ in program.passes()}
        sent = [event_id for each in playing for event_id in each.sent]
        asked = sum(len(each.sending) for each in playing)
        print(f"{phones} phones, {seconds} s, a ledger of {passes} passes")
        print(f"sent {asked}, acknowledged {len(sent)}, lost {len(set(sent) - there)}")
        tell("passes", [ms for each in playing for ms in each.sending])
        tell("questions", [ms for each in playing for ms in each.asking])
        tell("floor: a commit", floor_ms(home / "floor.db", len(sent)))
        print(program.end().splitlines()[0])


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
