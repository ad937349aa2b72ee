"""The commands `undo` and `redo`: the last act taken back, and brought back."""

import sys

import typer

from scheduler.cli.standings import print_standings
from scheduler.practice.practice import Practice
from scheduler.practice.undoing import Undone, next_to_undo
from scheduler.practice.undoing import redo as bring_back
from scheduler.practice.undoing import undo as take_back


def undo(practice: Practice, *, yes: bool, as_json: bool) -> None:
    """Take back what was done last, whole; on a terminal, ask about an earlier day's."""
    act = next_to_undo(practice)
    if act.moment.day != practice.now.day and not yes and sys.stdin.isatty():
        from scheduler.show.acts import act_words, when_words

        said = f"{act_words(act.what)} of {when_words(act.moment, practice.now)}"
        typer.confirm(f"Take back the {said}?", abort=True, err=True)
    _print(practice, "withdrawn", "undone", take_back(practice, act), as_json=as_json)


def redo(practice: Practice, *, as_json: bool) -> None:
    """Bring back what was taken back last, whole."""
    _print(practice, "restored", "redone", bring_back(practice), as_json=as_json)


def _print(practice: Practice, field: str, word: str, undone: Undone, *, as_json: bool) -> None:
    on_neck = [item for item in undone.items if practice.has(item)]
    judgements = practice.judge_all(on_neck)
    if as_json:
        from scheduler.show.as_json import as_text, events_json

        typer.echo(as_text(events_json(field, undone.ids, judgements)))
        return
    from scheduler.show.acts import undone_words

    typer.echo(f"{word}: {undone_words(undone, practice.now)}")
    print_standings(practice, judgements)
