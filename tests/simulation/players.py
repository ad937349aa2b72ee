"""Simulated players whose workings are not the belief's own.

Practice is gained exponentially (not by a logarithm), forgotten exponentially towards a rest that
stays (not by a power), the speed may meet a ceiling (not a straight line in its logarithm), days
are good and bad, and a session tires. Errors strike note by note (binomial, not Poisson).

What a player would do at the n-th pass of an item is drawn from the item and n alone, so that
two policies meet the same player however they order the passes.
"""

from dataclasses import dataclass, field, replace
from functools import lru_cache
from hashlib import blake2b
from math import exp, log, log2
from random import Random

from scheduler.guitar.items import Item, Shape

CALIBRATION_SPEED = 4.0


@lru_cache(maxsize=200_000)
def chance_of(*words: object) -> float:
    """A number in 0..1 that belongs to these words, always the same."""
    digest = blake2b("|".join(map(str, words)).encode(), digest_size=8).digest()
    return int.from_bytes(digest) / 2**64


def normal_of(*words: object) -> float:
    """A standard normal number that belongs to these words."""
    return Random("|".join(map(str, words))).gauss(0, 1)


ROUTINE_SD = 0.3
"""By how much players differ in what another routine is to them."""


def of_other(item: Item) -> tuple[str, ...]:
    """What tells the same box of two routines apart; nothing for the first routine."""
    return (item.routine.key,) if item.routine.key else ()


@dataclass(frozen=True)
class Family:
    """What the players of one kind have in common."""

    name: str
    base: float = -4.6
    slope: float = 2.1
    gain: float = 1.0
    gain_passes: float = 6.0
    half_life_days: float = 25.0
    rest_share: float = 0.45
    shared_gain: float = 0.5
    shared_passes: float = 120.0
    day_sd: float = 0.15
    fatigue_per_hour: float = 0.3
    growth_per_day: float = 0.0
    ceiling_speed: float = 0.0
    item_sd: float = 0.25
    shape_sd: float = 0.25
    base_sd: float = 0.35
    day_chance: float = 0.85
    minutes_share: float = 1.0
    minutes_sd: float = 0.15
    yield_share: float = 0.95
    carried: float = 0.0
    """What a sloppy try adds to the log error rate of the next one, if that comes at once."""


FAMILIES = (
    Family("steady"),
    Family("forgetful", half_life_days=6.0, rest_share=0.2),
    Family("moody", day_sd=0.5, day_chance=0.7, minutes_sd=0.4),
    Family("tiring", fatigue_per_hour=1.5, minutes_share=0.85),
    Family("improving", growth_per_day=0.015, gain=0.6, base=-4.2),
    Family("at the limit", ceiling_speed=5.0, slope=1.4, base=-5.0),
)

ALL_FAMILIES = (*FAMILIES, Family("carries slips over", carried=0.7))


@dataclass(frozen=True)
class Strength:
    """How well players of any family play: what is added to the log error rate."""

    name: str
    shift: float

    def of(self, family: Family) -> Family:
        """A family of players of this strength; a ceiling moves along."""
        ceiling = family.ceiling_speed * 2 ** (-self.shift / family.slope)
        return replace(family, base=family.base + self.shift, ceiling_speed=ceiling)


STRENGTHS = (Strength("strong", -1.5), Strength("middling", 0.0), Strength("weak", 1.0))
"""A steady one plays a new single clean nine times in ten at about 100, 61 and 44, three notes to a
beat, and a new coupling at 63, 38 and 28."""


@dataclass
class ItemMemory:
    """What a player's hands remember of an item."""

    passes: int = 0
    strength: float = 0.0
    last_day: float = 0.0


@dataclass
class Player:
    """One player: a family and a seed."""

    family: Family
    seed: int
    memories: dict[Item, ItemMemory] = field(default_factory=dict)
    shape_passes: dict[Shape, int] = field(default_factory=dict)
    passes: int = 0
    first_day: int = 740_000
    last: tuple[Item, int] | None = None
    """The item of the last pass, and how many sloppy passes of it came at once."""

    def form(self, day: int) -> float:
        """How bad a day is, as a shift of the log error rate."""
        return self.family.day_sd * normal_of(self.seed, "form", day)

    def practises(self, day: int) -> bool:
        """Whether the player finds time on a day."""
        return chance_of(self.seed, "day", day) < self.family.day_chance

    def minutes(self, day: int, budget: float) -> float:
        """How long the player plays on a day."""
        wanted = self.family.minutes_share + self.family.minutes_sd * normal_of(
            self.seed, "minutes", day
        )
        return budget * min(max(wanted, 0.2), 1.6)

    def fixed_log_rate(self, item: Item) -> float:
        """The part of the log error rate that lies in the player and the item."""
        f = self.family
        return (
            f.base
            + f.base_sd * normal_of(self.seed, "base")
            + f.shape_sd * normal_of(self.seed, "shape", *item.shape[:-1], *of_other(item))
            + 0.15 * normal_of(self.seed, "box", item.box, item.coupling, *of_other(item))
            + 0.10 * normal_of(self.seed, "stroke", item.stroke)
            + 0.15 * normal_of(self.seed, "region", item.fret // 3)
            + f.item_sd * normal_of(self.seed, "item", item.address)
            + sum(ROUTINE_SD * normal_of(self.seed, "routine", key) for key in of_other(item))
        )

    def retained(self, item: Item, day: float) -> float:
        """The strength that is left of an item's practice."""
        memory = self.memories.get(item)
        if memory is None:
            return 0.0
        f = self.family
        kept = 0.5 ** ((day - memory.last_day) / f.half_life_days)
        return float(memory.strength * (f.rest_share + (1 - f.rest_share) * kept))

    def log_rate(self, item: Item, speed: float, day: float, minutes_played: float) -> float:
        """The log error rate per note."""
        f = self.family
        eta = _fixed(self, item) + f.slope * log2(speed / CALIBRATION_SPEED)
        if f.ceiling_speed:
            eta += log(1 + exp(6 * log2(speed / f.ceiling_speed)))
        eta -= f.gain * self.retained(item, day)
        seen = self.shape_passes.get(item.shape, 0)
        eta -= f.shared_gain * (1 - exp(-seen / f.shared_passes))
        eta -= f.growth_per_day * (day - self.first_day)
        return eta + f.fatigue_per_hour * minutes_played / 60

    def clean_chance(
        self, item: Item, notes: int, speed: float, day: float, minutes_played: float = 0.0
    ) -> float:
        """The true chance of a clean pass, without the form of the day."""
        return self._clean(self.log_rate(item, speed, day, minutes_played), notes)

    @staticmethod
    def _clean(log_rate: float, notes: int) -> float:
        slip = min(exp(min(log_rate, 0.0)), 0.9)
        return float((1 - slip) ** notes)

    def play(
        self, item: Item, notes: int, speed: float, day: float, minutes_played: float
    ) -> tuple[bool, int, float]:
        """Play a pass: clean or not, the errors, and the true chance that it was clean."""
        memory = self.memories.setdefault(item, ItemMemory())
        eta = self.log_rate(item, speed, day, minutes_played) + self.form(int(day))
        slips = self.last[1] if self.last is not None and self.last[0] == item else 0
        eta += self.family.carried * slips
        chance = self._clean(eta, notes)
        drawn = chance_of(self.seed, item.address, memory.passes)
        errors = 0
        if drawn >= chance:
            slip = min(exp(min(eta, 0.0)), 0.9)
            rng = Random(f"{self.seed}|{item.address}|{memory.passes}")
            errors = max(1, sum(rng.random() < slip for _ in range(notes)))
        self._remember(item, memory, day)
        self.last = (item, slips + 1 if errors else 0)
        return errors == 0, errors, chance

    def _remember(self, item: Item, memory: ItemMemory, day: float) -> None:
        left = self.retained(item, day)
        memory.strength = left + (1 - left) * (1 - exp(-1 / self.family.gain_passes))
        memory.last_day = day
        memory.passes += 1
        self.shape_passes[item.shape] = self.shape_passes.get(item.shape, 0) + 1
        self.passes += 1


_FIXED: dict[tuple[Family, int, Item], float] = {}


def _fixed(player: Player, item: Item) -> float:
    key = (player.family, player.seed, item)
    if key not in _FIXED:
        _FIXED[key] = player.fixed_log_rate(item)
    return _FIXED[key]
