"""The fold: facts in order of time become one state: belief, histories, days, the round.

Same facts, same state, to the last bit, in whatever order they were entered: `in_order` sorts
them by time and id before `replay` folds them.
"""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import accumulate

from scheduler.guitar.durations import settle_seconds, way_seconds
from scheduler.guitar.items import Item, Shape
from scheduler.guitar.metronome import DEFAULT_NOTES_PER_BEAT, NotesPerSecond, speed_of
from scheduler.guitar.rounds import is_visited
from scheduler.guitar.routine import PENTATONIC, Direction, Routine, Stroke
from scheduler.player.belief import Belief
from scheduler.player.chronicle import (
    Chronicle,
    PastRound,
    Tempos,
    past_round,
    tempos_of,
    week_of,
)
from scheduler.player.day import Day
from scheduler.player.facts import (
    Fact,
    FloorChanged,
    Pass,
    PlaysClean,
    Reset,
    RoundStarted,
    RoutineBegun,
    Took,
)
from scheduler.player.history import History
from scheduler.player.progress import RoundProgress

SAME_SITTING_MS = 10 * 60_000
"""A longer gap between two passes was not spent practising (our choice)."""

RECENT_DAYS = 30

WORD_ITEM = Item(1, False, Direction.ASC, Stroke.DOWN, 5)
WORD_NOTES = WORD_ITEM.notes_on(6)
WORD_CLEAN = 0.9
"""A player who plays box 1 clean at a tempo means nine times in ten (our choice)."""


@dataclass(slots=True)
class State:
    """Everything that was concluded from the facts so far.

    Attributes:
        belief: What the player can do.
        histories: By item; an item never played has none.
        days: By local day, as an ordinal.
        fastest: Notes per second of the fastest clean pass so far, by shape.
        rounds: The round under way of each routine that was ever touched.
        routine: The routine that goes onward.
        notes_per_beat: The notes per beat that go with floor tempos.
        both_directions: Whether the round visits every single in both directions.
        has_word: Whether the player said, before the first pass, what is played clean.
        chronicle: What is kept of the way so far.
        last_item: The item of the last pass.
        facts: How many facts were folded.
        last: Time and id of the last of them.
    """

    belief: Belief = field(default_factory=Belief)
    histories: dict[Item, History] = field(default_factory=dict)
    days: dict[int, Day] = field(default_factory=dict)
    fastest: dict[Shape, float] = field(default_factory=dict)
    rounds: dict[Routine, RoundProgress] = field(default_factory=dict)
    routine: Routine = PENTATONIC
    notes_per_beat: int = DEFAULT_NOTES_PER_BEAT
    both_directions: bool = False
    has_word: bool = False
    chronicle: Chronicle = field(default_factory=Chronicle)
    last_item: Item | None = None
    facts: int = 0
    last: tuple[int, str] = (0, "")
    _days_in_order: list[int] = field(default_factory=list, compare=False, repr=False)

    @property
    def round(self) -> RoundProgress:
        """The round under way of the routine that goes onward."""
        return self.round_of(self.routine)

    def round_of(self, routine: Routine) -> RoundProgress:
        """The round under way of a routine."""
        return self.rounds.get(routine) or RoundProgress()

    def floor_speed_of(self, routine: Routine) -> NotesPerSecond:
        """The slowest speed that counts in a routine's round."""
        return speed_of(self.round_of(routine).floor_tempo, self.notes_per_beat)

    def is_in_round(self, item: Item) -> bool:
        """Whether its routine's round visits an item, on a neck that has it."""
        this_round = self.round_of(item.routine)
        if this_round.only:
            return item in this_round.only
        return is_visited(item, this_round.number, both_directions=self.both_directions)

    @property
    def knows_nothing(self) -> bool:
        """Whether nothing was played, and nothing said of the playing."""
        return not (self.has_word or self.has_passes)

    @property
    def has_passes(self) -> bool:
        """Whether anything was played."""
        return any(day.passes for day in self.days.values())

    def has_more_passes_than(self, number: int) -> bool:
        """Whether more passes were played; years of them aren't added up for it."""
        return any(total > number for total in accumulate(d.passes for d in self.days.values()))

    def history(self, item: Item) -> History:
        """The history of an item; an empty one if it was never played."""
        return self.histories.get(item) or History()

    def fastest_like(self, item: Item) -> float | None:
        """Notes per second of the fastest clean pass in an item's shape.

        Where there is none, of its kind (single or coupling), else of any; None without any.
        """
        found = self.fastest.get(item.shape)
        if found is None:
            of_kind = [speed for shape, speed in self.fastest.items() if shape[1] == item.coupling]
            found = max(of_kind or self.fastest.values(), default=None)
        return found

    def tempos_on(self, day: int, routine: Routine) -> Tempos:
        """The working tempos of a routine, as of a day (ordinal)."""
        of_routine = self.histories_of(routine)
        return tempos_of(routine, of_routine, day, self.floor_speed_of(routine))

    def round_until(self, day: int, routine: Routine) -> PastRound:
        """A routine's round as it is kept if another one begins on a day (ordinal)."""
        of_routine, floor = self.histories_of(routine), self.floor_speed_of(routine)
        reached = (
            history.reached_on(floor)
            for item, history in of_routine
            if history.round_passes and self.is_in_round(item)
        )
        done = [found for found in reached if found is not None]
        return past_round(routine, self.round_of(routine), day, of_routine, done)

    def histories_of(self, routine: Routine) -> list[tuple[Item, History]]:
        """The items of a routine that were played, with their histories."""
        return [pair for pair in self.histories.items() if pair[0].routine is routine]

    def tempos_due(self, day: int) -> list[Tempos]:
        """The tempos at the end of the last week with passes, if it ended before a day, not noted.

        One for each routine that was played in it.
        """
        if not self.chronicle.ends_week(day):
            return []
        last = self.chronicle.last_day
        played = {
            item.routine: None
            for item, history in self.histories.items()
            if week_of(history.last_day) == week_of(last)
        }
        return [self.tempos_on(last, routine) for routine in played]

    def last_practice_day(self, day: int) -> int:
        """The last day with passes before a day, as an ordinal; 0 if there is none."""
        # Asked for every item; days are only ever added.
        if len(self._days_in_order) != len(self.days):
            self._days_in_order = sorted(self.days)
        place = bisect_left(self._days_in_order, day)
        return self._days_in_order[place - 1] if place else 0


def in_order(facts: Iterable[Fact]) -> list[Fact]:
    """Facts by time, and by id within a millisecond."""
    return sorted(facts, key=place_in_time)


def place_in_time(fact: Fact) -> tuple[int, str]:
    """What facts are ordered by: time (UTC, ms) and id."""
    return (fact.moment.utc_ms, fact.id)


def replay(facts: Iterable[Fact], state: State | None = None) -> State:
    """Fold facts, given in order, into a state (a new one if none is given) and return it."""
    state = State() if state is None else state
    for fact in facts:
        _end_week(state, fact.moment.day)
        match fact:
            case Pass():
                _add_pass(state, fact)
            case Reset():
                _add_reset(state, fact)
            case RoundStarted():
                _add_round(state, fact)
            case RoutineBegun():
                state.routine = fact.routine
            case FloorChanged():
                _change_floor(state, fact)
            case PlaysClean():
                _add_word(state, fact)
            case Took():
                day = state.days.setdefault(fact.moment.day, Day())
                day.add_told(fact.moment.utc_ms, 60 * fact.minutes)
        state.facts += 1
        state.last = place_in_time(fact)
    return state


def _change_floor(state: State, changed: FloorChanged) -> None:
    if changed.floor_tempo is not None:
        this_round = state.rounds.setdefault(changed.routine, RoundProgress())
        this_round.floor_tempo = changed.floor_tempo
    state.notes_per_beat = changed.notes_per_beat or state.notes_per_beat
    if changed.both_directions is not None:
        state.both_directions = changed.both_directions


def _add_pass(state: State, played: Pass) -> None:
    day = played.moment.day
    state.chronicle.last_day, state.chronicle.is_noted = day, False
    history = state.histories.setdefault(played.item, History())
    errors = 0 if played.clean else played.errors
    told = state.belief.update(
        played.item, played.notes, history.practice(played.moment), day, played.speed, errors
    )
    state.chronicle.add_told(told, day, clean=played.clean)
    floor = state.floor_speed_of(played.item.routine)
    was_done = history.reached_on(floor) is not None
    history.add(played)
    is_done = history.reached_on(floor) is not None
    _add_to_day(state, played, was_done=was_done, is_done=is_done)
    if played.clean:
        shape = played.item.shape
        state.fastest[shape] = max(state.fastest.get(shape, 0.0), played.speed)


def _end_week(state: State, day: int) -> None:
    """Before the first fact of another week: note the tempos at the end of the last one."""
    if state.chronicle.ends_week(day):
        state.chronicle.tempos += state.tempos_due(day)
        state.chronicle.is_noted = True


def _add_to_day(state: State, played: Pass, *, was_done: bool, is_done: bool) -> None:
    tally = state.days.setdefault(played.moment.day, Day())
    seconds = played.seconds + settle_seconds(played.tempo)
    last_item = state.last_item if tally.passes else None
    seconds += way_seconds(last_item, played.item, played.tempo)
    gap = played.moment.utc_ms - tally.last_ms
    tally.entry_seconds = seconds + (tally.entry_seconds if gap == 0 else 0.0)
    if tally.passes == 0:
        tally.clock_seconds = seconds
    elif gap <= SAME_SITTING_MS:
        tally.clock_seconds += gap / 1000
    this_round = state.rounds.setdefault(played.item.routine, RoundProgress())
    this_round.add(played.item, played.moment.day, seconds, clean=played.clean)
    tally.passes += 1
    tally.clean += played.clean
    tally.work_seconds += seconds
    tally.last_ms = played.moment.utc_ms
    state.last_item = played.item
    if not was_done and state.is_in_round(played.item):
        tally.new_seconds += seconds
        tally.new_clean += is_done


def _add_word(state: State, said: PlaysClean) -> None:
    """A player's word about the playing; once there are passes, these say more."""
    if not state.knows_nothing:
        return
    state.has_word = True
    speed = speed_of(said.tempo, state.notes_per_beat)
    state.belief.take_word(WORD_ITEM, WORD_NOTES, said.moment.day, speed, WORD_CLEAN)


def _add_reset(state: State, reset: Reset) -> None:
    state.histories.pop(reset.item, None)
    state.belief.forget_own(reset.item)


def _add_round(state: State, started: RoundStarted) -> None:
    """Begin a round. One that has begun, perhaps on another machine, doesn't begin again."""
    before = state.round_of(started.routine)
    if started.number <= before.number:
        return
    if before.trips:
        state.chronicle.rounds.append(state.round_until(started.moment.day, started.routine))
    state.rounds[started.routine] = RoundProgress(
        started.number, started.moment.day, started.only, floor_tempo=before.floor_tempo
    )
    for _, history in state.histories_of(started.routine):
        history.start_round()
