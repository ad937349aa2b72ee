"""The desk: everything that a command works with, opened once: ledger, settings, state, time."""

import os
import sys
from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from pathlib import Path
from typing import Self

import typer

from scheduler.cli.clock import now
from scheduler.errors import LedgerError, SchedulerError
from scheduler.guitar.items import Item
from scheduler.guitar.neck import Neck
from scheduler.guitar.rounds import Trip, trips, trips_of_some
from scheduler.ledger.cache import Loaded, current_state
from scheduler.ledger.record import Ledger
from scheduler.plan.settings import Settings, parse_minutes, settled
from scheduler.player.facts import Fact
from scheduler.player.moments import Moment
from scheduler.player.replay import State, in_order, replay
from scheduler.player.standing import Verdict, judge
from scheduler.player.tempo import Bench

LEDGER_VARIABLE = "UPNECK_LEDGER"
LEDGER_NAME = "upneck.db"
FACTS_A_SECOND = 20_000
EXPECTED = (SchedulerError, OSError, typer.Exit, typer.Abort, typer.TyperException)


def ledger_path(option: str | None) -> Path:
    """Where the ledger is: the option, else the variable, else the platform's data folder."""
    named = option or os.environ.get(LEDGER_VARIABLE)
    return Path(named).expanduser() if named else data_folder() / LEDGER_NAME


def data_folder() -> Path:
    """The platform's folder for the program's data.

    On Linux it is told by the XDG Base Directory Specification in one line; elsewhere platformdirs
    knows it, whose import alone takes a twelfth of a command's time.
    """
    system: str = sys.platform
    if system == "linux":
        told = Path(os.environ.get("XDG_DATA_HOME") or "")
        return (told if told.is_absolute() else Path.home() / ".local" / "share") / "upneck"
    from platformdirs import user_data_path

    return user_data_path("upneck", appauthor=False)


def watched(facts: Sequence[Fact]) -> Iterable[Fact]:
    """The facts; on a terminal, with a progress bar where folding them takes more than a second."""
    if len(facts) < FACTS_A_SECOND or not sys.stderr.isatty():
        return facts
    from rich.console import Console
    from rich.progress import track

    return track(facts, "working out what you can do", console=Console(stderr=True), transient=True)


class Desk:
    """An open ledger and what follows from it at one moment, used in a `with` statement."""

    def __init__(self, path: Path) -> None:
        """Open the ledger and read the clock.

        Raises:
            LedgerError: The ledger can't be opened.
            TimeError: The clock variable isn't a time.
        """
        self.now = now()
        self.ledger = Ledger(path)
        self._left_out: dict[str, str] = {}
        self.settings = self._settings()
        self._before: Loaded | None = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: object
    ) -> None:
        """Close the ledger; what nobody expected of a damaged one is told as damage.

        Raises:
            LedgerError: The ledger is damaged.
        """
        try:
            if isinstance(problem, Exception) and not isinstance(problem, EXPECTED):
                self.ledger.raise_if_damaged(problem)
        finally:
            self.ledger.close()

    def _settings(self) -> Settings:
        try:
            settings, left_out = settled(self.ledger.setting_changes())
        except LedgerError:
            self.ledger.close()
            raise
        except SchedulerError as problem:
            self.ledger.close()
            msg = (
                f"ledger {self.ledger.path}: a setting in it is damaged ({problem}): put a backup "
                "in its place"
            )
            raise LedgerError(msg) from problem
        if left_out and left_out != self._left_out:
            words = ", ".join(f"{name} {text}" for name, text in sorted(left_out.items()))
            typer.echo(f"upneck: no box would fit with {words}: left out; upneck setup", err=True)
        self._left_out = left_out
        return settings

    @cached_property
    def _loaded(self) -> Loaded:
        loaded = current_state(self.ledger, watch=watched, since=self._before)
        if loaded.was_damaged:
            typer.echo(
                "upneck: what was kept of the ledger's state was damaged; it was built again "
                "from the record",
                err=True,
            )
        return loaded

    @property
    def state(self) -> State:
        """The state after everything recorded."""
        return self._loaded.state

    @property
    def neck(self) -> Neck:
        """The player's neck."""
        return self.settings.neck

    def trips(self, state: State | None = None) -> tuple[Trip, ...]:
        """The trips of the round, in order."""
        this_round = (state or self.state).round
        if this_round.only:
            return trips_of_some(self.neck, this_round.only)
        both = self.settings.both_directions
        return trips(self.neck, this_round.number, both_directions=both)

    @property
    def order(self) -> tuple[Item, ...]:
        """The items of the round, in order."""
        return tuple(item for trip in self.trips() for item in trip.items)

    def bench(
        self,
        at: Moment | None = None,
        clean_target: float | None = None,
        state: State | None = None,
    ) -> Bench:
        """The questions about tempo, asked now or at another moment."""
        return Bench(
            state=state or self.state,
            now=at or self.now,
            strings=self.neck.strings,
            notes_per_beat=self.settings.notes_per_beat,
            floor_speed=self.settings.floor_speed,
            clean_target=clean_target or self.settings.clean_target,
        )

    def state_at(self, moment: Moment) -> State:
        """The state as it was at an earlier moment; now's if it isn't earlier."""
        if moment.utc_ms >= self.now.utc_ms:
            return self.state
        facts = self.ledger.facts()
        return replay(in_order(fact for fact in facts if fact.moment.utc_ms <= moment.utc_ms))

    def judge_all(self, items: Iterable[Item]) -> dict[Item, Verdict]:
        """Where items stand now."""
        bench, this_round = self.bench(), frozenset(self.order)
        return {item: judge(bench, item, this_round) for item in items}

    def budget_minutes(self) -> Callable[[int], float]:
        """The budget in force by day (ordinal), from the history of that setting."""
        history = self.ledger.setting_history("minutes")
        days = [moment.day for moment, _ in history]
        values = [Settings().minutes, *(parse_minutes(value) for _, value in history)]
        return lambda day: values[bisect_right(days, day)]

    def forget_changes(self) -> None:
        """Read settings and state anew, after something was recorded."""
        self._before = self.__dict__.pop("_loaded", self._before)
        self.settings = self._settings()
