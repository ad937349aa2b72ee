"""The fold: same facts, same state, in whatever order they were entered."""

from random import Random

import pytest

from scheduler.guitar.patterns import parse_address
from scheduler.player.replay import State, in_order, replay
from tests.player.logs import facts, moment

HISTORY = """
    1    1:asc:down:5   60 sloppy 3
    1.01 1:asc:down:5   60 clean
    1.02 1:desc:down:6  60 clean
    2    1:asc:down:5   66 clean
    2.5  1+2:asc:down:5 50 sloppy
    3    1:asc:down:5   reset
    4    1:asc:down:5   63 clean
    6    round          2
    7    1:desc:down:5  60 clean
"""


def folded(history: str) -> State:
    return replay(in_order(facts(history)))


def test_the_order_of_entry_changes_nothing_to_the_last_bit() -> None:
    shuffled = facts(HISTORY)
    Random(1).shuffle(shuffled)

    assert replay(in_order(shuffled)) == folded(HISTORY)


@pytest.mark.parametrize("cut", range(1, 9))
def test_folding_in_batches_is_folding_at_once(cut: int) -> None:
    ordered = in_order(facts(HISTORY))

    assert replay(ordered[cut:], replay(ordered[:cut])) == folded(HISTORY)


def test_a_reset_lets_the_items_own_history_start_afresh() -> None:
    state = folded(HISTORY)
    history = state.history(parse_address("1:asc:down:5"))

    assert (history.passes, history.clean_days) == (1, 1)
    assert state.history(parse_address("1:desc:down:6")).passes == 1


def test_what_the_shared_weights_learnt_stays_after_a_reset() -> None:
    lines = "\n".join(f"1.{n:02d} 1:asc:down:5 60 clean" for n in range(30))
    state = folded(f"{lines}\n2 1:asc:down:5 reset")

    assert state.belief.weights["base"].mean < -4.7
    assert "item 1:asc:down:5" not in state.belief.weights


def test_a_new_round_begins_with_nothing_clean_in_it() -> None:
    state = folded("1 1:asc:down:5 60 clean\n2 round 2")
    history = state.history(parse_address("1:asc:down:5"))

    assert (state.round.number, history.round_speed, history.fastest_speed) == (2, 0.0, 3.0)


def test_a_day_counts_passes_work_and_the_clock() -> None:
    minute = 1 / 1440
    history = "\n".join(f"{1 + n * minute:.6f} 1:{way}:down:{n + 1} 60 clean"
                        for n, way in enumerate(("asc", "desc", "asc")))  # fmt: skip
    (day,) = folded(history).days.values()

    assert (day.passes, day.clean, day.new_clean) == (3, 3, 3)
    assert day.work_seconds == 12 + 3 * 11
    assert day.practised_seconds == pytest.approx(12 + 11 + 2 * 60, abs=0.2)


def test_what_the_round_doesnt_visit_is_no_new_ground() -> None:
    (day,) = folded("1 1:desc:down:5 60 clean\n1.001 1:asc:down:5 60 clean").days.values()

    assert (day.passes, day.new_clean) == (2, 1)
    assert day.new_seconds < day.work_seconds


def test_a_long_gap_is_not_practice() -> None:
    (day,) = folded("1 1:asc:down:5 60 clean\n1.5 1:asc:down:6 60 clean").days.values()

    assert day.practised_seconds == 12 + 22


def test_a_day_is_the_local_day_of_the_player() -> None:
    late = moment(1.99)

    assert late._replace(offset_minutes=60).day == late.day + 1


def test_a_warm_up_does_not_lower_the_working_tempo() -> None:
    state = folded("1 1:asc:down:5 72 clean\n2 1:asc:down:5 56 clean")
    assert state.history(parse_address("1:asc:down:5")).working_speed == pytest.approx(3.6)

    slowed = folded("1 1:asc:down:5 72 clean\n2 1:asc:down:5 72 sloppy\n2 1:asc:down:5 56 clean")
    assert slowed.history(parse_address("1:asc:down:5")).working_speed == pytest.approx(2.8)
