"""The terminal: one way to make a console, so that every screen obeys the same rules."""

import os
import sys
from typing import TextIO, cast

from rich.console import Console

NARROWEST = 40


def _for(file: TextIO) -> TextIO:
    return file if file.isatty() else cast("TextIO", _WithoutTrailingBlanks(file))


def shows_signs(screen: Console) -> bool:
    """Whether a console can show more than ASCII."""
    return not screen.options.ascii_only and screen.encoding.lower().startswith("utf")


class _WithoutTrailingBlanks:
    """A pipe into which tables go without the blanks at the ends of their lines."""

    def __init__(self, file: TextIO) -> None:
        self._file = file

    def write(self, text: str) -> int:
        self._file.write("\n".join(line.rstrip(" ") for line in text.split("\n")))
        return len(text)

    def __getattr__(self, name: str) -> object:
        return getattr(self._file, name)


def console(file: TextIO | None = None) -> Console:
    """A console that shows text literally: no markup, no emoji codes, no highlighting.

    Colours are left out in a pipe, on a dumb terminal and where NO_COLOR is set and not empty; bold
    and reverse go with them then (rich alone would keep them).
    """
    plain = bool(os.environ.get("NO_COLOR"))
    made = Console(
        file=_for(file or sys.stdout),
        markup=False,
        emoji=False,
        highlight=False,
        no_color=plain or None,
        color_system=None if plain else "auto",
    )
    made.width = max(made.width, NARROWEST)
    return made
