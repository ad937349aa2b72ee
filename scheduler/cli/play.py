"""The command `play`: the session on the screen, with the instrument in hand."""

import sys
import time
from collections.abc import Mapping
from datetime import timedelta

import typer

from scheduler.cli.desk import Desk
from scheduler.cli.full_screen import FullScreen
from scheduler.cli.sound import open_sound
from scheduler.cli.stage import Stage
from scheduler.cli.telling import round_words
from scheduler.cli.today import plan_of_today, session_on
from scheduler.errors import PlanError
from scheduler.guitar.items import Item
from scheduler.plan.hands_on import HandsOn, steps_of
from scheduler.plan.session import Reason
from scheduler.plan.settings import parse_minutes
from scheduler.player.standing import Standing
from scheduler.show.play_screen import LEAST_COLUMNS, LEAST_ROWS
from scheduler.show.words import block_words, count, item_words, share

NAMED_AT_MOST = 5


def play(desk: Desk, *, minutes: str | None, bell: bool, sound: bool) -> None:
    """Play what is left of today's session.

    Raises:
        PlanError: Not a terminal, too small a one, or nothing is left.
    """
    budget = None if minutes is None else parse_minutes(minutes) * 60
    _check_terminal()
    plan = plan_of_today(desk, budget, afresh=False)
    steps = steps_of(plan.session.blocks, plan.left)
    if not steps:
        msg = "today's session is over: upneck today --afresh plans another"
        raise PlanError(msg)
    items = list(dict.fromkeys(step.item for step in steps))
    before = {item: verdict.standing for item, verdict in desk.judge_all(items).items()}
    clicks = open_sound() if sound else None
    encoding = (sys.stdout.encoding or "").lower()
    stage = Stage(
        desk, plan, HandsOn(steps), time.monotonic, clicks,
        bell=bell, signs=encoding.startswith("utf"),
    )  # fmt: skip
    try:
        with FullScreen() as screen:
            stage.run(screen)
    finally:
        if clicks is not None:
            clicks.close()
    desk.forget_changes()
    tell(desk, stage, before)


def _check_terminal() -> None:
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        msg = "play needs a terminal: elsewhere, upneck today shows the session"
        raise PlanError(msg)
    columns, rows = FullScreen.measured()
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        msg = (
            f"the terminal is too small, {columns} by {rows}: play needs "
            f"{LEAST_COLUMNS} by {LEAST_ROWS}"
        )
        raise PlanError(msg)


def tell(desk: Desk, stage: Stage, before: Mapping[Item, Standing]) -> None:
    """What was done, how clean it was, what moved, and what tomorrow starts with."""
    passes = [recorded.played for recorded in stage.recorded]
    if not passes:
        typer.echo("nothing was played")
        return
    clean = sum(played.clean for played in passes)
    minutes = (stage.clock() - stage.began - stage.paused_for) / 60
    typer.echo(
        f"{count(len(passes), 'pass', 'passes')} in {minutes:.0f} min, "
        f"{share(clean / len(passes))} clean; {round_words(desk)}"
    )
    items = list(dict.fromkeys(played.item for played in passes))
    after = {item: verdict.standing for item, verdict in desk.judge_all(items).items()}
    for standing, words in ((Standing.CLEAN, "clean now"), (Standing.WEAK, "weak now")):
        moved = [i for i in items if after[i] is standing and before.get(i) is not standing]
        for item in moved[:NAMED_AT_MOST] if standing is Standing.WEAK else []:
            typer.echo(f"{words}: {item_words(item)} ({item.address})")
        if standing is Standing.CLEAN and moved:
            typer.echo(f"{words}: {count(len(moved), 'item')}")
    typer.echo(_tomorrow(desk))


def _tomorrow(desk: Desk) -> str:
    tomorrow = (desk.now.date + timedelta(days=1)).toordinal()
    session = session_on(desk, tomorrow, None)
    onward = [block for block in session.blocks if block.reason is Reason.ONWARD]
    if not onward:
        return "tomorrow: nothing new is ahead; upneck round looks back"
    return f"tomorrow goes on with {block_words([each.item for each in onward[0].items])}"
