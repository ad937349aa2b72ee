"""The derived state, kept in the ledger so that a command needn't read the whole record.

Two checkpoints are kept: the state now, and the state before the newest day. A checkpoint fits as
long as no event at or before its last fact was added or withdrawn after it was written; it is
dropped when its digest doesn't match, so that a tampered one is never used.
"""

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import astuple
from hashlib import blake2b
from itertools import islice
from typing import Any, NamedTuple

from scheduler import __version__
from scheduler.errors import LedgerError
from scheduler.guitar.items import Direction, Item, Stroke
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.ledger.events import item_row
from scheduler.ledger.record import Ledger
from scheduler.player.belief import FACTOR_PRIOR, PRIORS, Belief, Weight
from scheduler.player.facts import Fact
from scheduler.player.history import History
from scheduler.player.progress import RoundProgress, Tally
from scheduler.player.replay import Day, State, in_order, replay

NOW, DAY_BEFORE = "now", "day before"
MODEL = f"{__version__} {PRIORS} {FACTOR_PRIOR}"
"""What the state depends on besides the facts: another model's checkpoint doesn't fit."""

Watch = Callable[[Sequence[Fact]], Iterable[Fact]]


class Loaded(NamedTuple):
    """The state, and whether a kept checkpoint had to be thrown away as damaged."""

    state: State
    was_damaged: bool


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
        item = Item(box, bool(coupling), Direction(direction), Stroke(stroke), fret)
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


def _digest(seq: int, body: str) -> str:
    return blake2b(f"{MODEL}|{seq}|{body}".encode(), digest_size=16).hexdigest()


class _Checkpoint(NamedTuple):
    seq: int
    state: State


def _load(ledger: Ledger, name: str) -> _Checkpoint | LedgerError | None:
    """A checkpoint; None if there is none; an error as a value if it is damaged."""
    with ledger.reading():
        row = ledger.db.execute(
            "SELECT seq, body, digest FROM checkpoints WHERE name = ?", [name]
        ).fetchone()
    if row is None:
        return None
    seq, body, digest = row
    if digest != _digest(seq, body):
        return LedgerError("the kept state doesn't match its digest")
    return _Checkpoint(seq, state_from_plain(json.loads(body)))


def _save(ledger: Ledger, name: str, seq: int, state: State) -> None:
    body = json.dumps(state_as_plain(state), separators=(",", ":"))
    ledger.db.table("checkpoints").upsert(
        {"name": name, "seq": seq, "body": body, "digest": _digest(seq, body)}, pk="name"
    )


def current_state(ledger: Ledger, watch: Watch = iter) -> Loaded:
    """The state after all facts of the ledger: from a checkpoint that fits, else from the start.

    Args:
        ledger: The ledger.
        watch: Gets the facts that have to be folded and gives them back one by one; a progress
            bar may hide in it.

    Raises:
        LedgerError: The file can't be read.
    """
    seq = ledger.last_seq()
    was_damaged = False
    start, is_new = State(), True
    for name in (NOW, DAY_BEFORE):
        known = _load(ledger, name)
        if isinstance(known, LedgerError):
            was_damaged = True
            continue
        if known is None:
            continue
        touched = ledger.earliest_touched(known.seq)
        if touched is None or touched > known.state.last:
            start, is_new = known.state, known.seq != seq or name != NOW
            break
    facts = in_order(ledger.facts(start.last)) if is_new else []
    if not facts and not is_new:
        return Loaded(start, was_damaged)
    return Loaded(_fold(ledger, start, facts, seq, watch), was_damaged)


def _fold(ledger: Ledger, state: State, facts: list[Fact], seq: int, watch: Watch) -> State:
    """Fold facts into a state, keeping it as it was before the newest day, and as it is then."""
    newest = facts[-1].moment.day if facts else 0
    cut = next((i for i, fact in enumerate(facts) if fact.moment.day == newest), len(facts))
    has_new_day = bool(facts) and (cut > 0 or newest not in state.days)
    watched = iter(watch(facts))
    replay((fact for fact in islice(watched, cut)), state)
    before = state_as_plain(state) if has_new_day else None
    replay(watched, state)
    _keep(ledger, seq, state, before)
    return state


def _keep(ledger: Ledger, seq: int, state: State, before: dict[str, Any] | None) -> None:
    """Write checkpoints; where the file can't be written just now, go on without."""
    try:
        with ledger.writing():
            if before is not None:
                _save(ledger, DAY_BEFORE, seq, state_from_plain(before))
            _save(ledger, NOW, seq, state)
    except LedgerError:
        return


def has_fitting_state(ledger: Ledger) -> bool:
    """Whether every kept checkpoint is what a fold from the start gives up to its last fact.

    Raises:
        LedgerError: The file can't be read.
    """
    facts = in_order(ledger.facts())
    for name in (NOW, DAY_BEFORE):
        known = _load(ledger, name)
        if isinstance(known, LedgerError):
            return False
        if known is None:
            continue
        touched = ledger.earliest_touched(known.seq)
        if touched is not None and touched <= known.state.last:
            continue
        until = [fact for fact in facts if (fact.moment.utc_ms, fact.id) <= known.state.last]
        if replay(until) != known.state:
            return False
    return True
