"""Checkpoints: the state after some number of facts, as text in the ledger.

Each lies a few times as far back as the one after it, so that a late entry or a withdrawal folds
a few times as many facts as it reaches back, and a ledger of ten years keeps about ten.
"""

import json
from collections.abc import Iterator
from dataclasses import astuple
from hashlib import blake2b
from itertools import pairwise
from typing import Any, NamedTuple

from scheduler import __version__
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.ledger.events import item_from, item_row
from scheduler.ledger.record import Ledger
from scheduler.player.belief import FACTOR_PRIOR, PRIORS, Belief, Weight
from scheduler.player.history import History
from scheduler.player.progress import RoundProgress, Tally
from scheduler.player.replay import Day, State

SPACING = 100
"""So many new facts are worth a checkpoint: folding them takes a fifth of what writing it does."""

WIDENING = 4
"""Each checkpoint lies at most so many times as far back as the next newer one."""

DIGITS = 12
MODEL = blake2b(f"{__version__} {PRIORS} {FACTOR_PRIOR}".encode(), digest_size=4).hexdigest()
"""What the state depends on besides the facts: another model's checkpoints are not used."""


class Checkpoint(NamedTuple):
    """A kept state, and the number of entry of the newest event that it knows of."""

    seq: int
    state: State


class Unusable(NamedTuple):
    """A row that holds no state of this model: damaged, or of another model."""

    is_damaged: bool


def state_as_plain(state: State) -> dict[str, Any]:
    """The state as lists and dictionaries that JSON keeps to the last bit."""
    return {
        "weights": {key: astuple(weight) for key, weight in state.belief.weights.items()},
        "histories": [
            [*item_row(item).values(), *astuple(history)]
            for item, history in state.histories.items()
        ],
        "days": {str(day): astuple(tally) for day, tally in state.days.items()},
        "shapes": [[*shape, list(speeds.items())] for shape, speeds in state.shapes.items()],
        "round": [state.round.number, state.round.started],
        "only": [item.address for item in state.round.only],
        "trips": [[*key, *astuple(tally)] for key, tally in state.round.trips.items()],
        "floor": [state.floor_tempo, state.notes_per_beat],
        "last_item": None if state.last_item is None else state.last_item.address,
        "facts": state.facts,
        "last": state.last,
    }


def state_from_plain(plain: dict[str, Any]) -> State:
    """The inverse of `state_as_plain`."""
    weights = {key: Weight(*values) for key, values in plain["weights"].items()}
    histories = {}
    for box, coupling, direction, stroke, fret, *values in plain["histories"]:
        item = item_from(box, coupling, direction, stroke, fret)
        history = History(*values)
        history.round_best = [(day, speed) for day, speed in history.round_best]
        history.faults = [(day, fault) for day, fault in history.faults]
        histories[item] = history
    return State(
        belief=Belief(weights),
        histories=histories,
        days={int(day): Day(*values) for day, values in plain["days"].items()},
        shapes={
            (box, bool(coupling), direction, stroke): dict(map(tuple, speeds))
            for box, coupling, direction, stroke, speeds in plain["shapes"]
        },
        round=RoundProgress(
            number=plain["round"][0],
            started=plain["round"][1],
            only=tuple(map(parse_address, plain["only"])),
            trips={
                (box, bool(coupling), direction): Tally(*values)
                for box, coupling, direction, *values in plain["trips"]
            },
        ),
        floor_tempo=BeatsPerMinute(plain["floor"][0]),
        notes_per_beat=plain["floor"][1],
        last_item=None if plain["last_item"] is None else parse_address(plain["last_item"]),
        facts=plain["facts"],
        last=(plain["last"][0], plain["last"][1]),
    )


def _name(facts: int) -> str:
    return f"{MODEL} {facts:0{DIGITS}}"


def _digest(name: str, seq: int, body: str) -> str:
    return blake2b(f"{name}|{seq}|{body}".encode(), digest_size=16).hexdigest()


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


def load(ledger: Ledger, name: str) -> Checkpoint | Unusable:
    """A checkpoint by its name.

    Raises:
        LedgerError: The file can't be read.
    """
    if name.partition(" ")[0] != MODEL:
        return Unusable(is_damaged=False)
    with ledger.reading():
        row = ledger.db.execute(
            "SELECT seq, body, digest FROM checkpoints WHERE name = ?", [name]
        ).fetchone()
    if row is None or row[2] != _digest(name, row[0], row[1]):
        return Unusable(is_damaged=row is not None)
    return Checkpoint(row[0], state_from_plain(json.loads(row[1])))


class Written(NamedTuple):
    """A state as text, taken down while the fold goes on."""

    facts: int
    body: str


def take_down(state: State) -> Written:
    """The text of a state, to be kept later."""
    return Written(state.facts, json.dumps(state_as_plain(state), separators=(",", ":")))


def keep(ledger: Ledger, seq: int, written: list[Written], unfit: list[str]) -> None:
    """Keep states as checkpoints, drop those that don't fit any more, and thin the rest.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        table = ledger.db.table("checkpoints")
        _drop(ledger, unfit)
        for facts, body in written:
            name = _name(facts)
            digest = _digest(name, seq, body)
            table.upsert({"name": name, "seq": seq, "body": body, "digest": digest}, pk="name")
        names = {int(name.partition(" ")[2]): name for name in kept_names(ledger)}
        _drop(ledger, [names[facts] for facts in superfluous(sorted(names, reverse=True))])


def _drop(ledger: Ledger, names: list[str]) -> None:
    for name in names:
        ledger.db.execute("DELETE FROM checkpoints WHERE name = ?", [name])


def superfluous(places: list[int]) -> Iterator[int]:
    """Which of the checkpoints, newest first, can go so that they still reach back step by step.

    Example:
        >>> list(superfluous([1000, 900, 800, 700, 600, 100]))
        [800, 700]
    """
    newest = newer = places[0]
    for place, older in pairwise(places):
        if newest - older <= WIDENING * (newest - newer):
            yield place
        else:
            newer = place
