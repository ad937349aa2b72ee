"""A door: words in, screens out.

Here lives everything that knows the command line, the clock and the user's folders. A command
reads its words into values, asks the floor `practice`, and prints what `show` makes of the answer.
This floor must not compute anything a musician could ask about: that is the work of the others.
"""

import gc
import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import typer

COMPLETES = "_UPNECK_COMPLETE"
"""The variable in which a shell's completion asks."""


def program() -> "typer.Typer":
    """The application with all its commands."""
    import scheduler.cli.commands
    import scheduler.cli.commands_at_hand
    import scheduler.cli.commands_of_items
    import scheduler.cli.commands_of_players
    import scheduler.cli.commands_of_record
    import scheduler.cli.commands_of_routines  # noqa: F401
    from scheduler.cli.app import app

    return app


def run() -> None:
    """Run the program: the console script and `python -m scheduler`."""
    # Collection costs a fifteenth of a command and frees nothing while imports run; opening a
    # ledger turns it on again.
    gc.disable()

    from scheduler.cli.edge import run_at_edge

    if os.environ.get(COMPLETES) == "complete_bash":
        from scheduler.cli.completion import bash_at_colons

        with bash_at_colons():
            run_at_edge(program())
    else:
        run_at_edge(program())
