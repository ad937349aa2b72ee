"""What was worked out of each player of a folder, kept so that a second look is quick.

It can be thrown away. A look is used only on the day and by the program that it was worked out on,
and only if the record is the same.
"""

import json
import os
from contextlib import closing
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any

import scheduler
from scheduler.ledger.cache import version_of
from scheduler.ledger.opening import OWNER_ONLY
from scheduler.ledger.players import Player
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment

FILE = "looks.json"
Plain = dict[str, Any]


@cache
def _program() -> str:
    """What a look depends on besides the record: the program."""
    digest = blake2b(digest_size=6)
    for module in sorted(Path(scheduler.__file__).parent.rglob("*.py")):
        digest.update(module.read_bytes())
    return digest.hexdigest()


def record_key(ledger: Ledger, now: Moment) -> str:
    """What tells whether a look that was worked out before still holds.

    Raises:
        LedgerError: The file can't be read.
    """
    last = ledger.rows("SELECT id FROM events ORDER BY seq DESC LIMIT 1")
    newest = last[0][0] if last else ""
    words = (_program(), now.day, now.offset_minutes, *version_of(ledger), newest)
    return " ".join(map(str, words))


def key_of(player: Player, now: Moment) -> str:
    """The same of a player's ledger.

    Raises:
        LedgerError: The file can't be read.
    """
    with closing(Ledger(player.path)) as ledger:
        return record_key(ledger, now)


def kept_looks(folder: Path) -> dict[str, Plain]:
    """The looks that were kept, by the name of the ledger's file; none if they can't be read."""
    try:
        found = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def keep_looks(folder: Path, looks: dict[str, Plain]) -> None:
    """Keep looks; where the file can't be written just now, go on without."""
    beside = folder / f".{FILE}.{os.getpid()}"
    try:
        beside.touch(mode=OWNER_ONLY)
        beside.write_text(json.dumps(looks, separators=(",", ":")), encoding="utf-8")
        beside.replace(folder / FILE)
    except OSError:
        beside.unlink(missing_ok=True)
