"""The command `item`: one item, whole."""

import typer

from scheduler.cli.desk import Desk
from scheduler.guitar.boxes import key_name
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import NotesPerSecond, marks_around, speed_of, tempo_of
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.plans import kept_plan
from scheduler.player.account import account_of
from scheduler.player.standing import judge
from scheduler.player.tempo import suggested_tempo, working_speed
from scheduler.show.items import ItemReport


def item(desk: Desk, address: str, *, as_json: bool) -> None:
    """Show one item."""
    report = report_of(desk, parse_item(desk.neck, address))
    if as_json:
        from scheduler.show.as_json import as_text, item_json

        typer.echo(as_text(item_json(report)))
        return
    from scheduler.show.items import item_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(item_screen(report, desk.now.date, screen.width))


def report_of(desk: Desk, item: Item) -> ItemReport:
    """Everything that is known of an item."""
    bench = desk.bench()
    history = desk.state.history(item)
    outlook = bench.outlook(item)
    suggested = suggested_tempo(bench, item, outlook)
    beat = bench.notes_per_beat
    plan = kept_plan(desk.ledger, desk.now.day)
    blocks = None if plan is None else tuple(
        block.number
        for block in plan.session.blocks
        if any(planned.item == item for planned in block.items)
    )  # fmt: skip
    fastest = NotesPerSecond(history.fastest_speed)
    return ItemReport(
        item=item,
        key=key_name(desk.neck, item.box, item.fret),
        notes=bench.notes(item),
        verdict=judge(bench, item, frozenset(desk.order)),
        working_tempo=tempo_of(working_speed(history, bench.floor_speed), beat),
        suggested_tempo=suggested,
        clean_chance=outlook.clean_chance(speed_of(suggested, beat)),
        stability_days=history.stability_days,
        days_since=history.days_since(desk.now) if history.passes else None,
        fastest_clean=tempo_of(fastest, beat) if fastest else None,
        planned_in=blocks,
        chances=tuple(
            (mark, outlook.clean_chance(speed_of(mark, beat))) for mark in marks_around(suggested)
        ),
        account=account_of(bench, item, suggested),
        passes=tuple(desk.ledger.passes_of(item)),
        resets=tuple(desk.ledger.resets_of(item)),
    )
