"""The settings that a record holds, in words and in the order in which they were changed."""

from itertools import groupby
from operator import itemgetter
from typing import Any

from scheduler.ledger.record import WHEN, Ledger
from scheduler.player.moments import Moment


def setting_words(ledger: Ledger) -> dict[str, str]:
    """The latest value of each setting that was ever changed, in words.

    Raises:
        LedgerError: The file can't be read.
    """
    return {name: value for change in setting_changes(ledger) for name, value in change.items()}


def setting_changes(ledger: Ledger) -> list[dict[str, str]]:
    """The settings that were changed together, in words and in order of time.

    Raises:
        LedgerError: The file can't be read.
    """
    return [
        {name: value for *_, name, value in together}
        for _, together in groupby(_settings(ledger), key=itemgetter(3))
    ]


def setting_history(ledger: Ledger, name: str) -> list[tuple[Moment, str]]:
    """Every value that a setting got, in order of time.

    Raises:
        LedgerError: The file can't be read.
    """
    return [
        (Moment(at_ms, offset), value)
        for _, at_ms, offset, _, of, value in _settings(ledger)
        if of == name
    ]


def _settings(ledger: Ledger) -> list[tuple[Any, ...]]:
    rows = ledger.rows(
        f"SELECT {WHEN}, entry, name, value FROM settings "
        "CROSS JOIN events ON events.id = settings.event_id"
    )
    in_vain, _ = ledger.rounds_told_apart()
    found = (row for row in ledger.standing(rows) if row[3] not in in_vain)
    return sorted(found, key=lambda row: (row[1], row[0]))
