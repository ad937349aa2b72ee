"""A look at a player as lists and dictionaries, there and back: for JSON, and to be kept."""

from dataclasses import asdict
from datetime import date
from typing import Any

from scheduler.plan.assignment import Assignment
from scheduler.plan.projection import Window
from scheduler.practice.assignment import Assigned
from scheduler.practice.look import Look, Place, Week

Plain = dict[str, Any]
FRETS = ("weak_frets", "stuck_frets")
"""What of a place is a list."""


def look_to_dict(look: Look) -> Plain:
    """A look as JSON tells it: seconds, and days in ISO 8601."""
    weakest = look.weakest
    return {
        "as_of": look.as_of.isoformat(),
        "routine": look.routine,
        "round": look.round,
        "items_total": look.items_total,
        "items_clean": look.items_clean,
        "week": {**asdict(look.week), "clean_share": look.week.share},
        "week_before": {**asdict(look.week_before), "clean_share": look.week_before.share},
        "share_change": look.share_change,
        "weakest": None if weakest is None else _place(weakest),
        "places": [_place(place) for place in look.places],
        "finish": {
            **{name: _day(getattr(look.finish, name)) for name in ("early", "middle", "late")},
            "is_open": look.finish.is_open,
        },
        "obstacle": look.obstacle or None,
        "done_on": _day(look.done_on),
        "last_played": _day(look.last_played),
        "assignment": None if look.assigned is None else look.assigned.told(),
    }  # fmt: skip


def _place(place: Place) -> Plain:
    lists = {name: list(getattr(place, name)) for name in FRETS}
    return {**asdict(place), **lists}


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _date(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)


def look_from_dict(plain: Plain) -> Look:
    """The inverse of `look_to_dict`.

    Raises:
        KeyError, TypeError, ValueError: It is none.
    """
    finish, assigned = plain["finish"], plain["assignment"]
    return Look(
        as_of=date.fromisoformat(plain["as_of"]),
        routine=plain["routine"],
        round=plain["round"],
        items_total=plain["items_total"],
        items_clean=plain["items_clean"],
        week=_week(plain["week"]),
        week_before=_week(plain["week_before"]),
        places=tuple(
            Place(**place | {name: tuple(place[name]) for name in FRETS})
            for place in plain["places"]
        ),
        finish=Window(
            _date(finish["early"]), _date(finish["middle"]), _date(finish["late"]),
            is_open=finish["is_open"],
        ),
        obstacle=plain["obstacle"] or "",
        done_on=_date(plain["done_on"]),
        last_played=_date(plain["last_played"]),
        assigned=None if assigned is None else _assigned(assigned),
    )  # fmt: skip


def _assigned(plain: Plain) -> Assigned:
    until = date.fromisoformat(plain["until"])
    assignment = Assignment(tuple(plain["places"]), until, plain["by"], plain["words"])
    return Assigned(assignment, plain["items_total"], plain["items_clean"], plain["is_over"])


def _week(plain: Plain) -> Week:
    return Week(**{name: value for name, value in plain.items() if name != "clean_share"})
