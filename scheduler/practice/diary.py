"""The diary: what was recorded, day by day; any line of it can be taken back."""

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.ledger.acts import Act, act_numbered, acts_dated, events_of
from scheduler.player.moments import MS_PER_DAY, start_of_day
from scheduler.practice.practice import Practice
from scheduler.practice.undoing import Done, done_by, undo

DAYS_SHOWN = 7
"""So many days with entries are shown (our choice)."""
FURTHEST_DAYS = 366
"""So far back they are looked for; --day shows any other day."""


class Line(NamedTuple):
    """An entry of the record that was made on this machine.

    Attributes:
        number: What names it, until it is taken back.
        done: What it did.
    """

    number: int
    done: Done


class DiaryDay(NamedTuple):
    """A day's entries.

    Attributes:
        day: The day that they are dated to.
        passes: Passes of that day, also those that came from elsewhere.
        clean: Clean ones among them.
        seconds: Time practised.
        lines: The entries, oldest first.
    """

    day: date
    passes: int
    clean: int
    seconds: float
    lines: tuple[Line, ...]


def diary(practice: Practice, day: date | None) -> list[DiaryDay]:
    """What was recorded on a day, or on the last days with anything; newest day first.

    Raises:
        LedgerError: The ledger can't be read.
    """
    now = practice.now
    last = now.day if day is None else day.toordinal()
    first = last - FURTHEST_DAYS + 1 if day is None else last
    since = start_of_day(first, now.offset_minutes).utc_ms
    until = start_of_day(last + 1, now.offset_minutes).utc_ms
    # A day begins at another time where it was entered in another zone.
    acts = acts_dated(practice.ledger, since - MS_PER_DAY, until + MS_PER_DAY)
    by_day: dict[int, list[Act]] = {}
    for dated, act in acts:
        if first <= dated.day <= last:
            by_day.setdefault(dated.day, []).append(act)
    # What came from elsewhere was played on other days than it was taken in.
    played = {each for each, tally in practice.state.days.items() if tally.passes}
    shown = {each for each in played | by_day.keys() if first <= each <= last}
    days = sorted(shown, reverse=True)[: DAYS_SHOWN if day is None else 1]
    return [_day(practice, each, by_day.get(each, ())) for each in days]


def _day(practice: Practice, day: int, acts: Sequence[Act]) -> DiaryDay:
    tally = practice.state.days.get(day)
    lines = (
        Line(act.number, done_by(practice, act, events_of(practice.ledger, act))) for act in acts
    )
    return DiaryDay(
        day=date.fromordinal(day),
        passes=tally.passes if tally else 0,
        clean=tally.clean if tally else 0,
        seconds=tally.practised_seconds if tally else 0.0,
        lines=tuple(line for line in lines if line.done.ids),
    )


def take_back_line(practice: Practice, number: int) -> Done:
    """Take back a line of the diary, whole.

    Raises:
        RecordError: There is no such line.
        LedgerError: The file can't be written.
    """
    act = act_numbered(practice.ledger, number)
    if act is None or act.undone is not None:
        msg = f"the diary has no line {number}: upneck diary shows them"
        raise RecordError(msg)
    return undo(practice, act, only_last=False)
