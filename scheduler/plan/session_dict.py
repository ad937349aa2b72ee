"""A session as dictionaries and lists, and back: what is kept of a day's plan."""

from typing import Any

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.plan.session import Block, Break, PlannedItem, Reason, Session
from scheduler.player.facts import Fault


def session_to_dict(session: Session) -> dict[str, Any]:
    """A session as values that JSON keeps."""
    return {
        "day": session.day,
        "budget_seconds": session.budget_seconds,
        "blocks": [
            {
                "number": block.number,
                "reason": str(block.reason),
                "tempo": block.tempo,
                "notes_per_beat": block.notes_per_beat,
                "seconds": block.seconds,
                "fault": block.fault,
                "items": [
                    {
                        "item": planned.item.address,
                        "tempo": planned.tempo,
                        "clean_chance": planned.clean_chance,
                        "expected_passes": planned.expected_passes,
                        "seconds": planned.seconds,
                        "worth": planned.worth,
                        "why": planned.why,
                    }
                    for planned in block.items
                ],
            }
            for block in session.blocks
        ],
        "breaks": [list(each) for each in session.breaks],
        "cautions": list(session.cautions),
        "short_of_floor": session.short_of_floor,
        "fitting_floor": session.fitting_floor,
        "wanted_seconds": session.wanted_seconds,
        "is_round_done": session.is_round_done,
    }


def session_from_dict(plain: dict[str, Any], routines: Routines = INSIDE) -> Session:
    """The inverse of `session_to_dict`."""
    return Session(
        day=plain["day"],
        budget_seconds=plain["budget_seconds"],
        blocks=tuple(
            Block(
                number=block["number"],
                reason=Reason(block["reason"]),
                tempo=BeatsPerMinute(block["tempo"]),
                notes_per_beat=block["notes_per_beat"],
                seconds=block["seconds"],
                fault=None if block["fault"] is None else Fault(block["fault"]),
                items=tuple(
                    PlannedItem(
                        item=parse_address(planned["item"], routines),
                        tempo=BeatsPerMinute(planned["tempo"]),
                        clean_chance=planned["clean_chance"],
                        expected_passes=planned["expected_passes"],
                        seconds=planned["seconds"],
                        worth=planned["worth"],
                        why=planned["why"],
                    )
                    for planned in block["items"]
                ),
            )
            for block in plain["blocks"]
        ),
        breaks=tuple(Break(*each) for each in plain["breaks"]),
        cautions=tuple(plain["cautions"]),
        short_of_floor=plain["short_of_floor"],
        fitting_floor=BeatsPerMinute(floor) if (floor := plain.get("fitting_floor")) else None,
        wanted_seconds=plain.get("wanted_seconds", plain["budget_seconds"]),
        is_round_done=plain.get("is_round_done", False),
    )
