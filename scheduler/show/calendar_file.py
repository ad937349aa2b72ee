"""The calendar as a file (RFC 5545): planned sessions as events, milestones as all-day events.

Identifiers stay the same from file to file, so that importing twice doesn't double anything.
"""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from scheduler.plan.practice_days import PracticeDays
from scheduler.plan.projection import Milestone, Projection
from scheduler.practice.calendar import Outcome
from scheduler.show.dates import window_words
from scheduler.show.words import listed, milestone_words, round_words, trip_words

PRODUCT = "-//Upneck//practice calendar//EN"
MOST_DAYS = 366


def calendar_file(owner: str, stamp: datetime, start: time, outcome: Outcome) -> bytes:
    """Write the calendar.

    Args:
        owner: What tells this player's events from another's.
        stamp: When the file is made, aware.
        start: When sessions begin, in local time wherever the calendar is read.
        outcome: What is planned and what gets finished, and the day that looks ahead.
    """
    today, of_round = outcome.day, round_words(outcome.round_number, outcome.routine)
    practice_days, projection = outcome.practice_days, outcome.projection
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    for day in _session_days(today, practice_days, projection):
        begins = datetime.combine(day, start)
        event = _event(owner, f"session {day.isoformat()}", stamp)
        minutes = outcome.minutes_on(day.toordinal())
        event.add("summary", f"Upneck: practise {minutes:g} minutes")
        likely = outcome.trips_on.get(day.toordinal(), ())
        if likely:
            names = listed([trip_words(trip) for trip in likely])
            event.add("description", f"Likely new ground: {names}.")
        event.add("dtstart", begins)
        event.add("dtend", begins + timedelta(minutes=minutes))
        calendar.add_component(event)
    for milestone in projection.milestones:
        finished = milestone.done_on or milestone.window.middle
        if finished is not None:
            name = milestone_words(milestone, of_round)
            event = _event(owner, f"{of_round} milestone {name}", stamp)
            event.add("summary", f"Upneck: {name} {'finished' if milestone.done_on else 'about'}")
            event.add("description", _description(milestone, today))
            event.add("dtstart", finished)
            event.add("dtend", finished + timedelta(days=1))
            event.add("transp", "TRANSPARENT")
            calendar.add_component(event)
    return bytes(calendar.to_ical())


def _event(owner: str, name: str, stamp: datetime) -> Event:
    event = Event()
    event.add("uid", f"{uuid5(NAMESPACE_URL, f'urn:upneck:{owner}:{name}')}@upneck")
    event.add("dtstamp", stamp.astimezone(UTC))
    return event


def _session_days(
    today: date, practice_days: PracticeDays, projection: Projection
) -> Iterator[date]:
    """The planned days up to the late end of the round."""
    window = projection.finish
    finished = projection.milestones[-1].done_on is not None
    if finished or projection.obstacle is not None or window.middle is None:
        return
    last = window.late or window.middle
    for step in range(MOST_DAYS):
        day = today + timedelta(days=step)
        if day > last:
            return
        if practice_days.is_planned(day.toordinal()):
            yield day


def _description(milestone: Milestone, today: date) -> str:
    if milestone.done_on is not None:
        return "Every item of it was played clean at or above the floor tempo."
    return f"The middle of the projection; likely {window_words(milestone.window, today)}."
