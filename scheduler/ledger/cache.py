"""The derived state, kept in the ledger so that a command needn't read the whole record."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import NamedTuple

from scheduler.errors import LedgerError
from scheduler.ledger.checkpoints import (
    SPACING,
    Unusable,
    Written,
    earliest_touched,
    keep,
    kept_names,
    kept_places,
    load,
    stops,
    take_down,
)
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fact
from scheduler.player.replay import State, in_order, place_in_time, replay

Watch = Callable[[Sequence[Fact]], Iterable[Fact]]


class Version(NamedTuple):
    """What changes whenever something is added, undone or redone.

    Equal ones mean an equal state.

    Attributes:
        seq: The number of entry of the newest event.
        newest: The place of the newest act in the order of doing.
        undone: The places of the acts that are undone. Brought back, an act has another place.
    """

    seq: int
    newest: int
    undone: str


class Loaded(NamedTuple):
    """The state after all facts.

    Attributes:
        state: The state.
        version: What it was made of.
        kept: How many facts the newest checkpoint holds; 0 if there is none.
        was_damaged: Whether a checkpoint had to be thrown away as damaged.
    """

    state: State
    version: Version
    kept: int = 0
    was_damaged: bool = False


class _Start(NamedTuple):
    """Where a fold begins, and which checkpoints can't be used any more."""

    state: State
    kept: int
    unfit: list[str]
    was_damaged: bool


def version_of(ledger: Ledger) -> Version:
    """The version of a ledger.

    Raises:
        LedgerError: The file can't be read.
    """
    ((newest, undone),) = ledger.rows(
        "SELECT (SELECT coalesce(max(number), 0) FROM acts), "
        "(SELECT coalesce(group_concat(number), '') FROM "
        "(SELECT number FROM acts WHERE undone IS NOT NULL ORDER BY number))"
    )
    return Version(ledger.last_seq(), newest, undone)


def current_state(ledger: Ledger, watch: Watch = iter, since: Loaded | None = None) -> Loaded:
    """The state after all facts of the ledger: from a checkpoint, else from the start.

    Args:
        ledger: The ledger.
        watch: Gets the facts that have to be folded and gives them back one by one; a progress
            bar may hide in it.
        since: What this function gave before: it is gone on from where it fits, and changed.

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.at_once():
        version = version_of(ledger)
        if since is not None and _only_added(ledger, since, version):
            start = _Start(since.state, since.kept, [], was_damaged=False)
        else:
            start = _best_start(ledger)
        state = start.state
        facts = in_order(ledger.facts(state.last))
    places = stops(state.facts, state.facts + len(facts))
    if state.facts + len(facts) - start.kept < SPACING:
        places = []
    written = list(_fold(state, facts, places, watch))
    is_kept = bool(written or start.unfit) and _kept(ledger, version, written, start.unfit)
    kept = state.facts if written and is_kept else start.kept
    return Loaded(state, version, kept, start.was_damaged)


def state_before(ledger: Ledger, utc_ms: int) -> State:
    """The state after all facts up to an instant (UTC, ms), from the checkpoint next before it.

    Raises:
        LedgerError: The file can't be read.
    """
    with ledger.at_once():
        names = (name for name, last_ms in kept_places(ledger) if last_ms <= utc_ms)
        known = (load(ledger, name) for name in names)
        state = next((each for each in known if isinstance(each, State)), None) or State()
        facts = ledger.facts(state.last, utc_ms)
    return replay(in_order(facts), state)


def _only_added(ledger: Ledger, since: Loaded, version: Version) -> bool:
    """Whether nothing but later facts came since a state was made."""
    before = since.version
    if version.undone != before.undone:
        return False
    touched = earliest_touched(ledger, before.seq + 1, version.seq, before.newest + 1)
    return touched is None or touched > since.state.last


def _best_start(ledger: Ledger) -> _Start:
    unfit: list[str] = []
    was_damaged = False
    for name in kept_names(ledger):
        known = load(ledger, name)
        if isinstance(known, State):
            return _Start(known, known.facts, unfit, was_damaged)
        was_damaged |= known.is_damaged
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


def _kept(ledger: Ledger, version: Version, written: list[Written], unfit: list[str]) -> bool:
    """Write checkpoints; where the file can't be written just now, go on without.

    What another program added or took back meanwhile may lie before them.
    """
    try:
        with ledger.writing():
            if version_of(ledger) != version:
                return False
            keep(ledger, written, unfit)
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
        if not isinstance(each, State):
            continue
        place = bisect_right(facts, each.last, key=place_in_time)
        replay(facts[state.facts : place], state)
        if state != each:
            return False
    return True
