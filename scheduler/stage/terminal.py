"""The terminal while playing: keys at once, the whole screen, all as it was at the end."""

import os
import select
import shutil
import signal
import sys
import termios
import tty
from types import FrameType, TracebackType
from typing import Any, Self

ENTER_SCREEN = "\x1b[?1049h\x1b[?25l\x1b[H\x1b[2J"
LEAVE_SCREEN = "\x1b[?25h\x1b[?1049l"
CLEAR_LINE, CLEAR_BELOW = "\x1b[K", "\x1b[J"
KILLED = 143
READ_BYTES = 1024


class FullScreen:
    """A terminal in full-screen use; a context manager that puts everything back.

    Signals that end the program (SIGTERM, SIGHUP) put it back as well; a change of size only
    wakes up whoever waits for keys.
    """

    def __init__(self) -> None:
        self._input = sys.stdin.fileno()
        self._before: list[Any] = []
        self._handlers: dict[int, Any] = {}
        self._wake_read, self._wake_write = os.pipe()
        os.set_blocking(self._wake_write, False)
        self.was_resized = True

    def __enter__(self) -> Self:
        self._before = termios.tcgetattr(self._input)
        for number, handler in (
            (signal.SIGTERM, self._end), (signal.SIGHUP, self._end),
            (signal.SIGWINCH, self._resize),
        ):  # fmt: skip
            self._handlers[number] = signal.signal(number, handler)
        tty.setcbreak(self._input)
        self.write(ENTER_SCREEN)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        problem: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        try:
            self.write(LEAVE_SCREEN)
            termios.tcsetattr(self._input, termios.TCSADRAIN, self._before)
        except (OSError, termios.error):
            # The terminal is gone: there is nothing to put back.
            self._before = []
        for number, handler in self._handlers.items():
            signal.signal(number, handler)
        os.close(self._wake_read)
        os.close(self._wake_write)

    def _end(self, number: int, frame: FrameType | None) -> None:
        del number, frame
        sys.exit(KILLED)

    def _resize(self, number: int, frame: FrameType | None) -> None:
        del number, frame
        self.was_resized = True
        os.write(self._wake_write, b"w")

    @property
    def size(self) -> tuple[int, int]:
        """Columns and rows now."""
        return self.measured()

    @staticmethod
    def measured() -> tuple[int, int]:
        """Columns and rows of the terminal, whatever the environment says."""
        try:
            size = os.get_terminal_size(sys.stdout.fileno())
        except OSError:
            size = shutil.get_terminal_size()
        return size.columns, size.lines

    def write(self, text: str) -> None:
        """Write at once."""
        sys.stdout.write(text)
        sys.stdout.flush()

    def draw(self, lines: list[str]) -> None:
        """Draw a whole screen without flicker."""
        body = "".join(f"{line}{CLEAR_LINE}\n" for line in lines[:-1])
        self.write(f"\x1b[H{body}{lines[-1]}{CLEAR_BELOW}")

    def draw_line(self, row: int, line: str) -> None:
        """Draw one line again."""
        self.write(f"\x1b[{row + 1};1H{line}{CLEAR_LINE}")

    def read(self, seconds: float | None) -> bytes | None:
        """The bytes that come within some seconds; None if none do, b"" if the terminal is gone."""
        ready, _, _ = select.select([self._input, self._wake_read], [], [], seconds)
        if self._wake_read in ready:
            os.read(self._wake_read, READ_BYTES)
        if self._input not in ready:
            return None
        try:
            return os.read(self._input, READ_BYTES)
        except OSError:
            return b""
