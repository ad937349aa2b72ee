"""Simulated practice: a player takes the day's session, plays it, and it is recorded."""

from collections.abc import Callable
from dataclasses import dataclass, field

from scheduler.guitar.durations import SETTLE_SECONDS, opening_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, marks_away, speed_of
from scheduler.guitar.rounds import Trip, round_items, trips
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.planner import plan_session
from scheduler.plan.session import Session
from scheduler.plan.settings import Settings
from scheduler.player.facts import Fault, Pass, RoundStarted
from scheduler.player.moments import Moment, start_of_day
from scheduler.player.replay import State, replay
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import Ability, suggested_tempo
from tests.simulation.players import Player, chance_of

EVENING_MS = 19 * 3_600_000
COUNTED_SHARE = 0.5
FAULTS = (Fault.RINGING, Fault.SYNC, Fault.NOTES)

PlanRule = Callable[[Ability, tuple[Item, ...], float, float], Session]


@dataclass
class Practice:
    """A player, the settings, and what was recorded so far."""

    player: Player
    settings: Settings = field(default_factory=Settings)
    offset_minutes: int = 60
    state: State = field(default_factory=State)
    planner: PlanRule = plan_session
    serial: int = 0

    @property
    def order(self) -> tuple[Item, ...]:
        """The items of the round."""
        return round_items(self.settings.neck, self.state.round.number)

    @property
    def trips(self) -> tuple[Trip, ...]:
        """The trips of the round."""
        return trips(self.settings.neck, self.state.round.number)

    def ability(self, now: Moment) -> Ability:
        """The questions about tempo, asked at a moment."""
        s = self.settings
        return Ability(
            self.state,
            now,
            s.neck,
            s.notes_per_beat,
            BeatsPerMinute(s.floor_tempo),
            s.clean_target,
        )

    def evening(self, day: int) -> Moment:
        """Seven in the evening of a day."""
        midnight = start_of_day(day, self.offset_minutes)
        return Moment(midnight.utc_ms + EVENING_MS, self.offset_minutes)

    def is_finished(self) -> bool:
        """Whether every item of the round is done."""
        floor = self.settings.floor_speed
        return all(counts_in_round(self.state.history(item), floor) for item in self.order)

    def start_next_round(self, day: int) -> None:
        """Begin the next round in the morning of a day."""
        self.serial += 1
        number = self.state.round.number + 1
        morning = start_of_day(day, self.offset_minutes)
        replay([RoundStarted(f"{self.serial:036d}", morning, number)], self.state)

    def practise(self, day: int) -> list[Pass]:
        """Plan, play and record one day; the passes in order."""
        start = self.evening(day)
        session = self.planner(
            self.ability(start),
            self.order,
            self.settings.budget_seconds,
            self.settings.revisit / 100,
        )
        limit = self.player.minutes(day, self.settings.minutes) * 60
        found: list[Pass] = []
        clock = 0.0
        for block in session.blocks:
            clock += opening_seconds(block.tempo) / self.player.family.yield_share
            for planned in block.items:
                if clock >= limit:
                    return found
                clock = self._visit(planned.item, block.tempo, start, clock, found)
        return found

    def _visit(
        self,
        item: Item,
        tempo: BeatsPerMinute,
        start: Moment,
        clock: float,
        found: list[Pass],
    ) -> float:
        """Play an item until it is clean, three times at most; the seconds on the clock then."""
        for attempt in range(PASSES_A_VISIT):
            now = Moment(start.utc_ms + int(clock * 1000), start.offset_minutes)
            ability = self.ability(now)
            if attempt == PASSES_A_VISIT - 1:
                tempo = min(suggested_tempo(ability, item), marks_away(tempo, -1))
            speed = speed_of(tempo, self.settings.notes_per_beat)
            notes = ability.notes(item)
            day = start.day + clock / 86_400
            clean, errors, _ = self.player.play(item, notes, speed, day, clock / 60)
            clock += (notes / speed + SETTLE_SECONDS) / self.player.family.yield_share
            played = self._pass(item, notes, tempo, now, clean=clean, errors=errors)
            found.append(played)
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
