"""Several players beside each other: a look at each, from what was kept where it still holds."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from statistics import median

from scheduler.errors import SchedulerError
from scheduler.ledger.kept_looks import Kept, keep_looks, kept_looks, key_of, record_key
from scheduler.ledger.players import Player, players_in
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment
from scheduler.practice.attention import Attention, attention
from scheduler.practice.look import Look, Place, look_at
from scheduler.practice.look_dict import look_from_dict, look_to_dict
from scheduler.practice.practice import Practice


@dataclass(frozen=True, slots=True)
class Seen:
    """A player, and what a teacher sees.

    Attributes:
        name: The player.
        look: What is seen; None where the ledger can't be read.
        problem: Why it can't be; "" if it can.
    """

    name: str
    look: Look | None
    problem: str = ""


Work = Callable[[Callable[[Player], Kept | str], Sequence[Player]], Iterable[Kept | str]]
"""How looks are worked out: `map`, or one that does several at once."""


def look_of(now: Moment, player: Player) -> Kept | str:
    """A look at a player's ledger and what it fits, or why the ledger can't be read."""
    try:
        with closing(Ledger(player.path)) as ledger:
            try:
                # What comes in meanwhile makes another key: the look is worked out again then.
                key = record_key(ledger, now)
                return Kept(key, look_to_dict(look_at(Practice(ledger, now))))
            except SchedulerError:
                raise
            except Exception as problem:
                ledger.raise_if_damaged(problem)
                raise
    except SchedulerError as problem:
        return str(problem)


def looks_at(players: Sequence[Player], now: Moment, work: Work = map) -> list[Seen]:
    """Look at players, in the order given.

    Args:
        players: The players, all of one folder.
        now: The moment.
        work: How looks are worked out that weren't kept.
    """
    if not players:
        return []
    folder = players[0].path.parent
    kept = kept_looks(folder)
    found: dict[Player, Kept | str] = {
        player: kept[player.path.name]
        for player in players
        if player.path.name in kept and _holds(kept[player.path.name], player, now)
    }
    rest = [player for player in players if player not in found]
    found.update(zip(rest, work(partial(look_of, now), rest), strict=True))
    if rest:
        names = {player.path.name for player in players_in(folder)}
        looks = {p.path.name: look for p, look in found.items() if isinstance(look, Kept)}
        keep_looks(folder, {n: k for n, k in {**kept, **looks}.items() if n in names})
    return [_seen(player.name, found[player]) for player in players]


def _holds(before: Kept, player: Player, now: Moment) -> bool:
    """Whether a look that was kept is what would be worked out."""
    try:
        return before.key == key_of(player, now)
    except SchedulerError:
        return False


def _seen(name: str, found: Kept | str) -> Seen:
    if isinstance(found, Kept):
        return Seen(name, look_from_dict(found.look))
    return Seen(name, None, found)


def who_first(seen: Iterable[Seen]) -> list[tuple[str, Look, Attention]]:
    """Players by who needs a look first, with the reason; those that can't be read left out."""
    found = [(each.name, each.look, attention(each.look)) for each in seen if each.look]
    return sorted(found, key=lambda one: (one[2].why, one[2].measure, one[0].casefold(), one[0]))


WEAK_ITEMS, WEAK_SHARE = 2, 0.1
SELDOM_CLEAN, ENOUGH_PASSES = 0.75, 10
"""A place is weak if so many of its clean or weak items are weak, or if of so many passes in the
round fewer were clean (our choice)."""


@dataclass(frozen=True, slots=True)
class Beside:
    """One place of a player beside the class.

    Attributes:
        place: The player's.
        others: How many others have begun it.
        weak_for: For how many of them it is weak.
        finished: How many others have all of it clean.
        seconds: The median of the time that it took these; None if there are none.
        share: The median of the clean shares of those who have begun it; None if none has.
    """

    place: Place
    others: int
    weak_for: int
    finished: int
    seconds: float | None
    share: float | None

    @property
    def is_weak(self) -> bool:
        """Whether it is weak for the player."""
        return is_weak(self.place)

    @property
    def is_weak_for_most(self) -> bool:
        """Whether it is weak for more than half of all who have begun it, the player among them."""
        begun = self.others + self.place.is_begun
        return begun > 1 and 2 * (self.weak_for + self.is_weak) > begun

    @property
    def is_weak_for_one(self) -> bool:
        """Whether it is weak for the player only, of several who have begun it."""
        return self.is_weak and self.others > 0 and self.weak_for == 0


def is_weak(place: Place) -> bool:
    """Whether a place is weak for a player."""
    many = place.weak >= max(WEAK_ITEMS, WEAK_SHARE * (place.clean + place.weak))
    enough = place.passes >= ENOUGH_PASSES
    return many or (enough and place.clean_passes < SELDOM_CLEAN * place.passes)


def beside_class(look: Look, others: Sequence[Look]) -> list[Beside]:
    """The places of a player that anybody has begun, each beside those of the others.

    Only others who go onward in the same routine count.
    """
    same = [other for other in others if other.routine == look.routine]
    found = [_beside(place, list(_begun(place, same))) for place in look.places]
    return [each for each in found if each.place.is_begun or each.others]


def _begun(place: Place, others: Iterable[Look]) -> Iterator[Place]:
    """The same place of others, where they have begun it."""
    for other in others:
        for each in other.places:
            if (each.box, each.direction) == (place.box, place.direction) and each.is_begun:
                yield each


def _beside(place: Place, others: Sequence[Place]) -> Beside:
    done = [each.seconds for each in others if each.clean == each.total]
    return Beside(
        place=place,
        others=len(others),
        weak_for=sum(map(is_weak, others)),
        finished=len(done),
        seconds=median(done) if done else None,
        share=median(each.clean_passes / each.passes for each in others) if others else None,
    )
