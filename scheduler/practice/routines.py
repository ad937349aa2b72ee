"""The routines: where each stands, what it is, which goes onward and which rests; own ones."""

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass

from scheduler.errors import NeckError, RoutineError
from scheduler.guitar.definitions import in_use, in_words, read_table
from scheduler.guitar.items import Item, check_fits, positions
from scheduler.guitar.patterns import nearest
from scheduler.guitar.routine import Direction, Routine
from scheduler.guitar.routines import INSIDE
from scheduler.ledger.events import SettingChanged
from scheduler.ledger.settings_said import setting_words
from scheduler.plan.projection import Window
from scheduler.plan.settings import OF_ROUTINE
from scheduler.practice.act import act
from scheduler.practice.calendar import WhatIf, outcomes
from scheduler.practice.practice import Practice
from scheduler.practice.rounds import RoundReport, round_report
from scheduler.practice.settings import change_settings
from scheduler.practice.sheet import Sheet, sheet_of

MIDDLE_FRET = 5
"""Boxes are shown as near to this fret as they lie (our choice)."""


@dataclass(frozen=True, slots=True)
class RoutineLine:
    """Where one routine stands.

    Attributes:
        routine: The routine.
        goes_onward: Whether it is the one that sessions go onward in.
        rests: Whether it is left out of revisits.
        is_begun: Whether anything of it was played.
        round: Its round.
    """

    routine: Routine
    goes_onward: bool
    rests: bool
    is_begun: bool
    round: RoundReport


@dataclass(frozen=True, slots=True)
class RoutineReport:
    """What one routine is, and what it would take.

    Attributes:
        line: Where it stands.
        notes: The notes of a whole round on the player's neck.
        boxes: Its boxes as sheets of one single each; empty where they don't fit the tuning.
        misfit: Why it can't be played on the player's neck; empty if it can.
        finish: When its round would be finished if it went onward from today on.
        obstacle: Why it wouldn't ever be.
    """

    line: RoutineLine
    notes: int
    boxes: tuple[Sheet, ...]
    misfit: str
    finish: Window | None
    obstacle: str | None


def routine_named(practice: Practice, name: str) -> Routine:
    """A routine by its name.

    Raises:
        RoutineError: There is none of that name.
    """
    by_name = {routine.name: routine for routine in practice.routines.values()}
    found = by_name.get(name.lower())
    if found is None:
        msg = f"no routine {name!r}: upneck routines lists them{nearest(name, list(by_name))}"
        raise RoutineError(msg)
    return found


def routine_lines(practice: Practice) -> list[RoutineLine]:
    """Where every routine stands, those inside first."""
    lines = [routine_line(practice, routine) for routine in practice.routines.values()]
    return sorted(lines, key=lambda line: line.routine.key not in INSIDE)


def _kept(practice: Practice) -> set[str]:
    """The keys of the own routines that stand in the record."""
    names = setting_words(practice.ledger)
    return {name.removeprefix(OF_ROUTINE) for name in names if name.startswith(OF_ROUTINE)}


def routine_line(practice: Practice, routine: Routine) -> RoutineLine:
    """Where a routine stands."""
    return RoutineLine(
        routine=routine,
        goes_onward=routine is practice.state.routine,
        rests=routine in practice.resting,
        is_begun=any(item.routine is routine for item in practice.state.histories),
        round=round_report(practice, routine),
    )


def routine_report(practice: Practice, routine: Routine) -> RoutineReport:
    """What a routine is on the player's neck, and what a round of it would take."""
    misfit = _misfit(practice, routine)
    finish = obstacle = None
    if not misfit:
        outcome, _ = outcomes(practice, WhatIf(routine=routine), practice.now.date)
        finish, obstacle = outcome.projection.finish, outcome.projection.obstacle
    line = routine_line(practice, routine)
    items = [item for each in line.round.trips for item in each.trip.items]
    return RoutineReport(
        line=line,
        notes=sum(item.notes_on(practice.neck.strings) for item in items),
        boxes=() if misfit else tuple(_boxes(practice, routine)),
        misfit=misfit,
        finish=finish,
        obstacle=obstacle,
    )


def _misfit(practice: Practice, routine: Routine) -> str:
    try:
        check_fits(practice.neck, routine)
    except NeckError as problem:
        return str(problem)
    return ""


def _boxes(practice: Practice, routine: Routine) -> Sequence[Sheet]:
    """One single of each box, where it lies nearest to the middle fret."""
    found = []
    for box in routine.boxes:
        places = positions(practice.neck, box, coupling=False, routine=routine)
        if places:
            fret = min(places, key=lambda place: (abs(place - MIDDLE_FRET), place))
            item = Item(box, False, Direction.ASC, routine.strokes[0], fret, routine)
            found.append(sheet_of(practice, item))
    return found


def begin_routine(practice: Practice, routine: Routine) -> None:
    """Make a routine the one that goes onward; it doesn't rest then.

    Raises:
        NeckError: Its boxes don't fit the player's neck.
        LedgerError: The file can't be written.
    """
    check_fits(practice.neck, routine)
    resting = sorted(each.name for each in practice.resting if each is not routine)
    values: dict[str, object] = {"routine": routine.key, "resting": " ".join(resting)}
    change_settings(practice, values, what="routine")
    practice.tell(f"{routine.name} is now the routine you work on; upneck undo goes back")


def let_rest(practice: Practice, routine: Routine, *, rests: bool) -> None:
    """Leave a routine out of revisits, or take it in again.

    Raises:
        RoutineError: It is the one that goes onward.
        LedgerError: The file can't be written.
    """
    if rests and routine is practice.state.routine:
        msg = f"{routine.name} is the routine you work on: begin another one before it can rest"
        raise RoutineError(msg)
    resting = {each.name for each in practice.resting if each is not routine}
    if rests:
        resting.add(routine.name)
    change_settings(practice, {"resting": " ".join(sorted(resting))}, what="routine")
    practice.tell(
        f"{routine.name} rests: sessions don't go back to it until --no-rest" if rests
        else f"{routine.name} doesn't rest: sessions go back to what is weak or stale in it"
    )  # fmt: skip


def add_routine(practice: Practice, text: str) -> Routine:
    """Keep a player's own routine in the record.

    Args:
        practice: The player's practice.
        text: A TOML file's text.

    Raises:
        RoutineError: It is no TOML, defines no routine, or its name is in use.
        NeckError: Its boxes don't fit the player's neck.
        LedgerError: The file can't be written.
    """
    try:
        table = tomllib.loads(text)
    except (ValueError, RecursionError) as problem:
        # Also numbers of thousands of digits, and lists nested as deep.
        msg = f"it is no TOML file: {problem}"
        raise RoutineError(msg) from problem
    own = read_table(table)
    check_fits(practice.neck, own)
    with act(practice, "routine") as doing:
        if practice.routines.get(own.key, own) is not own:
            raise RoutineError(in_use(own.name))
        if own.key not in _kept(practice):
            words = in_words(own)
            doing.add([SettingChanged(doing.ids.next(), doing.moment, OF_ROUTINE + own.key, words)])
    return own


def next_routine(practice: Practice) -> Routine | None:
    """A routine that could come after the one that goes onward: the first one not finished yet."""
    for line in routine_lines(practice):
        others = not (line.goes_onward or line.rests or line.round.is_finished)
        if others and not _misfit(practice, line.routine):
            return line.routine
    return None
