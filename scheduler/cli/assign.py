"""The command `assign`: what a teacher hands out. And the other end: it is shown, asked, taken."""

import sys
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.options import STANDARD, read_day
from scheduler.cli.telling import tell, wrapped
from scheduler.errors import AssignmentError
from scheduler.guitar.keys import parse_key
from scheduler.guitar.patterns import ANY, PARTS
from scheduler.ledger.assignment_file import handout_text
from scheduler.ledger.files import write_whole
from scheduler.plan.assignment import (
    LONGEST_BY,
    LONGEST_WORDS,
    Handout,
    read_line,
    read_places,
)
from scheduler.practice.handout import Wish, change_by, handout_of, take_assignment
from scheduler.practice.practice import Practice
from scheduler.practice.routines import routine_named
from scheduler.show.assignment import change_lines, handout_words


class Words(NamedTuple):
    """The words of an assignment."""

    places: list[str]
    until: str
    by: str | None
    say: str | None
    routine: str | None
    settings: dict[str, str]

    def read(self, practice: Practice) -> Wish:
        """Read them.

        Raises:
            UsageError: A word can't be read.
        """
        places = read_places(" ".join(map(_one_word, self.places))).lower()
        return Wish(
            places=places.split(),
            until=read_day(self.until, practice.now.date),
            by=read_line(self.by or "", "who assigns", LONGEST_BY),
            words=read_line(self.say or "", "a sentence", LONGEST_WORDS),
            routine=None if self.routine is None else routine_named(practice, self.routine),
            settings=self.settings,
        )


def _one_word(place: str) -> str:
    """A place as one word: a key behind a blank comes in place of the fret.

    Example:
        >>> _one_word("2 Am"), _one_word("2+3:asc")
        ('2:any:any:Am', '2+3:asc')
    """
    boxes, blank, key = place.strip().partition(" ")
    parts = boxes.split(":")
    if not blank or len(parts) >= PARTS:
        return boxes if not blank else place
    return ":".join([*parts, *[ANY] * (PARTS - 1 - len(parts)), parse_key(key).short])


def assign(practice: Practice, words: Words, *, output: str, force: bool) -> None:
    """Write an assignment.

    Raises:
        UsageError: A word can't be read, or the neck has no place for it.
        OutputError: The file can't be written.
    """
    handout = handout_of(practice, words.read(practice))
    text = handout_text(handout)
    if output == STANDARD:
        typer.echo(text, nl=False)
        return
    write_whole(Path(output), text.encode(), force=force)
    tell(f"wrote {output}: {handout_words(handout, practice.now.date)}", err=True)


def take(practice: Practice, handout: Handout, *, dry_run: bool, yes: bool) -> None:
    """Show an assignment, ask, and take it.

    Raises:
        AssignmentError: The neck has no place for it, or nobody could be asked.
    """
    from scheduler.show.terminal import console

    change = change_by(practice, handout)
    screen = console()
    for line in change_lines(change, practice.now.date):
        screen.print(line)
    if change.is_there:
        screen.print("It is taken already: nothing is new.")
        return
    if dry_run:
        return
    if not yes:
        if not sys.stdin.isatty():
            msg = "add --yes to take the assignment: nobody can be asked here"
            raise AssignmentError(msg)
        typer.confirm(wrapped("Take it?"), default=True, abort=True, err=True)
    take_assignment(practice, change)
    tell("Taken: upneck today keeps to it; upneck setup --no-assignment drops it.")
