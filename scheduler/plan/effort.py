"""How much time the items that remain will take, under different futures of how well it goes.

The items of a trip that are like each other are taken together. A shared shift of the log error
rate, the same for all of them in one future, stands for what isn't known yet of the player.
"""

from collections.abc import Iterable, Sequence
from math import log1p, sqrt
from statistics import fmean
from typing import NamedTuple

from scheduler.guitar.durations import opening_seconds, pass_seconds, settle_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import marks_away, speed_of
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import Stroke
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.player.belief import BASE, PRACTICE, Outlook
from scheduler.player.quadrature import Gaussian
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import FAIR_CHANCE, Ability, fastest_mark

SHIFT_SD = 0.15
"""Uncertainty about how well the coming parts go, beside that of the weights (our choice)."""

NORMAL_MIDDLES = (-1.593, -0.967, -0.589, -0.282, 0.0, 0.282, 0.589, 0.967, 1.593)
"""Standard normal quantiles at 1/18, 3/18, ..., 17/18: equally likely shifts."""

SHIFTS = len(NORMAL_MIDDLES)

LEAST_CHANCE = 0.02
"""The least chance of a clean pass that is reckoned with, so that no item takes for ever: about
fifty further passes at most (our choice)."""

LEAST_OWN_VARIANCE = 0.02
MOST_VISITS, NEARLY_NONE = 20, 0.01
"""Guards: a variance is never none, and a series is cut where a hundredth is left (our choice)."""

SLOWER = 1.3
"""How much longer the slower third try takes than one at the planned tempo (our choice)."""

STILL_RETAINED = 0.85
"""The share of practice still retained at the next visit. With three days of hold it is 0.87 after
one day and 0.77 after two; 0.85 is our choice."""

FACTOR_STRENGTH_SECONDS = 3600.0
LEAST_FACTOR, LARGEST_FACTOR = 0.6, 2.5
"""How much record it takes until it moves the projected time by half, and how far it may move it
(our choice)."""


class Effort(NamedTuple):
    """What an item takes: seconds until it is done, and how many visits fail."""

    mean: float
    variance: float
    failing: float


class Stretch(NamedTuple):
    """The items of a trip that remain.

    Attributes:
        items: How many there are.
        means: Seconds until all are done, by shared shift.
        deviations: Their standard deviation, by shared shift.
        failing: The share of visits to one of them that fail, by shared shift.
    """

    items: int
    means: tuple[float, ...]
    deviations: tuple[float, ...]
    failing: tuple[float, ...]


def stretches_of(ability: Ability, trips: Sequence[Trip]) -> list[Stretch]:
    """What remains of each trip; times follow what the items that are done have taken."""
    factor = learnt_factor(ability, trips)
    return [_stretch(ability, trip, factor) for trip in trips]


def _stretch(ability: Ability, trip: Trip, factor: float) -> Stretch:
    means, variances, failing = [0.0] * SHIFTS, [0.0] * SHIFTS, [0.0] * SHIFTS
    remaining = [item for item in trip.items if not _is_done(ability, item)]
    for stroke in Stroke:
        left = [item for item in remaining if item.stroke is stroke]
        if left:
            opening = opening_seconds(ability.floor_tempo)
            for place, effort in enumerate(_efforts(ability, left)):
                means[place] += factor * (effort.mean * len(left) + opening)
                variances[place] += factor * factor * effort.variance * len(left)
                failing[place] += effort.failing * len(left) / len(remaining)
    deviations = tuple(sqrt(variance) for variance in variances)
    return Stretch(len(remaining), tuple(means), deviations, tuple(failing))


def _is_done(ability: Ability, item: Item) -> bool:
    return counts_in_round(ability.state.history(item), ability.floor_speed)


def learnt_factor(ability: Ability, trips: Sequence[Trip]) -> float:
    """Seconds that this round's new ground took, as a share of what it should have taken.

    What it should have taken is what the belief says now of these items as if they were new.
    """
    started = ability.round.started
    days = ability.state.days.items() if started else ()
    spent = sum(day.new_seconds for number, day in days if number >= started)
    expected = 0.0
    for trip in trips:
        done = [item for item in trip.items if _is_done(ability, item)]
        if done:
            middle = effort_of(ability, _like(_as_new(ability, done)), 0.0)
            expected += middle.mean * len(done)
    strength = FACTOR_STRENGTH_SECONDS
    return min(max((strength + spent) / (strength + expected), LEAST_FACTOR), LARGEST_FACTOR)


def _as_new(ability: Ability, items: Sequence[Item]) -> list[Outlook]:
    """What would be believed of items if they had never been played themselves."""
    belief, day = ability.state.belief, ability.now.day
    found = []
    for item in items:
        outlook = belief.outlook(item, ability.notes(item), 0.0, day)
        own = belief.own_weight(item, day).mean
        found.append(outlook._replace(rest=outlook.rest._replace(mean=outlook.rest.mean - own)))
    return found


def _like(outlooks: Sequence[Outlook]) -> Outlook:
    """One outlook for several items: the mean of theirs, their spread added to its variance.

    One a trip instead of a hundred is what makes the projection fast enough.
    """
    mean = fmean(outlook.rest.mean for outlook in outlooks)
    apart = fmean((outlook.rest.mean - mean) ** 2 for outlook in outlooks)
    variance = fmean(outlook.rest.variance for outlook in outlooks) + apart
    return outlooks[0]._replace(rest=Gaussian(mean, variance))


def _efforts(ability: Ability, left: Sequence[Item]) -> Iterable[Effort]:
    """The effort of one average item of similar ones, once for each of the shared shifts."""
    like = _like([ability.outlook(item) for item in left])
    belief, day = ability.state.belief, ability.now.day
    known = belief.weight(BASE, day).variance + belief.weight(left[0].kind, day).variance
    own = max(like.rest.variance - known, LEAST_OWN_VARIANCE)
    spread = sqrt(known + SHIFT_SD**2)
    before = fmean(ability.state.history(item).passes for item in left)
    for middle in NORMAL_MIDDLES:
        rest = Gaussian(like.rest.mean + middle * spread, own)
        yield effort_of(ability, like._replace(rest=rest), before)


def effort_of(ability: Ability, outlook: Outlook, before: float) -> Effort:
    """What an item takes, visit after visit.

    A visit is two tries at the tempo and a slower one, which counts unless it is under the floor
    tempo; every pass lowers the error rate by the gain of practice. Where the floor tempo is out
    of reach, a visit is one slower pass.

    Args:
        ability: The record so far, the moment and the settings.
        outlook: What is believed of the item.
        before: The passes it had so far.
    """
    beat = ability.notes_per_beat
    gain = ability.state.belief.weight(PRACTICE, ability.now.day).mean * STILL_RETAINED
    tempo = max(fastest_mark(outlook, beat, ability.clean_target), ability.floor_tempo)
    speed = speed_of(tempo, beat)
    one = pass_seconds(outlook.notes, speed) + settle_seconds(tempo)
    failed = (2 + SLOWER) * one + opening_seconds(tempo)
    tries = PASSES_A_VISIT if marks_away(tempo, -1) >= ability.floor_tempo else PASSES_A_VISIT - 1
    first, second, spent, alive = 0.0, 0.0, 0.0, 1.0
    passes, visits, chance = 0.0, 0.0, 0.0
    for _ in range(MOST_VISITS):
        gained = gain * (log1p(before + passes) - log1p(before))
        rest = Gaussian(outlook.rest.mean + gained, outlook.rest.variance)
        chance = max(outlook._replace(rest=rest).clean_chance(speed), LEAST_CHANCE)
        visits += alive
        if chance < FAIR_CHANCE:
            spent += SLOWER * one
            passes += 1
            continue
        for number, share in enumerate(_shares(chance, tries), start=1):
            time = spent + number * one
            first += alive * share * time
            second += alive * share * time * time
        alive *= (1 - chance) ** tries
        spent += failed
        passes += PASSES_A_VISIT
        if alive < NEARLY_NONE:
            break
    # What is still not done keeps the last chance: the rest is a geometric series.
    shares = _shares(chance, tries)
    done = sum(shares)
    more = (1 - done) / done
    passes = sum(n * share for n, share in enumerate(shares, start=1)) / done
    passes_variance = sum(n * n * share for n, share in enumerate(shares, 1)) / done - passes**2
    time = spent + more * failed + passes * one
    variance = failed * failed * more / done + one * one * passes_variance
    first += alive * time
    second += alive * (time * time + variance)
    visits += alive / done
    return Effort(first, max(second - first * first, 0.0), 1 - 1 / visits)


def _shares(chance: float, tries: int) -> list[float]:
    """How likely each try of a visit is the first clean one."""
    return [(1 - chance) ** number * chance for number in range(tries)]
