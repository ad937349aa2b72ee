"""The command `tab`: tablature with strokes and fingers, as text or as MusicXML."""

from pathlib import Path

from scheduler.cli.telling import tell
from scheduler.guitar.patterns import parse_item
from scheduler.ledger.files import write_whole
from scheduler.plan.values import parse_tempo
from scheduler.practice.practice import Practice
from scheduler.practice.sheet import sheet_of

FILE_WIDTH = 100
FORGET = "none"


def tab(
    practice: Practice,
    address: str,
    *,
    tempo: str | None,
    fingers: str | None,
    files: tuple[str | None, str | None],
    force: bool,
) -> None:
    """Show an item's tablature, or write it to files (text, MusicXML)."""
    item = parse_item(practice.neck, address, practice.routines)
    beats = None if tempo is None else parse_tempo(tempo)
    if fingers is not None:
        from scheduler.practice.fingers import keep_fingers

        keep_fingers(practice, item, "" if fingers == FORGET else fingers)
    sheet = sheet_of(practice, item, beats)
    text_file, xml_file = files
    left_handed = practice.settings.left_handed
    if xml_file is not None:
        from scheduler.show.musicxml import musicxml

        write_whole(Path(xml_file), musicxml(sheet), force=force)
        tell(f"wrote {xml_file}", err=True)
    if xml_file is not None and text_file is None:
        return
    from scheduler.show.tablature import tablature

    if text_file is not None:
        lines = tablature(sheet, FILE_WIDTH, signs=False, left_handed=left_handed)
        write_whole(Path(text_file), ("\n".join(lines) + "\n").encode(), force=force)
        tell(f"wrote {text_file}", err=True)
        return
    from scheduler.show.terminal import console, shows_signs

    screen = console()
    for line in tablature(sheet, screen.width, signs=shows_signs(screen), left_handed=left_handed):
        screen.print(line, soft_wrap=True)
