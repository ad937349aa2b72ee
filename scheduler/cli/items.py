"""The command `items`: a list of items with their standing and why."""

from collections.abc import Sequence

import typer

from scheduler.cli.desk import Desk
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import speed_of
from scheduler.guitar.patterns import ANY, matching, parse_pattern
from scheduler.player.moments import Moment
from scheduler.player.standing import Verdict
from scheduler.player.tempo import Bench, suggested_tempo
from scheduler.show.items import ItemLine

LINES_SHOWN = 60


def items(desk: Desk, pattern: str, standings: Sequence[str], *, as_json: bool) -> None:
    """List the items of a pattern; of the standings named, if any is."""
    found = _in_order(desk, matching(desk.neck, parse_pattern(pattern)), pattern)
    verdicts = desk.judge_all(found)
    chosen = [item for item in found if not standings or verdicts[item].standing in standings]
    bench = desk.bench()
    lines = [_line(bench, item, verdicts[item]) for item in chosen]
    if as_json:
        from scheduler.show.as_json import as_text, items_json

        typer.echo(as_text(items_json(lines)))
        return
    from scheduler.show.items import items_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(items_screen(lines, screen.width, LINES_SHOWN))


def _in_order(desk: Desk, found: Sequence[Item], pattern: str) -> list[Item]:
    """Items of the round in its order first; without a pattern, of the others only the played."""
    wanted = frozenset(found)
    in_round = [item for item in desk.order if item in wanted]
    others = sorted(wanted.difference(in_round))
    if pattern == ANY:
        others = [item for item in others if item in desk.state.histories]
    return in_round + others


def _line(bench: Bench, item: Item, verdict: Verdict) -> ItemLine:
    history = bench.state.history(item)
    outlook = bench.outlook(item)
    tempo = suggested_tempo(bench, item, outlook)
    last = Moment(history.last_ms, bench.now.offset_minutes) if history.passes else None
    return ItemLine(
        item=item,
        verdict=verdict,
        suggested_tempo=tempo,
        clean_chance=outlook.clean_chance(speed_of(tempo, bench.notes_per_beat)),
        passes=history.passes,
        last=None if last is None else last.date,
        last_at=None if last is None else last.isoformat(),
    )
