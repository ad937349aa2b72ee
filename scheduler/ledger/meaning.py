"""What an event says, checked before it is taken in: what no command could read stays out."""

from scheduler.errors import SettingError
from scheduler.guitar.patterns import parse_address
from scheduler.ledger.events_table import Row
from scheduler.plan.settings import READERS, format_setting


def check_meaning(row: Row) -> None:
    """Check what the file's own rules can't: values of settings, items of rounds.

    Raises:
        UsageError: A setting is outside its range or written otherwise, or there is no such item.
    """
    if row["kind"] == "setting" and row["name"] in READERS:
        name, value = row["name"], row["value"]
        written = format_setting(READERS[name](value))
        if written != value:
            msg = f"the setting {name} is written {written!r}, not {value!r}"
            raise SettingError(msg)
    if row["kind"] == "round":
        for word in row["items"].split():
            parse_address(word)
