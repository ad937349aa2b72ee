"""The player's own routines as a record holds them: which are known, and which bind their name.

A routine's name can't be given to another definition while the first is in force, while a setting
names it, or while any pass, reset or round of it was recorded: undone ones count too, since a redo
may bring them back. A definition that was undone before anything was played frees its name.
"""

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from itertools import chain
from operator import itemgetter
from typing import Any, NamedTuple

from scheduler.errors import LedgerError, RoutineError
from scheduler.guitar.definitions import from_words
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.ledger.amendments import standing_among
from scheduler.ledger.events_table import CHOSEN, PLAYED
from scheduler.plan.settings import OF_ROUTINE

DEFINITIONS = f"""
SELECT events.id, name, value, events.id IN (SELECT id FROM gone)
FROM settings CROSS JOIN events ON events.id = event_id
WHERE name LIKE '{OF_ROUTINE}%' ORDER BY at_ms, events.id
"""
FIRST_NAMED = f"SELECT min(id) FROM ({PLAYED}) WHERE routine = :key"
IS_CHOSEN = f"""
SELECT EXISTS (SELECT 1 FROM ({CHOSEN}) WHERE routine = :key AND id NOT IN (SELECT id FROM gone))
"""
NAMING = ("pass", "reset", "round")

Told = tuple[str, str, str, bool]
"""The id of a definition, its setting's name and value, and whether it was taken back."""


class Definitions(NamedTuple):
    """The definitions in a record.

    Attributes:
        standing: Those that stand, in order of time.
        gone: Those that were taken back; of each name first the one that was there when something
            of it was first played.
    """

    standing: Sequence[Routine]
    gone: Sequence[Routine]

    def known(self) -> Routines:
        """The routines that this record may name.

        Those inside, and for each other name the first definition in force, else one that was taken
        back: passes that were taken back name it.
        """
        found: dict[str, Routine] = {}
        for own in chain(self.standing, self.gone):
            found.setdefault(own.key, own)
        return {**found, **INSIDE}

    def beside(self, ours: Routines) -> Routines:
        """The routines a record from elsewhere may name: its own, ours, those it took back."""
        return {**self._replace(standing=()).known(), **ours, **self._replace(gone=()).known()}


def _definitions(rows: Iterable[Told], first_named: Mapping[str, str]) -> Definitions:
    standing: list[Routine] = []
    gone: list[tuple[str, Routine]] = []
    for event_id, name, value, is_gone in rows:
        # What is no definition is told where settings are checked.
        if name.startswith(OF_ROUTINE):
            with suppress(RoutineError):
                own = from_words(name.removeprefix(OF_ROUTINE), value)
                if is_gone:
                    gone.append((event_id, own))
                else:
                    standing.append(own)
    gone.sort(key=itemgetter(0), reverse=True)
    gone.sort(key=lambda pair: pair[0] > first_named.get(pair[1].key, pair[0]))
    return Definitions(standing, [own for _, own in gone])


def definitions_in(connection: sqlite3.Connection) -> Definitions:
    """The definitions that a ledger holds.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    rows = connection.execute(DEFINITIONS).fetchall()
    gone = {name.removeprefix(OF_ROUTINE) for _, name, _, is_gone in rows if is_gone}
    return _definitions(
        rows, {key: first for key in gone if (first := _first_named(connection, key))}
    )


def _first_named(connection: sqlite3.Connection, key: str) -> str:
    """The first pass, reset or round of a routine, also one that was taken back; "" if none."""
    return str(connection.execute(FIRST_NAMED, {"key": key}).fetchone()[0] or "")


def definitions_told(events: Iterable[Any]) -> Definitions:
    """The definitions among events, as rows or as JSON tells them, whatever else is there."""
    told = [event for event in events if isinstance(event, Mapping)]
    stands = standing_among(told)
    first_named: dict[str, str] = {}
    for event in told:
        if event.get("kind") in NAMING:
            key, event_id = _key_told(event), str(event.get("id"))
            first_named[key] = min(first_named.get(key, event_id), event_id)
    rows = [
        (
            str(event.get("id")), str(event.get("name")), str(event.get("value")),
            not stands(event),
        )
        for event in told
        if event.get("kind") == "setting"
    ]  # fmt: skip
    return _definitions(rows, first_named)


def _key_told(event: Mapping[str, Any]) -> str:
    """The routine that a pass, reset or round is of."""
    return str(
        event["routine"] if "routine" in event else str(event.get("item")).rpartition("/")[0]
    )


def routines_in(connection: sqlite3.Connection) -> Routines:
    """The routines that a ledger may name, by key.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    return definitions_in(connection).known()


def routines_bound(connection: sqlite3.Connection) -> Routines:
    """The routines that a ledger's player has: those inside, and those that bind their names.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    definitions = definitions_in(connection)
    sure = INSIDE.keys() | {own.key for own in definitions.standing}
    known = definitions.known()
    return {key: own for key, own in known.items() if key in sure or _is_named(connection, key)}


def routines_named(connection: sqlite3.Connection) -> Routines:
    """The player's own routines that something in a ledger names.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    known = routines_in(connection)
    return {key: known[key] for key in known.keys() - INSIDE.keys() if _is_named(connection, key)}


def _is_named(connection: sqlite3.Connection, key: str) -> bool:
    """Whether anything was ever played of a routine, or a setting that stands names it."""
    chosen = connection.execute(IS_CHOSEN, {"key": key}).fetchone()[0]
    return bool(chosen or _first_named(connection, key))


def routines_named_in(rows: Sequence[Mapping[str, Any]]) -> Routines:
    """The routines that passes, resets or rounds among events name, as far as these define them."""
    named = {row["routine"] for row in rows if row["kind"] in NAMING}
    known = definitions_told(rows).known()
    return {key: known[key] for key in named & known.keys()}


def check_one_each(connection: sqlite3.Connection, *sources: Routines) -> None:
    """Refuse what would make a routine another one: under one name there is only one.

    Args:
        connection: The ledger, after something was taken in.
        sources: The routines that were named by what was there, and by what was taken in.

    Raises:
        LedgerError: A name is another routine's.
        sqlite3.Error: The file can't be read.
    """
    definitions = definitions_in(connection)
    known = definitions.known()
    for own in chain(definitions.standing, *(source.values() for source in sources)):
        if known[own.key] is not own:
            msg = (
                f"the routine {own.name} is defined in another way here, nothing was taken: "
                "one of the two needs another name"
            )
            raise LedgerError(msg)
