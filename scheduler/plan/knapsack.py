"""The choice of the largest summed worth that fits: a 0-1 knapsack.

Items are taken in order of worth per cost, and only choices survive that no other choice beats in
both cost and worth, and that could still beat the best one so far if the room left were filled in
fractions.

Source:
    Lists of undominated choices: Nemhauser & Ullmann 1969, Management Science 15(9), 494-505;
    the bound: Dantzig 1957, Operations Research 5(2), 266-288 (both from memory).
"""

from bisect import bisect_right
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

TOLERANCE = 1e-12


class Option(NamedTuple):
    """Something that may be chosen once."""

    cost: float
    worth: float


class _Choice(NamedTuple):
    """A set of candidates, as a linked list of the positions taken."""

    cost: float
    worth: float
    taken: "_Taken | None"


class _Taken(NamedTuple):
    """The last position taken and those before it."""

    place: int
    before: "_Taken | None"


def best_choice(candidates: Sequence[Option], capacity: float) -> tuple[int, ...]:
    """The positions of the candidates whose summed worth is the largest that fits.

    Args:
        candidates: Costs (positive) and worths.
        capacity: The most that the costs may sum up to.

    Example:
        >>> best_choice([Option(12, 24), Option(7, 13), Option(11, 23)], 19)
        (0, 1)
    """
    order = [
        place
        for place, candidate in sorted(
            enumerate(candidates), key=lambda pair: (-pair[1].worth / pair[1].cost, pair[0])
        )
        if candidate.worth > 0 and candidate.cost <= capacity
    ]
    bound = _Bound([candidates[place] for place in order])
    choices = [_Choice(0.0, 0.0, None)]
    best = choices[0]
    for step, place in enumerate(order):
        cost, worth = candidates[place]
        added = [
            _Choice(known.cost + cost, known.worth + worth, _Taken(place, known.taken))
            for known in choices
            if known.cost + cost <= capacity
        ]
        choices = _undominated(choices, added)
        best = max(choices[-1], best, key=lambda choice: choice.worth)
        reached = max(best.worth, bound.greedy(step + 1, choices[-1], capacity))
        least = reached * (1 - TOLERANCE)
        choices = [c for c in choices if bound.most(step + 1, c, capacity) >= least]
    taken, places = best.taken, []
    while taken is not None:
        places.append(taken.place)
        taken = taken.before
    return tuple(sorted(places))


def _undominated(first: list[_Choice], second: list[_Choice]) -> list[_Choice]:
    """Merge two lists sorted by cost; keep what is worth more than all that costs less."""
    merged: list[_Choice] = []
    most = -1.0
    for choice in sorted(first + second, key=lambda c: (c.cost, -c.worth)):
        if choice.worth > most:
            merged.append(choice)
            most = choice.worth
    return merged


class _Bound:
    """What the rest of the candidates, sorted by worth per cost, could add at most and at least."""

    def __init__(self, ordered: list[Option]) -> None:
        self.ordered = ordered
        self.costs = [0.0, *accumulate(candidate.cost for candidate in ordered)]
        self.worths = [0.0, *accumulate(candidate.worth for candidate in ordered)]

    def _whole(self, step: int, room: float) -> int:
        return bisect_right(self.costs, self.costs[step] + room) - 1

    def most(self, step: int, choice: _Choice, capacity: float) -> float:
        """Worth if the room left were filled in fractions."""
        room = capacity - choice.cost
        last = self._whole(step, room)
        worth = choice.worth + self.worths[last] - self.worths[step]
        if last < len(self.ordered):
            left = room - (self.costs[last] - self.costs[step])
            worth += self.ordered[last].worth * left / self.ordered[last].cost
        return worth

    def greedy(self, step: int, choice: _Choice, capacity: float) -> float:
        """Worth if the rest were taken in order as long as it fits."""
        last = self._whole(step, capacity - choice.cost)
        return choice.worth + self.worths[last] - self.worths[step]
