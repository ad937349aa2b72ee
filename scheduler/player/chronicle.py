"""What is kept of the way so far: chances and how they came out, tempos by week, rounds before.

Nothing here decides anything; it is what a look back needs and a state of today doesn't say. It is
noted while facts are folded, so that a look back over ten years reads no pass again.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from scheduler.guitar.items import Item
from scheduler.guitar.routine import Routine
from scheduler.player.history import History
from scheduler.player.progress import RoundProgress

FIFTHS = 5
DAYS_IN_A_WEEK = 7
SLOWEST = 0.1
"""The share of the working tempos that the slowest tenth is."""


@dataclass(slots=True)
class Told:
    """Passes that were given about the same chance to be clean before they were played.

    Attributes:
        passes: How many.
        clean: Those of them that were clean.
        chances: The sum of the chances.
    """

    passes: int = 0
    clean: int = 0
    chances: float = 0.0


class Tempos(NamedTuple):
    """The working tempos of a routine's items at the end of some day, in notes per second.

    Attributes:
        routine: The routine.
        day: The day (ordinal).
        singles: The median of the single items, and what a tenth of them is slower than.
        couplings: The same of the couplings; 0 and 0 where there are none.
        floor: The slowest speed that counted in the round.
    """

    routine: Routine
    day: int
    singles: tuple[float, float]
    couplings: tuple[float, float]
    floor: float


class PastRound(NamedTuple):
    """A round that another one followed.

    Attributes:
        routine: The routine.
        number: Its number.
        started: The day (ordinal) it began.
        ended: The day (ordinal) the next one began.
        items: How many items it had, where it didn't visit all; 0 where it did.
        done: How many of its items were clean at or above the floor tempo.
        last_done: The day (ordinal) of the last of them; 0 if there is none.
        days: Days with passes of it.
        passes: Passes in it.
        clean: Clean ones among them.
        seconds: The time they took, with the ways between them.
        speed: The median of the fastest clean passes of its items, in notes per second; 0 if
            nothing was clean.
        weak: The items whose last pass was sloppy when it ended.
    """

    routine: Routine
    number: int
    started: int
    ended: int
    items: int
    done: int
    last_done: int
    days: int
    passes: int
    clean: int
    seconds: float
    speed: float
    weak: tuple[Item, ...]


@dataclass(slots=True)
class Chronicle:
    """The way so far.

    Attributes:
        told: By fifth of the chance that was told, lowest first.
        told_since: The day (ordinal) of the first pass among them; 0 if there is none.
        last_day: The day (ordinal) of the last pass; 0 before the first.
        is_noted: Whether the tempos at the end of that day's week were noted.
        tempos: The working tempos at the end of each week with passes but the last, of every
            routine that was played in it.
        rounds: The rounds that others followed, in order.
    """

    told: list[Told] = field(default_factory=lambda: [Told() for _ in range(FIFTHS)])
    told_since: int = 0
    last_day: int = 0
    is_noted: bool = False
    tempos: list[Tempos] = field(default_factory=list)
    rounds: list[PastRound] = field(default_factory=list)

    def add_told(self, chance: float, day: int, *, clean: bool) -> None:
        """Note a chance (0 to 1) that was told of a pass, and how that came out."""
        self.told_since = self.told_since or day
        fifth = self.told[min(int(chance * FIFTHS), FIFTHS - 1)]
        fifth.passes += 1
        fifth.clean += clean
        fifth.chances += chance

    def ends_week(self, day: int) -> bool:
        """Whether the last pass lies in a week before that of a day (ordinal), not noted yet."""
        return self.last_day > 0 and not self.is_noted and week_of(day) > week_of(self.last_day)


def week_of(day: int) -> int:
    """The week of a day (ordinal), from Monday on as in ISO 8601, counted from some first one."""
    # The first day of all ordinals is a Monday.
    return (day - 1) // DAYS_IN_A_WEEK


def tempos_of(
    routine: Routine, histories: Iterable[tuple[Item, History]], day: int, floor: float
) -> Tempos:
    """The working tempos of some items.

    Args:
        routine: The routine.
        histories: Its items.
        day: The day (ordinal) at whose end they are meant.
        floor: The slowest speed that counts in the round, in notes per second.
    """
    singles: list[float] = []
    couplings: list[float] = []
    for item, history in histories:
        if history.working_speed:
            (couplings if item.coupling else singles).append(history.working_speed)
    return Tempos(routine, day, middle_and_slowest(singles), middle_and_slowest(couplings), floor)


def middle_and_slowest(speeds: list[float]) -> tuple[float, float]:
    """The median of some speeds, and what a tenth of them is slower than; 0 and 0 of none.

    Example:
        >>> middle_and_slowest([1.0, 2.0, 3.0, 4.0, 5.0]), middle_and_slowest([])
        ((3.0, 1.0), (0.0, 0.0))
    """
    if not speeds:
        return 0.0, 0.0
    # A start doesn't wait for it: few commands fold the end of a week.
    from statistics import median

    ordered = sorted(speeds)
    return median(ordered), ordered[int(SLOWEST * len(ordered))]


def past_round(
    routine: Routine,
    progress: RoundProgress,
    ended: int,
    histories: Iterable[tuple[Item, History]],
    done: Sequence[int],
) -> PastRound:
    """What is kept of a round when another one begins.

    Args:
        routine: The routine.
        progress: How the round went.
        ended: The day (ordinal) the next one begins.
        histories: The items of the routine.
        done: The days (ordinals) on which items of the round were clean at or above its floor
            tempo, one for each.
    """
    from statistics import median

    played = [(item, each) for item, each in histories if each.round_passes]
    fastest = [each.round_speed for _, each in played if each.round_speed]
    total = progress.total
    return PastRound(
        routine=routine,
        number=progress.number,
        started=progress.started,
        ended=ended,
        items=len(progress.only),
        done=len(done),
        last_done=max(done, default=0),
        days=progress.days,
        passes=total.passes,
        clean=total.clean,
        seconds=total.seconds,
        speed=median(fastest) if fastest else 0.0,
        weak=tuple(item for item, each in played if not each.last_was_clean),
    )
