"""JSON: one object a command, with seconds and ISO 8601 dates."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date
from typing import Any

from scheduler.guitar.items import Item
from scheduler.guitar.routine import Routine
from scheduler.plan.projection import Window
from scheduler.plan.session import Session
from scheduler.plan.session_dict import session_to_dict
from scheduler.plan.settings import Settings, format_setting
from scheduler.player.facts import Pass
from scheduler.player.lookback import LookBack
from scheduler.player.standing import Judgement
from scheduler.practice.assignment import AssignmentReport
from scheduler.practice.calendar import Outcome
from scheduler.practice.items import ItemLine, ItemReport
from scheduler.practice.rounds import RoundReport
from scheduler.practice.routines import RoutineLine, RoutineReport
from scheduler.show.words import (
    PART_WORDS,
    block_words,
    item_words,
    key_words,
    milestone_words,
    round_words,
    trip_words,
)

DECIMALS = 6
Plain = dict[str, Any]


def as_text(value: Plain) -> str:
    """One object as text; numbers to six decimals."""
    return json.dumps(_rounded(value), ensure_ascii=True, indent=2, allow_nan=False)


def _rounded(value: Any) -> Any:  # noqa: ANN401
    match value:
        case float():
            return int(value) if value.is_integer() else round(value, DECIMALS)
        case dict():
            return {key: _rounded(each) for key, each in value.items()}
        case list() | tuple():
            return [_rounded(each) for each in value]
        case _:
            return value


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def session_json(session: Session, left: Mapping[int, tuple[Item, ...]]) -> Plain:
    """Today's session."""
    plain = session_to_dict(session)
    for block, described in zip(session.blocks, plain["blocks"], strict=True):
        items = block.all_items
        described["label"] = block_words(items)
        for item, entry in zip(items, described["items"], strict=True):
            entry["done"] = item not in left[block.number]
    return {
        "date": date.fromordinal(session.day).isoformat(),
        "budget_seconds": session.budget_seconds,
        "planned_seconds": session.planned_seconds,
        "warm_up_seconds": session.warm_up_seconds,
        "breaks": [pause._asdict() for pause in session.breaks],
        "blocks": plain["blocks"],
        "cautions": plain["cautions"],
        "short_of_floor": session.short_of_floor,
        "fitting_floor": session.fitting_floor,
        "is_round_done": session.is_round_done,
    }


def assignment_json(report: AssignmentReport | None) -> Plain | None:
    """What a teacher assigned, and how far it is done."""
    return None if report is None else report.assigned.told()


def _window(window: Window) -> Plain:
    return {"early": _day(window.early), "middle": _day(window.middle), "late": _day(window.late)}


def calendar_json(outcome: Outcome, shown: range) -> Plain:
    """The calendar; `shown` are the days (ordinals) that get an entry of their own."""
    as_of, days = outcome.day, outcome.state.days
    of_round = round_words(outcome.round_number, outcome.routine)
    practice_days, projection, pace = outcome.practice_days, outcome.projection, outcome.pace
    return {
        "as_of": as_of.isoformat(),
        "pace": {
            "days_per_week": pace.days_per_week(practice_days.weekdays),
            "minutes_per_day": practice_days.minutes * pace.ratio,
            "clean_share": pace.clean_share,
            "seconds_per_minute": pace.seconds_per_minute,
        },
        "items_total": projection.items_total,
        "items_clean": projection.items_clean,
        "finish": _window(projection.finish),
        "obstacle": projection.obstacle,
        "milestones": [
            {
                "name": milestone_words(milestone, of_round),
                **_window(milestone.window),
                "done_on": _day(milestone.done_on),
            }
            for milestone in projection.milestones
        ],
        "days": [
            {
                "date": date.fromordinal(day).isoformat(),
                "practised_seconds": days[day].practised_seconds if day in days else 0,
                "passes": days[day].passes if day in days else 0,
                "items_clean": days[day].new_clean if day in days else 0,
                "planned_seconds": (
                    outcome.minutes_on(day) * 60
                    if day >= as_of.toordinal() and practice_days.is_planned(day)
                    and day in projection.expected_clean
                    else 0
                ),
                "expected_clean": projection.expected_clean.get(day, 0),
            }
            for day in shown
        ],
    }  # fmt: skip


def pass_json(played: Pass) -> Plain:
    """One pass."""
    return {
        "id": played.id,
        "at": played.moment.isoformat(),
        "tempo": played.tempo,
        "notes_per_beat": played.notes_per_beat,
        "clean": played.clean,
        "errors": played.errors,
        "fault": played.fault,
        "note": played.note,
    }


def item_json(report: ItemReport) -> Plain:
    """One item."""
    return {
        "item": report.item.address,
        "label": item_words(report.item),
        "key": report.key,
        "notes": report.notes,
        "standing": report.judgement.standing,
        "why": report.judgement.why,
        "working_tempo": report.working_tempo,
        "suggested_tempo": report.suggested_tempo,
        "clean_chance": report.clean_chance,
        "holds_days": report.holds_days,
        "days_since": report.days_since,
        "fastest_clean": report.fastest_clean,
        "planned_in": report.planned_in,
        "chances": [{"tempo": mark, "clean_chance": chance} for mark, chance in report.chances],
        "belief": {**asdict(report.account), "expected": report.account.expected},
        "passes": [pass_json(played) for played in report.passes],
        "resets": [reset.moment.isoformat() for reset in report.resets],
    }


def items_json(lines: Sequence[ItemLine]) -> Plain:
    """A list of items."""
    return {
        "items": [
            {
                "item": line.item.address,
                "label": item_words(line.item),
                "standing": line.judgement.standing,
                "why": line.judgement.why,
                "key": line.key.words,
                "suggested_tempo": line.suggested_tempo,
                "clean_chance": line.clean_chance,
                "passes": line.passes,
                "last_at": line.last_at,
            }
            for line in lines
        ]
    }


def events_json(word: str, ids: Sequence[str], judgements: Mapping[Item, Judgement]) -> Plain:
    """What record, undo, redo and reset did: the events, the items, and where these stand now."""
    return {
        word: list(ids),
        "items": [item.address for item in judgements],
        "standing": {item.address: str(each.standing) for item, each in judgements.items()},
    }


def round_json(report: RoundReport) -> Plain:
    """Where the round stands."""
    return {
        "number": report.number,
        "floor_tempo": report.floor_tempo,
        "started_on": _day(report.started_on),
        "items_total": report.total,
        "items_clean": report.clean,
        "visits_all": report.visits_all,
        "look_back": None
        if report.look_back is None
        else _look_back(report.look_back, report.routine),
        "parts": [
            {
                "name": PART_WORDS[part],
                "items_total": sum(each.total for each in trips),
                "items_clean": sum(each.clean for each in trips),
                "boxes": [
                    {
                        "name": trip_words(each.trip),
                        "items_total": each.total,
                        "items_clean": each.clean,
                    }
                    for each in trips
                ],
            }
            for part, trips in report.parts()
        ],
    }


def _look_back(back: LookBack, routine: Routine) -> Plain:
    return {
        "seconds": back.total.seconds,
        "days": back.days,
        "passes": back.total.passes,
        "clean_share": back.total.clean / back.total.passes,
        "first_tempo": back.first_tempo,
        "last_tempo": back.last_tempo,
        "hardest": [
            {"name": key_words(key, routine), "clean_share": clean} for key, clean in back.hardest
        ],
        "next_floor_tempo": back.next_floor,
    }


def settings_json(settings: Settings) -> Plain:
    """The settings; weekdays in words."""
    return {
        name: format_setting(value) if isinstance(value, frozenset) else value
        for name, value in settings._asdict().items()
    }


def _routine_line(line: RoutineLine) -> Plain:
    report = line.round
    return {
        "name": line.routine.name,
        "title": line.routine.title,
        "goes_onward": line.goes_onward,
        "rests": line.rests,
        "is_begun": line.is_begun,
        "round": report.number,
        "floor_tempo": report.floor_tempo,
        "started_on": _day(report.started_on),
        "items_total": report.total,
        "items_clean": report.clean,
    }


def routines_json(lines: Sequence[RoutineLine]) -> Plain:
    """All routines, and where each stands."""
    return {"routines": [_routine_line(line) for line in lines]}


def routine_json(report: RoutineReport) -> Plain:
    """One routine: what it is and what it would take."""
    routine = report.line.routine
    return {
        **_routine_line(report.line),
        "scale": list(routine.scale),
        "notes_a_string": routine.notes_a_string,
        "group": routine.group,
        "step": routine.step,
        "times_round": routine.times_round,
        "parts": [PART_WORDS[part] for part in routine.parts],
        "boxes": [
            {
                "box": sheet.item.box,
                "item": sheet.item.address,
                "key": sheet.key,
                "strings": [list(frets) for frets in sheet.boxes()[0].strings],
            }
            for sheet in report.boxes
        ],
        "notes": report.notes,
        "misfit": report.misfit or None,
        "finish": None if report.finish is None else _window(report.finish),
        "obstacle": report.obstacle,
    }
