"""What an item costs."""

import pytest

from scheduler.guitar.durations import opening_seconds
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.cost import expected_passes, visit_seconds


def test_a_sure_item_costs_one_pass_and_its_settling() -> None:
    assert visit_seconds(24, BeatsPerMinute(60), 3, 1.0) == pytest.approx(8 + 3)


def test_an_item_that_never_comes_clean_costs_three() -> None:
    assert visit_seconds(97, BeatsPerMinute(60), 3, 0.0) == pytest.approx(3 * (97 / 3 + 3))


@pytest.mark.parametrize("chance", [0.1, 0.35, 0.7, 0.9, 0.99])
def test_expected_passes_are_the_closed_form(chance: float) -> None:
    assert expected_passes(chance) == pytest.approx((1 - (1 - chance) ** 3) / chance)


def test_a_block_opens_with_the_changeover_and_four_beats() -> None:
    assert opening_seconds(BeatsPerMinute(60)) == pytest.approx(8 + 4)
