"""One item starts afresh."""

from scheduler.guitar.items import Item
from scheduler.ledger.backup import keep_copy
from scheduler.player.facts import Reset
from scheduler.player.standing import Judgement
from scheduler.practice.act import act
from scheduler.practice.practice import Practice


def reset_item(practice: Practice, item: Item) -> tuple[str, Judgement]:
    """Set an item's history aside; the id of the reset, and where the item stands now.

    Raises:
        LedgerError: The file can't be written.
    """
    keep_copy(practice.ledger.db.conn, practice.ledger.path, "reset")
    with act(practice, "reset") as doing:
        event = Reset(doing.ids.next(), doing.moment, item)
        doing.add([event])
    return event.id, practice.judge_all([item])[item]
