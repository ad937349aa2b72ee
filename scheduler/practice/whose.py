"""Whose record a file holds: one's own, a player's who is known, or a stranger's."""

from enum import Enum, auto

from scheduler.errors import StrangerError
from scheduler.ledger.players import Known, Player, has_record, read_name
from scheduler.ledger.record_file import Origin


class NoPlayer(Enum):
    """Whose a record is that is no known player's."""

    ONESELF = auto()
    STRANGER = auto()
    FIRST = auto()
    """A stranger's, where nobody is known here and one's own record is empty."""


def _owners(origin: Origin, known: Known) -> list[Player]:
    return sorted({each for one in origin.player_ids for each in known.by_id.get(one, ())})


def whose(origin: Origin, known: Known, file: str, *, is_alone: bool) -> Player | NoPlayer:
    """Whose a record is.

    Args:
        origin: What it says of itself.
        known: Who is known here.
        file: How it is called.
        is_alone: Whether it is the only file; one of several is never guessed to be one's own.

    Raises:
        StrangerError: It is of several, or says nothing of whose it is where several are known.
    """
    owners, is_own = _owners(origin, known), bool(origin.player_ids & known.own_ids)
    names = [player.name for player in owners] + ["you"] * is_own
    if len(names) > 1:
        msg = (
            f"{file} is of {' and '.join(names)}, whose records were joined once: upneck --player "
            f"NAME import {file} takes it in for one of them"
        )
        raise StrangerError(msg)
    if owners:
        return owners[0]
    if not origin.player_ids and origin.passes and (known.players or not is_alone):
        msg = (
            f"{file} doesn't say whose it is: upneck --player NAME import {file} takes it in for "
            "one, --same-player for you"
        )
        raise StrangerError(msg)
    if is_own or not origin.player_ids:
        return NoPlayer.ONESELF
    is_first = is_alone and known.is_own_empty and not known.players
    return NoPlayer.FIRST if is_first else NoPlayer.STRANGER


def check_named(
    origin: Origin, known: Known, named: Player | None, file: str, command: str = "import"
) -> None:
    """Refuse a record that is known to be another's than the player's for whom it is taken in.

    Args:
        origin: What it says of itself.
        known: Who is known here.
        named: The player who was named; None for oneself.
        file: How it is called.
        command: The command that takes it in.

    Raises:
        StrangerError: It is another's.
    """
    owners = _owners(origin, known)
    if named in owners:
        return
    is_own = bool(origin.player_ids & known.own_ids)
    if owners and not (named is None and is_own):
        other = owners[0].name
        way = f'upneck --player "{other}" {command} {file}'
        msg = f"{file} is {other}'s record: {way} takes it in for {other}"
        raise StrangerError(msg)
    if named is not None and is_own:
        msg = f"{file} is your own record, not {named.name}'s: upneck {command} {file} takes it in"
        raise StrangerError(msg)


def player_to_be(text: str, known: Known) -> Player | str:
    """For whom a stranger's record is taken in: one who has no record yet, or a new name.

    Raises:
        PlayerError: The name can't be one.
        StrangerError: Somebody with another record has it.
        LedgerError: A ledger can't be read.
    """
    name = read_name(text)
    alike = [each for each in known.players if each.name.casefold() == name.casefold()]
    waiting = [player for player in alike if not has_record(player)]
    if waiting:
        return waiting[0]
    if alike:
        msg = (
            f"{alike[0].name} has another record here: if both are one player's, upneck --player "
            f'"{alike[0].name}" import FILE --same-player joins them; else give the file another '
            "name"
        )
        raise StrangerError(msg)
    return name
