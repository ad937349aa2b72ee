"""The player's own fingers for a shape, kept."""

from collections.abc import Sequence

from scheduler.errors import UsageError
from scheduler.guitar.fingering import FINGERS, fingering
from scheduler.guitar.items import Item
from scheduler.ledger.events import SettingChanged
from scheduler.practice.act import act
from scheduler.practice.practice import Practice
from scheduler.practice.sheet import fingers_setting


def keep_fingers(practice: Practice, item: Item, fingers: Sequence[int]) -> None:
    """Keep the player's own fingers for a shape; none goes back to the computed ones.

    Raises:
        UsageError: It isn't a finger per note.
        LedgerError: The file can't be written.
    """
    number = len(fingering(practice.neck, item))
    if fingers and (len(fingers) != number or max(fingers) > FINGERS):
        msg = (
            f"--fingers takes a finger, 1 to {FINGERS} (0 for an open string), for each of the "
            f"{number} notes, or none to go back; these are {len(fingers)}"
        )
        raise UsageError(msg)
    digits = "".join(map(str, fingers))
    with act(practice, "tab") as doing:
        doing.add([SettingChanged(doing.ids.next(), doing.moment, fingers_setting(item), digits)])
