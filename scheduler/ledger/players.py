"""Players beside each other: each has a ledger of its own, in one folder.

A ledger's file bears its player's name. Where another name differs from it in capitals only, or a
system keeps the name for itself, `~` and a number follow: on some systems such names are one file.
"""

import shutil
import sqlite3
import unicodedata
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from scheduler.errors import LedgerError, PlayerError
from scheduler.guitar.patterns import nearest
from scheduler.ledger.damage import ledger_error
from scheduler.ledger.opening import open_file
from scheduler.ledger.record import Ledger

LONGEST_NAME = 40
MARKS = " -'.,&()"
"""What a name may hold beside letters, their accents and digits: nothing that parts a path."""

SUFFIX, TWIN = ".db", "~"
LOCK, ASIDE, WAIT_SECONDS = ".making", ".new-", 60.0
OWNER_ONLY_FOLDER = 0o700
KEPT_BY_SYSTEMS = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt")
                                                 for n in range(10))}  # fmt: skip


class Player(NamedTuple):
    """A player with a ledger in the folder."""

    name: str
    path: Path


def read_name(text: str) -> str:
    """Read a player's name: composed letters, single blanks.

    Raises:
        PlayerError: It holds what no file's name should.

    Example:
        >>> read_name("  Jorun   Ask ")
        'Jorun Ask'
    """
    name = " ".join(unicodedata.normalize("NFC", text).split())
    if not _is_name(name):
        msg = (
            f"a player's name has up to {LONGEST_NAME} letters, digits, blanks and "
            f"{MARKS.strip()}, and begins with a letter or digit, not {text[: LONGEST_NAME + 10]!r}"
        )
        raise PlayerError(msg)
    return name


def _is_name(name: str) -> bool:
    fits = all(_is_of_names(mark) for mark in name) and name[:1].isalnum()
    return fits and len(name) <= LONGEST_NAME


def _is_of_names(mark: str) -> bool:
    return mark.isalnum() or mark in MARKS or unicodedata.category(mark) in {"Mn", "Mc"}


def players_in(folder: Path) -> list[Player]:
    """All players of a folder, by name; a file whose name is no player's is left alone.

    Raises:
        LedgerError: The folder can't be read.
    """
    try:
        # `glob` would say nothing of a folder that can't be read.
        files = list(folder.iterdir()) if folder.is_dir() else []
        paths = [path for path in files if path.name.endswith(SUFFIX)]
        paths.sort(key=lambda path: (path.is_symlink(), path))
    except OSError as problem:
        raise ledger_error(folder, problem) from problem
    found: dict[str, Path] = {}
    resolved: set[Path] = set()
    for path in paths:
        name = unicodedata.normalize("NFC", path.name.removesuffix(SUFFIX).partition(TWIN)[0])
        if _is_name(name) and path.resolve() not in resolved:
            resolved.add(path.resolve())
            found.setdefault(name, path)
    return [Player(name, found[name]) for name in sorted(found, key=lambda n: (n.casefold(), n))]


def player_named(folder: Path, text: str) -> Player:
    """A player by name; capitals don't matter where only one is called so.

    Raises:
        PlayerError: There is none, or several are called so but for capitals.
    """
    name, known = read_name(text), players_in(folder)
    alike = [player for player in known if player.name.casefold() == name.casefold()]
    exact = [player for player in alike if player.name == name]
    if exact or len(alike) == 1:
        return (exact or alike)[0]
    if alike:
        names = " or ".join(player.name for player in alike)
        msg = f"{name} may be {names}: write it with its capitals"
        raise PlayerError(msg)
    by_fold = {player.name.casefold(): player.name for player in known}
    hint = nearest(name.casefold(), list(by_fold))
    if hint:
        near = hint.removeprefix("; did you mean ").removesuffix("?")
        hint = f"; did you mean {by_fold[near]}?"
    msg = f'no player {name!r}: upneck players --add "{name}" makes one{hint}'
    raise PlayerError(msg)


def add_player(folder: Path, text: str) -> Player:
    """Make the empty ledger of a new player.

    Raises:
        PlayerError: The name can't be one, or is taken.
        LedgerError: The file can't be made.
    """
    with new_player(folder, text) as player:
        return player


@contextmanager
def new_player(folder: Path, text: str, *, keep: bool = True) -> Iterator[Player]:
    """The ledger of a new player, out of sight; it is put in its place when all went well.

    Nobody else makes a player of the same folder meanwhile.

    Args:
        folder: The folder.
        text: The name.
        keep: Whether the ledger is put in its place at all.

    Raises:
        PlayerError: The name can't be one, or is taken.
        LedgerError: A file can't be made.
    """
    name = read_name(text)
    with _one_at_a_time(folder) as aside:
        if name in {player.name for player in players_in(folder)}:
            msg = f"the name {name} is taken: add something, such as a surname's first letter"
            raise PlayerError(msg)
        path = folder / _free_file(folder, name)
        beside = Player(name, aside / path.name)
        open_file(beside.path).close()
        yield beside
        if keep:
            try:
                beside.path.rename(path)
            except OSError as problem:
                raise ledger_error(path, problem) from problem


@contextmanager
def _one_at_a_time(folder: Path) -> Iterator[Path]:
    """A folder aside, while no other program makes a player; SQLite's lock goes with its process.

    What a program that was killed had left aside is removed.
    """
    try:
        folder.mkdir(mode=OWNER_ONLY_FOLDER, parents=True, exist_ok=True)
        lock = sqlite3.connect(folder / LOCK, timeout=WAIT_SECONDS)
        lock.execute("BEGIN EXCLUSIVE")
        for left_over in folder.glob(f"{ASIDE}*"):
            shutil.rmtree(left_over, ignore_errors=True)
        aside = TemporaryDirectory(dir=folder, prefix=ASIDE, ignore_cleanup_errors=True)
    except (OSError, sqlite3.Error) as problem:
        raise ledger_error(folder, problem) from problem
    with closing(lock), aside as name:
        yield Path(name)


def _free_file(folder: Path, name: str) -> str:
    """A file's name that is no other's on any system."""
    taken = {path.name.casefold() for path in folder.iterdir()}
    number, stem = 1, name
    while _is_kept(stem) or f"{stem}{SUFFIX}".casefold() in taken:
        number += 1
        stem = f"{name}{TWIN}{number}"
    return f"{stem}{SUFFIX}"


def _is_kept(stem: str) -> bool:
    """Whether some system keeps a name for itself, whatever stands behind a dot."""
    return unicodedata.normalize("NFKC", stem).casefold().partition(".")[0] in KEPT_BY_SYSTEMS


@dataclass(frozen=True, slots=True)
class Known:
    """Who is known on this machine.

    Attributes:
        players: The players.
        by_id: Players by the ids under which records know them.
        own_ids: The ids of one's own record.
        is_own_empty: Whether nothing was played in it.
    """

    players: tuple[Player, ...]
    by_id: Mapping[str, frozenset[Player]]
    own_ids: frozenset[str]
    is_own_empty: bool

    def after(self, player: Player) -> "Known":
        """Who is known after something was taken in for a player, who may be new."""
        by_id = dict(self.by_id)
        for each in _ids_of(player.path):
            by_id[each] = by_id.get(each, frozenset()) | {player}
        players = self.players if player in self.players else (*self.players, player)
        return replace(self, players=players, by_id=by_id)

    def after_own(self, own: Path) -> "Known":
        """Who is known after something was taken in for oneself."""
        ids, is_empty = _own(own)
        return replace(self, own_ids=ids, is_own_empty=is_empty)


def known_in(folder: Path, own: Path) -> Known:
    """Who is known on this machine; a ledger that can't be read has no ids.

    Args:
        folder: Where the players' ledgers lie.
        own: One's own ledger, which needn't be there.

    Raises:
        LedgerError: The folder can't be read.
    """
    ids, is_empty = _own(own)
    known = Known((), {}, ids, is_empty)
    for player in players_in(folder):
        known = known.after(player)
    return known


def _ids_of(path: Path) -> frozenset[str]:
    """The ids under which records know a ledger's player; none where it can't be read."""
    try:
        with closing(Ledger(path)) as ledger:
            return frozenset(ledger.player_ids())
    except LedgerError:
        return frozenset()


def _own(path: Path) -> tuple[frozenset[str], bool]:
    """The ids of one's own record, and whether nothing was played in it."""
    if not path.is_file():
        return frozenset(), True
    try:
        with closing(Ledger(path)) as ledger:
            return frozenset(ledger.player_ids()), ledger.is_empty()
    except LedgerError:
        return frozenset(), False


def has_record(player: Player) -> bool:
    """Whether a player's ledger holds anything of somebody.

    Raises:
        LedgerError: The ledger can't be read.
    """
    with closing(Ledger(player.path)) as ledger:
        return not ledger.is_empty() or bool(ledger.player_ids())
