"""Completion of addresses in the shell, part by part, for the player's own neck."""

from scheduler.errors import SchedulerError
from scheduler.guitar.boxes import BOXES
from scheduler.guitar.items import Direction, Stroke, box_word, positions
from scheduler.guitar.neck import Neck
from scheduler.guitar.patterns import ANY, parse_pattern

SEPARATOR = ":"


def complete_address(incomplete: str) -> list[str]:
    """The ways to go on with an address, one part further.

    Example:
        >>> complete_address("3:a")
        ['3:asc:', '3:any:']
    """
    *done, last = incomplete.split(SEPARATOR)
    before = "".join(f"{part}{SEPARATOR}" for part in done)
    match len(done):
        case 0:
            words = [box_word(box, coupling=kind) for kind in (False, True) for box in BOXES]
        case 1:
            words = [*Direction, ANY]
        case 2:
            words = [*Stroke, ANY]
        case 3:
            return [f"{before}{fret}" for fret in _frets(done[0]) if fret.startswith(last)]
        case _:
            return []
    return [f"{before}{word}{SEPARATOR}" for word in words if word.startswith(last)]


def _frets(boxes: str) -> list[str]:
    """The frets at which a box or coupling lies on the player's neck."""
    try:
        named = parse_pattern(boxes).boxes
    except SchedulerError:
        return []
    if named is None:
        return []
    box, coupling = named
    return [str(fret) for fret in positions(_neck(), box, coupling=coupling)]


def _neck() -> Neck:
    """The player's neck where there is a ledger already; completion never makes one."""
    from scheduler.cli.desk import Desk, ledger_path
    from scheduler.plan.settings import Settings

    path = ledger_path(None)
    if not path.is_file():
        return Settings().neck
    try:
        with Desk(path) as desk:
            return desk.neck
    except SchedulerError:
        return Settings().neck
