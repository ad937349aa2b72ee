"""Keys as a terminal sends them, byte by byte, and what they mean while playing.

Page-turner pedals are keyboards that send arrows, page keys, space or enter; a pedal that is held
repeats its key.
"""

from enum import StrEnum


class Key(StrEnum):
    """Keys that are no letters."""

    UP, DOWN, RIGHT, LEFT = "up", "down", "right", "left"
    PAGE_UP, PAGE_DOWN = "page up", "page down"
    ENTER, SPACE, BACKSPACE, ESCAPE = "enter", "space", "backspace", "escape"


ARROWS = {"A": Key.UP, "B": Key.DOWN, "C": Key.RIGHT, "D": Key.LEFT}
TILDES = {"5": Key.PAGE_UP, "6": Key.PAGE_DOWN}
SINGLE = {
    " ": Key.SPACE, "\r": Key.ENTER, "\n": Key.ENTER, "\x7f": Key.BACKSPACE, "\x08": Key.BACKSPACE,
}  # fmt: skip

CLEAN = {Key.SPACE, Key.ENTER, Key.RIGHT, Key.PAGE_DOWN}
SLOPPY = {Key.LEFT, Key.PAGE_UP, Key.BACKSPACE}
HELD_SECONDS = 0.25
"""The same verdict key within this time is a pedal that is held (our choice)."""

ESCAPE = "\x1b"
LONGEST_SEQUENCE = 12


class KeyReader:
    """Turns bytes into keys, however they are cut into pieces."""

    def __init__(self) -> None:
        self._waiting = ""

    def feed(self, data: bytes) -> list[str]:
        """The keys that are complete after some more bytes."""
        self._waiting += data.decode("latin-1")
        found = []
        while self._waiting:
            key, length = self._first()
            if length == 0:
                break
            self._waiting = self._waiting[length:]
            if key:
                found.append(key)
        return found

    @property
    def is_waiting(self) -> bool:
        """Whether the beginning of a sequence has come, or an escape key alone."""
        return bool(self._waiting)

    def give_up(self) -> list[str]:
        """No more bytes came: what waits is an escape key, or rubbish."""
        self._waiting = ""
        return [Key.ESCAPE]

    def _first(self) -> tuple[str, int]:
        """The first key and its length; length 0 if more bytes are needed, no key if unknown."""
        text = self._waiting
        if text[0] != ESCAPE:
            return SINGLE.get(text[0], text[0] if text[0].isprintable() else ""), 1
        if len(text) == 1:
            return "", 0
        if text[1] not in "[O":
            return Key.ESCAPE, 1
        for place in range(2, min(len(text), LONGEST_SEQUENCE)):
            if text[place].isalpha() or text[place] == "~":
                return self._named(text[2:place], text[place]), place + 1
        return ("", 0) if len(text) < LONGEST_SEQUENCE else ("", len(text))

    @staticmethod
    def _named(numbers: str, last: str) -> str:
        if last == "~":
            return TILDES.get(numbers.partition(";")[0], "")
        return ARROWS.get(last, "")


class Debouncer:
    """Lets one verdict through where a pedal is held."""

    def __init__(self) -> None:
        self._last: tuple[str, float] = ("", -1e9)

    def lets_through(self, key: str, now: float) -> bool:
        """Whether a key at a time (seconds) is meant; every call counts as the key's last time."""
        is_verdict = key in CLEAN or key in SLOPPY or key.isdigit()
        is_held = is_verdict and key == self._last[0] and now - self._last[1] < HELD_SECONDS
        self._last = (key, now)
        return not is_held
