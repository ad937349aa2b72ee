"""The report of a player, put together."""

from dataclasses import dataclass
from datetime import date

from scheduler.guitar.metronome import BeatsPerMinute, NotesPerSecond, tempo_of
from scheduler.guitar.routine import Routine
from scheduler.player.chronicle import Tempos, Told
from scheduler.practice.neck_map import Row, neck_map
from scheduler.practice.practice import Practice
from scheduler.practice.report.faults import FaultsReport, faults_report
from scheduler.practice.report.minutes import TimeSpent, time_spent
from scheduler.practice.report.next import Next, what_next
from scheduler.practice.report.periods import Period, periods_of
from scheduler.practice.report.rounds import RoundLine, round_lines
from scheduler.practice.report.way import Way, way_of


@dataclass(frozen=True, slots=True)
class Report:
    """Where a player stands.

    Attributes:
        as_of: The day.
        routine: The routine that goes onward.
        round_number: The number of its round.
        passes: All passes that were recorded.
        next: What to play next.
        way: The way to the end of the round.
        neck: The round's boxes and couplings by fret.
        frets: The last fret of the neck.
        is_left_handed: Whether the neck is drawn mirrored.
        notes_per_beat: What tempos are told in.
        tempos: The working tempos at the end of each week with passes, the present ones last.
        told: How chances came out, by fifth of the chance that was told, lowest first.
        told_since: The day of the first pass among them; None without any.
        time: Where the time went.
        faults: What goes wrong.
        rounds: The rounds of the routine, the one under way last.
    """

    as_of: date
    routine: Routine
    round_number: int
    passes: int
    next: Next
    way: Way
    neck: tuple[Row, ...]
    frets: int
    is_left_handed: bool
    notes_per_beat: int
    tempos: tuple[Tempos, ...]
    told: tuple[Told, ...]
    told_since: date | None
    time: TimeSpent
    faults: FaultsReport
    rounds: tuple[RoundLine, ...]

    def tempo(self, speed: float) -> BeatsPerMinute:
        """A tempo in beats a minute, of a speed in notes per second."""
        return tempo_of(NotesPerSecond(speed), self.notes_per_beat)


def report_of(practice: Practice) -> Report:
    """The report of a player as of now.

    Raises:
        LedgerError: The ledger can't be read.
    """
    state, periods = practice.state, _periods(practice)
    since = state.chronicle.told_since
    return Report(
        as_of=practice.now.date,
        routine=state.routine,
        round_number=state.round.number,
        passes=sum(day.passes for day in state.days.values()),
        next=what_next(practice),
        way=way_of(practice),
        neck=tuple(neck_map(practice)),
        frets=practice.neck.frets,
        is_left_handed=practice.settings.left_handed,
        notes_per_beat=practice.settings.notes_per_beat,
        tempos=_tempos(practice),
        told=tuple(state.chronicle.told),
        told_since=date.fromordinal(since) if since else None,
        time=time_spent(practice, periods),
        faults=faults_report(practice, periods),
        rounds=round_lines(practice),
    )


def _tempos(practice: Practice) -> tuple[Tempos, ...]:
    state, today = practice.state, practice.now.day
    # The last week is noted by the first fact after it, which is still to come.
    ended = (*state.chronicle.tempos, *state.tempos_due(today))
    of_routine = (each for each in ended if each.routine is state.routine)
    return (*of_routine, state.tempos_on(today, state.routine))


def _periods(practice: Practice) -> list[Period]:
    """From the first day with passes to today, whatever a clock that was ahead dated later."""
    played = [day for day, tally in practice.state.days.items() if tally.passes]
    today = practice.now.day
    return periods_of(min([today, *played]), today)
