"""The command `import`: a log, a record or an assignment, for the one whose it is."""

import json
import sys
from pathlib import Path
from typing import NamedTuple

import typer

from scheduler.cli.opening import open_practice, own_ledger, players_folder
from scheduler.cli.options import STANDARD
from scheduler.cli.telling import tell, wrapped
from scheduler.errors import (
    LogfileError,
    PlayerError,
    SchedulerError,
    StrangerError,
    UsageError,
)
from scheduler.ledger.assignment_file import handout_from, is_handout
from scheduler.ledger.players import Known, Player, known_in, new_player, player_named
from scheduler.ledger.record_file import Origin, origin_of
from scheduler.practice.arrivals import as_it_is, news_since
from scheduler.practice.practice import Practice
from scheduler.practice.taking_in import TakenIn, take_file
from scheduler.practice.whose import NoPlayer, check_named, player_to_be, whose

SKIP = "-"
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
        origin: What it says of whose it is.
    """

    file: str
    text: str
    origin: Origin


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
    origin, said = origin_of(told), ctx.obj
    if origin is None or how.same_player or said.demo or said.ledger:
        _take_into(ctx, file, text, how)
        return
    known = known_in(players_folder(ctx), own_ledger(ctx))
    if said.player:
        check_named(origin, known, player_named(players_folder(ctx), said.player), file)
        _take_into(ctx, file, text, how)
    else:
        _take_for(ctx, known, Source(file, text, origin), how, is_alone=True)


def _take_folder(ctx: typer.Context, folder: Path, how: How) -> None:
    """Take in the records in a folder; what is wrong with one doesn't hinder the others.

    Raises:
        UsageError: One player was named, or the demo's.
        LogfileError: Some weren't taken.
    """
    if how.same_player or ctx.obj.demo or ctx.obj.player or ctx.obj.ledger:
        msg = f"{folder} is a folder: --same-player, --player, --ledger and --demo go with one file"
        raise UsageError(msg)
    known = known_in(players_folder(ctx), own_ledger(ctx))
    found = (path for path in folder.iterdir() if path.suffix.lower() == ".json")
    paths = sorted(path for path in found if path.is_file())
    if not paths:
        msg = f"{folder} holds no record: upneck export --format json -o FILE writes one"
        raise LogfileError(msg)
    wrong = 0
    for path in paths:
        try:
            known = _take_record(ctx, known, path, how)
        except SchedulerError as problem:
            wrong += 1
            tell(f"upneck: {_with_name(path, problem)}", err=True)
    if wrong:
        msg = f"{wrong} of {len(paths)} files in {folder} couldn't be taken in"
        raise LogfileError(msg)


def _with_name(path: Path, problem: SchedulerError) -> str:
    words = " ".join(str(problem).split())
    return words if str(path) in words else f"{path}: {words}"


def _take_record(ctx: typer.Context, known: Known, path: Path, how: How) -> Known:
    """Take in one record of a folder; who is known after it."""
    text = _text_of(str(path))
    told = _json(text)
    if is_handout(told):
        tell(f"{path} is an assignment: left out", err=True)
        return known
    origin = origin_of(told)
    if origin is None:
        msg = f"{path} is no record: it is damaged or cut short, or another program's"
        raise LogfileError(msg)
    if not origin.player_ids and not origin.passes:
        tell(f"{path}: nothing is recorded in it yet", err=True)
        return known
    return _take_for(ctx, known, Source(str(path), text, origin), how, is_alone=False)


def _take_for(
    ctx: typer.Context, known: Known, source: Source, how: How, *, is_alone: bool
) -> Known:
    """Take in a record for the one whose it is, and say what is new; who is known after it."""
    found: Player | NoPlayer | str | None = whose(
        source.origin, known, source.file, is_alone=is_alone
    )
    if found is NoPlayer.STRANGER or found is NoPlayer.FIRST:
        found = _ask(known, source, how, is_first=found is NoPlayer.FIRST)
    if found is None:
        tell(f"{source.file}: left out", err=True)
        return known
    if isinstance(found, str):
        return _take_for_new(ctx, known, source, how, found)
    if isinstance(found, Player):
        tell(_take_and_tell(ctx, found, source, how))
        return known.after(found)
    _take_into(ctx, source.file, source.text, how)
    return known.after_own(own_ledger(ctx))


def _take_for_new(ctx: typer.Context, known: Known, source: Source, how: How, name: str) -> Known:
    folder, own = players_folder(ctx), own_ledger(ctx)
    with new_player(folder, name, keep=not how.dry_run) as player:
        # Another program may have taken it in meanwhile.
        if known_in(folder, own).by_id.keys() & source.origin.player_ids:
            msg = f"{source.file} was taken in by another program just now: import it again"
            raise StrangerError(msg)
        news = _take_and_tell(ctx, player, source, how)
    tell(news)
    return known if how.dry_run else known.after(player_named(folder, name))


def _ask(
    known: Known, source: Source, how: How, *, is_first: bool
) -> Player | NoPlayer | str | None:
    """For whom a stranger's record is taken in: a player, oneself, a new name; None: nobody.

    Raises:
        StrangerError: Nobody can be asked.
    """
    file, origin = source.file, source.origin
    if is_first and file == STANDARD:
        return NoPlayer.ONESELF
    if file == STANDARD:
        msg = (
            "what comes in is of nobody known here: upneck --player NAME import - says whose it is"
        )
        raise StrangerError(msg)
    name = Path(file).stem
    if how.yes:
        return player_to_be(name, known)
    if not sys.stdin.isatty():
        if is_first:
            return NoPlayer.ONESELF
        held = f"{origin.passes} passes" if origin.passes != 1 else "1 pass"
        msg = (
            f"{file} is a record of player {min(origin.player_ids)} ({held}), nobody known here: "
            "--yes makes a player called as the file, --same-player says that it is yours"
        )
        raise StrangerError(msg)
    if is_first and typer.confirm(
        wrapped(f"{file}: is it your own record?"), default=True, err=True
    ):
        return NoPlayer.ONESELF
    question = f"{file} is of nobody known here. The player's name ({SKIP} leaves it out)"
    while True:
        answer = typer.prompt(question, default=name, err=True)
        if answer == SKIP:
            return None
        try:
            return player_to_be(answer, known)
        except (PlayerError, StrangerError) as problem:
            tell(f"upneck: {problem}", err=True)


def _take_and_tell(ctx: typer.Context, player: Player, source: Source, how: How) -> str:
    """Take in a record for a player; the line that says what is new."""
    with open_practice(ctx, path=player.path) as practice:
        before = as_it_is(practice)
        found = _take(practice, source.file, source.text, how)
        if how.dry_run:
            new, known = found.taken
            would = f"{new} would be imported, {known} already there"
            return f"{source.file} is for {player.name}: {would}"
        from scheduler.show.players import news_words

        news, routine = news_since(practice, before), practice.state.routine
        return news_words(player.name, news, routine, practice.now.date)


def _take_into(ctx: typer.Context, file: str, text: str, how: How) -> None:
    """Take in a file for the player that was said, and say what was taken, known and refused."""
    with open_practice(ctx) as practice:
        found = _take(practice, file, text, how)
        word = "would be imported" if how.dry_run else "imported"
        tell(f"{found.taken.new} {word}, {found.taken.known} already there")
        if found.beyond_neck:
            tell(
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
        tell(f"line {problem.line}: {' '.join(problem.message.split())}", err=True)
    from scheduler.show.words import count

    wrong = count(len(found.problems), "line is", "lines are")
    msg = (
        f"{file}: {wrong} wrong, {found.fine} right; nothing was taken: correct it and import again"
    )
    raise LogfileError(msg)
