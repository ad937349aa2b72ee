"""The planner: fills a budget with warm-up, repair, onward and refresh.

The plan never runs over the budget, and never leaves room for one more item that would fit.
Deterministic: the same record, moment and settings give the same session.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from scheduler.guitar.durations import opening_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import marks_away
from scheduler.guitar.rounds import along_the_neck
from scheduler.plan.cautions import cautions, return_of
from scheduler.plan.knapsack import Option, best_choice
from scheduler.plan.session import (
    BREAK_SECONDS,
    Block,
    Break,
    Costs,
    Reason,
    Session,
    Visit,
    blocks_of,
    breaks_in,
    grouped,
    middle_of,
    numbered,
)
from scheduler.plan.visits import Candidates, candidates, home_visit, onward_visit, warm_ups
from scheduler.player.tempo import Ability

WARM_UP_SHARE = 0.1
LONGEST_WARM_UP_SECONDS = 120.0
ROUNDING_SECONDS = 1e-6
ENOUGH_KNOWN = 0.5
"""If what is known fills less of the first day back, that is filled as any day (our choice)."""


@dataclass(frozen=True, slots=True)
class Choice:
    """What the session holds, before it is put in order."""

    warm_up: tuple[Visit, ...] = ()
    revisits: tuple[Visit, ...] = ()
    onward: tuple[Visit, ...] = ()


def plan_session(
    ability: Ability,
    order: tuple[Item, ...],
    budget_seconds: float,
    revisit_share: float,
    yields: float = 1.0,
    only: frozenset[Item] = frozenset(),
) -> Session:
    """Plan the session of the day of `ability.now`.

    Args:
        ability: The record so far, the moment and the settings.
        order: The items of the round, in order.
        budget_seconds: The time there is, by the clock.
        revisit_share: The most of it that goes to repair and refresh, 0 to 1.
        yields: Seconds of planned work that a second by the clock yields, up to 1.
        only: The items that it keeps to in repair and refresh; none for all of them.
    """
    found = candidates(ability, order, only)
    return session_of(ability, found, order, budget_seconds, revisit_share, yields)


def plan_more(
    ability: Ability,
    order: tuple[Item, ...],
    budget_seconds: float,
    revisit_share: float,
    yields: float = 1.0,
    only: frozenset[Item] = frozenset(),
    besides: frozenset[Item] = frozenset(),
) -> Session:
    """Plan what comes after a session, without a warm-up; `besides`: what it still holds."""
    found = candidates(ability, order, only).without(besides)
    return session_of(
        ability, found, order, budget_seconds, revisit_share, yields, warm_up_share=0.0
    )


def session_of(
    ability: Ability,
    found: Candidates,
    order: tuple[Item, ...],
    budget_seconds: float,
    revisit_share: float,
    yields: float = 1.0,
    *,
    warm_up_share: float = WARM_UP_SHARE,
) -> Session:
    """Plan a session from candidates that were found; the rest as in `plan_session`."""
    days, today = ability.state.days, ability.now.day
    wanted, back = budget_seconds, return_of(days, today)
    if back is not None:
        budget_seconds = min(wanted, back.seconds_left(days, today))
    planner = Planner(ability, found, order, budget_seconds * yields, warm_up_share)
    is_known = False
    known: tuple[Visit, ...] = ()
    if back is not None and back.step == 1:
        known = planner.known()
        blocks, breaks = planner.in_halves(known)
        is_known = bool(known) and _seconds_of(blocks) >= ENOUGH_KNOWN * planner.budget
    if not is_known:
        # An ordinary day; or too little is known to come back with it alone.
        choice = Choice(known) if known else planner.first_choice(revisit_share)
        blocks = planner.arrange(planner.fill(choice))
        breaks = breaks_in(blocks)
    session = Session(
        day=today,
        budget_seconds=budget_seconds,
        blocks=blocks,
        breaks=breaks,
        cautions=(),
        short_of_floor=found.short_of_floor,
        fitting_floor=found.fitting_floor,
        wanted_seconds=wanted,
        is_round_done=bool(order) and not found.onward,
    )
    seconds = session.planned_seconds / yields
    said = cautions(days, today, seconds, wanted, is_known=is_known)
    return session._replace(cautions=said if blocks else ())


class Planner:
    """Chooses and arranges within one budget."""

    def __init__(
        self,
        ability: Ability,
        found: Candidates,
        order: tuple[Item, ...],
        budget_seconds: float,
        warm_up_share: float = WARM_UP_SHARE,
    ) -> None:
        self.ability = ability
        self.found = found
        self.places = {item: place for place, item in enumerate(order)}
        self.budget = budget_seconds + ROUNDING_SECONDS
        self.costs = Costs(ability)
        self._warm_up_share = warm_up_share
        self._onward: list[Visit] = []
        self._steps = list(_steps(found))

    def first_choice(self, revisit_share: float) -> Choice:
        """Warm-up and revisits within their shares, then onward as far as it goes."""
        warm_up = self._warm_up()
        spent = _seconds_of(blocks_of(warm_up, self.costs))
        room = min(revisit_share * self.budget, self.budget - spent)
        warmed = {visit.item for visit in warm_up}
        left = tuple(visit for visit in self.found.revisits if visit.item not in warmed)
        revisits = self._best(left, room)
        if left and revisit_share and not revisits:
            # What is weak isn't left out because one visit takes longer than the share.
            revisits = self._best(left, min(self._shortest(left), self.budget / 2 - spent))
        return self._with_onward(Choice(warm_up, revisits))

    def _shortest(self, visits: tuple[Visit, ...]) -> float:
        return min(self.costs.alone(visit) for visit in visits) + ROUNDING_SECONDS

    def _warm_up(self) -> tuple[Visit, ...]:
        most = min(self._warm_up_share * self.budget, LONGEST_WARM_UP_SECONDS)
        return self._first_of(warm_ups(self.ability, self.found), most)

    def _first_of(self, visits: Iterable[Visit], most: float) -> tuple[Visit, ...]:
        """As many of the first visits as take no longer than so many seconds."""
        chosen: list[Visit] = []
        for visit in visits:
            tried = blocks_of([*chosen, visit], self.costs)
            if sum(block.seconds for block in tried) > most:
                break
            chosen.append(visit)
        return tuple(chosen)

    def known(self) -> tuple[Visit, ...]:
        """What a first day back is played with: easy, known, slower than usual."""
        if not self.found.known:
            return ()
        coming = [visit._replace(reason=Reason.REFRESH, why="known, slower, to come back")
                  for visit in warm_ups(self.ability, self.found, hard=True)]  # fmt: skip
        return self._first_of(coming, self.budget)

    def in_halves(self, known: Sequence[Visit]) -> tuple[tuple[Block, ...], tuple[Break, ...]]:
        """Half of the budget, a rest, the other half."""
        before = self._first_of(known, self.budget / 2)
        after = self._first_of(known[len(before) :], self.budget / 2)
        first, second = (blocks_of(half, self.costs) for half in (before, after))
        blocks = numbered((*first, *second))
        return blocks, (Break(len(first), BREAK_SECONDS),) if first and second else ()

    def _best(self, visits: tuple[Visit, ...], room: float) -> tuple[Visit, ...]:
        options = [Option(self.costs.alone(visit), visit.worth) for visit in visits]
        return tuple(visits[place] for place in best_choice(options, room))

    def _onward_visits(self, count: int) -> tuple[Visit, ...]:
        """The first onward visits, those that find the way among them; each is worked out once."""
        while len(self._onward) < min(count, len(self._steps)):
            item, finds_way = self._steps[len(self._onward)]
            self._onward.append((home_visit if finds_way else onward_visit)(self.ability, item))
        return tuple(self._onward[:count])

    def _with_onward(self, choice: Choice) -> Choice:
        """As many onward visits as fit beside the rest, in the round's order."""
        count = len(choice.onward)
        room = self.budget - self.seconds(choice)
        while room > 0 and count < len(self._steps):
            visit = self._onward_visits(count + 1)[count]
            room -= self.costs.of(visit.item, visit.tempo)[1]
            count += 1
        fitting = replace(choice, onward=self._onward_visits(count))
        while count and not self.fits(fitting):
            count -= 1
            fitting = replace(choice, onward=self._onward_visits(count))
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
            for visit in self._revisits_left(choice):
                if not self._may_fit(choice, visit, room):
                    continue
                tried = replace(choice, revisits=(*choice.revisits, visit))
                seconds = self.seconds(tried)
                if seconds <= self.budget:
                    choice, grown, room = tried, True, self.budget - seconds
        return choice

    def _with_many(self, choice: Choice) -> Choice:
        """Revisits that surely fit, each in a block of its own, taken all at once."""
        room = self.budget - self.seconds(choice)
        more = []
        for visit in self._revisits_left(choice):
            cost = self.costs.alone(visit)
            if cost <= room:
                more.append(visit)
                room -= cost
        tried = replace(choice, revisits=(*choice.revisits, *more))
        return tried if more and self.fits(tried) else choice

    def _revisits_left(self, choice: Choice) -> list[Visit]:
        """The revisits that aren't chosen, nor warmed up with."""
        there = {visit.item for visit in (*choice.warm_up, *choice.revisits)}
        return [visit for visit in self.found.revisits if visit.item not in there]

    def _may_fit(self, choice: Choice, visit: Visit, room: float) -> bool:
        """A quick look before the arrangement is made: alone, or beside one of its own box."""
        inside = self.costs.of(visit.item, visit.tempo)[1]
        opening = opening_seconds(visit.tempo)
        if inside + opening <= room:
            return True
        # What fills a gap saves the way over it.
        return inside - opening <= room and any(
            (visit.reason, visit.item.box, visit.item.coupling, visit.item.stroke)
            == (other.reason, other.item.box, other.item.coupling, other.item.stroke)
            for other in choice.revisits
        )

    def seconds(self, choice: Choice) -> float:
        """The expected time of a choice, arranged."""
        return _seconds_of(self.arrange(choice))

    def fits(self, choice: Choice) -> bool:
        """Whether a choice stays within the budget."""
        return self.seconds(choice) <= self.budget

    def arrange(self, choice: Choice) -> tuple[Block, ...]:
        """Warm-up, onward to the middle, repair, the rest onward, refresh last."""
        in_order = sorted(
            choice.revisits,
            key=lambda visit: (
                self.places.get(visit.item, len(self.places)),
                along_the_neck(visit.item),
            ),
        )
        repair = [visit for visit in in_order if visit.reason is Reason.REPAIR]
        refresh = [visit for visit in in_order if visit.reason is Reason.REFRESH]
        onward = list(choice.onward)
        cut = middle_of(onward, lambda visit: self.costs.of(visit.item, visit.tempo)[1])
        if not repair:
            cut = len(onward)
        if self.ability.state.knows_nothing:
            onward = rising(onward)
        visits = [*choice.warm_up, *onward[:cut], *repair, *onward[cut:], *refresh]
        return blocks_of(visits, self.costs)


def _seconds_of(blocks: Iterable[Block]) -> float:
    return sum(block.seconds for block in blocks)


def _steps(found: Candidates) -> Iterator[tuple[Item, bool]]:
    """The onward items in order; before the first of a trip, where the way to it is found."""
    for item in found.onward:
        if item in found.homes:
            yield found.homes[item], True
        yield item, False


def rising(visits: Sequence[Visit]) -> list[Visit]:
    """The first session tests the player: each block is a mark faster than the one before."""
    return [
        visit
        if visit.reason is Reason.FIND_WAY
        else visit._replace(tempo=marks_away(visit.tempo, number))
        for number, group in enumerate(grouped(visits))
        for visit in group
    ]
