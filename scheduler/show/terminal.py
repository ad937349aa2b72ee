"""The terminal: one way to make a console, so that every screen obeys the same rules."""

import os
import sys
from typing import TextIO

from rich.console import Console

NARROWEST = 40


def shows_signs(screen: Console) -> bool:
    """Whether a console can show more than ASCII."""
    return not screen.options.ascii_only and screen.encoding.lower().startswith("utf")


def console(file: TextIO | None = None) -> Console:
    """A console that shows text literally: no markup, no emoji codes, no highlighting.

    Colours are left out in a pipe, on a dumb terminal and where NO_COLOR is set and not empty; bold
    and reverse go with them then (rich alone would keep them).
    """
    plain = bool(os.environ.get("NO_COLOR"))
    made = Console(
        file=file or sys.stdout,
        markup=False,
        emoji=False,
        highlight=False,
        no_color=plain or None,
        color_system=None if plain else "auto",
    )
    made.width = max(made.width, NARROWEST)
    return made
