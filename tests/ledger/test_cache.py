"""The kept state is the state that a fold from the start would give, whatever happened between."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.cache import current_state
from scheduler.ledger.events import Event, EventIds, Withdrawal
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fact, Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import State, in_order, replay

START = Moment(1_764_000_000_000, 60)
ITEMS = round_items(parse_neck())[:30]


@pytest.fixture
def ledger(tmp_path: Path) -> Iterator[Ledger]:
    opened = Ledger(tmp_path / "ledger.db")
    yield opened
    opened.close()


def later(days: float) -> Moment:
    return Moment(START.utc_ms + round(days * MS_PER_DAY), 60)


def a_pass(random: Random, moment: Moment) -> Pass:
    clean = random.random() < 0.7
    return Pass(
        EventIds(moment.utc_ms).next(), moment, random.choice(ITEMS), 24, BeatsPerMinute(60), 3,
        clean=clean, errors=0 if clean else random.choice([None, 1, 4]),
    )  # fmt: skip


def counted(facts: Sequence[Fact], sizes: list[int]) -> Sequence[Fact]:
    """Note how many facts are folded."""
    sizes.append(len(facts))
    return facts


def from_the_start(ledger: Ledger) -> State:
    return replay(in_order(ledger.facts()))


@pytest.mark.parametrize("seed", range(6))
def test_records_late_entries_and_undo_give_the_state_of_a_fold_from_the_start(
    ledger: Ledger, seed: int
) -> None:
    random = Random(seed)
    for step in range(60):
        now = later(step / 7)
        chance = random.random()
        events: list[Event]
        if chance < 0.15 and step:
            targets = [event_id for event_id, _ in ledger.last_entry()]
            events = [Withdrawal(EventIds(now.utc_ms).next(), now, each) for each in targets]
        elif chance < 0.3:
            events = [a_pass(random, later(random.uniform(0, step / 7)))]
        elif chance < 0.35:
            events = [Reset(EventIds(now.utc_ms).next(), now, random.choice(ITEMS))]
        elif chance < 0.37:
            events = [RoundStarted(EventIds(now.utc_ms).next(), now, 2)]
        else:
            events = [a_pass(random, now) for _ in range(random.randrange(1, 4))]
        if events:
            ledger.append(events)
        if random.random() < 0.6:
            assert current_state(ledger).state == from_the_start(ledger)
    assert current_state(ledger).state == from_the_start(ledger)


def test_the_kept_state_is_used_where_it_fits(ledger: Ledger) -> None:
    random = Random(3)
    ledger.append([a_pass(random, later(n)) for n in range(20)])
    current_state(ledger)
    folded: list[int] = []
    ledger.append([a_pass(random, later(21))])
    current_state(ledger, watch=lambda facts: counted(facts, folded))

    assert folded == [1]


def test_an_undo_of_today_folds_today_only(ledger: Ledger) -> None:
    random = Random(4)
    for day in range(20):
        ledger.append([a_pass(random, later(day)) for _ in range(3)])
        current_state(ledger)
    targets = [event_id for event_id, _ in ledger.last_entry()]
    ledger.append([Withdrawal(EventIds(START.utc_ms).next(), later(20), each) for each in targets])
    folded: list[int] = []
    state = current_state(ledger, watch=lambda facts: counted(facts, folded)).state

    assert folded in ([], [0])
    assert state == from_the_start(ledger)


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE checkpoints SET body = replace(body, '1', '2')",
        "UPDATE checkpoints SET body = substr(body, 1, 40)",
        "UPDATE checkpoints SET seq = seq + 1",
        "UPDATE checkpoints SET digest = ''",
    ],
)
def test_a_damaged_kept_state_is_built_again(ledger: Ledger, damage: str) -> None:
    ledger.append([a_pass(Random(5), later(1))])
    current_state(ledger)
    ledger.db.execute(damage)

    loaded = current_state(ledger)

    assert loaded.was_damaged
    assert loaded.state == from_the_start(ledger)
    assert not current_state(ledger).was_damaged
