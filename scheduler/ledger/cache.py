"""The derived state, kept in the ledger so that a command needn't read the whole record.

A checkpoint fits as long as no event at or before its last fact was added or withdrawn after it
was written; what doesn't fit is dropped, and so is what was tampered with.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from scheduler.errors import LedgerError
from scheduler.ledger.checkpoints import (
    SPACING,
    Checkpoint,
    Unusable,
    Written,
    keep,
    kept_names,
    load,
    stops,
    take_down,
)
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fact
from scheduler.player.replay import State, in_order, place_in_time, replay

Watch = Callable[[Sequence[Fact]], Iterable[Fact]]


class Loaded(NamedTuple):
    """The state after all facts.

    Attributes:
        state: The state.
        seq: The number of entry of the newest event that it knows of.
        kept: How many facts the newest checkpoint holds; 0 if there is none.
        was_damaged: Whether a checkpoint had to be thrown away as damaged.
    """

    state: State
    seq: int = 0
    kept: int = 0
    was_damaged: bool = False


class _Start(NamedTuple):
    """Where a fold begins, and which checkpoints don't fit any more."""

    state: State
    kept: int
    unfit: list[str]
    was_damaged: bool


def current_state(ledger: Ledger, watch: Watch = iter, since: Loaded | None = None) -> Loaded:
    """The state after all facts of the ledger: from a checkpoint that fits, else from the start.

    Args:
        ledger: The ledger.
        watch: Gets the facts that have to be folded and gives them back one by one; a progress
            bar may hide in it.
        since: What this function gave before: it is gone on from where it fits, and changed.

    Raises:
        LedgerError: The file can't be read.
    """
    seq = ledger.last_seq()
    if since is not None and _fits(ledger, since.seq, since.state):
        start = _Start(since.state, since.kept, [], was_damaged=False)
    else:
        start = _best_start(ledger)
    state = start.state
    facts = in_order(ledger.facts(state.last))
    places = stops(state.facts, state.facts + len(facts))
    if state.facts + len(facts) - start.kept < SPACING:
        places = []
    written = list(_fold(state, facts, places, watch))
    is_kept = bool(written or start.unfit) and _kept(ledger, seq, written, start.unfit)
    kept = state.facts if written and is_kept else start.kept
    return Loaded(state, seq, kept, start.was_damaged)


def _fits(ledger: Ledger, seq: int, state: State) -> bool:
    touched = ledger.earliest_touched(seq)
    return touched is None or touched > state.last


def _best_start(ledger: Ledger) -> _Start:
    unfit: list[str] = []
    was_damaged = False
    for name in kept_names(ledger):
        known = load(ledger, name)
        if isinstance(known, Unusable):
            was_damaged |= known.is_damaged
        elif _fits(ledger, known.seq, known.state):
            return _Start(known.state, known.state.facts, unfit, was_damaged)
        unfit.append(name)
    return _Start(State(), 0, unfit, was_damaged)


def _fold(
    state: State, facts: Sequence[Fact], places: list[int], watch: Watch
) -> Iterator[Written]:
    """Fold facts into a state, giving its text at some numbers of facts."""
    watched = iter(watch(facts))
    for place in places:
        replay(islice(watched, place - state.facts), state)
        yield take_down(state)
    replay(watched, state)


def _kept(ledger: Ledger, seq: int, written: list[Written], unfit: list[str]) -> bool:
    """Write checkpoints; where the file can't be written just now, go on without."""
    try:
        keep(ledger, seq, written, unfit)
    except LedgerError:
        return False
    return True


def has_fitting_state(ledger: Ledger) -> bool:
    """Whether every kept checkpoint is what a fold from the start gives up to its last fact.

    Raises:
        LedgerError: The file can't be read.
    """
    known = [load(ledger, name) for name in reversed(kept_names(ledger))]
    if any(isinstance(each, Unusable) and each.is_damaged for each in known):
        return False
    facts = in_order(ledger.facts())
    state = State()
    for each in known:
        if not isinstance(each, Checkpoint) or not _fits(ledger, each.seq, each.state):
            continue
        place = bisect_right(facts, each.state.last, key=place_in_time)
        replay(facts[state.facts : place], state)
        if state != each.state:
            return False
    return True
