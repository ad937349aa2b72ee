"""Completion of addresses in the shell, part by part, for the player's own neck."""

import io
import os
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, redirect_stdout
from itertools import pairwise

from scheduler.errors import SchedulerError
from scheduler.guitar.items import box_word, positions
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import ANY, SLASH, parse_pattern
from scheduler.guitar.routine import Direction, Stroke
from scheduler.guitar.routines import INSIDE

SEPARATOR = ":"
WORDS, PLACE = "COMP_WORDS", "COMP_CWORD"
"""The variables in which bash's completion tells the words so far and which one is completed."""


def complete_address(incomplete: str) -> list[str]:
    """The ways to go on with an address, one part further.

    Example:
        >>> complete_address("3:a")
        ['3:asc:', '3:any:']
        >>> complete_address("3:as")
        ['3:asc:down:', '3:asc:up:', '3:asc:any:']
    """
    *done, last = incomplete.split(SEPARATOR)
    before = "".join(f"{part}{SEPARATOR}" for part in done)
    match len(done):
        case 0:
            words = _boxes(last)
        case 1:
            words = [*Direction, ANY]
        case 2:
            words = [*Stroke, ANY]
        case 3:
            return [f"{before}{fret}" for fret in _frets(done[0]) if fret.startswith(last)]
        case _:
            return []
    fitting = [word for word in words if word.startswith(last)]
    found = [word if word.endswith(SLASH) else f"{before}{word}{SEPARATOR}" for word in fitting]
    # Behind a single candidate a shell puts a blank, which would end the address half way: the
    # next part's candidates are told as well.
    return complete_address(found[0]) if len(found) == 1 else found


def _boxes(begun: str) -> list[str]:
    """Boxes and couplings; names of routines, where a name is begun."""
    name, slash, _ = begun.rpartition(SLASH)
    if begun[:1].isalpha() and not slash:
        return [ANY, *(f"{key}{SLASH}" for key in INSIDE if key)]
    routine = INSIDE.get(name)
    if routine is None:
        return []
    return [
        box_word(box, coupling=kind, routine=routine)
        for kind in (False, True)
        for box in routine.boxes
    ]


def complete_player(incomplete: str) -> list[str]:
    """The players whose names begin so, whatever the capitals."""
    from scheduler.cli.ledger_file import PLAYERS_FOLDER, data_folder
    from scheduler.ledger.players import players_in

    names = [player.name for player in players_in(data_folder() / PLAYERS_FOLDER)]
    return [name for name in names if name.casefold().startswith(incomplete.casefold())]


def joined(words: list[str], place: int) -> tuple[list[str], str]:
    """The words up to a place, joined where bash parted them at colons; what was before the last.

    Example:
        >>> joined(["upneck", "item", "3", ":", "asc", ":", "d"], 6)
        (['upneck', 'item', '3:asc:d'], '3:asc:')
    """
    found: list[str] = []
    for before, word in pairwise(["", *words[: place + 1]]):
        if found and SEPARATOR in (before[-1:], word[:1]):
            found[-1] += word
        else:
            found.append(word)
    whole = found[-1] if found else ""
    was_parted = whole not in words[place : place + 1]
    return found, whole[: whole.rfind(SEPARATOR) + 1] if was_parted else ""


@contextmanager
def bash_at_colons() -> Iterator[None]:
    """Complete for a bash that parts words at colons, as it does unless it is told otherwise.

    The words are joined for the program, and what it says begins where bash's last word does.
    """
    words, place = os.environ.get(WORDS, "").split("\n"), os.environ.get(PLACE, "")
    found, before = joined(words, int(place) if place.isdecimal() else 0)
    os.environ |= {WORDS: "\n".join(found), PLACE: str(len(found) - 1)}
    said = io.TextIOWrapper(io.BytesIO())
    try:
        with redirect_stdout(said):
            yield
    finally:
        said.seek(0)
        for line in said:
            sys.stdout.write(line.removeprefix(before))


def _frets(boxes: str) -> list[str]:
    """The frets at which a box or coupling lies on the player's neck."""
    try:
        pattern = parse_pattern(boxes)
    except SchedulerError:
        return []
    if pattern.boxes is None:
        return []
    box, coupling = pattern.boxes
    places = positions(_neck(), box, coupling=coupling, routine=pattern.routine)
    return [str(fret) for fret in places]


def _neck() -> Neck:
    """The player's neck where there is a ledger already; completion never makes one."""
    from scheduler.cli.ledger_file import default_ledger, named_ledger
    from scheduler.ledger.record import Ledger
    from scheduler.ledger.settings_said import setting_changes
    from scheduler.plan.settings import Settings, in_force

    path = named_ledger(None) or default_ledger()
    if not path.is_file():
        return Settings().neck
    try:
        with closing(Ledger(path)) as ledger:
            return in_force(setting_changes(ledger)).settings.neck
    except SchedulerError:
        return Settings().neck
