"""The score by which windows of the projection are compared in the report."""

import pytest

from tests.simulation.projection_report import Answer


@pytest.mark.parametrize(
    ("early", "late", "truth", "score"),
    [(10, 20, 12, 10), (10, 20, 20, 10), (10, 20, 23, 40), (10, 20, 7, 40), (10, 10, 10, 0)],
)
def test_a_window_is_scored_by_its_width_and_ten_times_what_it_missed(
    early: float, late: float, truth: float, score: float
) -> None:
    """S = (u - l) + 2/alpha (l - x) below, + 2/alpha (x - u) above, alpha = 0.2.

    Source: Gneiting & Raftery 2007, JASA 102(477), 359-378, eq. 43 (from memory).
    """
    assert Answer("any", 1, early, 15.0, late, 15.0, truth).score == score
