"""The command `import`: a log, a record or an assignment, for the one whose it is."""

import json
import sys
from contextlib import closing
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.ledger_file import default_ledger, named_ledger
from scheduler.cli.opening import open_practice, players_folder
from scheduler.errors import LogfileError, SchedulerError, StrangerError
from scheduler.ledger.assignment_file import handout_from, is_handout
from scheduler.ledger.players import (
    Player,
    add_player,
    known_ids,
    player_named,
    players_in,
    read_name,
    remove_player,
)
from scheduler.ledger.record import Ledger
from scheduler.ledger.record_file import Told, whose_record
from scheduler.practice.arrivals import as_it_is, news_since
from scheduler.practice.practice import Practice
from scheduler.practice.taking_in import TakenIn, take_file

STANDARD, SKIP = "-", "-"
PROBLEMS_SHOWN = 20


class How(NamedTuple):
    """How something is taken in.

    Attributes:
        dry_run: Whether it is only tried.
        same_player: Whether a record that says another player is this player's all the same.
        yes: Whether nobody is asked.
    """

    dry_run: bool
    same_player: bool
    yes: bool


class Whose(NamedTuple):
    """Whose a record is: a player's, who may be new; with no name, one's own."""

    player: Player | None
    is_new: bool = False


OWN = Whose(None)


class Roster:
    """Who is known here, looked up once."""

    def __init__(self, ctx: typer.Context) -> None:
        self.folder = players_folder(ctx)
        self.players = players_in(self.folder)
        self._by_id = known_ids(self.players)
        self.own_ids, self.is_own_empty = _own()

    def known_as(self, ids: frozenset[str]) -> Player | None:
        """The player whose record bears one of some ids."""
        return next((self._by_id[each] for each in ids if each in self._by_id), None)

    def add(self, player: Player, ids: frozenset[str]) -> None:
        """Know a player from now on."""
        self._by_id |= dict.fromkeys(ids, player)


def _own() -> tuple[set[str], bool]:
    """The ids of one's own record, and whether nothing was played in it."""
    path = default_ledger()
    if not path.is_file():
        return set(), True
    with closing(Ledger(path)) as ledger:
        return set(ledger.player_ids()), ledger.is_empty()


def take(ctx: typer.Context, file: str, how: How) -> None:
    """Take in a file, or the records in a folder.

    Raises:
        LogfileError: The file can't be read, or something in it is wrong.
        StrangerError: Nobody knows whose record it is.
    """
    if file != STANDARD and Path(file).is_dir():
        _take_folder(ctx, Path(file), how)
        return
    text = _text_of(file)
    told = _json(text)
    if isinstance(told, dict) and is_handout(told):
        from scheduler.cli.assign import take as take_assignment

        handout = handout_from(told)
        with open_practice(ctx) as practice:
            take_assignment(practice, handout, dry_run=how.dry_run, yes=how.yes)
        return
    record = whose_record(told)
    is_named = ctx.obj.player or ctx.obj.demo or named_ledger(ctx.obj.ledger)
    if record is not None and ctx.obj.player and not how.same_player:
        _check_whose(ctx, record, file)
    if is_named or record is None:
        _take_into(ctx, file, text, how)
        return
    roster = Roster(ctx)
    whose = _whose(roster, record, file, how, is_alone=True)
    if whose is None:
        typer.echo(f"{file}: left out", err=True)
        return
    _take_for(ctx, whose, file, text, how)


def _take_folder(ctx: typer.Context, folder: Path, how: How) -> None:
    """Take in the records in a folder; what is wrong with one doesn't hinder the others.

    Raises:
        LogfileError: Some weren't taken.
    """
    roster = Roster(ctx)
    paths = sorted(path for path in folder.iterdir() if path.suffix.lower() == ".json")
    if not paths:
        msg = f"{folder} holds no record: upneck export --format json -o FILE writes one"
        raise LogfileError(msg)
    wrong = 0
    for path in paths:
        try:
            _take_record(ctx, roster, path, how)
        except SchedulerError as problem:
            wrong += 1
            typer.echo(f"upneck: {_with_name(path, problem)}", err=True)
    if wrong:
        msg = f"{wrong} of {len(paths)} files in {folder} weren't taken, the others were"
        raise LogfileError(msg)


def _with_name(path: Path, problem: SchedulerError) -> str:
    words = " ".join(str(problem).split())
    return words if str(path) in words else f"{path}: {words}"


def _take_record(ctx: typer.Context, roster: Roster, path: Path, how: How) -> None:
    """Take in one record of a folder."""
    text = _text_of(str(path))
    told = _json(text)
    if is_handout(told):
        typer.echo(f"{path} is an assignment: left out", err=True)
        return
    record = whose_record(told)
    if record is None:
        msg = f"{path} is no record: it is damaged or cut short, or another program's"
        raise LogfileError(msg)
    if not record.player_ids:
        typer.echo(f"{path}: nothing is recorded in it yet", err=True)
        return
    whose = _whose(roster, record, str(path), how, is_alone=False)
    if whose is None:
        typer.echo(f"{path}: left out", err=True)
    else:
        _take_for(ctx, whose, str(path), text, how)
        if whose.player is not None and not how.dry_run:
            roster.add(whose.player, record.player_ids)


def _whose(roster: Roster, record: Told, file: str, how: How, *, is_alone: bool) -> Whose | None:
    """Whose a record is; None where it shall be left out.

    Raises:
        StrangerError: It is of nobody known here, and nobody can be asked.
    """
    ids = record.player_ids
    player = roster.known_as(ids)
    if player is not None:
        return Whose(player)
    if how.same_player or ids & roster.own_ids or not ids:
        return OWN
    is_first = roster.is_own_empty and not roster.players
    name = "" if file == STANDARD else Path(file).stem
    if not how.yes:
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
        if name == SKIP:
            return None
    return _new(roster.folder, name)


def _check_whose(ctx: typer.Context, record: Told, file: str) -> None:
    """Refuse a record that is known to be another's than the player's who was named.

    Raises:
        StrangerError: It is.
    """
    roster, named = Roster(ctx), player_named(players_folder(ctx), ctx.obj.player)
    known = roster.known_as(record.player_ids)
    if known is not None and known != named:
        msg = f"{file} is {known.name}'s record: upneck import {file} takes it in for {known.name}"
        raise StrangerError(msg)
    if known is None and record.player_ids & roster.own_ids:
        msg = f"{file} is your own record, not {named.name}'s: upneck import {file} takes it in"
        raise StrangerError(msg)


def _new(folder: Path, text: str) -> Whose:
    """A new player, or one who was added and has no record yet.

    Raises:
        PlayerError: The name can't be one.
        StrangerError: Somebody with another record has it.
    """
    name = read_name(text)
    alike = [each for each in players_in(folder) if each.name.casefold() == name.casefold()]
    for player in alike:
        with closing(Ledger(player.path)) as ledger:
            if ledger.is_empty() and not ledger.player_ids():
                return Whose(player)
    if alike:
        msg = (
            f"{alike[0].name} has another record here: if both are one player's, upneck --player "
            f'"{alike[0].name}" import FILE --same-player; else give the file another name'
        )
        raise StrangerError(msg)
    return Whose(add_player(folder, name), is_new=True)


def _take_for(ctx: typer.Context, whose: Whose, file: str, text: str, how: How) -> None:
    """Take in a record for the one whose it is, and say what is new."""
    player = whose.player
    if player is None:
        _take_into(ctx, file, text, how)
        return
    is_kept = False
    try:
        with open_practice(ctx, path=player.path) as practice:
            before = as_it_is(practice)
            _take(practice, file, text, how)
            if how.dry_run:
                typer.echo(f"{file} is {player.name}'s")
                return
            is_kept = True
            from scheduler.show.players import news_words

            news, routine = news_since(practice, before), practice.state.routine
            typer.echo(news_words(player.name, news, routine, practice.now.date))
    finally:
        if whose.is_new and not is_kept:
            remove_player(player)


def _take_into(ctx: typer.Context, file: str, text: str, how: How) -> None:
    """Take in a file for the player that was said, and say what was taken, known and refused."""
    with open_practice(ctx) as practice:
        found = _take(practice, file, text, how)
        word = "would be taken" if how.dry_run else "taken"
        typer.echo(f"{found.taken.new} {word}, {found.taken.known} known already, 0 refused")
        if found.beyond_neck:
            typer.echo(
                f"{found.beyond_neck} at places that this neck hasn't: they count on a neck that "
                "has"
            )


def _take(practice: Practice, file: str, text: str, how: How) -> TakenIn:
    found = take_file(practice, text, dry_run=how.dry_run, is_same_player=how.same_player)
    _refuse("standard input" if file == STANDARD else file, found)
    # The belief is built now, with its progress, and not by the next command.
    _ = practice.state
    return found


def _json(text: str) -> object:
    """What JSON says; None where the text is none."""
    if text.lstrip()[:1] != "{":
        return None
    try:
        told: object = json.loads(text)
    except (ValueError, RecursionError):
        return None
    return told


def _text_of(file: str) -> str:
    try:
        data = sys.stdin.buffer.read() if file == STANDARD else Path(file).read_bytes()
        return data.decode("utf-8-sig")
    except OSError as problem:
        msg = f"{file} can't be read: {problem.strerror}"
        raise LogfileError(msg) from problem
    except UnicodeDecodeError as problem:
        hint = ": a ledger is taken in with upneck merge" if data[:6] == b"SQLite" else ""
        msg = f"{file} is not UTF-8 text (byte {problem.start}){hint}"
        raise LogfileError(msg) from problem


def _refuse(file: str, found: TakenIn) -> None:
    if not found.problems:
        return
    for problem in found.problems[:PROBLEMS_SHOWN]:
        typer.echo(f"line {problem.line}: {' '.join(problem.message.split())}", err=True)
    msg = (
        f"{file}: {len(found.problems)} refused, {found.fine} would do: nothing was "
        "taken; mend the lines and import again"
    )
    raise LogfileError(msg)
