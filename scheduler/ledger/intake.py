"""What comes from elsewhere: checked, since nothing that is taken in is ever changed.

All of it is taken or nothing, as one act.
"""

import sqlite3
from collections.abc import Callable, Collection, Sequence
from functools import cache
from typing import NamedTuple

from scheduler.errors import LedgerError, RoutineError, SchedulerError, SettingError
from scheduler.guitar.definitions import from_words, in_words
from scheduler.guitar.neck import FEWEST_STRINGS, MOST_STRINGS
from scheduler.guitar.patterns import parse_address, parse_pattern
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.ledger.amendments import standing_among
from scheduler.ledger.damage import DAMAGE, ledger_error
from scheduler.ledger.definitions import (
    check_one_each,
    definitions_told,
    routines_named,
    routines_named_in,
)
from scheduler.ledger.doing import doing
from scheduler.ledger.events import TOOK, routine_of, unix_ms_of
from scheduler.ledger.events_table import Row
from scheduler.ledger.logfile import Problem
from scheduler.ledger.record import Ledger
from scheduler.ledger.record_file import UUID_7
from scheduler.plan.settings import (
    FLOOR_OF,
    OF_ROUTINE,
    format_setting,
    in_present_words,
    reader_of,
)
from scheduler.plan.values import parse_minutes
from scheduler.player.moments import FIRST_MS, FIRST_YEAR, MS_PER_DAY, Moment

LONGEST_AHEAD_MS = MS_PER_DAY
"""Another machine's clock may be ahead of this one's by so much (our choice)."""

LONGEST_NAME = 40
"""The ledger's own limit for the name of a setting."""


@cache
def _numbers_of_notes(routine: Routine, *, coupling: bool) -> frozenset[int]:
    """How many notes an item has on the necks that there are."""
    strings = range(FEWEST_STRINGS, MOST_STRINGS + 1)
    return frozenset(routine.notes_in(number, coupling=coupling) for number in strings)


class Taken(NamedTuple):
    """How many events were new, or brought again, and how many known."""

    new: int
    known: int


def problems_of_rows(
    rows: Sequence[Row], now: Moment, first_line: int = 1, routines: Routines = INSIDE
) -> list[Problem]:
    """What is wrong with events: ids and times that no clock gives, values that can't be read.

    Args:
        rows: The events.
        now: The time here.
        first_line: The line of the first one.
        routines: The routines that the player here has.
    """
    latest = now.utc_ms + LONGEST_AHEAD_MS
    corrected = _corrected(rows, latest)
    sloppy = {row["id"]: not row["clean"] for row in rows if row["kind"] == "pass"}
    known = definitions_told(rows).beside(routines)
    found = []
    for line, row in enumerate(rows, start=first_line):
        try:
            _check_time(row, latest, corrected)
            _check_values(row, known)
            if row["kind"] == "fault" and not sloppy.get(row["target"], True):
                msg = f"a fault is of a sloppy pass, and {row['target']} was clean"
                raise ValueError(msg)
        except (SchedulerError, ValueError) as problem:
            found.append(Problem(line, str(problem)))
    return found


def _corrected(rows: Sequence[Row], latest_ms: int) -> set[str]:
    """The events whose times a correction that stands has set right."""
    stands = standing_among(rows)
    return {
        row["target"]
        for row in rows
        if row["kind"] == "correction" and row["moved_ms"] <= latest_ms and stands(row)
    }


def _check_time(row: Row, latest_ms: int, corrected: set[str]) -> None:
    for name in ("id", "entry"):
        event_id = row[name]
        if not UUID_7.fullmatch(event_id):
            msg = f"{name} is no id (a UUID of version 7): {event_id!r}"
            raise ValueError(msg)
        if unix_ms_of(event_id) > latest_ms and event_id not in corrected:
            msg = f"the {name} {event_id} is of a time more than a day ahead of the clock here"
            raise ValueError(msg)
    if row["at_ms"] > latest_ms and row["id"] not in corrected:
        msg = f"event {row['id']} lies more than a day ahead of the clock here"
        raise ValueError(msg)
    if row.get("moved_ms", 0) > latest_ms and row["target"] not in corrected:
        msg = f"event {row['target']} is moved to more than a day ahead of the clock here"
        raise ValueError(msg)


def _check_values(row: Row, routines: Routines) -> None:
    """Check what the file's own rules can't: settings, items of rounds, notes, years."""
    match row["kind"]:
        case "setting":
            _check_setting(row, routines)
        case "round":
            for word in row["items"].split():
                parse_address(word, routines)
            routine_of(row["routine"], routines)
        case "correction":
            if row["moved_ms"] < FIRST_MS:
                msg = f"event {row['target']} is moved to before {FIRST_YEAR}"
                raise ValueError(msg)
        case "pass":
            routine = routine_of(row["routine"], routines)
            if row["notes"] not in _numbers_of_notes(routine, coupling=bool(row["coupling"])):
                msg = f"no neck has an item of {row['notes']} notes there"
                raise ValueError(msg)


def _check_setting(row: Row, routines: Routines) -> None:
    if len(row["name"]) > LONGEST_NAME:
        msg = f"no setting has so long a name: {row['name'][:LONGEST_NAME]!r}..."
        raise SettingError(msg)
    if row["name"].startswith(OF_ROUTINE):
        _check_definition(row["name"].removeprefix(OF_ROUTINE), row["value"])
        return
    name, value = in_present_words(row["name"], row["value"])
    read = parse_minutes if name == TOOK else reader_of(name)
    written = value if read is None else format_setting(read(value))
    if written != value:
        msg = f"the setting {name} is written {written!r}, not {value!r}"
        raise SettingError(msg)
    if name == "assigned":
        for place in value.split():
            parse_pattern(place, routines)
    if name == "routine" or name.startswith(FLOOR_OF):
        routine_of(value if name == "routine" else name.removeprefix(FLOOR_OF), routines)


def _check_definition(name: str, words: str) -> None:
    written = in_words(from_words(name, words))
    if written != words:
        msg = f"the routine {name} is written {written!r}, not {words[:60]!r}"
        raise RoutineError(msg)


def check_player(ledger: Ledger, rows: Sequence[Row], *, is_same: bool) -> None:
    """Refuse another player's record.

    A ledger in which nothing was played yet takes anybody's, and becomes that player's.

    Args:
        ledger: The ledger.
        rows: The events of the record.
        is_same: Whether it was said that both are one player's.

    Raises:
        LedgerError: It is another player's, or says no player.
    """
    theirs = {row["id"] for row in rows if row["kind"] == "player"}
    if is_same or not rows or theirs & set(ledger.player_ids()) or ledger.is_empty():
        return
    passes = sum(row["kind"] == "pass" for row in rows)
    held = f"{passes} passes" if passes != 1 else "1 pass"
    who = f"of player {min(theirs)}" if theirs else "that says no player"
    msg = f"it is a record {who} ({held}), not of this ledger's: --same-player if both are yours"
    raise LedgerError(msg)


class _OnlyTriedError(Exception):
    """Ends a trial, so that nothing of it is kept."""


def take_in(
    ledger: Ledger,
    what: str,
    rows: Sequence[Row],
    now: Moment,
    *,
    dry_run: bool = False,
    is_same_player: bool = True,
    then: Callable[[Collection[str]], None] = lambda _: None,
) -> Taken:
    """Add the events that aren't known or were set aside, in one act: all of them or none.

    Args:
        ledger: The ledger.
        what: `import` or `merge`.
        rows: The events.
        now: What the clock says.
        dry_run: Whether it is only tried.
        is_same_player: Whether another player's record is taken all the same.
        then: What is done in the same transaction; it gets the ids of what is new here.

    Raises:
        LedgerError: An event is known with other content, a row breaks the schema's rules, or
            the file can't be written.
    """
    new = 0
    try:
        with doing(ledger, what, now) as act:
            check_player(ledger, rows, is_same=is_same_player)
            named = routines_named(ledger.db.conn)
            ids = act.take(rows)
            check_one_each(ledger.db.conn, named, routines_named_in(rows))
            if ledger.rows("PRAGMA foreign_key_check"):
                msg = "an event refers to one that isn't there: nothing was taken"
                raise LedgerError(msg)
            new = len(ids)
            if dry_run:
                raise _OnlyTriedError
            if ids:
                then(set(ids))
    except _OnlyTriedError:
        pass
    except (LedgerError, sqlite3.IntegrityError, *DAMAGE) as problem:
        raise _told(ledger, problem) from problem
    return Taken(new, len(rows) - new)


def _told(ledger: Ledger, problem: Exception) -> LedgerError:
    cause = problem.__cause__ if isinstance(problem, LedgerError) else problem
    if isinstance(cause, sqlite3.IntegrityError):
        return LedgerError(f"a row breaks the ledger's rules, nothing was taken: {cause}")
    if isinstance(cause, OverflowError):
        return LedgerError(f"a number is too large for the ledger, nothing was taken: {cause}")
    return problem if isinstance(problem, LedgerError) else ledger_error(ledger.path, problem)
