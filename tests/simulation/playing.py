"""Simulated practice: a player takes the day's session, plays it, and it is recorded."""

from collections.abc import Callable
from dataclasses import dataclass, field

from scheduler.guitar.durations import SETTLE_SECONDS, opening_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, marks_away, speed_of
from scheduler.guitar.rounds import round_items
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.planner import plan_session
from scheduler.plan.session import Reason, Session
from scheduler.plan.settings import Settings
from scheduler.player.facts import Fault, Pass
from scheduler.player.moments import Moment, start_of_day
from scheduler.player.replay import State, replay
from scheduler.player.tempo import Bench, suggested_tempo
from tests.simulation.players import Player, chance_of

EVENING_MS = 19 * 3_600_000
COUNTED_SHARE = 0.5
FAULTS = (Fault.RINGING, Fault.SYNC, Fault.NOTES)

Planner = Callable[[Bench, tuple[Item, ...], float, float], Session]


@dataclass(frozen=True)
class Outcome:
    """A pass with what was predicted of it and what was true."""

    played: Pass
    predicted: float
    true_chance: float
    at_suggested: bool
    reason: Reason


@dataclass
class Practice:
    """A player, the settings, and what was recorded so far."""

    player: Player
    settings: Settings = field(default_factory=Settings)
    offset_minutes: int = 60
    state: State = field(default_factory=State)
    outcomes: list[Outcome] = field(default_factory=list)
    minutes_by_day: dict[int, float] = field(default_factory=dict)
    planner: Planner = plan_session
    serial: int = 0

    @property
    def order(self) -> tuple[Item, ...]:
        return round_items(
            self.settings.neck,
            self.state.round_number,
            both_directions=self.settings.both_directions,
        )

    def bench(self, now: Moment) -> Bench:
        s = self.settings
        return Bench(
            self.state, now, s.neck.strings, s.notes_per_beat, s.floor_speed, s.clean_target
        )

    def evening(self, day: int) -> Moment:
        midnight = start_of_day(day, self.offset_minutes)
        return Moment(midnight.utc_ms + EVENING_MS, self.offset_minutes)

    def practise(self, day: int, budget_minutes: float | None = None) -> list[Pass]:
        """Plan, play and record one day; the passes in order."""
        budget = budget_minutes or self.settings.minutes
        start = self.evening(day)
        session = self.planner(
            self.bench(start), self.order, budget * 60, self.settings.revisit / 100
        )
        limit = self.player.minutes(day, budget) * 60
        self.minutes_by_day[day] = limit / 60
        found: list[Pass] = []
        clock = 0.0
        pace = 1 / self.player.family.yield_share
        for block in session.blocks:
            clock += opening_seconds(block.tempo) * pace
            for planned in block.items:
                if clock >= limit:
                    return found
                clock = self._visit(planned.item, block.tempo, block.reason, start, clock, found)
        return found

    def _visit(
        self,
        item: Item,
        tempo: BeatsPerMinute,
        reason: Reason,
        start: Moment,
        clock: float,
        found: list[Pass],
    ) -> float:
        beat = self.settings.notes_per_beat
        pace = 1 / self.player.family.yield_share
        for attempt in range(PASSES_A_VISIT):
            now = Moment(start.utc_ms + int(clock * 1000), start.offset_minutes)
            bench = self.bench(now)
            outlook = bench.outlook(item)
            suggested = suggested_tempo(bench, item, outlook)
            if attempt == PASSES_A_VISIT - 1:
                tempo = min(suggested, marks_away(tempo, -1))
            speed = speed_of(tempo, beat)
            notes = bench.notes(item)
            day = start.day + (now.utc_ms - start.utc_ms) / 86_400_000
            clean, errors, truth = self.player.play(item, notes, speed, day, clock / 60)
            predicted = outlook.clean_chance(speed)
            clock += (notes / speed + SETTLE_SECONDS) * pace
            played = self._pass(item, notes, tempo, now, clean=clean, errors=errors)
            found.append(played)
            self.outcomes.append(Outcome(played, predicted, truth, tempo == suggested, reason))
            replay([played], self.state)
            if clean:
                break
        return clock

    def _pass(
        self,
        item: Item,
        notes: int,
        tempo: BeatsPerMinute,
        now: Moment,
        *,
        clean: bool,
        errors: int,
    ) -> Pass:
        self.serial += 1
        told = chance_of(self.player.seed, "told", self.serial)
        fault = FAULTS[int(told * 30) % 3] if told < 0.6 else None
        return Pass(
            id=f"{self.serial:036d}",
            moment=now,
            item=item,
            notes=notes,
            tempo=tempo,
            notes_per_beat=self.settings.notes_per_beat,
            clean=clean,
            errors=0 if clean else (errors if told < COUNTED_SHARE else None),
            fault=None if clean else fault,
        )
