"""Playing, driven in a real pseudo-terminal with the bytes that pedals send."""

import codecs
import fcntl
import os
import pty
import re
import select
import signal
import sqlite3
import struct
import subprocess
import termios
import time
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from sys import executable

import pytest

from scheduler.stage.stage import EARLY_WORDS
from tests.commands.test_screen import environment
from tests.conftest import Run

PAGE_DOWN, PAGE_UP = b"\x1b[6~", b"\x1b[5~"
RIGHT, LEFT, UP, DOWN = b"\x1b[C", b"\x1b[D", b"\x1b[A", b"\x1b[B"
APPLICATION_RIGHT = b"\x1bOC"
FAST = ("--floor-tempo", "300", "--plays-clean", "300", "--tuning", "E1 A1 D2 G2")
SETTINGS = (*FAST, "--minutes", "10")
PAUSE = 0.3
"""Longer than a held pedal is ignored."""
SECONDS = 60.0
"""A program that is slower than this has stopped."""
SCREEN_BEGINS, SCREEN_ENDS = "\x1b[H", "\x1b[J"
WHOLE_SCREEN = re.compile(r"\x1b\[H((?:(?!\x1b\[H).)*?)\x1b\[J", re.DOTALL)


class Terminal:
    """A program in a pseudo-terminal."""

    def __init__(
        self, home: Path, *words: str, size: tuple[int, int] = (80, 24), program: Sequence[str] = ()
    ) -> None:
        self.master, slave = pty.openpty()
        self.resize(*size)
        self.before = termios.tcgetattr(slave)
        self.slave = slave
        self.process = subprocess.Popen(
            program or [executable, "-m", "scheduler", *words],
            stdin=slave, stdout=slave, stderr=slave, env=environment(home, TERM="xterm"),
            start_new_session=True, close_fds=True, preexec_fn=heed_interrupts,  # noqa: PLW1509
        )  # fmt: skip
        self.decoder = codecs.getincrementaldecoder("utf-8")(errors="replace")
        self.text = ""

    def resize(self, columns: int, rows: int) -> None:
        fcntl.ioctl(self.master, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def read_until(self, wanted: str, seconds: float = SECONDS) -> str:
        """Read until a text has come, and the screen it is in; the text since the last time."""
        start, deadline = len(self.text), time.monotonic() + seconds
        # What is left unread of a screen would be taken for the next one.
        while wanted not in plain(self.text[start:]) or self._is_in_a_screen():
            self._read(wanted, start, deadline)
        return plain(self.text[start:])

    def read_screen(self, rows: int) -> list[str]:
        """Read until a whole screen of so many rows has come; its lines."""
        start, deadline = len(self.text), time.monotonic() + SECONDS
        while True:
            screens = WHOLE_SCREEN.findall(self.text[start:])
            lines = plain(screens[-1]).split("\r\n") if screens else []
            if len(lines) == rows:
                return lines
            self._read(f"a screen of {rows} rows", start, deadline)

    def _is_in_a_screen(self) -> bool:
        return self.text.rfind(SCREEN_BEGINS) > self.text.rfind(SCREEN_ENDS)

    def _read(self, wanted: str, start: int, deadline: float) -> None:
        """Read what is there, waiting for it no longer than it may take."""
        ready, _, _ = select.select([self.master], [], [], max(0.0, deadline - time.monotonic()))
        assert ready, f"{wanted!r} didn't come in: {plain(self.text[start:])[-600:]}"
        try:
            data = os.read(self.master, 65536)
        except OSError:
            data = b""
        assert data, f"the program ended before {wanted!r}: {plain(self.text[start:])[-600:]}"
        self.text += self.decoder.decode(data)

    def send(self, data: bytes) -> None:
        os.write(self.master, data)

    def begin_and_judge(self, key: bytes, told: str) -> str:
        """Begin sooner, then judge, also where that is asked once more."""
        self.send(b" ")
        self.read_until("play ")
        time.sleep(PAUSE)
        self.send(key)
        shown = self.read_until("q: stop")
        if EARLY_WORDS in shown:
            time.sleep(PAUSE)
            self.send(key)
            shown = self.read_until("q: stop")
        if told not in shown:
            shown += self.read_until(told)
        time.sleep(PAUSE)
        return shown

    def end(self) -> int:
        return self.process.wait(timeout=SECONDS)

    def close(self) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.slave)
        os.close(self.master)


def plain(text: str) -> str:
    return re.sub(r"\x1b\[[?0-9;]*[A-Za-z]", "", text)


def heed_interrupts() -> None:
    """Undo what a shell does to what it starts in the background."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def passes(home: Path) -> list[tuple[int, int | None, str | None]]:
    """Clean, errors and fault of what is on disk, withdrawn passes left out."""
    ledger = sqlite3.connect(home / "data" / "upneck" / "upneck.db")
    rows = ledger.execute("SELECT clean, errors, fault FROM pass_log").fetchall()
    ledger.close()
    return rows


@pytest.fixture
def terminal(home: Path, run: Run) -> Iterator[Terminal]:
    run("setup", *SETTINGS)
    opened = Terminal(home, "play", "--silent")
    opened.read_until("move to it")
    yield opened
    opened.close()


@pytest.mark.slow
def test_pedal_keys_are_verdicts_and_every_pass_is_on_disk_at_once(
    terminal: Terminal, home: Path
) -> None:
    shown = terminal.begin_and_judge(PAGE_DOWN, "q: stop")
    assert "\r\nclean\r\n" in shown
    assert passes(home) == [(1, 0, None)]
    terminal.begin_and_judge(APPLICATION_RIGHT, "get ready")
    terminal.begin_and_judge(PAGE_UP, "sloppy: again")
    terminal.begin_and_judge(LEFT, "again, slower")
    terminal.begin_and_judge(b"3", "three times: go on")

    assert passes(home) == [(1, 0, None), (1, 0, None), (0, None, None), (0, None, None),
                            (0, 3, None)]  # fmt: skip
    terminal.send(b"q")
    told = terminal.read_until("tomorrow")
    assert "5 passes" in told
    assert "40% clean" in told
    assert terminal.end() == 0


@pytest.mark.slow
def test_a_fault_is_said_and_a_verdict_taken_back(terminal: Terminal, home: Path) -> None:
    terminal.begin_and_judge(b"2", "sloppy: again")
    terminal.send(b"r")
    terminal.read_until("the last pass: string noise")
    assert passes(home) == [(0, 2, "ringing")]
    terminal.send(b"u")
    terminal.read_until("taken back")
    assert passes(home) == []
    terminal.send(b"u")
    terminal.read_until("nothing to take back")
    terminal.send(b"q")
    terminal.read_until("nothing was played")
    assert terminal.end() == 0


@pytest.mark.slow
@pytest.mark.parametrize("elsewhere", [("undo", "redo"), ("undo",)], ids=" ".join)
def test_what_another_terminal_undid_meanwhile_is_taken_back_once(
    terminal: Terminal, home: Path, run: Run, elsewhere: tuple[str, ...]
) -> None:
    terminal.begin_and_judge(b"2", "sloppy: again")
    for command in elsewhere:
        assert run(command).code == 0
    terminal.send(b"u")
    terminal.read_until("taken back")
    assert passes(home) == []
    terminal.begin_and_judge(b"2", "sloppy: again")
    assert len(passes(home)) == 1
    terminal.send(b"q")
    assert terminal.end() == 0


def test_a_key_byte_by_byte_and_a_held_pedal_count_once(terminal: Terminal, home: Path) -> None:
    terminal.send(b" ")
    terminal.read_until("play ")
    time.sleep(PAUSE)
    for byte in PAGE_DOWN:
        terminal.send(bytes([byte]))
        time.sleep(0.01)
    terminal.read_until("get ready")
    for _ in range(10):
        terminal.send(PAGE_DOWN)
        time.sleep(0.03)
    time.sleep(PAUSE)

    assert passes(home) == [(1, 0, None)]
    assert "play " not in plain(terminal.text[-400:])


@pytest.mark.slow
def test_a_clean_pass_in_no_time_is_asked_once_more(home: Path, run: Run) -> None:
    run("setup", "--minutes", "10", "--plays-clean", "160")
    opened = Terminal(home, "play", "--silent")
    opened.read_until("move to it")
    opened.send(b" ")
    opened.read_until("count-in")
    opened.send(b" ")
    opened.read_until("wait for the beat")
    opened.read_until("play ")
    opened.send(b" ")
    opened.read_until(EARLY_WORDS)
    assert passes(home) == []
    time.sleep(PAUSE)
    opened.send(b" ")
    opened.read_until("get ready")
    assert passes(home) == [(1, 0, None)]
    opened.close()


@pytest.mark.slow
def test_the_tempo_moves_by_a_mark_and_a_pause_stops_the_beat(terminal: Terminal) -> None:
    terminal.send(DOWN)
    before = re.search(r"tempo ([\d.]+)", terminal.read_until("notes to a beat"))
    assert before
    terminal.send(UP)
    after = re.search(r"tempo ([\d.]+)", terminal.read_until("notes to a beat"))
    assert after
    assert float(after[1]) > float(before[1])
    terminal.send(b"p")
    terminal.read_until("paused: p goes on")
    start = len(terminal.text)
    time.sleep(1.2)
    terminal.send(b" ")
    terminal.read_until("paused: p goes on, q stops")
    assert "get ready" not in plain(terminal.text[start:])
    terminal.send(b"p")
    terminal.read_until("get ready")


@pytest.mark.parametrize("columns", [40, 60, 80])
def test_every_key_is_shown_however_narrow_the_terminal_is(
    terminal: Terminal, columns: int
) -> None:
    terminal.resize(columns, 30)
    os.killpg(terminal.process.pid, signal.SIGWINCH)
    shown = " ".join(terminal.read_screen(30))

    for words in ("clean: space", "r s n", "u: undo", "p: pause", "q: stop"):
        assert words in shown


@pytest.mark.parametrize("size", [(60, 20), (40, 16), (120, 40)])
def test_it_fits_the_terminal_and_follows_its_size(
    terminal: Terminal, size: tuple[int, int]
) -> None:
    terminal.resize(*size)
    os.killpg(terminal.process.pid, signal.SIGWINCH)
    lines = terminal.read_screen(size[1])

    assert "q: stop" in "".join(lines)
    assert [line for line in lines if len(line) >= size[0]] == []


@pytest.mark.parametrize(
    "how",
    [
        *(pytest.param(how, marks=pytest.mark.slow) for how in (signal.SIGTERM, signal.SIGHUP)),
        pytest.param(signal.SIGINT, marks=pytest.mark.slow),
        signal.SIGKILL,
    ],
)
def test_killed_in_the_middle_nothing_is_lost(
    terminal: Terminal, home: Path, how: signal.Signals
) -> None:
    terminal.begin_and_judge(PAGE_DOWN, "get ready")
    terminal.begin_and_judge(PAGE_UP, "sloppy: again")
    terminal.process.send_signal(how)
    code = terminal.end()

    assert passes(home) == [(1, 0, None), (0, None, None)]
    assert code == {signal.SIGINT: 130, signal.SIGKILL: -9}.get(how, 143)
    if how is not signal.SIGKILL:
        assert termios.tcgetattr(terminal.slave) == terminal.before
        os.set_blocking(terminal.master, False)
        left = terminal.text + os.read(terminal.master, 65536).decode(errors="replace")
        assert left.count("\x1b[?1049h") == left.count("\x1b[?1049l") == 1
        assert "Traceback" not in left


@pytest.mark.slow
def test_a_lost_connection_loses_nothing(home: Path, run: Run) -> None:
    run("setup", *SETTINGS)
    opened = Terminal(home, "play", "--silent")
    opened.read_until("move to it")
    opened.begin_and_judge(PAGE_DOWN, "get ready")
    os.close(opened.slave)
    os.close(opened.master)

    assert opened.process.wait(timeout=SECONDS) != 0
    assert passes(home) == [(1, 0, None)]


@pytest.mark.slow
def test_what_was_played_is_left_out_when_it_goes_on(terminal: Terminal, home: Path) -> None:
    first = plain(terminal.text)
    terminal.begin_and_judge(PAGE_DOWN, "get ready")
    terminal.send(b"q")
    terminal.read_until("tomorrow")
    terminal.end()
    again = Terminal(home, "play", "--silent")
    shown = again.read_until("move to it")
    again.send(b"q")
    again.end()
    again.close()

    assert re.search(r"1 of (\d+)", shown)
    assert shown.split("\r\n")[0] != first.split("\r\n")[0]


@pytest.mark.slow
def test_what_stayed_sloppy_comes_back_and_the_list_goes_on(home: Path, run: Run) -> None:
    run("setup", *FAST, "--minutes", "2")
    items = sum(len(block["items"]) for block in run("today", "--json").json["blocks"])
    opened = Terminal(home, "play", "--silent")
    opened.read_until("move to it")
    for _ in range(2):
        opened.begin_and_judge(PAGE_UP, "sloppy: again")
    opened.begin_and_judge(PAGE_UP, "sloppy three times")
    for _ in range(items - 2):
        opened.begin_and_judge(PAGE_DOWN, "q: stop")
    shown = opened.begin_and_judge(PAGE_DOWN, "what stayed sloppy, once more")
    assert "once more (new ground), 1 of 1" in shown
    opened.begin_and_judge(PAGE_DOWN, "q: stop")
    opened.begin_and_judge(PAGE_DOWN, "q: stop")
    opened.send(b"q")
    opened.read_until("tomorrow")
    opened.close()

    assert [clean for clean, *_ in passes(home)] == [0, 0, 0, *[1] * (items + 1)]


@pytest.mark.slow
def test_on_the_first_day_back_it_pauses_for_the_rest(home: Path, run: Run) -> None:
    run("setup", *FAST, "--minutes", "2")
    run("record", "1:asc:down:any", "clean", "--tempo", "300", "--at", "2026-01-10T12:00")
    opened = Terminal(home, "play", "--silent")
    opened.read_until("move to it")
    shown = ""
    while "rest for 5 min, put the guitar down; then p goes on" not in shown:
        shown = opened.begin_and_judge(PAGE_DOWN, "q: stop")
    assert "paused: p goes on" in shown
    opened.send(b"p")
    opened.read_until("move to it")
    opened.send(b"q")
    opened.read_until("tomorrow")
    opened.close()


@pytest.mark.skipif(find_spec("sounddevice") is not None, reason="there may be sound here")
def test_where_no_sound_is_at_hand_it_says_so_once(home: Path, run: Run) -> None:
    run("setup", *SETTINGS)
    opened = Terminal(home, "play")
    shown = opened.read_until("q: stop")
    opened.send(b"p")
    opened.read_until("paused: p goes on")
    later = opened.text.rpartition(SCREEN_BEGINS)[2]
    opened.send(b"q")
    opened.read_until("nothing was played")
    opened.close()

    assert "no sound here: watch the beat, or play --bell" in shown
    assert "no sound here" not in later


def test_a_terminal_that_is_too_small_is_told(home: Path) -> None:
    opened = Terminal(home, "play", size=(39, 24))
    told = opened.read_until("play needs")

    assert "too small" in told
    assert opened.end() == 1
    opened.close()


def test_without_a_terminal_it_says_so(run: Run) -> None:
    done = run("play")

    assert done.code == 1
    assert done.err == (
        "upneck: play needs a terminal: elsewhere, upneck today shows the session\n"
    )
    assert run("play", "--minutes", "0").code == 2


@pytest.mark.slow
def test_one_item_is_played_alone_as_long_as_one_likes(home: Path, run: Run) -> None:
    run("setup", *SETTINGS)
    assert run("play", "--tempo", "60").code == 2
    opened = Terminal(home, "play", "--silent", "--item", "1:asc:down:3", "--tempo", "300")
    shown = opened.read_until("move to it")
    assert "pass 1 of 10; " in plain(opened.text + shown)
    opened.begin_and_judge(PAGE_DOWN, "q: stop")
    opened.begin_and_judge(PAGE_UP, "sloppy: again")
    opened.begin_and_judge(PAGE_DOWN, "q: stop")
    opened.send(b"q")
    told = opened.read_until("3 passes")
    opened.end()
    assert "goes on" not in told
    assert "tomorrow:" not in told
    opened.close()

    assert [clean for clean, *_ in passes(home)] == [1, 0, 1]
    ledger = sqlite3.connect(home / "data" / "upneck" / "upneck.db")
    assert ledger.execute("SELECT count(*) FROM played_for").fetchone() == (0,)
    ledger.close()
