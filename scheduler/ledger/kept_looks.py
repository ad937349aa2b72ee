"""What was worked out of each player of a folder, kept so that a second look is quick.

It can be thrown away. A look is used only in the hour and by the program that it was worked out in,
and only if the record is the same: what is weak and when a round ends depends on the time, too.
"""

import json
from collections.abc import Mapping
from contextlib import closing, suppress
from functools import cache
from hashlib import blake2b
from pathlib import Path
from typing import Any, NamedTuple

import scheduler
from scheduler.ledger.cache import version_of
from scheduler.ledger.checkpoints import digest_of_code
from scheduler.ledger.opening import OWNER_ONLY
from scheduler.ledger.players import Player
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment

FILE = "looks.json"
MS_PER_HOUR = 3_600_000
Plain = dict[str, Any]


class Kept(NamedTuple):
    """A look that was kept.

    Attributes:
        key: What it fits.
        look: The look.
    """

    key: str
    look: Plain


@cache
def _program() -> str:
    """What a look depends on besides the record: the program."""
    return digest_of_code([Path(scheduler.__file__).parent])


def record_key(ledger: Ledger, now: Moment) -> str:
    """A key that changes whenever a look that was kept would be wrong: record, hour and program.

    Raises:
        LedgerError: The file can't be read.
    """
    last = ledger.rows("SELECT id FROM events ORDER BY seq DESC LIMIT 1")
    # A backup that was put in the ledger's place may come to as many acts and events.
    sums = ledger.rows("SELECT count(*), total(clean), total(tempo), total(fret) FROM passes")
    hour = now.utc_ms // MS_PER_HOUR
    parts = (
        now.day,
        hour,
        now.offset_minutes,
        *version_of(ledger),
        *last,
        *sums,
        *ledger.player_ids(),
    )
    return f"{_program()} {parts}"


def key_of(player: Player, now: Moment) -> str:
    """The same of a player's ledger.

    Raises:
        LedgerError: The file can't be read.
    """
    with closing(Ledger(player.path)) as ledger:
        return record_key(ledger, now)


def kept_looks(folder: Path) -> dict[str, Kept]:
    """The looks that were kept, by the name of the ledger's file; what is damaged is left out."""
    try:
        found = json.loads((folder / FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    if not isinstance(found, dict):
        return {}
    return {
        name: Kept(kept["key"], kept["look"])
        for name, kept in found.items()
        if isinstance(kept, dict)
        and kept.keys() == {"key", "look", "digest"}
        and kept["digest"] == _digest(kept["key"], kept["look"])
    }


def keep_looks(folder: Path, looks: Mapping[str, Kept]) -> None:
    """Keep looks; where the file can't be written just now, go on without."""
    told = {
        name: {**kept._asdict(), "digest": _digest(kept.key, kept.look)}
        for name, kept in looks.items()
    }
    # Two who write at once may spoil it: then it is left out, and worked out again.
    beside = folder / f".{FILE}"
    try:
        beside.touch(mode=OWNER_ONLY)
        beside.write_text(json.dumps(told, separators=(",", ":")), encoding="utf-8")
        beside.replace(folder / FILE)
    except OSError:
        # In a folder that can only be read even that can't be removed.
        with suppress(OSError):
            beside.unlink(missing_ok=True)


def _digest(key: object, look: object) -> str:
    said = json.dumps([key, look], sort_keys=True)
    return blake2b(said.encode(), digest_size=16).hexdigest()
