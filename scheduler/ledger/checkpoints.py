"""Checkpoints: the state after some number of facts, as text in the ledger.

Whoever adds to the record or takes something back drops, in the same transaction, the checkpoints
that lie behind what it touched. So one that is there fits the record. Each lies a few times as far
back as the one after it, so that a late entry or an undo folds a few times as many facts as it
reaches back, and a ledger of ten years keeps about ten.
"""

import json
from collections.abc import Iterable, Iterator
from functools import cache
from hashlib import blake2b
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import scheduler
from scheduler.ledger.record import Ledger
from scheduler.ledger.state_dict import state_from_dict, state_to_dict
from scheduler.player.replay import State

SPACING = 100
"""So many new facts are worth a checkpoint: folding them takes a fifth of what writing it does."""

WIDENING = 4
"""Each checkpoint lies at most so many times as far back as the next newer one."""

DIGITS = 12
FOLDED_BY = ("guitar", "player", "ledger")
"""The floors whose code makes facts of the record, and a state of facts."""


def digest_of_code(folders: Iterable[Path]) -> str:
    """A digest of all Python files in some folders.

    Comments are in it, too: to build once too often is cheap.
    """
    digest = blake2b(digest_size=6)
    for folder in folders:
        for module in sorted(folder.rglob("*.py")):
            digest.update(module.read_bytes())
    return digest.hexdigest()


@cache
def model() -> str:
    """What the state depends on besides the facts: the code that folds them, and its numbers.

    A checkpoint of another model is not used.
    """
    folder = Path(scheduler.__file__).parent
    return digest_of_code(folder / floor for floor in FOLDED_BY)


Place = tuple[int, str]
"""Time (UTC, ms) and id: what facts are ordered by."""


class Unusable(NamedTuple):
    """A row that holds no state of this model: damaged, or of another model."""

    is_damaged: bool


def _name(facts: int) -> str:
    return f"{model()} {facts:0{DIGITS}}"


def _digest(name: str, body: str) -> str:
    return blake2b(f"{name}|{body}".encode(), digest_size=16).hexdigest()


def stops(before: int, facts: int) -> list[int]:
    """Numbers of facts to keep checkpoints at, while facts are folded from one number to another.

    Example:
        >>> stops(0, 2000)
        [400, 1600, 1900, 2000]
        >>> stops(1900, 2000)
        [2000]
    """
    found, back = [facts], SPACING
    while facts - back > before:
        found.append(facts - back)
        back *= WIDENING
    return sorted(found)


def kept_names(ledger: Ledger) -> list[str]:
    """The names of all checkpoints, newest first.

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.reading():
        rows = ledger.db.execute("SELECT name FROM checkpoints ORDER BY name DESC").fetchall()
    return [str(row[0]) for row in rows]


def kept_places(ledger: Ledger) -> list[tuple[str, int]]:
    """The names of all checkpoints and the times (UTC, ms) of their last facts, newest first.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows("SELECT name, last_ms FROM checkpoints ORDER BY name DESC")
    return [(str(name), int(last_ms)) for name, last_ms in rows]


def load(ledger: Ledger, name: str) -> State | Unusable:
    """A checkpoint by its name.

    Raises:
        LedgerError: The file can't be read.
    """
    if name.partition(" ")[0] != model():
        return Unusable(is_damaged=False)
    values = {"name": name}
    rows = ledger.rows(
        "SELECT body, digest, last_ms, last_id FROM checkpoints WHERE name = :name", values
    )
    if not rows or rows[0][1] != _digest(name, rows[0][0]):
        return Unusable(is_damaged=bool(rows))
    state = state_from_dict(json.loads(rows[0][0]), ledger.routines)
    return state if state.last == rows[0][2:] else Unusable(is_damaged=True)


class Written(NamedTuple):
    """A state as text, taken down while the fold goes on."""

    facts: int
    last: tuple[int, str]
    body: str


def take_down(state: State) -> Written:
    """The text of a state, to be kept later."""
    body = json.dumps(state_to_dict(state), separators=(",", ":"))
    return Written(state.facts, state.last, body)


def keep(ledger: Ledger, written: list[Written], unfit: list[str]) -> None:
    """Keep states as checkpoints, drop those that don't fit any more, and thin the rest.

    To be called inside a transaction, in which nothing was added since the facts were read.
    """
    table = ledger.db.table("checkpoints")
    _drop(ledger, unfit)
    for facts, (last_ms, last_id), body in written:
        name = _name(facts)
        row = {"name": name, "last_ms": last_ms, "last_id": last_id, "body": body}
        table.upsert({**row, "digest": _digest(name, body)}, pk="name")
    names = {int(name.partition(" ")[2]): name for name in kept_names(ledger)}
    _drop(ledger, [names[facts] for facts in superfluous(sorted(names, reverse=True))])


def _drop(ledger: Ledger, names: list[str]) -> None:
    for name in names:
        ledger.db.execute("DELETE FROM checkpoints WHERE name = ?", [name])


def superfluous(places: list[int]) -> Iterator[int]:
    """Which of the checkpoints, newest first, can go so that they still reach back step by step.

    Example:
        >>> list(superfluous([1000, 900, 800, 700, 600, 100])), list(superfluous([]))
        ([800, 700], [])
    """
    newest = newer = places[0] if places else 0
    for place, older in pairwise(places):
        if newest - older <= WIDENING * (newest - newer):
            yield place
        else:
            newer = place


TOUCHED = """
WITH direct AS (
    SELECT id FROM events WHERE seq BETWEEN :first AND :last
    UNION SELECT event_id FROM brought_again WHERE act >= :act),
touched AS (
    SELECT id FROM direct
    UNION SELECT events.id FROM direct CROSS JOIN undos ON undos.event_id = direct.id
    CROSS JOIN events ON events.entry = undos.target),
meant AS (
    SELECT id FROM touched
    UNION SELECT target FROM touched CROSS JOIN withdrawals ON withdrawals.event_id = touched.id
    UNION SELECT target FROM touched CROSS JOIN faults ON faults.event_id = touched.id
    UNION SELECT target FROM touched CROSS JOIN corrections ON corrections.event_id = touched.id),
alike AS (
    SELECT id FROM meant
    UNION SELECT other.event_id FROM meant CROSS JOIN told_alike ON told_alike.event_id = meant.id
    CROSS JOIN told_alike AS other ON other.words = told_alike.words)
SELECT min(events.at_ms, coalesce((SELECT min(moved_ms) FROM corrections
                                   WHERE corrections.target = events.id), events.at_ms)) AS place,
       events.id AS id
FROM alike CROSS JOIN events ON events.id = alike.id
WHERE events.kind IN ('pass', 'reset', 'round', 'setting') ORDER BY place, events.id LIMIT 1
"""
"""The earliest fact that some events add, change, take back or bring back: what they say, what the
undos among them undo, whatever these mean, and what tells the same. Wherever it was ever moved to
counts."""


def earliest_touched(ledger: Ledger, first: int, last: int, act: int) -> Place | None:
    """Time and id of the earliest fact that events of some numbers of entry touch.

    Args:
        ledger: The ledger.
        first: The first number of entry.
        last: The last one.
        act: What this act and later ones brought again counts too.

    Raises:
        LedgerError: The file can't be read.
    """
    found = ledger.rows(TOUCHED, {"first": first, "last": last, "act": act})
    return (int(found[0][0]), str(found[0][1])) if found else None


def forget_from(ledger: Ledger, first: int, last: int, act: int) -> None:
    """Drop the checkpoints behind the earliest fact touched, inside a transaction."""
    touched = earliest_touched(ledger, first, last, act)
    if touched is not None:
        ledger.db.execute("DELETE FROM checkpoints WHERE (last_ms, last_id) >= (?, ?)", touched)
