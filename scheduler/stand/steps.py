"""The steps of a session as the page is told them."""

from collections.abc import Sequence
from typing import Any

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.stage.hands_on import Step


def step_key(step: Step) -> str:
    """A step in one word: its block, its item, and whether that came back."""
    back = "" if step.again_at is None else " back"
    return f"{step.block.number} {step.item.address}{back}"


def steps_told(steps: Sequence[Step], suggested: Sequence[BeatsPerMinute]) -> list[dict[str, Any]]:
    """Steps as the page needs them, each with the belief's tempo for its item."""
    return [
        {
            "key": step_key(step),
            "block": step.block.number,
            "item": step.item.address,
            "fret": step.item.fret,
            "number": step.number,
            "of": step.of,
            "rest": step.rest_seconds,
            "tempo": step.block.tempo,
            "again_at": step.again_at,
            "suggested": tempo,
            "notes_per_beat": step.block.notes_per_beat,
        }
        for step, tempo in zip(steps, suggested, strict=True)
    ]
