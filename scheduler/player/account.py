"""Why the belief says what it says of an item: its parts, told as factors of the error rate."""

from dataclasses import dataclass
from math import exp, log2, sqrt

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.player.belief import BASE, PRACTICE, REFERENCE_SPEED, SPEED, features, own_key
from scheduler.player.moments import Moment
from scheduler.player.tempo import Ability


@dataclass(frozen=True, slots=True)
class Account:
    """The error rate of an item at a tempo, and what it is made of.

    Attributes:
        tempo: The tempo.
        anywhere: Errors in 100 notes anywhere on the neck, without practice of the item.
        neighbours: The factor for box, kind, direction, stroke, shape and region.
        own: The factor for what the item's own passes show beside that.
        practice: The factor for its practice, as far as it is retained.
        practice_fresh: The same if nothing had been forgotten.
        give_or_take: The factor by which all of it is unsure (one standard deviation).
    """

    tempo: BeatsPerMinute
    anywhere: float
    neighbours: float
    own: float
    practice: float
    practice_fresh: float
    give_or_take: float

    @property
    def expected(self) -> float:
        """Errors in 100 notes of this item."""
        return self.anywhere * self.neighbours * self.own * self.practice


def account_of(ability: Ability, item: Item, tempo: BeatsPerMinute) -> Account:
    """Take the belief about an item apart."""
    belief, day = ability.state.belief, ability.now.day
    history = ability.state.history(item)
    speed = speed_of(tempo, ability.notes_per_beat)
    own = own_key(item)
    shared = sum(
        share * belief.weight(key, day).mean for key, share in features(item) if key != own
    )
    gain = belief.weight(PRACTICE, day).mean
    base = belief.weight(BASE, day).mean
    steepness = belief.weight(SPEED, day).mean
    return Account(
        tempo=tempo,
        anywhere=100 * exp(base + steepness * log2(speed / REFERENCE_SPEED)),
        neighbours=exp(shared),
        own=exp(belief.weight(own, day).mean),
        practice=exp(gain * history.practice(ability.now)),
        practice_fresh=exp(gain * history.practice(Moment(history.last_ms, 0))),
        give_or_take=exp(sqrt(ability.outlook(item).eta(speed).variance)),
    )
