"""The commands: read options, call the floors below, print.

Here lives everything that knows the command line, the clock and the user's folders.
This floor must not compute anything a musician could ask about: that is the work of the others.
"""


def run() -> None:
    """Run the program: the console script and `python -m scheduler`."""
    from scheduler.cli.commands import app
    from scheduler.cli.edge import run_at_edge

    run_at_edge(app)
