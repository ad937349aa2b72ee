"""The commands `undo` and `redo`: the last act taken back, and brought back."""

import sys

import typer

from scheduler.cli.standings import print_standings
from scheduler.cli.telling import tell, wrapped
from scheduler.practice.practice import Practice
from scheduler.practice.undoing import Done, next_to_undo
from scheduler.practice.undoing import redo as bring_back
from scheduler.practice.undoing import undo as take_back


def undo(practice: Practice, *, yes: bool, as_json: bool) -> None:
    """Take back what was done last, whole; on a terminal, ask about an earlier day's."""
    act = next_to_undo(practice)
    if act.moment.day != practice.now.day and not yes and sys.stdin.isatty():
        from scheduler.show.acts import act_words, when_words

        said = f"{act_words(act.what)} of {when_words(act.moment, practice.now)}"
        typer.confirm(wrapped(f"Take back the {said}?"), abort=True, err=True)
    tell_undone(practice, "withdrawn", "undone", take_back(practice, act), as_json=as_json)


def redo(practice: Practice, *, as_json: bool) -> None:
    """Bring back what was taken back last, whole."""
    tell_undone(practice, "restored", "redone", bring_back(practice), as_json=as_json)


def tell_undone(practice: Practice, field: str, word: str, undone: Done, *, as_json: bool) -> None:
    """Tell what was taken or brought back."""
    on_neck = [item for item in undone.items if practice.has(item)]
    judgements = practice.judge_all(on_neck)
    if as_json:
        from scheduler.show.as_json import as_text, events_json

        typer.echo(as_text(events_json(field, undone.ids, judgements)))
        return
    from scheduler.show.acts import undone_words

    tell(f"{word}: {undone_words(undone, practice.now)}")
    print_standings(practice, judgements)
