"""The planner: fills a budget with warm-up, repair, onward and refresh.

The plan never runs over the budget, and never leaves room for one more item that would fit.
Deterministic: the same record, moment and settings give the same session.
"""

from dataclasses import dataclass, replace

from scheduler.guitar.durations import opening_seconds
from scheduler.guitar.items import Item
from scheduler.plan.cautions import cautions
from scheduler.plan.knapsack import Candidate, best_choice
from scheduler.plan.session import (
    Block,
    Costing,
    Reason,
    Session,
    Wish,
    blocks_of,
    breaks_in,
    middle_of,
)
from scheduler.plan.wishes import Candidates, candidates, onward_wish, warm_ups
from scheduler.player.tempo import Bench

WARM_UP_SHARE = 0.1
LONGEST_WARM_UP_SECONDS = 120.0
ROUNDING_SECONDS = 1e-6


@dataclass(frozen=True, slots=True)
class Choice:
    """What the session holds, before it is put in order."""

    warm_up: tuple[Wish, ...] = ()
    revisits: tuple[Wish, ...] = ()
    onward: tuple[Wish, ...] = ()


def plan_session(
    bench: Bench, order: tuple[Item, ...], budget_seconds: float, revisit_share: float
) -> Session:
    """Plan the session of the day of `bench.now`.

    Args:
        bench: The record so far, the moment and the settings.
        order: The items of the round, in order.
        budget_seconds: The time there is.
        revisit_share: The most of it that goes to repair and refresh, 0 to 1.
    """
    return session_of(bench, candidates(bench, order), order, budget_seconds, revisit_share)


def session_of(
    bench: Bench,
    found: Candidates,
    order: tuple[Item, ...],
    budget_seconds: float,
    revisit_share: float,
) -> Session:
    """Plan a session from candidates that were found; the rest as in `plan_session`."""
    packer = Packer(bench, found, order, budget_seconds)
    choice = packer.fill(packer.first_choice(revisit_share))
    blocks = packer.arrange(choice)
    session = Session(
        day=bench.now.day,
        budget_seconds=budget_seconds,
        blocks=blocks,
        breaks=breaks_in(blocks),
        cautions=(),
        short_of_floor=found.short_of_floor,
    )
    said = cautions(bench.state.days, session.day, session.planned_seconds)
    return session._replace(cautions=said if blocks else ())


class Packer:
    """Chooses and arranges within one budget."""

    def __init__(
        self, bench: Bench, found: Candidates, order: tuple[Item, ...], budget_seconds: float
    ) -> None:
        self.bench = bench
        self.found = found
        self.places = {item: place for place, item in enumerate(order)}
        self.budget = budget_seconds + ROUNDING_SECONDS
        self.costing = Costing(bench)
        self._onward: list[Wish] = []

    def first_choice(self, revisit_share: float) -> Choice:
        """Warm-up and revisits within their shares, then onward as far as it goes."""
        warm_up = self._warm_up()
        spent = sum(block.seconds for block in blocks_of(warm_up, self.costing))
        room = min(revisit_share * self.budget, self.budget - spent)
        revisits = self._best(self.found.failed, room)
        left = room - sum(self.costing.alone(wish) for wish in revisits)
        revisits += self._best(self.found.revisits, left)
        choice = Choice(warm_up, revisits)
        return self._with_onward(choice)

    def _warm_up(self) -> tuple[Wish, ...]:
        most = min(WARM_UP_SHARE * self.budget, LONGEST_WARM_UP_SECONDS)
        chosen: list[Wish] = []
        for wish in warm_ups(self.bench, self.found):
            tried = blocks_of([*chosen, wish], self.costing)
            if len(tried) > 1 or sum(block.seconds for block in tried) > most:
                break
            chosen.append(wish)
        return tuple(chosen)

    def _best(self, wishes: tuple[Wish, ...], room: float) -> tuple[Wish, ...]:
        options = [Candidate(self.costing.alone(wish), wish.worth) for wish in wishes]
        return tuple(wishes[place] for place in best_choice(options, room))

    def _wish_onward(self, count: int) -> tuple[Wish, ...]:
        """The first onward items as wishes; each is worked out once."""
        while len(self._onward) < min(count, len(self.found.onward)):
            self._onward.append(onward_wish(self.bench, self.found.onward[len(self._onward)]))
        return tuple(self._onward[:count])

    def _with_onward(self, choice: Choice) -> Choice:
        """As many onward items as fit beside the rest, in the round's order."""
        count = len(choice.onward)
        room = self.budget - self.seconds(choice)
        while room > 0 and count < len(self.found.onward):
            wish = self._wish_onward(count + 1)[count]
            room -= self.costing.visit(wish.item, wish.tempo)[1]
            count += 1
        fitting = replace(choice, onward=self._wish_onward(count))
        while count and not self.fits(fitting):
            count -= 1
            fitting = replace(choice, onward=self._wish_onward(count))
        return fitting

    def fill(self, choice: Choice) -> Choice:
        """Use what is left over, until nothing more fits."""
        choice = self._with_many(self._with_onward(choice))
        grown = True
        while grown:
            grown = False
            more = self._with_onward(choice)
            if len(more.onward) > len(choice.onward):
                choice, grown = more, True
            room = self.budget - self.seconds(choice)
            chosen = frozenset(choice.revisits)
            for wish in (*self.found.failed, *self.found.revisits):
                if wish in chosen or not self._may_fit(choice, wish, room):
                    continue
                tried = replace(choice, revisits=(*choice.revisits, wish))
                seconds = self.seconds(tried)
                if seconds <= self.budget:
                    choice, grown, room = tried, True, self.budget - seconds
        return choice

    def _with_many(self, choice: Choice) -> Choice:
        """Revisits that surely fit, each in a block of its own, taken all at once."""
        room = self.budget - self.seconds(choice)
        chosen, more = frozenset(choice.revisits), []
        for wish in (*self.found.failed, *self.found.revisits):
            cost = self.costing.alone(wish)
            if cost <= room and wish not in chosen:
                more.append(wish)
                room -= cost
        tried = replace(choice, revisits=(*choice.revisits, *more))
        return tried if more and self.fits(tried) else choice

    def _may_fit(self, choice: Choice, wish: Wish, room: float) -> bool:
        """A quick look before the arrangement is made: alone, or beside one of its own box."""
        inside = self.costing.visit(wish.item, wish.tempo)[1]
        if inside + opening_seconds(wish.tempo) <= room:
            return True
        return inside <= room and any(
            (wish.reason, wish.item.box, wish.item.coupling, wish.item.stroke)
            == (other.reason, other.item.box, other.item.coupling, other.item.stroke)
            for other in choice.revisits
        )

    def seconds(self, choice: Choice) -> float:
        """The expected time of a choice, arranged."""
        return sum(block.seconds for block in self.arrange(choice))

    def fits(self, choice: Choice) -> bool:
        """Whether a choice stays within the budget."""
        return self.seconds(choice) <= self.budget

    def arrange(self, choice: Choice) -> tuple[Block, ...]:
        """Warm-up, onward to the middle, repair, the rest onward, refresh last."""
        in_order = sorted(
            choice.revisits,
            key=lambda wish: (self.places.get(wish.item, len(self.places)), wish.item),
        )
        repair = [wish for wish in in_order if wish.reason is Reason.REPAIR]
        refresh = [wish for wish in in_order if wish.reason is Reason.REFRESH]
        onward = list(choice.onward)
        cut = middle_of(onward, lambda wish: self.costing.visit(wish.item, wish.tempo)[1])
        if not repair:
            cut = len(onward)
        wishes = [*choice.warm_up, *onward[:cut], *repair, *onward[cut:], *refresh]
        return blocks_of(wishes, self.costing)
