"""A look at one player, as a teacher takes it: where the round stands, and the last seven days."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scheduler.guitar.items import Item, box_word
from scheduler.guitar.rounds import Trip
from scheduler.plan.projection import Window
from scheduler.player.moments import start_of_day
from scheduler.player.progress import Tally, TripKey, trip_key
from scheduler.player.standing import Standing
from scheduler.practice.assignment import Assigned, assignment_report
from scheduler.practice.calendar import WhatIf, outcomes
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import TripProgress, trips_progress

WEEK = 7
STUCK_DAYS = 2
"""An item that isn't done after practice on so many days of a week is stuck: what is sloppy on one
evening is often clean on the next (our choice)."""


@dataclass(frozen=True, slots=True)
class Week:
    """Seven days, beside what was planned for them.

    Attributes:
        days: Days with passes.
        planned_days: Days on which practice was planned, since the player began; today only once
            something is recorded.
        seconds: Time practised.
        planned_seconds: The budgets of the planned days.
        passes: Passes.
        clean: Clean ones among them.
        new_clean: Items of the round that were done in it.
    """

    days: int
    planned_days: int
    seconds: float
    planned_seconds: float
    passes: int
    clean: int
    new_clean: int

    @property
    def share(self) -> float | None:
        """The share of clean passes; None without passes."""
        return self.clean / self.passes if self.passes else None


@dataclass(frozen=True, slots=True)
class Place:
    """A box or coupling of the round, and how it went.

    Attributes:
        box: The box or coupling, such as `2` or `2+3`.
        direction: For a coupling where it starts, `asc` or `desc`; "" for a box.
        total: Its items.
        clean: Those that are clean in the round.
        weak_frets: The frets of those that are weak.
        weak: How many are weak.
        passes: Passes in the round.
        clean_passes: Clean ones among them.
        seconds: The time that they took.
        stuck_frets: The frets of items that aren't done after two of the last seven days or more.
        stuck_passes: The passes of these days on them.
        stuck_days: On how many days these were.
        won: Items that were done in the last seven days.
    """

    box: str
    direction: str
    total: int
    clean: int
    weak_frets: tuple[int, ...]
    weak: int
    passes: int
    clean_passes: int
    seconds: float
    stuck_frets: tuple[int, ...]
    stuck_passes: int
    stuck_days: int
    won: int

    @property
    def is_begun(self) -> bool:
        """Whether anything of it was played in the round."""
        return self.passes > 0


@dataclass(frozen=True, slots=True)
class Look:
    """What a teacher sees of a player.

    Attributes:
        as_of: The day.
        routine: The name of the routine that goes onward.
        round: The number of its round.
        items_total: Its items.
        items_clean: Those that are clean.
        week: The last seven days, today among them.
        week_before: The seven days before.
        places: The boxes and couplings of the round, in order.
        finish: When the round will be finished.
        obstacle: What stands in the way of that; "" if nothing does.
        done_on: When it was finished; None if it isn't.
        last_played: The last day with passes; None if there is none.
        assigned: The assignment, if there is one.
    """

    as_of: date
    routine: str
    round: int
    items_total: int
    items_clean: int
    week: Week
    week_before: Week
    places: tuple[Place, ...]
    finish: Window
    obstacle: str
    done_on: date | None
    last_played: date | None
    assigned: Assigned | None

    @property
    def weakest(self) -> Place | None:
        """The place with the most weak items, of these the one with the fewest clean passes."""
        weak = [place for place in self.places if place.weak]
        return max(weak, key=lambda p: (p.weak, -p.clean_passes / p.passes), default=None)

    @property
    def share_change(self) -> float | None:
        """The change of the clean share from the week before; None where one has no passes."""
        now, before = self.week.share, self.week_before.share
        return None if now is None or before is None else now - before


def look_at(practice: Practice) -> Look:
    """Look at a player.

    Raises:
        LedgerError: The ledger can't be read.
    """
    state, today = practice.state, practice.now.day
    outcome, _ = outcomes(practice, WhatIf(), practice.now.date)
    projection, found = outcome.projection, assignment_report(practice)
    played = [day for day, tally in state.days.items() if tally.passes]
    return Look(
        as_of=practice.now.date,
        routine=state.routine.name,
        round=state.round.number,
        items_total=projection.items_total,
        items_clean=projection.items_clean,
        week=_week(practice, today),
        week_before=_week(practice, today - WEEK),
        places=_places(practice, trips_progress(practice, state.routine)),
        finish=projection.finish,
        obstacle=projection.obstacle or "",
        done_on=projection.milestones[-1].done_on,
        last_played=date.fromordinal(max(played)) if played else None,
        assigned=None if found is None else found.assigned,
    )


def _week(practice: Practice, last: int) -> Week:
    """The seven days up to a day (ordinal)."""
    all_days, today = practice.state.days, practice.now.day
    days = [all_days[day] for day in range(last - WEEK + 1, last + 1) if day in all_days]
    began = min((day for day, tally in all_days.items() if tally.passes), default=today + 1)
    was_planned, minutes = practice.was_planned(), practice.budget_minutes()
    planned = [
        day
        for day in range(max(last - WEEK + 1, began), last + 1)
        if was_planned(day) and (day != today or day in all_days)
    ]
    return Week(
        days=sum(day.passes > 0 for day in days),
        planned_days=len(planned),
        seconds=sum(day.practised_seconds for day in days),
        planned_seconds=sum(60 * minutes(day) for day in planned),
        passes=sum(day.passes for day in days),
        clean=sum(day.clean for day in days),
        new_clean=sum(day.new_clean for day in days),
    )


def _places(practice: Practice, trips: tuple[TripProgress, ...]) -> tuple[Place, ...]:
    judgements = practice.judge_all(item for each in trips for item in each.trip.items)
    stuck, won = _stuck_of_the_week(practice), _won_in_the_week(practice)
    tallies = practice.state.round.trips
    found = []
    for each in trips:
        key = _key(each.trip)
        tally = tallies.get(key, Tally())
        weak = [i for i in each.trip.items if judgements[i].standing is Standing.WEAK]
        found.append(
            Place(
                box=box_word(each.trip.box, coupling=each.trip.coupling, routine=each.trip.routine),
                direction=key[2],
                total=each.total,
                clean=each.clean,
                weak_frets=tuple(sorted({item.fret for item in weak})),
                weak=len(weak),
                passes=tally.passes,
                clean_passes=tally.clean,
                seconds=tally.seconds,
                stuck_frets=tuple(sorted({item.fret for item in stuck[key]})),
                stuck_passes=sum(len(days) for days in stuck[key].values()),
                stuck_days=len({day for days in stuck[key].values() for day in days}),
                won=won[key],
            )
        )
    return tuple(found)


def _key(trip: Trip) -> TripKey:
    return trip_key(trip.items[0])


def _won_in_the_week(practice: Practice) -> Mapping[TripKey, int]:
    """By trip: how many items were done in the last seven days."""
    state, first = practice.state, practice.now.day - WEEK + 1
    floor = state.floor_speed_of(state.routine)
    won: defaultdict[TripKey, int] = defaultdict(int)
    for item, history in state.histories.items():
        if item.routine is state.routine and history.last_day >= first:
            reached = history.reached_on(floor)
            won[trip_key(item)] += reached is not None and reached >= first
    return won


def _stuck_of_the_week(practice: Practice) -> Mapping[TripKey, dict[Item, list[int]]]:
    """By trip: items that aren't done, with the days of the passes of the last seven days.

    Only those played on two days or more; what was before the round began doesn't count.
    """
    state, first = practice.state, practice.now.day - WEEK + 1
    since = start_of_day(first, practice.now.offset_minutes).utc_ms
    begun = (each for each in practice.ledger.rounds() if each.routine is state.routine)
    since = max([since, *(each.moment.utc_ms for each in begun)])
    floor = state.floor_speed_of(state.routine)
    days: defaultdict[Item, list[int]] = defaultdict(list)
    for played in practice.ledger.passes(since):
        days[played.item].append(played.moment.day)
    stuck: defaultdict[TripKey, dict[Item, list[int]]] = defaultdict(dict)
    for item, played_on in days.items():
        is_done = state.history(item).reached_on(floor) is not None
        if len(set(played_on)) >= STUCK_DAYS and not is_done:
            stuck[trip_key(item)][item] = played_on
    return stuck
