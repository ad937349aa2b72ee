"""A history is a few lines of text, one a pass: the day, the item, the tempo, the result.

A day is a number from 1, a time of day may follow it: `1`, `1.5`. A result is `clean`, `sloppy`, or
`sloppy 3` with the errors counted.
"""

from datetime import date

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.player.facts import Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment, start_of_day

FIRST_DAY = date(2026, 11, 1).toordinal()


def moment(day: float) -> Moment:
    """Midnight of day 1 is 1 November 2026, UTC."""
    return Moment(start_of_day(FIRST_DAY, 0).utc_ms + round((day - 1) * MS_PER_DAY), 0)


def facts(text: str) -> list[Pass | Reset | RoundStarted]:
    """Read a history; `reset` and `round N` stand where a tempo would."""
    found: list[Pass | Reset | RoundStarted] = []
    for number, line in enumerate(filter(None, map(str.strip, text.splitlines()))):
        day, what, *rest = line.split()
        event_id, when = f"{number:036d}", moment(float(day))
        if what == "round":
            found.append(RoundStarted(event_id, when, int(rest[0])))
        elif rest[0] == "reset":
            found.append(Reset(event_id, when, parse_address(what)))
        else:
            item = parse_address(what)
            clean = rest[1] == "clean"
            errors = 0 if clean else int(rest[2]) if len(rest) > 2 else None
            notes = item.notes_on(6)
            found.append(
                Pass(event_id, when, item, notes, BeatsPerMinute(float(rest[0])), 3, clean, errors)
            )
    return found
