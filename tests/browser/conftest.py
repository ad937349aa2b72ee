"""A real browser before the real program: Playwright drives Debian's Chromium."""

import json
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from sys import executable
from typing import TYPE_CHECKING, Any

import pytest

from tests.commands.test_screen import environment

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page

CHROMIUM = "/usr/bin/chromium"
ADDRESS = re.compile(r"http://[\d.]+:\d+/#\S+")
SECONDS = 30
VERDICTS = ("Clean.", "Sloppy")
PHONE = {"width": 360, "height": 740}
HEAR = """
addEventListener("DOMContentLoaded", () => {
  window.heard = [];
  const said = document.getElementById("said");
  const listen = new MutationObserver((changes) => {
    for (const { addedNodes } of changes) {
      for (const each of addedNodes) window.heard.push(each.textContent);
    }
  });
  if (said) listen.observe(said, { childList: true });
});
"""
"""Whatever a page says stays readable, also when it says the next thing at once."""
MUST = os.environ.get("UPNECK_BROWSER") == "1"
"""Whether a browser has to be there: in CI it has."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            # One browser serves a file of them.
            item.add_marker(pytest.mark.xdist_group(item.path.stem))


@pytest.fixture(scope="session")
def chromium() -> Iterator["Browser"]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        if MUST:
            raise
        pytest.skip("no Playwright here: pip install '.[browser]'")
    if shutil.which(CHROMIUM) is None and not MUST:
        pytest.skip("no Chromium here: apt-get install chromium")
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-background-networking", "--disable-quic"],
        )
        yield browser
        browser.close()


class Program:
    """`upneck stand` as a player starts it, in a folder of the player's own."""

    def __init__(self, home: Path, *words: str, before: tuple[str, ...] = ()) -> None:
        self.home = home
        self.process = subprocess.Popen(
            [executable, "-m", "scheduler", *before, "stand", *words],
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
            env=environment(home, UPNECK_NOW="", PYTHONUNBUFFERED="1"), start_new_session=True,
        )  # fmt: skip
        self.said = ""
        assert self.process.stdout is not None
        deadline = time.monotonic() + SECONDS
        while not self.said.endswith("Ctrl-C ends it.\n"):
            assert time.monotonic() < deadline, self.said
            line = self.process.stdout.readline()
            assert line, f"it ended: {self.said}"
            self.said += line
        found = ADDRESS.search(self.said)
        assert found is not None, self.said
        self.address = found[0]

    @property
    def port(self) -> str:
        return self.address.rpartition(":")[2].partition("/")[0]

    def kill(self) -> None:
        self.process.kill()
        self.process.communicate()

    def end(self) -> str:
        """Ctrl-C; what it says at its end."""
        self.process.send_signal(signal.SIGINT)
        told, _ = self.process.communicate(timeout=SECONDS)
        return str(told)

    def passes(self) -> list[tuple[str, int]]:
        """Ids and verdicts of the passes on disk that stand."""
        return passes_in(self.home / "data" / "upneck" / "upneck.db")


def passes_in(path: Path) -> list[tuple[str, int]]:
    ledger = sqlite3.connect(path)
    rows = ledger.execute("SELECT id, clean FROM pass_log ORDER BY id").fetchall()
    ledger.close()
    return rows


@pytest.fixture
def put_up(home: Path) -> Iterator[Callable[..., Program]]:
    running: list[Program] = []

    def start(*words: str, before: tuple[str, ...] = ()) -> Program:
        running.append(Program(home, *words, before=before))
        return running[-1]

    yield start
    for each in running:
        if each.process.poll() is None:
            with suppress(ProcessLookupError):
                each.kill()


class Phone:
    """A phone with the page open, and everything that its console complained of."""

    def __init__(self, context: "BrowserContext") -> None:
        self.context = context
        self.complaints: list[str] = []
        self.page = self.new_page()

    def new_page(self) -> "Page":
        self.page = self.context.new_page()
        self.page.add_init_script(HEAR)
        self.page.set_default_timeout(1000 * SECONDS)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", self._complain)
        return self.page

    def _complain(self, said: "ConsoleMessage") -> None:
        if said.type == "error":
            self.complaints.append(said.text)

    def open(self, address: str) -> "Phone":
        """Open an address as from a code; the page asks for the key again if it is there."""
        self.page.goto("about:blank")
        self.page.goto(address)
        self.page.wait_for_selector("#page")
        self.until("!document.documentElement.matches('.unscripted')")
        return self

    def begin(self) -> "Phone":
        self.page.tap("#begin")
        self.page.wait_for_selector("#hands:not([hidden])")
        return self

    def judge(self, how: str = "#clean") -> None:
        """Begin the item sooner, and judge it, also where that is asked once more."""
        self.wait_for_touch()
        self.come_to_the_item()
        before = len(self.heard())
        self.page.tap(how)
        self.wait_for_touch()
        if any("Not half played yet" in said for said in self.heard()[before:]):
            self.page.tap(how)
            self.wait_for_touch()
        assert any(said.startswith(VERDICTS) for said in self.heard()[before:]), self.heard()

    def come_to_the_item(self) -> None:
        """Until it can be judged, by as short a way as there is."""
        if self.page.inner_text("#clean") == "Begin now":
            self.page.tap("#clean")
        self.until("document.getElementById('sloppy').ariaDisabled === 'false'")
        self.page.wait_for_timeout(60)

    def wait_for_touch(self) -> None:
        """A second touch within a quarter of a second is the first one's."""
        self.page.wait_for_timeout(260)

    def until(self, script: str, arg: object = None) -> None:
        """Wait until a script says so; the page's own rules forbid to do that inside it."""
        deadline = time.monotonic() + SECONDS
        while not self.page.evaluate(script, arg):
            assert time.monotonic() < deadline, f"it didn't come to {script}"
            self.page.wait_for_timeout(20)

    def kept(self) -> int:
        return int(self.page.evaluate("Object.keys(localStorage).length"))

    def wait_until_sent(self) -> None:
        self.until("Object.keys(localStorage).length === 0")

    def told(self) -> Any:  # noqa: ANN401
        return json.loads(self.page.text_content("#told") or "null")

    def heard(self) -> list[str]:
        """All that was said since the page was opened."""
        return list(self.page.evaluate("window.heard"))

    def said(self) -> str:
        return self.page.inner_text("#said")


@pytest.fixture
def phone(chromium: "Browser") -> Iterator[Callable[..., Phone]]:
    opened: list[BrowserContext] = []

    def make(**how: Any) -> Phone:  # noqa: ANN401
        context = chromium.new_context(**{"viewport": PHONE, "has_touch": True, **how})
        opened.append(context)
        return Phone(context)

    yield make
    for context in opened:
        context.close()
