"""Rounds beside each other: what each took, and what became of its weak places."""

from datetime import date
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, tempo_of
from scheduler.guitar.rounds import round_items
from scheduler.player.chronicle import PastRound
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice


class RoundLine(NamedTuple):
    """A round of the routine that goes onward.

    Attributes:
        number: Its number.
        started: When it began; None before its first pass.
        done_on: When the last item of one that ended was clean; None where some were left. It is
            told by the neck of now.
        ended: When the next one began; None for the one under way.
        days: Days with passes of it.
        seconds: The time its passes took, with the ways between them.
        passes: Passes.
        clean: Clean ones among them.
        tempo: The median of its items' fastest clean passes; None before a clean one.
        weak: The items whose last pass in it was sloppy.
        weak_now: Those of them that were not played clean since, or are weak again.
    """

    number: int
    started: date | None
    done_on: date | None
    ended: date | None
    days: int
    seconds: float
    passes: int
    clean: int
    tempo: BeatsPerMinute | None
    weak: int
    weak_now: int


def round_lines(practice: Practice) -> tuple[RoundLine, ...]:
    """The rounds of the routine that goes onward, the one under way last."""
    state, beat = practice.state, practice.settings.notes_per_beat
    found = []
    for past in state.chronicle.rounds:
        if past.routine is state.routine:
            speed = NotesPerSecond(past.speed)
            found.append(
                RoundLine(
                    past.number, date.fromordinal(past.started), _done_on(practice, past),
                    date.fromordinal(past.ended), past.days, past.seconds, past.passes, past.clean,
                    tempo_of(speed, beat) if speed else None,
                    len(past.weak), _still_weak(practice, past.weak),
                )
            )  # fmt: skip
    return (*found, _under_way(practice))


def _done_on(practice: Practice, past: PastRound) -> date | None:
    both = practice.settings.both_directions
    items = past.items or len(
        round_items(practice.neck, past.number, both_directions=both, routine=past.routine)
    )
    return date.fromordinal(past.last_done) if past.done >= items else None


def _under_way(practice: Practice) -> RoundLine:
    state, beat = practice.state, practice.settings.notes_per_beat
    now = state.round_until(practice.now.day, state.routine)
    return RoundLine(
        number=now.number,
        started=date.fromordinal(now.started) if now.started else None,
        done_on=None,
        ended=None,
        days=now.days,
        seconds=now.seconds,
        passes=now.passes,
        clean=now.clean,
        tempo=tempo_of(NotesPerSecond(now.speed), beat) if now.speed else None,
        weak=len(now.weak),
        weak_now=_still_weak(practice, now.weak),
    )


def _still_weak(practice: Practice, weak: tuple[Item, ...]) -> int:
    """How many of some items were not played clean since, or are weak again."""
    histories = {item: practice.state.history(item) for item in weak}
    judged = practice.judge_all(item for item in weak if practice.has(item))
    weak_again = {item for item, each in judged.items() if each.standing is Standing.WEAK}
    return sum(
        item in weak_again or not history.passes or not history.last_was_clean
        for item, history in histories.items()
    )
