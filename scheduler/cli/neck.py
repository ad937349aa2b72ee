"""The command `neck`: the neck as a map, on the screen or as a picture."""

from scheduler.cli.options import read_output
from scheduler.cli.telling import tell
from scheduler.ledger.files import write_whole
from scheduler.practice.neck_map import neck_map
from scheduler.practice.practice import Practice


def neck(practice: Practice, *, tempo: bool, output: str | None, force: bool) -> None:
    """Draw the map.

    Raises:
        UsageError: The file isn't called .svg.
    """
    path = None if output is None else read_output(output, "the map", ".svg")
    rows = neck_map(practice)
    frets, left_handed = practice.neck.frets, practice.settings.left_handed
    if path is not None:
        from scheduler.show.neck_picture import neck_svg

        picture = neck_svg(rows, frets, tempo=tempo, left_handed=left_handed)
        write_whole(path, picture.encode(), force=force)
        tell(f"wrote {output}", err=True)
        return
    from scheduler.show.neck_map import neck_screen
    from scheduler.show.terminal import console

    screen = console()
    screen.print(neck_screen(rows, frets, screen.width, tempo=tempo, left_handed=left_handed))
