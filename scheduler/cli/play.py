"""The command `play`: the session on the screen, with the instrument in hand."""

import sys
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import timedelta

import typer

from scheduler.cli.options import read_budget
from scheduler.cli.standings import round_words
from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.plan.session import Reason
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice
from scheduler.practice.session import more_of_today, planned_for, todays_plan
from scheduler.show.words import block_words, count, duration, item_words, share
from scheduler.stage.hands_on import HandsOn, Step, steps_of
from scheduler.stage.minutes import seconds_left, seconds_of_rest
from scheduler.stage.recorder import Recorder
from scheduler.stage.screen import LEAST_COLUMNS, LEAST_ROWS

NAMED_AT_MOST = 5


def play(practice: Practice, *, minutes: str | None, bell: bool, sound: bool) -> None:
    """Play what is left of today's session.

    Raises:
        PlanError: Not a terminal, too small a one, or nothing is left.
    """
    budget = read_budget(minutes)
    _check_terminal()
    from scheduler.stage.sound import open_sound
    from scheduler.stage.stage import Stage
    from scheduler.stage.terminal import FullScreen

    plan = todays_plan(practice, budget)
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
        with suppress(PlanError):
            further = more_of_today(practice, seconds)
            recorder.go_on_with(further)
            return steps_of(further.session, further.left)
        return []

    seconds = seconds_left(practice, plan)
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
    tell(practice, recorder, stage.played_seconds, before)


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


def tell(
    practice: Practice, recorder: Recorder, seconds: float, before: Mapping[Item, Standing]
) -> None:
    """What was done, how clean it was, what moved, and what tomorrow starts with."""
    passes = [verdict.played for verdict in recorder.verdicts]
    if not passes:
        typer.echo("nothing was played")
        return
    clean = sum(played.clean for played in passes)
    typer.echo(
        f"{count(len(passes), 'pass', 'passes')} in {seconds / 60:.0f} min, "
        f"{share(clean / len(passes))} clean; {round_words(practice)}"
    )
    tell_moved(practice, [played.item for played in passes], before)
    left = seconds_of_rest(recorder.newest_plan)
    if left:
        typer.echo(f"{duration(left)} of today's session are left: upneck play goes on")
    typer.echo(tomorrow_words(practice))


def tell_moved(practice: Practice, played: Iterable[Item], before: Mapping[Item, Standing]) -> None:
    """What became clean or weak of what was played."""
    items = list(dict.fromkeys(played))
    after = {item: judged.standing for item, judged in practice.judge_all(items).items()}
    for standing, words in ((Standing.CLEAN, "clean now"), (Standing.WEAK, "weak now")):
        moved = [i for i in items if after[i] is standing and before.get(i) is not standing]
        for item in moved[:NAMED_AT_MOST] if standing is Standing.WEAK else []:
            typer.echo(f"{words}: {item_words(item)} ({item.address})")
        if standing is Standing.CLEAN and moved:
            typer.echo(f"{words}: {count(len(moved), 'item')}")


def tomorrow_words(practice: Practice) -> str:
    """What tomorrow starts with."""
    tomorrow = (practice.now.date + timedelta(days=1)).toordinal()
    session = planned_for(practice, tomorrow)
    onward = [block for block in session.blocks if block.reason is Reason.ONWARD]
    if not onward:
        return "tomorrow: nothing new is ahead; upneck round looks back"
    return f"tomorrow goes on with {block_words([each.item for each in onward[0].items])}"
