"""The belief borrows from neighbours, learns, and stays within bounds."""

from math import log, log2

import pytest

from scheduler.guitar.metronome import NotesPerSecond
from scheduler.guitar.patterns import parse_address
from scheduler.player.belief import BASE, WORD_SD, Belief, features, prior_of
from scheduler.player.replay import replay
from tests.player.logs import facts

ITEM, NEIGHBOUR, OTHER = map(parse_address, ("1:asc:down:5", "1:asc:down:7", "4+5:desc:up:3"))
SPEED = NotesPerSecond(3.0)


def chance(belief: Belief, address: str) -> float:
    item = parse_address(address)
    return belief.outlook(item, 97 if item.coupling else 24, 0.0, 1).clean_chance(SPEED)


def test_an_item_never_played_borrows_most_from_its_nearest_neighbours() -> None:
    before = Belief()
    after = replay(facts("\n".join(["1 1:asc:down:5 60 sloppy 6"] * 5))).belief
    same_shape, same_box, other = (
        chance(before, address) - chance(after, address)
        for address in ("1:asc:down:6", "1:desc:up:6", "4:desc:up:17")
    )

    assert same_shape > same_box > other > 0


def test_an_items_own_history_takes_over() -> None:
    lines = "\n".join(["1 1:asc:down:5 60 sloppy 4", "1 1:asc:down:7 60 clean"] * 20)
    belief = replay(facts(lines)).belief

    assert chance(belief, "1:asc:down:7") > chance(belief, "1:asc:down:5") + 0.1


def test_the_region_is_linear_between_knots() -> None:
    shares = dict(features(parse_address("1:asc:down:5")))

    assert shares["region 4"] == 0.75
    assert shares["region 8"] == 0.25


def test_a_variance_grows_while_nothing_is_played_but_never_above_the_prior() -> None:
    belief = replay(facts("\n".join(["1 1:asc:down:5 60 clean"] * 30))).belief
    known = belief.weights[BASE]
    variances = [belief.weight(BASE, known.day + days).variance for days in (0, 30, 365, 100_000)]

    assert variances == sorted(variances)
    assert variances[0] == known.variance
    assert variances[-1] == prior_of(BASE).variance


@pytest.mark.parametrize("errors", [0, None, 1, 30])
def test_a_pass_narrows_what_is_known(errors: int | None) -> None:
    belief = Belief()
    before = belief.outlook(ITEM, 24, 0.0, 1).rest.variance
    belief.update(ITEM, 24, 0.0, 1, SPEED, errors)

    assert belief.outlook(ITEM, 24, 0.0, 1).rest.variance < before


def test_chance_falls_with_tempo_and_with_days() -> None:
    belief = replay(facts("\n".join(["1 1:asc:down:5 60 clean"] * 10))).belief
    outlook = belief.outlook(ITEM, 24, 2.0, 1)
    chances = [outlook.clean_chance(NotesPerSecond(speed)) for speed in (2, 3, 4, 6, 9)]
    fresh, faded = (belief.outlook(ITEM, 24, p, 1).clean_chance(SPEED) for p in (2.0, 1.0))

    assert chances == sorted(chances, reverse=True)
    assert fresh > faded


def test_a_players_word_is_a_measurement_of_base_and_speed() -> None:
    """Source: the product of two Gaussians; precisions add, means are weighted by them."""
    belief, x = Belief(), log2(SPEED / 4)
    base, speed = prior_of(BASE), prior_of("speed")
    mean, variance = base.mean + x * speed.mean, base.variance + x * x * speed.variance
    others = belief.outlook(ITEM, 24, 0.0, 1).eta(SPEED).variance - variance
    said, said_variance = log(-log(0.9) / 24), WORD_SD**2 + others
    belief.take_word(ITEM, 24, 1, SPEED, 0.9)
    found = belief.weights[BASE].mean + x * belief.weights["speed"].mean
    precision = 1 / variance + 1 / said_variance

    assert found == pytest.approx((mean / variance + said / said_variance) / precision)
    assert set(belief.weights) == {BASE, "speed"}
