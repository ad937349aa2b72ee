"""The command `players`: all of them, one beside the others, a week in sentences, a new one."""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.clock import now
from scheduler.cli.opening import players_folder, with_bar
from scheduler.cli.options import read_page
from scheduler.cli.telling import tell
from scheduler.errors import LedgerError, UsageError
from scheduler.ledger.kept_looks import Kept
from scheduler.ledger.players import Player, add_player, player_named, players_in
from scheduler.practice.attention import Why
from scheduler.practice.look_dict import Plain, look_to_dict
from scheduler.practice.players import Beside, Seen, beside_class, looks_at, who_first
from scheduler.show.players import Line

WAITING = "looking at everybody"
WORTH_HELP = 8
"""For so many looks it pays to start other processes (measured)."""


class Wanted(NamedTuple):
    """What is asked for.

    Attributes:
        name: One player, beside the others.
        add: The name of a new one.
        as_json: Whether JSON is told.
        week: Whether a week is told in sentences.
        output: The file that pictures are drawn into.
        force: Whether a file that is there may be written over.
    """

    name: str | None
    add: str | None
    as_json: bool
    week: bool
    output: str | None
    force: bool

    @property
    def is_told(self) -> bool:
        """Whether anything beside a name was asked for."""
        return self.week or self.as_json or self.output is not None


def players(ctx: typer.Context, wanted: Wanted) -> None:
    """Show all players, one beside the others, or make a new one.

    Raises:
        UsageError: What was said doesn't go together.
        PlayerError: There is none of that name, or the new one can't be called so.
        LedgerError: A ledger can't be read; the others are shown.
    """
    if ctx.obj.player is not None or ctx.obj.ledger is not None:
        msg = "players shows all of them: name one behind it, without --player or --ledger"
        raise UsageError(msg)
    if wanted.add is not None and (wanted.name is not None or wanted.is_told):
        msg = "players --add NAME goes with nothing else"
        raise UsageError(msg)
    if wanted.week and wanted.as_json:
        msg = "--week or --json: the JSON holds the sentences, too"
        raise UsageError(msg)
    if wanted.output is not None and (wanted.name is not None or wanted.week):
        msg = "players -o draws all of them: upneck --player NAME report -o FILE draws one"
        raise UsageError(msg)
    if wanted.add is not None and ctx.obj.demo:
        msg = "the demo's class is invented: players --add without --demo makes a player of yours"
        raise UsageError(msg)
    folder = players_folder(ctx)
    if wanted.add is not None:
        player = add_player(folder, wanted.add)
        tell(f'{player.name} is a player now: upneck --player "{player.name}" today')
        return
    _show_class(folder, wanted)


def _show_class(folder: Path, wanted: Wanted) -> None:
    known = players_in(folder)
    one = None if wanted.name is None else player_named(folder, wanted.name)
    seen = looks_at(known, now(), _work)
    problems = [each for each in seen if each.look is None]
    if one is not None:
        problems = [each for each in problems if each.name == one.name]
    if not problems or one is None:
        _show(seen, one, wanted)
    if problems:
        for each in problems[:-1]:
            tell(f"upneck: {each.name}: {each.problem}", err=True)
        msg = f"{problems[-1].name}: {problems[-1].problem}"
        raise LedgerError(msg)


def _show(seen: Sequence[Seen], one: Player | None, wanted: Wanted) -> None:
    from scheduler.show.terminal import console

    lines = [line for line in who_first(seen) if one is None or line[0] == one.name]
    if wanted.output is not None:
        problems = [f"{each.name}: {each.problem}" for each in seen if each.look is None]
        _draw(lines, problems, wanted.output, force=wanted.force)
    if wanted.as_json:
        from scheduler.show.as_json import as_text

        told = [_json(line, _beside(seen, line) if one else []) for line in lines]
        typer.echo(as_text(told[0] if one else {"players": told}))
        return
    if wanted.output is not None:
        return
    screen = console()
    if wanted.week:
        from scheduler.show.players import week_sentences

        # In a pipe each player is one line: whoever sends it wraps it.
        for name, look, _ in lines:
            screen.print(week_sentences(name, look), soft_wrap=not screen.is_terminal)
    elif one is not None:
        from scheduler.show.beside_class import player_screen

        screen.print(player_screen(lines[0], _beside(seen, lines[0]), screen.width))
    elif lines:
        from scheduler.show.players import players_screen

        screen.print(players_screen(lines, screen.width))
    elif not seen:
        from scheduler.show.players import NO_PLAYERS

        screen.print(NO_PLAYERS)


def _draw(lines: Sequence[Line], problems: Sequence[str], output: str, *, force: bool) -> None:
    """Draw the class into a file."""
    from scheduler.ledger.files import write_whole
    from scheduler.show.report.players import players_page

    path = read_page(output)
    write_whole(path, players_page(lines, now().date, problems).encode(), force=force)
    tell(f"wrote {output}: open or print it in a browser", err=True)


def _beside(seen: Sequence[Seen], line: Line) -> list[Beside]:
    """The places of a player beside those of the others."""
    others = [each.look for each in seen if each.look is not None and each.name != line[0]]
    return beside_class(line[1], others)


def _json(line: Line, places: Sequence[Beside]) -> Plain:
    """One player, with the places beside the class where these are given."""
    from scheduler.show.players import reason_words, week_sentences

    name, look, found = line
    told: Plain = {
        "name": name,
        "why": found.why.name.lower(),
        "reason": reason_words(look, found),
        "not_heard_of": found.why is Why.AWAY,
        **look_to_dict(look),
        "sentences": week_sentences(name, look),
    }
    if places:
        told["beside_class"] = [
            {
                "box": each.place.box,
                "direction": each.place.direction,
                "others": each.others,
                "weak_for": each.weak_for,
                "weak_for_most": each.is_weak_for_most,
                "weak_for_one": each.is_weak_for_one,
                "others_seconds": each.seconds,
                "others_clean_share": each.share,
            }
            for each in places
        ]
    return told


def _work(look: Callable[[Player], Kept | str], players: Sequence[Player]) -> list[Kept | str]:
    """Looks worked out; where there are many, several at once and with a progress bar."""
    number, cores = len(players), os.cpu_count() or 1
    if number < WORTH_HELP:
        return list(map(look, players))
    if cores == 1:
        return list(with_bar(map(look, players), number, WAITING))
    with ProcessPoolExecutor(min(cores, number)) as pool:
        return list(with_bar(pool.map(look, players, chunksize=2), number, WAITING))
