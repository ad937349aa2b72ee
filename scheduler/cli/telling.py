"""Sentences to the player: wrapped at words in a terminal, a line each in a pipe."""

import sys

import typer

NARROWEST = 40


def tell(text: str, *, err: bool = False) -> None:
    """Print lines of text.

    Args:
        text: The lines; what one is indented by, its continuations are, too.
        err: Whether they go to stderr, as all that isn't the answer does.
    """
    stream = sys.stderr if err else sys.stdout
    typer.echo(wrapped(text) if stream.isatty() else text, err=err)


def wrapped(text: str) -> str:
    """Lines of text wrapped at words to the terminal's width."""
    import shutil

    columns = max(shutil.get_terminal_size().columns, NARROWEST)
    return "\n".join(_fitted(line, columns) for line in text.split("\n"))


def _fitted(line: str, columns: int) -> str:
    """A line of a text in as many as it takes; addresses and options stay whole.

    Example:
        >>> print(_fitted("  weak now: box 1 (1:asc:down:3)", 24))
          weak now: box 1
          (1:asc:down:3)
    """
    from textwrap import fill

    indent = " " * (len(line) - len(line.lstrip()))
    return fill(
        line.strip(), columns, initial_indent=indent, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
