"""The projection and the revisits on simulated players.

The figures of whole runs stand in docs/measurements.md; these bounds leave room for chance.
"""

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from statistics import fmean

import pytest

from tests.simulation.next_routine_report import first_sessions
from tests.simulation.players import FAMILIES
from tests.simulation.policy_report import Outcome, outcome
from tests.simulation.projection_report import Answer, all_answers, held, off

MIDDLING = 1

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("projection")]


@pytest.fixture(scope="module")
def answers() -> list[Answer]:
    return all_answers(18)


def test_the_window_of_8_in_10_holds_the_true_day_about_as_often(
    answers: Sequence[Answer],
) -> None:
    assert len(answers) == 72
    assert 0.65 <= held(answers) <= 0.95


def test_the_middle_day_is_off_by_at_most_half_of_what_the_plain_rule_is(
    answers: Sequence[Answer],
) -> None:
    ours, plain = off(answers)

    assert ours <= 0.5 * plain


@pytest.fixture(scope="module")
def pairs() -> list[tuple[Outcome, Outcome]]:
    """Ours and onward only on one player of each family."""
    jobs = [(n, p) for n in range(len(FAMILIES)) for p in ("ours", "onward only")]
    with ProcessPoolExecutor(2) as pool:
        found = list(pool.map(outcome, jobs))
    return list(zip(found[::2], found[1::2], strict=True))


def test_revisits_end_the_round_little_later(pairs: Sequence[tuple[Outcome, Outcome]]) -> None:
    ours, plain = (fmean(pair[side].finished for pair in pairs) for side in (0, 1))

    assert ours <= 1.2 * plain


def test_after_sixty_days_the_chances_are_as_good(
    pairs: Sequence[tuple[Outcome, Outcome]],
) -> None:
    ours, plain = (fmean(pair[side].chances[1] for pair in pairs) for side in (0, 1))

    assert ours >= plain - 0.006


def test_the_first_session_of_another_routine_is_nearly_as_clean_as_was_asked_for() -> None:
    """What was learnt in the first routine serves; a belief that starts anew is further off."""
    found = [each for number in range(3) for each in first_sessions((number, MIDDLING))]
    learnt, anew = (
        fmean(each.share for each in found if each.anew is which) for which in (False, True)
    )

    assert abs(learnt - 0.9) <= 0.05
    assert abs(learnt - 0.9) < abs(anew - 0.9)
