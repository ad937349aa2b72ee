"""The command `import`: a log, a record or an assignment, for the one whose it is."""

import json
import sys
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.ledger_file import named_ledger
from scheduler.cli.opening import open_practice, players_folder
from scheduler.cli.roster import STANDARD, Roster, Whose
from scheduler.errors import LogfileError, SchedulerError, StrangerError, UsageError
from scheduler.ledger.assignment_file import handout_from, is_handout
from scheduler.ledger.players import Player, known_ids, new_player, players_in
from scheduler.ledger.record_file import Told, whose_record
from scheduler.practice.arrivals import as_it_is, news_since
from scheduler.practice.practice import Practice
from scheduler.practice.taking_in import TakenIn, take_file

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


class Source(NamedTuple):
    """A record that is to be taken in.

    Attributes:
        file: The file, as it was named.
        text: What it holds.
        record: What it says of itself.
    """

    file: str
    text: str
    record: Told


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
        Roster(players_folder(ctx)).check(record, file, ctx.obj.player)
    if is_named or record is None or how.same_player:
        _take_into(ctx, file, text, how)
        return
    roster = Roster(players_folder(ctx))
    whose = roster.whose(record, file, yes=how.yes, is_alone=True)
    _take_for(ctx, roster, whose, Source(file, text, record), how)


def _take_folder(ctx: typer.Context, folder: Path, how: How) -> None:
    """Take in the records in a folder; what is wrong with one doesn't hinder the others.

    Raises:
        UsageError: One player was named.
        LogfileError: Some weren't taken.
    """
    if how.same_player or ctx.obj.player or ctx.obj.ledger:
        msg = f"{folder} is a folder: --same-player, --player and --ledger go with one file"
        raise UsageError(msg)
    roster = Roster(players_folder(ctx))
    found = (path for path in folder.iterdir() if path.suffix.lower() == ".json")
    paths = sorted(path for path in found if path.is_file())
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
    if not record.player_ids and record.passes:
        msg = f"{path} says no player: upneck --player NAME import {path} takes it for one"
        raise StrangerError(msg)
    if not record.player_ids:
        typer.echo(f"{path}: nothing is recorded in it yet", err=True)
        return
    whose = roster.whose(record, str(path), yes=how.yes, is_alone=False)
    _take_for(ctx, roster, whose, Source(str(path), text, record), how)


def _take_for(
    ctx: typer.Context, roster: Roster, whose: Whose | None, source: Source, how: How
) -> None:
    """Take in a record for the one whose it is, and say what is new."""
    file = source.file
    if whose is None:
        typer.echo(f"{file}: left out", err=True)
    elif whose.new_name:
        with new_player(roster.folder, whose.new_name, keep=not how.dry_run) as player:
            # Another program may have taken it in while the name was asked.
            if known_ids(players_in(roster.folder)).keys() & source.record.player_ids:
                msg = f"{file} was taken in by another program just now: import it again"
                raise StrangerError(msg)
            news = _take_and_tell(ctx, player, source, how)
        roster.look_again()
        typer.echo(news)
    elif whose.player is not None:
        typer.echo(_take_and_tell(ctx, whose.player, source, how))
    else:
        _take_into(ctx, file, source.text, how)


def _take_and_tell(ctx: typer.Context, player: Player, source: Source, how: How) -> str:
    """Take in a record for a player; the line that says what is new."""
    with open_practice(ctx, path=player.path) as practice:
        before = as_it_is(practice)
        _take(practice, source.file, source.text, how)
        if how.dry_run:
            return f"{source.file} would be taken in for {player.name}"
        from scheduler.show.players import news_words

        news, routine = news_since(practice, before), practice.state.routine
        return news_words(player.name, news, routine, practice.now.date)


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
