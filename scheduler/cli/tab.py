"""The command `tab`: tablature with strokes and fingers, as text or as MusicXML."""

from pathlib import Path

import typer

from scheduler.cli.desk import Desk
from scheduler.errors import UsageError
from scheduler.guitar.fingering import FINGERS, fingering
from scheduler.guitar.items import Item
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.events import SettingChanged
from scheduler.ledger.files import write_whole
from scheduler.ledger.plans import kept_plan
from scheduler.plan.settings import parse_tempo
from scheduler.player.tempo import suggested_tempo
from scheduler.show.sheet import Sheet, sheet_of
from scheduler.show.tablature import tablature

FILE_WIDTH = 100
FORGET = "none"
FINGER_MARKS = set("01234")


def tab(
    desk: Desk,
    address: str,
    *,
    tempo: str | None,
    fingers: str | None,
    files: tuple[str | None, str | None],
    force: bool,
) -> None:
    """Show an item's tablature, or write it to files (text, MusicXML)."""
    item = parse_item(desk.neck, address)
    if fingers is not None:
        keep_fingers(desk, item, fingers)
    sheet = sheet_for(desk, item, None if tempo is None else parse_tempo(tempo))
    text_file, xml_file = files
    if xml_file is not None:
        from scheduler.show.musicxml import musicxml

        write_whole(Path(xml_file), musicxml(sheet), force=force)
        typer.echo(f"wrote {xml_file}", err=True)
    left_handed = desk.settings.left_handed
    if text_file is not None:
        lines = tablature(sheet, FILE_WIDTH, signs=False, left_handed=left_handed)
        write_whole(Path(text_file), ("\n".join(lines) + "\n").encode(), force=force)
        typer.echo(f"wrote {text_file}", err=True)
    if text_file is None and xml_file is None:
        from scheduler.show.terminal import console, shows_signs

        screen = console()
        for line in tablature(
            sheet, screen.width, signs=shows_signs(screen), left_handed=left_handed
        ):
            screen.print(line, soft_wrap=True)


def sheet_for(desk: Desk, item: Item, tempo: BeatsPerMinute | None) -> Sheet:
    """The sheet of an item, at the tempo given, planned today, or suggested."""
    if tempo is None:
        plan = kept_plan(desk.ledger, desk.now.day)
        planned = [
            block.tempo
            for block in (plan.session.blocks if plan else ())
            if any(each.item == item for each in block.items)
        ]
        tempo = planned[-1] if planned else suggested_tempo(desk.bench(), item)
    kept = desk.ledger.setting_words().get(_name(item), "")
    fingers = tuple(map(int, kept)) if set(kept) <= FINGER_MARKS else ()
    computed = fingering(desk.neck, item, desk.settings.scale_length)
    if len(fingers) != len(computed):
        fingers = computed
    return sheet_of(desk.neck, item, fingers, tempo, desk.settings.notes_per_beat)


def keep_fingers(desk: Desk, item: Item, words: str) -> None:
    """Keep the player's own fingers for a shape; `none` goes back to the computed ones.

    Raises:
        UsageError: It isn't a finger per note.
    """
    digits = "".join(mark for mark in words if mark not in " -,")
    number = len(fingering(desk.neck, item))
    if words == FORGET:
        digits = ""
    elif len(digits) != number or not set(digits) <= FINGER_MARKS:
        msg = (
            f"--fingers takes a finger, 1 to {FINGERS} (0 for an open string), for each of the "
            f"{number} notes, or none to go back; these are {len(digits)}"
        )
        raise UsageError(msg)
    event = SettingChanged(desk.ledger.ids(desk.now).next(), desk.now, _name(item), digits)
    desk.ledger.append([event])
    desk.forget_changes()


def _name(item: Item) -> str:
    """The setting that keeps the fingers of an item's shape; strokes don't matter to it."""
    kind = "coupling" if item.coupling else "single"
    return f"fingers {kind} {item.box} {item.direction}"
