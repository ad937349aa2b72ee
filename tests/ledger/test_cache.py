"""The kept state is the state that a fold from the start would give, whatever happened between."""

from collections.abc import Iterator, Sequence
from contextlib import closing
from itertools import pairwise
from pathlib import Path
from random import Random

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.acts import last_done, last_undone, redo_act, undo_act
from scheduler.ledger.cache import current_state, has_fitting_state, state_before
from scheduler.ledger.checkpoints import SPACING, WIDENING, kept_names
from scheduler.ledger.events import Event, EventIds
from scheduler.ledger.record import Ledger
from scheduler.ledger.state_dict import state_from_dict, state_to_dict
from scheduler.player.facts import Fact, Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import State, in_order, replay
from tests.ledger.bulk import append

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


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(n, marks=pytest.mark.slow) for n in range(1, 6))]
)
def test_records_late_entries_and_undo_give_the_state_of_a_fold_from_the_start(
    ledger: Ledger, seed: int
) -> None:
    random = Random(seed)
    loaded = None
    sizes: list[int] = []
    for step in range(80):
        now = later(step / 7)
        chance = random.random()
        events: list[Event]
        if chance < 0.15 and step:
            act = last_done(ledger)
            assert act is not None
            undo_act(ledger, act, now)
            events = []
        elif chance < 0.3:
            events = [a_pass(random, later(random.uniform(0, step / 7)))]
        elif chance < 0.35:
            events = [Reset(EventIds(now.utc_ms).next(), now, random.choice(ITEMS))]
        elif chance < 0.37:
            events = [RoundStarted(EventIds(now.utc_ms).next(), now, 2)]
        else:
            events = [a_pass(random, now) for _ in range(random.randrange(1, 40))]
        if events:
            append(ledger, events)
        if random.random() < 0.6:
            since = loaded if random.random() < 0.5 else None
            loaded = current_state(ledger, lambda facts: counted(facts, sizes), since)
            assert loaded.state == from_the_start(ledger)
    assert has_fitting_state(ledger)
    assert current_state(ledger).state == from_the_start(ledger)
    assert loaded is not None
    assert loaded.kept > 300
    assert 2 * sum(sizes) < len(sizes) * len(ledger.facts())


def fill(ledger: Ledger, random: Random, number: int) -> None:
    """Passes a few minutes apart, from the start on."""
    append(ledger, [a_pass(random, later(n / 100)) for n in range(number)])


def places(ledger: Ledger) -> list[int]:
    """The numbers of facts that there are checkpoints at."""
    return [int(name.split()[1]) for name in kept_names(ledger)]


def test_the_kept_state_is_used_where_it_fits(ledger: Ledger) -> None:
    random = Random(3)
    fill(ledger, random, 200)
    current_state(ledger)
    folded: list[int] = []
    append(ledger, [a_pass(random, later(21))])
    current_state(ledger, watch=lambda facts: counted(facts, folded))

    assert folded == [1]


def test_a_state_at_hand_is_gone_on_from_without_reading_a_kept_one(ledger: Ledger) -> None:
    random = Random(3)
    fill(ledger, random, 50)
    before = current_state(ledger)
    append(ledger, [a_pass(random, later(21))])
    folded: list[int] = []
    loaded = current_state(ledger, lambda facts: counted(facts, folded), before)

    assert folded == [1]
    assert loaded.state is before.state
    assert loaded.state == from_the_start(ledger)


def test_a_state_at_hand_is_left_where_an_earlier_fact_came(ledger: Ledger) -> None:
    random = Random(3)
    fill(ledger, random, 50)
    before = current_state(ledger)
    append(ledger, [a_pass(random, later(0.1))])

    assert current_state(ledger, since=before).state == from_the_start(ledger)


@pytest.mark.parametrize("what", ["record", "import"])
def test_a_state_at_hand_is_left_where_something_was_taken_back(ledger: Ledger, what: str) -> None:
    random = Random(3)
    fill(ledger, random, 50)
    append(ledger, [a_pass(random, later(21))], what)
    before = current_state(ledger)
    act = last_done(ledger)
    assert act is not None
    undo_act(ledger, act, later(22))

    assert current_state(ledger, since=before).state == from_the_start(ledger)


def test_a_state_at_hand_is_left_where_one_act_came_back_and_another_went(ledger: Ledger) -> None:
    """As many acts are undone as before, but not the same ones."""
    random = Random(5)
    fill(ledger, random, 50)
    append(ledger, [a_pass(random, later(0.1))], "import")
    early = last_done(ledger)
    assert early is not None
    undo_act(ledger, early, later(22))
    before = current_state(ledger)
    undone = last_undone(ledger)
    assert undone is not None
    redo_act(ledger, undone, later(22))
    append(ledger, [a_pass(random, later(23))], "import")
    late = last_done(ledger)
    assert late is not None
    undo_act(ledger, late, later(24))

    assert current_state(ledger, since=before).state == from_the_start(ledger)


def test_what_another_program_adds_during_the_fold_leaves_no_wrong_checkpoint(
    ledger: Ledger,
) -> None:
    random = Random(3)
    fill(ledger, random, 150)

    def interrupted(facts: Sequence[Fact]) -> Sequence[Fact]:
        with closing(Ledger(ledger.path)) as other:
            append(other, [a_pass(random, later(0.1))])
        return facts

    assert current_state(ledger, interrupted).state.facts == 150
    assert has_fitting_state(ledger)
    assert current_state(ledger).state == from_the_start(ledger)


def test_a_week_that_a_reset_ended_before_a_checkpoint_is_noted_once(ledger: Ledger) -> None:
    random = Random(3)
    fill(ledger, random, SPACING - 1)
    append(ledger, [Reset(EventIds(later(8).utc_ms).next(), later(8), ITEMS[0])])
    current_state(ledger)
    append(ledger, [a_pass(random, later(9))])
    state = current_state(ledger).state

    assert places(ledger) == [SPACING]
    assert len(state.chronicle.tempos) == 1
    assert state == from_the_start(ledger)


def test_a_kept_round_of_some_items_stays_one_of_them() -> None:
    started = RoundStarted("r" * 36, START, 2, only=ITEMS[4:7])
    state = replay([started, a_pass(Random(3), later(1))])

    assert state.round.only == ITEMS[4:7]
    assert state_from_dict(state_to_dict(state)) == state


def test_few_facts_are_folded_again_rather_than_kept(ledger: Ledger) -> None:
    random = Random(3)
    fill(ledger, random, SPACING - 1)
    current_state(ledger)
    assert places(ledger) == []
    append(ledger, [a_pass(random, later(21))])
    current_state(ledger)
    assert places(ledger) == [SPACING]


@pytest.mark.slow
def test_a_late_entry_folds_a_few_times_as_many_facts_as_it_reaches_back(ledger: Ledger) -> None:
    random = Random(4)
    fill(ledger, random, 3_000)
    assert len(current_state(ledger).state.days) > 20
    for back in (1, 30, 110, 450, 1_300):
        append(ledger, [a_pass(random, later((3_000 - back) / 100))])
        folded: list[int] = []
        state = current_state(ledger, watch=lambda facts: counted(facts, folded)).state  # noqa: B023

        assert folded[0] <= WIDENING * (back + 5) + SPACING
        assert state == from_the_start(ledger)


def test_an_undo_of_today_folds_a_day_or_two(ledger: Ledger) -> None:
    random = Random(4)
    for day in range(20):
        append(ledger, [a_pass(random, later(day)) for _ in range(60)])
        current_state(ledger)
    act = last_done(ledger)
    assert act is not None
    undo_act(ledger, act, later(20))
    folded: list[int] = []
    state = current_state(ledger, watch=lambda facts: counted(facts, folded)).state

    assert folded[0] <= 3 * 60
    assert state == from_the_start(ledger)


@pytest.mark.slow
def test_checkpoints_stay_few_and_reach_back_step_by_step(ledger: Ledger) -> None:
    random = Random(5)
    for step in range(60):
        append(
            ledger, [a_pass(random, later(step + n / 200)) for n in range(random.randrange(160))]
        )
        current_state(ledger)
    newest, *older = places(ledger)

    assert len(older) < 10
    for near, far in pairwise(older):
        assert newest - far <= max(WIDENING * (newest - near), 3 * SPACING)
    assert older[-1] < 300


def test_another_models_kept_state_is_not_used_and_no_damage(
    ledger: Ledger, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(ledger, Random(5), 150)
    with monkeypatch.context() as older:
        older.setattr("scheduler.ledger.checkpoints.model", lambda: "00000000")
        current_state(ledger)
    folded: list[int] = []
    loaded = current_state(ledger, watch=lambda facts: counted(facts, folded))

    assert not loaded.was_damaged
    assert folded == [150]
    assert not any(name.startswith("00000000") for name in kept_names(ledger))


@pytest.mark.parametrize(
    "damage",
    [
        "UPDATE checkpoints SET body = replace(body, '1', '2')",
        "UPDATE checkpoints SET body = substr(body, 1, 40)",
        "UPDATE checkpoints SET last_ms = last_ms + 1",
        "UPDATE checkpoints SET digest = ''",
        "UPDATE checkpoints SET name = replace(name, '150', '151') WHERE name LIKE '%150'",
    ],
)
def test_a_damaged_kept_state_is_built_again(ledger: Ledger, damage: str) -> None:
    fill(ledger, Random(5), 150)
    current_state(ledger)
    ledger.db.execute(damage)

    loaded = current_state(ledger)

    assert loaded.was_damaged
    assert loaded.state == from_the_start(ledger)
    assert not current_state(ledger).was_damaged


def test_a_state_of_before_is_what_a_fold_up_to_then_gives(ledger: Ledger) -> None:
    random = Random(5)
    fill(ledger, random, 2_000)
    current_state(ledger)
    facts = in_order(ledger.facts())
    for place in (0, 1, 399, 400, 1_234, 1_999):
        moment = facts[place].moment
        up_to = [fact for fact in facts if fact.moment.utc_ms <= moment.utc_ms]

        assert state_before(ledger, moment.utc_ms) == replay(up_to)
    assert state_before(ledger, facts[0].moment.utc_ms - 1) == State()
