"""The command `play`: the session on the screen, with the instrument in hand."""

import sys
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import timedelta
from typing import NamedTuple

from scheduler.cli.options import read_budget
from scheduler.cli.standings import round_words
from scheduler.cli.telling import tell
from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.plans import KeptPlan
from scheduler.plan.session import Reason
from scheduler.plan.values import parse_tempo
from scheduler.player.standing import Standing
from scheduler.practice.blocks import plan_with
from scheduler.practice.practice import Practice
from scheduler.practice.session import more_of_today, planned_for, todays_plan
from scheduler.show.words import block_words, count, duration, item_words, share
from scheduler.stage.hands_on import HandsOn, Step, steps_of
from scheduler.stage.minutes import seconds_left, seconds_of_rest
from scheduler.stage.recorder import Recorder
from scheduler.stage.screen import LEAST_COLUMNS, LEAST_ROWS

NAMED_AT_MOST = 5
TIMES_ALONE = 10
"""So many times an item that is played alone comes before it is counted anew (our choice)."""


class Alone(NamedTuple):
    """An item that is played alone, at a tempo or at the one that suits."""

    item: str
    tempo: str | None


def play(
    practice: Practice, alone: Alone | None, *, minutes: str | None, bell: bool, sound: bool
) -> None:
    """Play what is left of today's session, or one item as long as the player likes.

    Raises:
        PlanError: Not a terminal, too small a one, or nothing is left.
    """
    budget = read_budget(minutes)
    given = None if alone is None else _plan_alone(practice, alone)
    _check_terminal()
    from scheduler.stage.sound import open_sound
    from scheduler.stage.stage import Stage
    from scheduler.stage.terminal import FullScreen

    plan = given or todays_plan(practice, budget)
    steps = steps_of(plan.session, plan.left)
    if not steps:
        msg = "today's session is over: upneck today --more goes on"
        raise PlanError(msg)
    items = list(dict.fromkeys(step.item for step in steps))
    before = {item: judged.standing for item, judged in practice.judge_all(items).items()}
    clicks = open_sound() if sound else None
    encoding = (sys.stdout.encoding or "").lower()
    recorder = Recorder(practice, plan)

    def more(seconds: float) -> list[Step]:
        """What comes after the plan, for some seconds; nothing where nothing is left."""
        if given is not None:
            return steps_of(given.session, given.left)
        with suppress(PlanError):
            further = more_of_today(practice, seconds)
            recorder.go_on_with(further)
            return steps_of(further.session, further.left)
        return []

    seconds = (
        seconds_left(practice, plan) if given is None
        else budget or practice.settings.budget_seconds
    )  # fmt: skip
    stage = Stage(
        recorder, seconds, HandsOn(steps), time.monotonic, clicks, more,
        bell=bell, signs=encoding.startswith("utf"),
    )  # fmt: skip
    if sound and clicks is None and not bell:
        stage.message = "no sound here: watch the beat, or play --bell"
    try:
        with FullScreen() as screen:
            stage.run(screen)
    finally:
        if clicks is not None:
            clicks.close()
    practice.look_again()
    tell_end(practice, recorder, stage.played_seconds, before, is_session=given is None)


def _plan_alone(practice: Practice, alone: Alone) -> KeptPlan:
    """The plan of an item that is played alone."""
    item = parse_item(practice.neck, alone.item, practice.routines)
    tempo = None if alone.tempo is None else parse_tempo(alone.tempo)
    return plan_with(practice, item, tempo, TIMES_ALONE)


def _check_terminal() -> None:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        msg = "play needs a terminal: elsewhere, upneck today shows the session"
        raise PlanError(msg)
    try:
        from scheduler.stage.terminal import FullScreen
    except ImportError as problem:
        msg = f"play needs a terminal with termios, which this system hasn't ({problem.name})"
        raise PlanError(msg) from problem
    columns, rows = FullScreen.measured()
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        msg = (
            f"the terminal is too small, {columns} by {rows}: play needs "
            f"{LEAST_COLUMNS} by {LEAST_ROWS}"
        )
        raise PlanError(msg)


def tell_end(
    practice: Practice,
    recorder: Recorder,
    seconds: float,
    before: Mapping[Item, Standing],
    *,
    is_session: bool,
) -> None:
    """What was done, how clean it was, what moved; of a session, what comes next."""
    passes = [verdict.played for verdict in recorder.verdicts]
    if not passes:
        tell("nothing was played")
        return
    clean = sum(played.clean for played in passes)
    tell(
        f"{count(len(passes), 'pass', 'passes')} in {_minutes(seconds)}, "
        f"{share(clean / len(passes))} clean; {round_words(practice)}"
    )
    tell_moved(practice, [played.item for played in passes], before)
    if not is_session:
        return
    left = seconds_of_rest(recorder.newest_plan)
    if left:
        tell(f"{duration(left)} of today's session left: upneck play goes on")
    tell(tomorrow_words(practice))


def _minutes(seconds: float) -> str:
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes else "under a minute"


def tell_moved(practice: Practice, played: Iterable[Item], before: Mapping[Item, Standing]) -> None:
    """What became clean or weak of what was played."""
    items = list(dict.fromkeys(played))
    after = {item: judged.standing for item, judged in practice.judge_all(items).items()}
    for standing, words in ((Standing.CLEAN, "clean now"), (Standing.WEAK, "weak now")):
        moved = [i for i in items if after[i] is standing and before.get(i) is not standing]
        for item in moved[:NAMED_AT_MOST] if standing is Standing.WEAK else []:
            tell(f"{words}: {item_words(item)} ({item.address})")
        if standing is Standing.CLEAN and moved:
            tell(f"{words}: {count(len(moved), 'item')}")


def tomorrow_words(practice: Practice) -> str:
    """What tomorrow starts with."""
    tomorrow = (practice.now.date + timedelta(days=1)).toordinal()
    session = planned_for(practice, tomorrow)
    onward = [block for block in session.blocks if block.reason is Reason.ONWARD]
    if not onward:
        return "tomorrow: nothing new is ahead; upneck round looks back"
    return f"tomorrow: {block_words([each.item for each in onward[0].items])}"
