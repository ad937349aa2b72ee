"""What was done, and what an undo took back, in words."""

from collections.abc import Iterable, Sequence

from scheduler.guitar.items import Item
from scheduler.plan.assignment import ASSIGNED
from scheduler.plan.settings import OF_ROUTINE
from scheduler.player.moments import Moment
from scheduler.practice.undoing import Done
from scheduler.show.dates import day_words
from scheduler.show.words import boxes_of, count, fret_words

ACT_WORDS = {
    "record": "record", "play": "pass in play", "fault": "fault said in play", "reset": "reset",
    "clock": "clock set right",
    "round": "beginning of a round", "setup": "change of settings", "tab": "choice of fingers",
    "import": "import", "merge": "merge", "demo": "beginning of the demo",
    "routine": "choice of a routine", "assignment": "taking of an assignment",
}  # fmt: skip
MOST_PLACES = 3


def act_words(what: str) -> str:
    """What was done, by the ledger's word for it."""
    return ACT_WORDS.get(what, what)


def when_words(moment: Moment, now: Moment) -> str:
    """When something was done.

    Example:
        >>> now = Moment(1_764_000_000_000, 60)
        >>> when_words(now, now), when_words(Moment(1_763_900_000_000, 60), now)
        ('today 17:00', 'yesterday 13:13')
    """
    days = {0: "today", 1: "yesterday"}
    day = days.get(now.day - moment.day) or day_words(moment.date, now.date)
    return f"{day} {moment.as_datetime():%H:%M}"


def place_words(items: Iterable[Item]) -> str:
    """Where items lie, box by box.

    Example:
        >>> from scheduler.guitar.routine import Direction, Stroke
        >>> place_words(Item(1, True, Direction.ASC, Stroke.DOWN, fret) for fret in (11, 13, 12))
        'boxes 1+2, frets 11 to 13'
    """
    by_box: dict[str, set[int]] = {}
    for item in sorted(items, key=lambda item: (item.routine, item.coupling, item.box)):
        by_box.setdefault(boxes_of(item), set()).add(item.fret)
    if len(by_box) > MOST_PLACES:
        return f"{len(by_box)} boxes and couplings"
    return "; ".join(f"{box}, {fret_words(sorted(frets))}" for box, frets in by_box.items())


def undone_words(undone: Done, now: Moment) -> str:
    """What an undo took back, or a redo brought back, and when it had been done."""
    return ", ".join([*done_words(undone), when_words(undone.moment, now)])


def done_words(undone: Done) -> list[str]:
    """What an act did, in a few words."""
    said = []
    if undone.what in {"import", "merge", "demo", "assignment"}:
        said.append(act_words(undone.what))
    if undone.passes:
        said.append(count(undone.passes, "pass", "passes"))
    elif undone.what in {"reset", "fault", "clock"}:
        said.append(act_words(undone.what))
    if undone.items:
        said.append(place_words(undone.items))
    if undone.round_number is not None:
        said.append(f"the beginning of round {undone.round_number}")
    if undone.what == "demo":
        # Its settings are the demo player's, none that somebody changed.
        return said
    settings = dict(undone.settings)
    if undone.what == "setup" and settings.get(ASSIGNED[0]) == "":
        said.append("the assignment dropped")
        settings = {name: text for name, text in settings.items() if name not in ASSIGNED}
    if len(settings) > MOST_PLACES:
        said.append(f"{len(settings)} settings")
    else:
        said += [_setting_words(name, text) for name, text in settings.items()]
    return said


def _setting_words(name: str, text: str) -> str:
    if name.startswith(OF_ROUTINE):
        return f"a routine of your own, {name.removeprefix(OF_ROUTINE)}"
    return f"{text} minutes" if name == "took" else f"{name.replace('_', ' ')} {text}"


def left_out_words(recorded: Sequence[Item], left_out: Sequence[Item]) -> str:
    """What a pattern named that wasn't recorded, and why."""
    total = len(recorded) + len(left_out)
    there = {(item.box, item.coupling, item.fret) for item in recorded}
    if {(item.box, item.coupling, item.fret) for item in left_out} <= there:
        return (
            f"{len(recorded)} of {total} recorded; the others, such as {left_out[0].address}, are "
            "not in this round"
        )
    where = place_words(left_out)
    return (
        f"{len(recorded)} of {total} recorded; {where} are not in this round: name them alone to "
        "record them"
    )
