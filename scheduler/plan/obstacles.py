"""What stands in the way of an end: told in a sentence instead of a date that can't be right."""

from collections.abc import Sequence
from statistics import median

from scheduler.guitar.durations import opening_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.rounds import Trip
from scheduler.plan.cost import visit_seconds
from scheduler.plan.practice_days import FURTHEST_DAYS, PracticeDays
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import Ability, onward_tempo

NO_CHANCE = 0.02
"""Where half of what remains is clean less than once in fifty passes, no date is given."""

NO_END = (
    "At this pace the round has no end within five years: more minutes, more days or a lower floor "
    "tempo would bring it nearer."
)


NOTHING_HERE = "Nothing of this round lies on this neck: upneck setup shows the neck."


def obstacle(ability: Ability, trips: Sequence[Trip], practice_days: PracticeDays) -> str | None:
    """What stands in the way of finishing the round at all; None if nothing does."""
    if not trips:
        return NOTHING_HERE
    left = [
        item for trip in trips for item in trip.items
        if not counts_in_round(ability.state.history(item), ability.floor_speed)
    ]  # fmt: skip
    if not left:
        return None
    today = ability.now.day
    if not any(practice_days.is_planned(day) for day in range(today, today + FURTHEST_DAYS)):
        return "No practice day is left: give weekdays with --days, or fewer days off."
    longest = max(_shortest_visit(ability, item) for item in _one_of_each_length(left))
    if longest > practice_days.minutes * 60:
        minutes = practice_days.minutes
        are = "1 minute a day is" if minutes == 1 else f"{minutes:g} minutes a day are"
        return (
            f"{are} too short for an item of this round: the longest take {longest / 60:.1f} "
            "minutes with their count-in."
        )
    chances = [ability.outlook(item).clean_chance(ability.floor_speed) for item in left]
    if median(chances) < NO_CHANCE:
        return (
            f"The floor tempo of {ability.floor_tempo:.4g} is out of reach: half of what is left "
            "would be clean less than once in fifty passes. A lower one would do: "
            "upneck round --floor-tempo."
        )
    return None


def _one_of_each_length(items: Sequence[Item]) -> list[Item]:
    """The first single and the first coupling among some items."""
    return list({item.coupling: item for item in reversed(items)}.values())


def _shortest_visit(ability: Ability, item: Item) -> float:
    """Seconds of one clean pass in a block of its own."""
    tempo = max(onward_tempo(ability, item), ability.floor_tempo)
    once = visit_seconds(ability.notes(item), tempo, ability.notes_per_beat, 1.0)
    return once + opening_seconds(tempo)
