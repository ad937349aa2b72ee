"""The belief is right about simulated players whose workings are not its own.

The figures of a whole run stand in docs/measurements.md; these bounds leave room for chance.
"""

from collections.abc import Sequence

import pytest

from tests.simulation.belief_report import (
    OVERALL,
    OWN,
    TARGETS,
    TEMPO,
    TRUTH,
    Trial,
    all_trials,
    away,
    clean_share,
    fifths,
    losses,
    month,
    trials,
    within_reach,
)
from tests.simulation.players import FAMILIES

Players = Sequence[Sequence[Trial]]
pytestmark = pytest.mark.xdist_group("belief")
ALL = [pytest.param(target, marks=pytest.mark.slow) for target in TARGETS]
"""All targets with all players take long; the figures of a few stand in the next test."""


@pytest.fixture(scope="module")
def played() -> dict[float, list[list[Trial]]]:
    return all_trials()


def test_a_few_players_get_what_they_asked_for_and_are_predicted_well() -> None:
    found = [trials(0.9, number, range(8)) for number in range(len(FAMILIES))]
    loss = losses(found)

    assert clean_share(within_reach(month(found), 0.9)) == pytest.approx(0.9, abs=0.03)
    assert loss["belief"] <= 1.15 * loss[TRUTH]
    assert loss["belief"] < min(loss[OWN], loss[TEMPO])


@pytest.mark.parametrize("target", ALL)
def test_as_many_passes_are_clean_as_were_asked_for(
    played: dict[float, Players], target: float
) -> None:
    found = within_reach(month(played[target]), target)

    assert clean_share(found) == pytest.approx(target, abs=0.02)


@pytest.mark.parametrize("target", ALL)
def test_in_every_fifth_of_the_chances_as_many_are_clean_as_predicted(
    played: dict[float, Players], target: float
) -> None:
    for passes, predicted, share in fifths(month(played[target])):
        if passes >= 200:
            assert share == pytest.approx(predicted, abs=0.045)


@pytest.mark.parametrize("target", ALL)
def test_its_log_loss_is_near_that_of_the_truth_and_below_simpler_rules(
    played: dict[float, Players], target: float
) -> None:
    loss = losses(played[target])

    assert loss["belief"] <= 1.10 * loss[TRUTH]
    assert loss["belief"] < min(loss[OVERALL] + 0.002, loss[OWN], loss[TEMPO])


@pytest.mark.parametrize("target", ALL)
def test_after_a_month_away_tempos_drop_and_the_first_day_back_is_as_clean(
    played: dict[float, Players], target: float
) -> None:
    back = away(played[target])

    assert back.speed_after < back.speed_before
    assert back.share_after == pytest.approx(back.share_before, abs=0.05)
