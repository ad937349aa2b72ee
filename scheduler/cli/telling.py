"""What record, undo and reset say when they are done."""

from collections.abc import Sequence

import typer

from scheduler.cli.desk import Desk
from scheduler.guitar.items import Item
from scheduler.player.standing import Standing, done_in_round
from scheduler.show.words import item_words

NAMED_AT_MOST = 6


def tell_events(
    desk: Desk, word: str, ids: Sequence[str], items: Sequence[Item], said: str, *, as_json: bool
) -> None:
    """Say what happened, which items are weak now, and where the round stands."""
    verdicts = desk.judge_all(items)
    if as_json:
        from scheduler.show.as_json import as_text, events_json

        standings = {item: str(verdict.standing) for item, verdict in verdicts.items()}
        typer.echo(as_text(events_json(word, ids, standings)))
        return
    typer.echo(f"{said}\n{round_words(desk)}")
    weak = [item for item, verdict in verdicts.items() if verdict.standing is Standing.WEAK]
    for item in weak[:NAMED_AT_MOST]:
        typer.echo(f"weak now: {item_words(item)} ({item.address})")
    if len(weak) > NAMED_AT_MOST:
        typer.echo(f"and {len(weak) - NAMED_AT_MOST} more weak ones: upneck items --weak")


def round_words(desk: Desk) -> str:
    """How many items of the round are clean."""
    clean = sum(
        done_in_round(desk.state.history(item), desk.settings.floor_speed) for item in desk.order
    )
    return f"round {desk.state.round.number}: {clean} of {len(desk.order)} items clean"
