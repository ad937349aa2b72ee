"""Simulated practice: a player takes the day's session, plays it, and it is recorded."""

from collections.abc import Callable
from dataclasses import dataclass, field

from scheduler.guitar.durations import SETTLE_SECONDS, opening_seconds
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.rounds import Trip, round_items, trips
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.pace import pace_of
from scheduler.plan.planner import plan_more, plan_session
from scheduler.plan.session import Session
from scheduler.plan.settings import Settings
from scheduler.player.facts import Fact, Fault, FloorChanged, Pass, RoundStarted
from scheduler.player.lookback import look_back
from scheduler.player.moments import Moment, start_of_day
from scheduler.player.replay import State, replay
from scheduler.player.standing import counts_in_round
from scheduler.player.tempo import Ability, suggested_tempo
from scheduler.stage.hands_on import HandsOn, Moved, Step, steps_of
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
    planner_of_more: PlanRule = plan_more
    tries: int = PASSES_A_VISIT
    listen: Callable[[Pass], None] | None = None
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
        """Begin the next round in the morning of a day, with the floor tempo that is proposed."""
        morning = start_of_day(day, self.offset_minutes)
        looked = look_back(self.ability(morning), self.order)
        facts: list[Fact] = [RoundStarted(self._next_id(), morning, self.state.round.number + 1)]
        if looked is not None and looked.next_floor is not None:
            self.settings = self.settings._replace(floor_tempo=float(looked.next_floor))
            facts.append(FloorChanged(self._next_id(), morning, floor_tempo=looked.next_floor))
        replay(facts, self.state)

    def _next_id(self) -> str:
        self.serial += 1
        return f"{self.serial:036d}"

    def practise(self, day: int) -> list[Pass]:
        """Plan, play and record one day; the passes in order.

        What stayed sloppy comes back, and then the list goes on, while there is time.
        """
        start = self.evening(day)
        budget = self.settings.budget_seconds
        evening = _Evening(
            self, start, min(budget, 60 * self.player.minutes(day, self.settings.minutes))
        )
        evening.play(self._plan(start, budget))
        while evening.goes_on and evening.has_time:
            now = evening.now
            evening.play(self._plan(now, evening.limit - evening.clock, is_first=False))
        return evening.found

    def _plan(self, now: Moment, budget: float, *, is_first: bool = True) -> Session:
        share = self.settings.revisit / 100
        days, minutes = self.state.days, self.settings.minutes
        pace = pace_of(days, now.day, self.settings.days, lambda _: minutes, share)
        budget *= min(1.0, pace.seconds_per_minute / 60)
        plan = self.planner if is_first else self.planner_of_more
        return plan(self.ability(now), self.order, budget, share)

    def told(
        self,
        item: Item,
        notes: int,
        tempo: BeatsPerMinute,
        now: Moment,
        *,
        clean: bool,
        errors: int,
    ) -> Pass:
        """A pass as the player tells of it."""
        event_id = self._next_id()
        told = chance_of(self.player.seed, "told", self.serial)
        fault = FAULTS[int(told * 30) % 3] if told < 0.6 else None
        return Pass(
            id=event_id,
            moment=now,
            item=item,
            notes=notes,
            tempo=tempo,
            notes_per_beat=self.settings.notes_per_beat,
            clean=clean,
            errors=0 if clean else (errors if told < COUNTED_SHARE else None),
            fault=None if clean else fault,
        )


@dataclass
class _Evening:
    """One day's session while it is played."""

    practice: Practice
    start: Moment
    limit: float
    clock: float = 0.0
    found: list[Pass] = field(default_factory=list)
    goes_on: bool = True

    @property
    def has_time(self) -> bool:
        """Whether there is time for another pass."""
        return self.clock < self.limit

    @property
    def now(self) -> Moment:
        """The time."""
        return Moment(self.start.utc_ms + int(self.clock * 1000), self.start.offset_minutes)

    def play(self, session: Session) -> None:
        """Play a plan, and what stayed sloppy once more after it."""
        steps = steps_of(session, lambda n: session.blocks[n - 1].all_items)
        self.goes_on = bool(steps)
        state = HandsOn(steps, tries=self.practice.tries)
        moved = Moved.BLOCK
        while state.place < len(state.steps) or state.come_back(self._comes_back_at):
            if moved in {Moved.BLOCK, Moved.OVER}:
                self.clock += opening_seconds(state.tempo) / self.practice.player.family.yield_share
            if not self.has_time:
                break
            moved = self._pass(state)

    def _comes_back_at(self, step: Step) -> BeatsPerMinute:
        return suggested_tempo(self.practice.ability(self.now), step.item)

    def _pass(self, state: HandsOn) -> Moved:
        assert state.step is not None
        practice, item, now = self.practice, state.step.item, self.now
        ability = practice.ability(now)
        notes = ability.notes(item)
        speed = speed_of(state.tempo, practice.settings.notes_per_beat)
        day = self.start.day + self.clock / 86_400
        clean, errors, _ = practice.player.play(item, notes, speed, day, self.clock / 60)
        self.clock += (notes / speed + SETTLE_SECONDS) / practice.player.family.yield_share
        played = practice.told(item, notes, state.tempo, now, clean=clean, errors=errors)
        self.found.append(played)
        if practice.listen is not None:
            practice.listen(played)
        replay([played], practice.state)
        return state.judge(lambda: suggested_tempo(practice.ability(now), item), clean=clean)
