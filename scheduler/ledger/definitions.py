"""The player's own routines as a record holds them: which are known, and which bind their name.

A definition binds its name while it stands, and as long as any pass, reset or round names it, also
one that was taken back: it could come again. One that was taken back before anything was played is
out of the way.
"""

import sqlite3
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from itertools import chain
from typing import Any, NamedTuple

from scheduler.errors import LedgerError, RoutineError
from scheduler.guitar.definitions import from_words
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.plan.settings import OF_ROUTINE

STANDING_FIRST = f"""
SELECT name, value, events.id IN (SELECT id FROM gone) AS is_gone
FROM settings CROSS JOIN events ON events.id = event_id
WHERE name LIKE '{OF_ROUTINE}%' ORDER BY is_gone, at_ms, events.id
"""
IS_NAMED = " OR ".join(
    f"EXISTS (SELECT 1 FROM {table} WHERE routine = :key)"
    for table in ("passes", "resets", "rounds")
)
NAMING = {"pass", "reset", "round"}


class Definitions(NamedTuple):
    """The definitions in a record, each list in order of time.

    Attributes:
        standing: Those that stand.
        gone: Those that were taken back.
    """

    standing: Sequence[Routine]
    gone: Sequence[Routine]

    def known(self) -> Routines:
        """What a record may name: those inside, and of each name the first that stands.

        What was taken back is among them, for passes that were, too, may name it yet.
        """
        found: dict[str, Routine] = {}
        for own in chain(self.standing, self.gone):
            found.setdefault(own.key, own)
        return {**found, **INSIDE}

    def bound(self, is_named: Callable[[str], bool]) -> Routines:
        """The routines that a player has: those inside, and those that bind their names.

        Args:
            is_named: Whether any pass, reset or round has a routine's key.
        """
        standing = {own.key for own in self.standing}
        return {
            key: own
            for key, own in self.known().items()
            if key in standing or key in INSIDE or is_named(key)
        }


def definitions_in(connection: sqlite3.Connection) -> Definitions:
    """The definitions that a ledger holds.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    rows = list(connection.execute(STANDING_FIRST))
    return Definitions(
        *(
            _defined((name, value) for name, value, is_gone in rows if is_gone == gone)
            for gone in (0, 1)
        )
    )


def definitions_told(events: Iterable[Any]) -> Definitions:
    """The definitions among events, as rows or as JSON tells them, whatever else is there."""
    told = [event for event in events if isinstance(event, Mapping)]
    settings = [event for event in told if event.get("kind") == "setting"]
    gone = _taken_back(told)
    return Definitions(
        *(
            _defined(
                (str(event.get("name")), str(event.get("value")))
                for event in settings
                if (event.get("id") in gone or event.get("entry") in gone) == is_gone
            )
            for is_gone in (False, True)
        )
    )


def _taken_back(told: Sequence[Mapping[str, Any]]) -> set[str]:
    """The entries and events that others take back."""
    balance: Counter[str] = Counter()
    for event in told:
        if event.get("kind") == "undo":
            balance[str(event.get("target"))] += -1 if event.get("redone") else 1
    undone = {entry for entry, times in balance.items() if times > 0}
    return undone | {
        str(event.get("target"))
        for event in told
        if event.get("kind") == "withdrawal" and event.get("entry") not in undone
    }


def _defined(settings: Iterable[tuple[str, str]]) -> list[Routine]:
    """The routines among settings; what is no definition is told where settings are checked."""
    found = []
    for name, value in settings:
        if name.startswith(OF_ROUTINE):
            with suppress(RoutineError):
                found.append(from_words(name.removeprefix(OF_ROUTINE), value))
    return found


def routines_in(connection: sqlite3.Connection) -> Routines:
    """The routines that a ledger may name, by key.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    return definitions_in(connection).known()


def routines_bound(connection: sqlite3.Connection) -> Routines:
    """The routines that a ledger's player has, by key.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    return definitions_in(connection).bound(
        lambda key: bool(connection.execute(f"SELECT {IS_NAMED}", {"key": key}).fetchone()[0])
    )


def routines_named(connection: sqlite3.Connection) -> Routines:
    """The player's own routines that passes, resets or rounds of a ledger name.

    Raises:
        sqlite3.Error: The file can't be read.
    """
    known = routines_bound(connection)
    rows = {
        row[0]
        for key in known.keys() - INSIDE.keys()
        for row in connection.execute(f"SELECT :key WHERE {IS_NAMED}", {"key": key})
    }
    return {key: known[key] for key in rows}


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
