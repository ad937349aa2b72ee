"""A small chart of an item's tempos, drawn with letters so that it needs no colour."""

from collections.abc import Sequence

from scheduler.player.facts import Pass
from scheduler.show.words import tempo_words

MOST_ROWS = 7
CLEAN, SLOPPY = "o", "x"


def tempo_chart(passes: Sequence[Pass], columns: int) -> list[str]:
    """One column a pass, oldest first, one row a tempo, fastest on top.

    Args:
        passes: Passes, oldest first; the last ones are drawn.
        columns: The width of the screen.
    """
    tempos = [played.tempo for played in passes]
    low, high = min(tempos), max(tempos)
    distinct = sorted(set(tempos), reverse=True)
    if len(distinct) <= MOST_ROWS:
        levels: list[float] = [*distinct]
        labels = [tempo_words(level) for level in levels]
    else:
        step = (high - low) / (MOST_ROWS - 1)
        levels = [high - step * row for row in range(MOST_ROWS)]
        labels = [f"{level:.0f}" for level in levels]
    margin = max(len(label) for label in labels)
    shown = passes[-(columns - margin - 3) :]
    rows = [
        min(range(len(levels)), key=lambda row, tempo=played.tempo: abs(levels[row] - tempo))  # type: ignore[misc]
        for played in shown
    ]
    lines = []
    for number, label in enumerate(labels):
        marks = "".join(
            (CLEAN if played.clean else SLOPPY) if row == number else " "
            for played, row in zip(shown, rows, strict=True)
        )
        lines.append(f"{label:>{margin}} | {marks}".rstrip())
    return lines
