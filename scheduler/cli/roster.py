"""Whose record a file holds: one's own, a player's who is known here, or a new player's."""

import sys
from contextlib import closing, suppress
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.ledger_file import default_ledger
from scheduler.errors import LedgerError, StrangerError
from scheduler.ledger.players import Player, known_ids, player_named, players_in, read_name
from scheduler.ledger.record import Ledger
from scheduler.ledger.record_file import Told

STANDARD, SKIP = "-", "-"
YOU = "you"


class Whose(NamedTuple):
    """Whose a record is: a player's, a new player's, or one's own.

    Attributes:
        player: The player; None for a new one or oneself.
        new_name: The name of a new one, or "".
    """

    player: Player | None = None
    new_name: str = ""


OWN = Whose()


class Roster:
    """Who is known here, looked up once.

    Attributes:
        folder: Where the players' ledgers lie.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._own_ids, self._is_own_empty = _own()
        self.look_again()

    def look_again(self) -> None:
        """Look up the players again, after one was made."""
        self._players = players_in(self.folder)
        self._by_id = known_ids(self._players)

    def _known_as(self, record: Told, file: str) -> Player | None:
        """The player whose record bears one of a record's ids.

        Raises:
            StrangerError: Several do.
        """
        ids = record.player_ids
        found = sorted({player for each in ids for player in self._by_id.get(each, ())})
        names = [player.name for player in found] + [YOU] * bool(ids & self._own_ids)
        if len(names) > 1:
            msg = (
                f"{file} is of {' and '.join(names)}, whose records were joined once: upneck "
                f"--player NAME import {file} takes it in for one of them"
            )
            raise StrangerError(msg)
        return found[0] if found else None

    def check(self, record: Told, file: str, name: str) -> None:
        """Refuse a record that is known to be another's than the player's who was named.

        Raises:
            StrangerError: It is.
            PlayerError: There is no such player.
        """
        named, ids = player_named(self.folder, name), record.player_ids
        owners = {player for each in ids for player in self._by_id.get(each, ())}
        if named in owners:
            return
        if owners:
            other = min(owners).name
            msg = f"{file} is {other}'s record: upneck import {file} takes it in for {other}"
            raise StrangerError(msg)
        if ids & self._own_ids:
            msg = f"{file} is your own record, not {named.name}'s: upneck import {file} takes it in"
            raise StrangerError(msg)

    def whose(self, record: Told, file: str, *, yes: bool, is_alone: bool) -> Whose | None:
        """Whose a record is; None where it shall be left out.

        Args:
            record: What the record says of itself.
            file: The file, as it was named.
            yes: Whether nobody is asked: a new player is called as the file.
            is_alone: Whether it is the only file.

        Raises:
            StrangerError: It is of nobody known here and nobody can be asked, or of several.
        """
        player, ids = self._known_as(record, file), record.player_ids
        if player is not None:
            return Whose(player)
        if ids & self._own_ids or not ids:
            return OWN
        is_first = self._is_own_empty and not self._players
        name = "" if file == STANDARD else Path(file).stem
        if yes:
            return self._new(name)
        if not sys.stdin.isatty() or file == STANDARD:
            if is_first and is_alone:
                return OWN
            held = f"{record.passes} passes" if record.passes != 1 else "1 pass"
            msg = (
                f"{file} is a record of player {min(ids)} ({held}), nobody known here: --yes makes "
                "a player called as the file, --same-player says that it is yours"
            )
            raise StrangerError(msg)
        if is_first and typer.confirm(f"{file}: is it your own record?", default=True, err=True):
            return OWN
        question = f"{file} is of nobody known here. The player's name ({SKIP} leaves it out)"
        name = typer.prompt(question, default=name, err=True)
        return None if name == SKIP else self._new(name)

    def _new(self, text: str) -> Whose:
        """A new player, or one who was added and has no record yet.

        Raises:
            PlayerError: The name can't be one.
            StrangerError: Somebody with another record has it.
        """
        name = read_name(text)
        alike = [each for each in self._players if each.name.casefold() == name.casefold()]
        for player in alike:
            with closing(Ledger(player.path)) as ledger:
                if ledger.is_empty() and not ledger.player_ids():
                    return Whose(player)
        if alike:
            msg = (
                f"{alike[0].name} has another record here: if both are one player's, upneck "
                f'--player "{alike[0].name}" import FILE --same-player joins them; else give the '
                "file another name"
            )
            raise StrangerError(msg)
        return Whose(new_name=name)


def _own() -> tuple[set[str], bool]:
    """The ids of one's own record, and whether nothing was played in it.

    A ledger that can't be read hinders nobody else's record.
    """
    path = default_ledger()
    with suppress(LedgerError):
        if path.is_file():
            with closing(Ledger(path)) as ledger:
                return set(ledger.player_ids()), ledger.is_empty()
        return set(), True
    return set(), False
