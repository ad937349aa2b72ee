"""The history of one item, as far as tempo, forgetting and standing need it."""

from dataclasses import dataclass, field

from scheduler.guitar.metronome import NotesPerSecond
from scheduler.player.facts import Pass
from scheduler.player.forgetting import holds_days, practice_retained, retained_share
from scheduler.player.moments import MS_PER_DAY, Moment

RECENT_FAULTS = 3
RECENT_PASSES = 3
SPEED_TOLERANCE = 1e-9
WARM_UP_SHARE = 0.9
"""A clean pass slower than this share of the working tempo, with nothing sloppy before it, is a
warm-up: it doesn't lower the working tempo (our choice)."""


@dataclass(slots=True)
class History:
    """What is known of an item since it was last reset.

    Attributes:
        passes: Passes since the last reset.
        clean: Clean ones among them.
        last_ms: When the last pass was played (UTC, ms).
        last_day: The local day of it, as an ordinal.
        last_was_clean: Whether that one was clean.
        sloppy_in_a_row: Sloppy passes since the last clean one.
        failed_speed: Notes per second of the last of them; 0 if there is none.
        recent_clean: Whether each of the last three passes was clean, the newest last.
        clean_days: Days with a clean pass.
        last_clean_day: The last of them, as an ordinal; 0 if there is none.
        working_speed: Notes per second of the latest clean pass; 0 if there is none.
        fastest_speed: Notes per second of the fastest clean pass; 0 if there is none.
        round_best: Day (ordinal) and speed of each clean pass in this round that was faster
            than all before it.
        round_passes: Passes in this round.
        faults: Day (ordinal) and fault of the last few sloppy passes that said one.
    """

    passes: int = 0
    clean: int = 0
    last_ms: int = 0
    last_day: int = 0
    last_was_clean: bool = True
    sloppy_in_a_row: int = 0
    failed_speed: float = 0.0
    recent_clean: list[bool] = field(default_factory=list)
    clean_days: int = 0
    last_clean_day: int = 0
    working_speed: float = 0.0
    fastest_speed: float = 0.0
    round_best: list[tuple[int, float]] = field(default_factory=list)
    round_passes: int = 0
    faults: list[tuple[int, str]] = field(default_factory=list)

    @property
    def round_speed(self) -> float:
        """Notes per second of the fastest clean pass in this round; 0 if there is none."""
        return self.round_best[-1][1] if self.round_best else 0.0

    def reached_on(self, speed: float) -> int | None:
        """The day of the first clean pass in this round at or above a speed."""
        least = speed * (1 - SPEED_TOLERANCE)
        return next((day for day, reached in self.round_best if reached >= least), None)

    @property
    def holds_days(self) -> float:
        """For how many days what was learnt holds."""
        return holds_days(self.clean_days)

    def days_since(self, now: Moment) -> float:
        """Days since the last pass."""
        return max(0.0, (now.utc_ms - self.last_ms) / MS_PER_DAY)

    def retained(self, now: Moment) -> float:
        """The retained share of practice; 1 where nothing was played that could be lost."""
        return retained_share(self.days_since(now), self.holds_days) if self.passes else 1.0

    def practice(self, now: Moment) -> float:
        """Practice retained now."""
        return practice_retained(self.passes, self.days_since(now), self.holds_days)

    def add(self, played: Pass) -> None:
        """Take in a pass that is later than all before it."""
        self.passes += 1
        self.round_passes += 1
        self.last_ms, self.last_day = played.moment.utc_ms, played.moment.day
        self.last_was_clean = played.clean
        self.recent_clean = [*self.recent_clean, played.clean][-RECENT_PASSES:]
        if played.clean:
            self._add_clean(played.speed, played.moment.day)
        else:
            self.sloppy_in_a_row += 1
            self.failed_speed = played.speed
            if played.fault is not None:
                self.faults = [*self.faults, (played.moment.day, str(played.fault))]
                self.faults = self.faults[-RECENT_FAULTS:]

    def _add_clean(self, speed: NotesPerSecond, day: int) -> None:
        self.clean += 1
        if self.sloppy_in_a_row or speed >= WARM_UP_SHARE * self.working_speed:
            self.working_speed = speed
        self.sloppy_in_a_row, self.failed_speed = 0, 0.0
        self.fastest_speed = max(self.fastest_speed, speed)
        if speed > self.round_speed:
            self.round_best.append((day, speed))
        if day > self.last_clean_day:
            self.clean_days += 1
            self.last_clean_day = day

    def start_round(self) -> None:
        """A new round: nothing is clean in it yet."""
        self.round_best = []
        self.round_passes = 0
