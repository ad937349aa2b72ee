"""The screen while playing: one item large, its tablature, the beat, the time that is left."""

from dataclasses import dataclass

from scheduler.guitar.routine import Stroke
from scheduler.plan.beats import ACCENT_EVERY, Kind
from scheduler.practice.sheet import Sheet
from scheduler.show.tablature import LETTERS, SIGNS, systems
from scheduler.show.words import REASON_WORDS, clock_words, item_words, sentence, tempo_words
from scheduler.stage.hands_on import HandsOn, Step

LEAST_COLUMNS, LEAST_ROWS = 40, 16
SHOWN_NOTES = 12
BEAT_ROW = 4
HEAD_ROWS, FOOT_ROWS = 6, 3
KEYS = (
    "clean: space, right, PgDn   sloppy: left, PgUp; 1-9: so many errors",
    "r s n: noise, hands, notes   up down: tempo   u: undo   p: pause   q: stop",
)
MIDDLE_KEYS = (
    "clean: space, right  sloppy: left, 1-9  r s n: fault",
    "up down: tempo   u: undo   p: pause   q: stop",
)
NARROW_KEYS = ("clean: space  sloppy: left 1-9  r s n", "u: undo  p: pause  q: stop  up/down")
WIDE_COLUMNS, MIDDLE_COLUMNS = 78, 58
KIND_WORDS = {
    Kind.CHANGEOVER: "move to it",
    Kind.COUNT_IN: "count-in",
    Kind.PLAY: "play",
    Kind.SETTLE: "get ready",
}


@dataclass(frozen=True, slots=True)
class View:
    """What the screen shows beside the session itself.

    Attributes:
        columns: Of the terminal.
        rows: Of the terminal.
        seconds_left: Of the budget.
        message: What the last key did.
        paused: Whether the beat stands still.
        signs: Whether signs of strokes can be shown.
    """

    columns: int
    rows: int
    seconds_left: float
    message: str
    paused: bool
    signs: bool


def play_lines(state: HandsOn, sheet: Sheet, view: View, beat: str, note: int) -> list[str]:
    """The whole screen, as lines no longer than it is wide.

    Args:
        state: Where the session stands.
        sheet: The item that is played.
        view: The rest.
        beat: The line of the beat.
        note: The note that is played about now: its line of tablature is shown.
    """
    step = state.step
    assert step is not None, "a session that is over has another screen"  # noqa: S101
    words = item_words(step.item)
    lines = [
        sentence(words),
        f"tempo {tempo_words(state.tempo)}, {sheet.notes_per_beat} notes to a beat, {sheet.key}",
        _where(step, view),
        "",
        beat,
        "",
    ]
    lines += _music(sheet, view, note)
    room = view.rows - FOOT_ROWS
    lines = lines[:room] + [""] * (room - len(lines))
    lines += [view.message or _next(state), *_keys(view.columns)]
    return [line[: view.columns - 1] for line in lines]


def _keys(columns: int) -> tuple[str, str]:
    if columns >= WIDE_COLUMNS:
        return KEYS
    return MIDDLE_KEYS if columns >= MIDDLE_COLUMNS else NARROW_KEYS


def _where(step: Step, view: View) -> str:
    left = max(0.0, view.seconds_left)
    if len(set(step.block.all_items)) < len(step.block.all_items):
        # An item that is played alone comes as often as the player likes.
        return f"pass {step.number} of {step.of}; {clock_words(left)} left"
    again = "once more" if step.again_at is not None else f"block {step.block.number}"
    why = REASON_WORDS[step.block.reason]
    return f"{again} ({why}), {step.number} of {step.of}; {clock_words(left)} left"


def _next(state: HandsOn) -> str:
    following = state.following
    return "last one" if following is None else f"next: {item_words(following.item)}"


def _music(sheet: Sheet, view: View, note: int) -> list[str]:
    """The lines of tablature from the one that is played, as many as fit."""
    room = view.rows - HEAD_ROWS - FOOT_ROWS
    found = systems(sheet, view.columns - 1, signs=view.signs)
    current = max(
        (n for n, (first, _) in enumerate(found) if first <= note % len(sheet.notes)), default=0
    )
    lines: list[str] = []
    for _, rows in found[current:]:
        if lines and len(lines) + 1 + len(rows) > room:
            break
        lines += ([""] if lines else []) + rows
    if len(lines) > room:
        return _strokes_only(sheet, view, note)[:room]
    return lines


def _strokes_only(sheet: Sheet, view: View, note: int) -> list[str]:
    """Where not even one line of tablature fits: the next notes as string and fret."""
    shown = SIGNS if view.signs else LETTERS
    group = sheet.item.routine.group
    first = note - note % group
    notes = sheet.notes[first : first + max(2, SHOWN_NOTES // group) * group]
    strings = " ".join(f"{sheet.neck.strings - n.string:>2}" for n in notes)
    frets = " ".join(f"{n.fret:>2}" for n in notes)
    strokes = " ".join(f"{shown[Stroke(n.stroke)]:>2}" for n in notes)
    return [f"string {strings}", f"fret   {frets}", f"stroke {strokes}"]


def beat_line(kind: Kind, number: int, beats: int, *, paused: bool) -> str:
    """The beat as it is seen: a word, the beats of the bar with the one that sounds, a count down.

    Example:
        >>> beat_line(Kind.PLAY, 1, 8, paused=False)
        'play        . [2] .  . '
    """
    if paused:
        return "paused: p goes on"
    place = number % ACCENT_EVERY
    cells = "".join(f"[{n + 1}]" if n == place else " . " for n in range(ACCENT_EVERY))
    left = "" if kind is Kind.PLAY else f"   {beats - number}"
    return f"{KIND_WORDS[kind]:<10} {cells}{left}"
