"""A player's practice at one moment: the ledger, and what follows from it."""

from bisect import bisect_right
from collections.abc import Callable, Iterable
from functools import cached_property
from typing import TypeVar

from scheduler.errors import LedgerError, SchedulerError
from scheduler.guitar.definitions import in_words
from scheduler.guitar.items import Item, is_on_neck
from scheduler.guitar.keys import parse_key
from scheduler.guitar.neck import Neck
from scheduler.guitar.rounds import Trip, trips, trips_of_some
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE, Routines
from scheduler.ledger.cache import Loaded, Watch, current_state, state_before
from scheduler.ledger.definitions import routines_bound
from scheduler.ledger.plans import Basis
from scheduler.ledger.record import Ledger
from scheduler.ledger.settings_said import setting_changes, setting_history
from scheduler.plan.pace import Pace, pace_of
from scheduler.plan.practice_days import weekday_of
from scheduler.plan.settings import Settings, in_force
from scheduler.plan.values import parse_days, parse_minutes
from scheduler.player.moments import Moment
from scheduler.player.replay import State
from scheduler.player.standing import Judgement, judge
from scheduler.player.tempo import Ability

Value = TypeVar("Value")

DAMAGED_STATE = (
    "what was kept of the ledger's state was damaged; it was built again from the record"
)


class Practice:
    """What every request of a player works with.

    Attributes:
        ledger: The open ledger; whoever opened it closes it.
        now: The moment.
        notices: What the player should be told beside the answer, a line each.
        settings: The settings in force.
    """

    def __init__(self, ledger: Ledger, now: Moment, watch: Watch = iter) -> None:
        """Read the settings.

        Args:
            ledger: An open ledger.
            now: What the clock says.
            watch: Gets the facts that have to be folded and gives them back one by one.

        Raises:
            LedgerError: The ledger can't be read.
        """
        self.ledger = ledger
        self.now = now
        self.notices: list[str] = []
        self._watch = watch
        self._before: Loaded | None = None
        self.settings = self._read_settings()

    def tell(self, notice: str) -> None:
        """Note a line that the player should be told, once."""
        if notice not in self.notices:
            self.notices.append(notice)

    def _read_settings(self) -> Settings:
        try:
            settings, left_out = in_force(setting_changes(self.ledger))
        except LedgerError:
            raise
        except SchedulerError as problem:
            msg = (
                f"ledger {self.ledger.path}: a setting in it is damaged ({problem}): put a backup "
                "in its place"
            )
            raise LedgerError(msg) from problem
        if left_out:
            words = ", ".join(f"{name} {text}" for name, text in sorted(left_out.items()))
            self.tell(f"no box would fit with {words}: left out; upneck setup")
        return settings

    @cached_property
    def _loaded(self) -> Loaded:
        loaded = current_state(self.ledger, self._watch, self._before)
        if loaded.was_damaged:
            self.tell(DAMAGED_STATE)
        return loaded

    @property
    def state(self) -> State:
        """The state after everything recorded."""
        return self._loaded.state

    def look_again(self) -> None:
        """Read settings and state anew, after something was changed."""
        self._before = self.__dict__.pop("_loaded", self._before)
        self.settings = self._read_settings()

    @property
    def neck(self) -> Neck:
        """The player's neck."""
        return self.settings.neck

    @property
    def routines(self) -> Routines:
        """The routines there are: those inside the program, and the player's own."""
        with self.ledger.reading():
            return routines_bound(self.ledger.db.conn)

    @property
    def resting(self) -> frozenset[Routine]:
        """The routines that are left out of revisits."""
        names = self.settings.resting.split()
        return frozenset(each for each in self.ledger.routines.values() if each.name in names)

    def trips(self, state: State | None = None, routine: Routine | None = None) -> tuple[Trip, ...]:
        """The trips of the round, in order; only items that the neck has.

        Args:
            state: What was concluded from the record; None for now's.
            routine: The routine; None for the one that goes onward.
        """
        state = state or self.state
        routine = routine or state.routine
        this_round = state.round_of(routine)
        if this_round.only:
            return trips_of_some(self.neck, this_round.only)
        both = self.settings.both_directions
        return trips(self.neck, this_round.number, both_directions=both, routine=routine)

    @property
    def order(self) -> tuple[Item, ...]:
        """The items of the round, in order."""
        return self.order_of(self.state.routine)

    def order_of(self, routine: Routine) -> tuple[Item, ...]:
        """The items of a routine's round, in order."""
        return tuple(item for trip in self.trips(routine=routine) for item in trip.items)

    def has(self, item: Item) -> bool:
        """Whether the neck has a position for an item."""
        return is_on_neck(self.neck, item)

    def ability(
        self,
        at: Moment | None = None,
        clean_target: float | None = None,
        state: State | None = None,
        routine: Routine | None = None,
    ) -> Ability:
        """What the player can do, now or at another moment, with a routine that goes onward."""
        state = state or self.state
        routine = routine or state.routine
        return Ability(
            state=state,
            now=at or self.now,
            neck=self.neck,
            notes_per_beat=self.settings.notes_per_beat,
            floor_tempo=state.round_of(routine).floor_tempo,
            clean_target=clean_target or self.settings.clean_target,
            routine=routine,
            resting=self.resting,
            home_key=parse_key(self.settings.home_key) if self.settings.home_key else None,
        )

    def state_at(self, moment: Moment) -> State:
        """The state as it was at an earlier moment; now's if it isn't earlier."""
        if moment.utc_ms >= self.now.utc_ms:
            return self.state
        return state_before(self.ledger, moment.utc_ms)

    def judge_all(self, items: Iterable[Item]) -> dict[Item, Judgement]:
        """Where items stand now, each in its own routine's round."""
        items = list(items)
        rounds = {
            routine: (self.ability(routine=routine), frozenset(self.order_of(routine)))
            for routine in {item.routine for item in items}
        }
        found = {}
        for item in items:
            ability, this_round = rounds[item.routine]
            found[item] = judge(ability, item, this_round)
        return found

    def budget_minutes(self) -> Callable[[int], float]:
        """The budget in force by day (ordinal), from the history of that setting."""
        return self._in_force_on("minutes", Settings().minutes, parse_minutes)

    def was_planned(self) -> Callable[[int], bool]:
        """Whether practice was planned on a day (ordinal), by the setting then in force."""
        planned = self._in_force_on("days", Settings().days, parse_days)
        return lambda day: weekday_of(day) in planned(day)

    def _in_force_on(
        self, name: str, default: Value, read: Callable[[str], Value]
    ) -> Callable[[int], Value]:
        """The value of a setting by day (ordinal), from its history."""
        history = setting_history(self.ledger, name)
        days = [moment.day for moment, _ in history]
        values = [default, *(read(value) for _, value in history)]
        return lambda day: values[bisect_right(days, day)]

    def pace(self, state: State | None = None, until: int | None = None) -> Pace:
        """How the player practises, learnt from the days that are over.

        Args:
            state: What was concluded from the record; None for now's.
            until: The first day (ordinal) that isn't over; None for today.
        """
        return pace_of(
            (state or self.state).days,
            until or self.now.day,
            self.settings.days,
            self.budget_minutes(),
            self.settings.revisit / 100,
            self.was_planned(),
        )

    def basis(self) -> Basis:
        """What a plan that is made now goes with."""
        settings = self.settings
        rounds = [each for each in self.ledger.rounds() if each.routine.key == settings.routine]
        begun = f"{rounds[-1].number} {rounds[-1].id}" if rounds else "1"
        if settings.routine:
            begun = f"{settings.routine} {begun}"
        if settings.routine not in INSIDE:
            begun += f" {in_words(self.state.routine)}"
        items = (
            f"{settings.tuning}|{settings.frets}|{settings.lowest_fret}|{settings.notes_per_beat}|"
            f"{settings.both_directions}|{begun}"
        )
        decisive = (
            settings.floor_tempo, settings.clean_of_ten, settings.minutes, settings.revisit,
            settings.plays_clean or 0,
        )  # fmt: skip
        words = "|".join(f"{value:g}" for value in decisive)
        if settings.home_key:
            words = f"{words}|{settings.home_key}"
        if settings.assigned:
            words = f"{words}|{settings.assigned} {settings.assigned_until}"
        return Basis(items, words)
