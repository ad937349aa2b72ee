"""One belief: Gaussian weights whose sum is the log error rate per note of an item at a speed.

eta = base + speed x log2(notes per second / 4) + practice x practice retained
      + box + single or coupling + direction + stroke + shape + region + the item itself.

Boxes and shapes are each routine's own, and another routine than the first has a weight of its
own; all else is shared. An item that was never played borrows from its neighbours; its own history
takes over as it grows.

Source:
    Prior means and deviations, and the growth of the variances: our choice, set on simulated
    players (docs/how-it-decides.md). The update moves each weight by its share of the variance:
    Graepel, Quinonero Candela, Borchert & Herbrich 2010, ICML 27, 13-20.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from math import log, log2
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import NotesPerSecond
from scheduler.player.quadrature import Gaussian, clean_chance, learn

BASE, SPEED, PRACTICE = "base", "speed", "practice"
REFERENCE_SPEED = 4.0
"""Notes per second at which the speed feature is 0."""

WORD_SD = 0.8
"""How unsure people are about themselves, as an sd of the log error rate (our choice)."""

KNOT_FRETS = 4
"""The neck region is linear between knots every 4 frets."""


class Prior(NamedTuple):
    """What is believed of a weight before anything was played."""

    mean: float
    variance: float
    growth_per_day: float


PRIORS = {
    BASE: Prior(-4.7, 1.5**2, 0.004),
    SPEED: Prior(2.0, 0.7**2, 0.0005),
    PRACTICE: Prior(-0.4, 0.2**2, 0.00005),
    "item": Prior(0.0, 0.35**2, 0.001),
    "routine": Prior(0.0, 0.3**2, 0.0005),
}
FACTOR_PRIOR = Prior(0.0, 0.2**2, 0.0005)


@lru_cache(maxsize=4096)
def prior_of(key: str) -> Prior:
    """The prior of a weight, by the word its key begins with."""
    return PRIORS.get(key.partition(" ")[0], FACTOR_PRIOR)


@lru_cache(maxsize=4096)
def features(item: Item) -> tuple[tuple[str, float], ...]:
    """The weights that an item touches besides base, speed and practice, each with its share."""
    kind, routine = item.kind, item.routine.key
    knot, beyond = divmod(item.fret, KNOT_FRETS)
    share = beyond / KNOT_FRETS
    box = f"{routine}/{item.box}" if routine else str(item.box)
    found = [
        (f"box {box}", 1.0),
        (kind, 1.0),
        (f"{kind} {item.direction}", 1.0),
        (f"stroke {item.stroke}", 1.0),
        (f"shape {box} {kind} {item.direction} {item.stroke}", 1.0),
        (f"region {knot * KNOT_FRETS}", 1.0 - share),
    ]
    if routine:
        found.append((f"routine {routine}", 1.0))
    if beyond:
        found.append((f"region {(knot + 1) * KNOT_FRETS}", share))
    return (*found, (own_key(item), 1.0))


def own_key(item: Item) -> str:
    """The key of the item's own weight."""
    return f"item {item.address}"


@dataclass(slots=True)
class Weight:
    """One Gaussian weight, as it was on the day it was last touched."""

    mean: float
    variance: float
    day: int


class Outlook(NamedTuple):
    """What is believed of one item at one time, as a function of the speed.

    Attributes:
        rest: Sum of all but the speed term.
        speed: The weight of the speed feature.
        notes: The notes of a pass.
    """

    rest: Gaussian
    speed: Gaussian
    notes: int

    def eta(self, speed: NotesPerSecond) -> Gaussian:
        """The log error rate per note at a speed."""
        x = log2(speed / REFERENCE_SPEED)
        return Gaussian(
            self.rest.mean + x * self.speed.mean, self.rest.variance + x * x * self.speed.variance
        )

    def clean_chance(self, speed: NotesPerSecond) -> float:
        """The chance of a clean pass at a speed, 0 to 1."""
        return clean_chance(self.eta(speed), self.notes)


def both(belief: Gaussian, seen: Gaussian) -> Gaussian:
    """A belief after a measurement with Gaussian error."""
    precision = 1 / belief.variance + 1 / seen.variance
    mean = (belief.mean / belief.variance + seen.mean / seen.variance) / precision
    return Gaussian(mean, 1 / precision)


def grown(weight: Gaussian, prior: Prior, days: int) -> Gaussian:
    """A weight after days in which it wasn't touched: its variance grows, up to the prior's."""
    if days <= 0:
        return weight
    variance = weight.variance + prior.growth_per_day * days
    return Gaussian(weight.mean, max(min(variance, prior.variance), weight.variance))


def summed(parts: Sequence[tuple[float, Gaussian]]) -> Gaussian:
    """The sum of some weights, each with its share."""
    mean = variance = 0.0
    for share, weight in parts:
        mean += share * weight.mean
        variance += share * share * weight.variance
    return Gaussian(mean, variance)


def shared_out(
    parts: Sequence[tuple[float, Gaussian]], before: Gaussian, after: Gaussian
) -> list[Gaussian]:
    """Weights after something was learnt of their sum, each by its share of the variance.

    Args:
        parts: The share with which each weight goes into the sum, and the weight.
        before: The sum before the evidence.
        after: The sum after it.
    """
    mean, variance = before
    moved = (after.mean - mean) / variance
    shrunk = (1.0 - after.variance / variance) / variance
    found = []
    for share, weight in parts:
        gain = share * weight.variance
        found.append(Gaussian(weight.mean + gain * moved, weight.variance - gain * gain * shrunk))
    return found


@dataclass(slots=True)
class Belief:
    """The weights by key; a key that isn't there still has its prior."""

    weights: dict[str, Weight] = field(default_factory=dict)

    def weight(self, key: str, day: int) -> Gaussian:
        """A weight on a day: its variance grows while it isn't touched, up to the prior's."""
        known = self.weights.get(key)
        if known is None:
            mean, variance, _ = prior_of(key)
            return Gaussian(mean, variance)
        return grown(Gaussian(known.mean, known.variance), prior_of(key), day - known.day)

    def outlook(self, item: Item, notes: int, practice: float, day: int) -> Outlook:
        """What is believed of an item.

        Args:
            item: The item.
            notes: The notes of one pass.
            practice: Practice retained, `forgetting.practice_retained`.
            day: The local day, as an ordinal.
        """
        base = self.weight(BASE, day)
        gain = self.weight(PRACTICE, day)
        mean = base.mean + practice * gain.mean
        variance = base.variance + practice * practice * gain.variance
        for key, share in features(item):
            weight = self.weight(key, day)
            mean += share * weight.mean
            variance += share * share * weight.variance
        return Outlook(Gaussian(mean, variance), self.weight(SPEED, day), notes)

    def update(
        self,
        item: Item,
        notes: int,
        practice: float,
        day: int,
        speed: NotesPerSecond,
        errors: int | None,
    ) -> float:
        """Learn from one pass.

        Args:
            item: What was played.
            notes: The notes of the pass.
            practice: The practice retained before it.
            day: The local day, as an ordinal.
            speed: Notes per second.
            errors: 0 if it was clean; of a sloppy pass at least 1, None where none were counted.

        Returns:
            The chance of a clean pass that was believed in before it, 0 to 1.
        """
        touched = (
            (BASE, 1.0),
            (SPEED, log2(speed / REFERENCE_SPEED)),
            (PRACTICE, practice),
            *features(item),
        )
        parts = [(share, self.weight(key, day)) for key, share in touched]
        before = summed(parts)
        after = shared_out(parts, before, learn(before, notes, errors))
        for (key, share), weight in zip(touched, after, strict=True):
            if share:
                self.weights[key] = Weight(weight.mean, weight.variance, day)
        return clean_chance(before, notes)

    def take_word(
        self, item: Item, notes: int, day: int, speed: NotesPerSecond, clean: float
    ) -> None:
        """Learn from a player's word: so often clean is an item like this at a speed.

        Args:
            item: An item of the box and kind that is meant; nothing is learnt of it alone.
            notes: The notes of one pass.
            day: The local day, as an ordinal.
            speed: The speed.
            clean: The chance of a clean pass that is meant.
        """
        said = Gaussian(log(-log(clean) / notes), WORD_SD**2)
        touched = ((BASE, 1.0), (SPEED, log2(speed / REFERENCE_SPEED)))
        parts = [(share, self.weight(key, day)) for key, share in touched]
        others = [(share, self.weight(key, day)) for key, share in features(item)]
        rest = Gaussian(
            sum(share * weight.mean for share, weight in others),
            sum(share * share * weight.variance for share, weight in others),
        )
        seen = Gaussian(said.mean - rest.mean, said.variance + rest.variance)
        before = summed(parts)
        after = shared_out(parts, before, both(before, seen))
        for (key, share), weight in zip(touched, after, strict=True):
            if share:
                self.weights[key] = Weight(weight.mean, weight.variance, day)

    def own_weight(self, item: Item, day: int) -> Gaussian:
        """What an item's own passes show beside all that it shares with others."""
        return self.weight(own_key(item), day)

    def forget_own(self, item: Item) -> None:
        """Let an item's own weight start afresh."""
        self.weights.pop(own_key(item), None)
