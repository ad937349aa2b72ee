"""What a session may hold: the candidates for warm-up, repair, refresh and onward."""

from collections.abc import Container, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from scheduler.guitar.items import Item, is_on_neck
from scheduler.guitar.keys import home_fret, key_of_item
from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, speed_of
from scheduler.guitar.rounds import along_the_neck
from scheduler.plan.session import Reason, Visit
from scheduler.player.progress import TripKey, trip_key
from scheduler.player.standing import Standing, counts_in_round, judge, slipped_chance
from scheduler.player.tempo import (
    COMFORTABLE_CHANCE,
    Ability,
    fastest_mark,
    onward_tempo,
    suggested_tempo,
    warm_up_tempo,
)

SHORT_OF_FLOOR = 0.1
"""Above this share of what is ahead out of reach, a lower floor tempo is advised (our choice)."""

EASY_CHANCE = 0.95
"""A warm-up item should be clean with at least this chance (our choice)."""


REVISITED = {Standing.WEAK: Reason.REPAIR, Standing.STALE: Reason.REFRESH}


@dataclass(frozen=True, slots=True)
class Candidates:
    """All that may be played, each list in the order in which it is preferred.

    Attributes:
        revisits: Repair and refresh of items that are done in the round or outside it.
        onward: Items that aren't done in the round, in its order, whether they were sloppy or not.
        homes: By the first item of a trip that wasn't begun in this round: the one in the home key,
            where the way is found before.
        known: Items that are done and not weak, in the round's order.
        short_of_floor: The share of the onward items with a chance under one half at the floor
            tempo.
        fitting_floor: The floor tempo that would suit, where that share is too large.
    """

    revisits: tuple[Visit, ...]
    onward: tuple[Item, ...]
    known: tuple[Item, ...]
    short_of_floor: float
    fitting_floor: BeatsPerMinute | None = None
    homes: Mapping[Item, Item] = field(default_factory=dict)

    def without(self, items: Container[Item]) -> "Candidates":
        """The same without some items, which are played anyway."""
        return replace(
            self,
            revisits=tuple(visit for visit in self.revisits if visit.item not in items),
            onward=tuple(item for item in self.onward if item not in items),
            known=tuple(item for item in self.known if item not in items),
        )


def candidates(
    ability: Ability, order: tuple[Item, ...], only: frozenset[Item] = frozenset()
) -> Candidates:
    """Judge every item of the round, and those of the neck played outside it.

    Args:
        ability: The record so far, the moment and the settings.
        order: The items of the round, in order.
        only: The items that may be revisited; none for all of them.
    """
    this_round = frozenset(order)
    outside = sorted(
        (
            item
            for item in ability.state.histories
            if item not in this_round
            and item.routine not in ability.resting
            and is_on_neck(ability.neck, item)
        ),
        key=along_the_neck,
    )
    revisits, onward, known = [], [], []
    short = 0
    for item in (*order, *outside):
        standing, why = judge(ability, item, this_round)
        history = ability.state.history(item)
        if item in this_round and not counts_in_round(history, ability.floor_speed):
            short += ability.outlook(item).clean_chance(ability.floor_speed) < COMFORTABLE_CHANCE
            onward.append(item)
        elif standing in REVISITED and (not only or item in only):
            revisits.append(_revisit(ability, item, REVISITED[standing], why))
        if standing in {Standing.CLEAN, Standing.STALE}:
            known.append(item)
    short_of_floor = short / len(onward) if onward else 0.0
    return Candidates(
        revisits=tuple(revisits),
        onward=tuple(onward),
        known=tuple(known),
        short_of_floor=short_of_floor,
        fitting_floor=_fitting_floor(ability, onward) if short_of_floor > SHORT_OF_FLOOR else None,
        homes=_homes(ability, order),
    )


def _homes(ability: Ability, order: tuple[Item, ...]) -> dict[Item, Item]:
    """The items in the home key of the trips that weren't begun, by the first item of each."""
    if ability.home_key is None:
        return {}
    trips: dict[TripKey, list[Item]] = {}
    for item in order:
        trips.setdefault(trip_key(item), []).append(item)
    homes = {}
    for first, *rest in trips.values():
        played = (ability.state.history(item).round_passes for item in (first, *rest))
        key = ability.home_key.in_mode(first.routine.mode)
        fret = home_fret(ability.neck, first, key)
        way_up = [item for item in rest if item.fret == fret and item.stroke is first.stroke]
        if way_up and not any(played):
            homes[first] = way_up[0]
    return homes


def home_visit(ability: Ability, item: Item) -> Visit:
    """The place of a box or coupling in the home key, unhurried."""
    tempo = warm_up_tempo(onward_tempo(ability, item))
    key = key_of_item(ability.neck, item).words
    named = "your home key"
    if ability.home_key is not None and ability.home_key.words != key:
        named = f"the relative of your home key, {ability.home_key.words}"
    return Visit(item, tempo, Reason.FIND_WAY, why=f"in {key}, {named}; take your time")


def _fitting_floor(ability: Ability, onward: Sequence[Item]) -> BeatsPerMinute:
    """The fastest mark at which nearly all of what is ahead has an even chance."""
    marks = sorted(
        fastest_mark(ability.outlook(item), ability.notes_per_beat, COMFORTABLE_CHANCE)
        for item in onward
    )
    return marks[int(SHORT_OF_FLOOR * len(marks))]


def _revisit(ability: Ability, item: Item, reason: Reason, why: str) -> Visit:
    """An item that is done, worth the chance that it has become weak times its notes."""
    outlook = ability.outlook(item)
    speed = NotesPerSecond(ability.state.history(item).working_speed)
    slipped = slipped_chance(outlook, speed) if speed else 1.0
    tempo = suggested_tempo(ability, item, outlook)
    return Visit(item, tempo, reason, slipped * ability.notes(item), why)


def onward_visit(ability: Ability, item: Item) -> Visit:
    """An item still ahead, at the tempo that suits it."""
    tempo = onward_tempo(ability, item)
    if not ability.state.history(item).last_was_clean:
        why = "sloppy last time, again in its place"
    elif tempo < ability.floor_tempo:
        why = "practice towards the floor tempo"
    else:
        why = "next in the round"
    return Visit(item, tempo, Reason.ONWARD, why=why)


def warm_ups(ability: Ability, found: Candidates, *, hard: bool = False) -> Iterator[Visit]:
    """Easy items at about four fifths of their tempo: what has gone stale first.

    Singles, and what was played longest ago first, its neighbours after it. Where nothing is known
    yet, slow onward items.

    Args:
        ability: The record so far, the moment and the settings.
        found: All that may be played.
        hard: Whether what has gone stale will do where nothing is easy; it also does where all that
            is known has gone stale, as after a bad evening.
    """
    if not found.known:
        for item in found.onward:
            tempo = warm_up_tempo(onward_tempo(ability, item))
            yield Visit(item, tempo, Reason.WARM_UP, why="slow, to warm up")
        return
    stale = {visit.item for visit in found.revisits}
    singles = [item for item in found.known if not item.coupling] or list(found.known)
    easy = [item for item in singles if _is_easy(ability, item)]
    why_stale = "gone stale and easy, to warm up"
    if not easy and (hard or stale.issuperset(singles)):
        easy, why_stale = singles, "known, slow, to warm up"
    for pool, why in (
        ([item for item in easy if item in stale], why_stale),
        ([item for item in easy or singles if item not in stale], "easy and clean, to warm up"),
    ):
        for item in _from_longest_ago(ability, pool):
            tempo = warm_up_tempo(suggested_tempo(ability, item))
            yield Visit(item, tempo, Reason.WARM_UP, why=why)


def _from_longest_ago(ability: Ability, pool: Sequence[Item]) -> Sequence[Item]:
    """A pool in its order, from the one played longest ago on."""
    if not pool:
        return ()
    first = min(pool, key=lambda item: (ability.state.history(item).last_ms, item))
    start = pool.index(first)
    return (*pool[start:], *pool[:start])


def _is_easy(ability: Ability, item: Item) -> bool:
    outlook = ability.outlook(item)
    tempo = warm_up_tempo(suggested_tempo(ability, item, outlook))
    return outlook.clean_chance(speed_of(tempo, ability.notes_per_beat)) >= EASY_CHANCE
