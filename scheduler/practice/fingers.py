"""The player's own fingers for a shape, by box and string, kept."""

from collections.abc import Sequence

from scheduler.errors import UsageError
from scheduler.guitar.fingering import FINGERS
from scheduler.guitar.items import Item, boxes_under
from scheduler.guitar.neck import Neck
from scheduler.guitar.sequence import half_of, legs_of, notes_of
from scheduler.ledger.events import SettingChanged
from scheduler.practice.act import act
from scheduler.practice.practice import Practice

BETWEEN_BOXES = "/"


def fingers_setting(item: Item) -> str:
    """The setting that keeps the fingers of an item's shape; strokes don't matter to it."""
    shape = f"{item.kind} {item.box} {item.direction}"
    return f"fingers {shape} {item.routine.key}".rstrip()


def keep_fingers(practice: Practice, item: Item, words: str) -> None:
    """Keep the player's own fingers for a shape; "" goes back to the computed ones.

    Args:
        practice: The player's practice.
        item: An item of the shape.
        words: A finger a note of each string, lowest string and lowest note first; the two boxes
            of a coupling with a slash between them. Or a finger for each note as it is played.

    Raises:
        UsageError: It isn't a finger per note.
        LedgerError: The file can't be written.
    """
    words = " ".join(words.replace("-", "").replace(",", " ").split())
    by_note = words.replace(" ", "")
    if len(by_note) == item.notes_on(practice.neck.strings):
        words = by_note
    if words and fingers_of(practice.neck, item, words) is None:
        notes = item.routine.notes_a_string
        boxes = "for either box, with / between them, " if item.coupling else ""
        msg = (
            f"--fingers takes {boxes}{notes} fingers a string from the lowest one, 1 to {FINGERS} "
            f"(0 for an open string), such as {'1-4' if notes == 2 else '1-2-4'}, "  # noqa: PLR2004
            f"for each of {practice.neck.strings} strings; or none to go back"
        )
        raise UsageError(msg)
    with act(practice, "tab") as doing:
        doing.add([SettingChanged(doing.ids.next(), doing.moment, fingers_setting(item), words)])


def fingers_of(neck: Neck, item: Item, words: str) -> tuple[int, ...] | None:
    """A finger per note of an item from the words that are kept; None if they don't fit it."""
    boxes = [[_digits(word) for word in half.split()] for half in words.split(BETWEEN_BOXES)]
    by_note = boxes[0][0] if len(boxes) == 1 and len(boxes[0]) == 1 else ()
    if by_note and len(by_note) == item.notes_on(neck.strings):
        return tuple(by_note) if max(by_note) <= FINGERS else None
    if not all(_fits(neck, item, strings) for strings in boxes):
        return None
    return _spread(neck, item, boxes) if len(boxes) == 1 + item.coupling else None


def _digits(word: str) -> tuple[int, ...]:
    return tuple(int(digit) if digit.isdecimal() else FINGERS + 1 for digit in word)


def _fits(neck: Neck, item: Item, strings: Sequence[Sequence[int]]) -> bool:
    return len(strings) == neck.strings and all(
        len(fingers) == item.routine.notes_a_string and max(fingers) <= FINGERS
        for fingers in strings
    )


def _spread(neck: Neck, item: Item, boxes: Sequence[Sequence[Sequence[int]]]) -> tuple[int, ...]:
    """The fingers of every note, from those of each box, string by string."""
    shapes = [box for _, box in boxes_under(neck, item)]
    notes = notes_of(neck, item)
    return tuple(
        boxes[half][note.string][shapes[half][note.string].index(note.fret)]
        for number, leg in enumerate(legs_of(neck, item))
        for half in (half_of(item, number),)
        for note in (notes[place] for place in leg)
    )
