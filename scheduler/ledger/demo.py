"""The demo player: invented data, dated relative to the day on which it is loaded."""

import json
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from scheduler.errors import LogfileError
from scheduler.ledger.doing import doing
from scheduler.ledger.events import EventIds, SettingChanged
from scheduler.ledger.logfile import LogLine, parse_log
from scheduler.ledger.record import Ledger
from scheduler.plan.settings import Settings, changed
from scheduler.player.facts import Pass
from scheduler.player.moments import MS_PER_DAY, MS_PER_MINUTE, Moment

LOADED_ON = "demo_loaded_on"
"""A setting that only the demo's ledger has: the day (ordinal) on which it was made."""


def demo_folder() -> Path:
    """Where the demo data are: inside an installed package, or beside it in a checkout."""
    inside = Path(__file__).parents[1] / "demo_data"
    return inside if inside.is_dir() else Path(__file__).parents[2] / "demo_data"


def is_of_today(path: Path, now: Moment) -> bool:
    """Whether a demo ledger was made today.

    Raises:
        LedgerError: The file is no ledger.
    """
    if not path.exists():
        return False
    ledger = Ledger(path)
    try:
        # Also where the player took the demo's beginning back.
        values = {"name": LOADED_ON, "day": str(now.day)}
        return bool(
            ledger.rows("SELECT 1 FROM settings WHERE name = :name AND value = :day", values)
        )
    finally:
        ledger.close()


def make_demo(path: Path, now: Moment) -> None:
    """Make the demo's ledger: its last day becomes yesterday.

    It is made beside its place and put there whole, for two programs may make it at once.

    Raises:
        LogfileError: The demo data can't be read.
        LedgerError: The file can't be written.
    """
    words, lines = _words(demo_folder() / "settings.json"), _log(demo_folder() / "log.csv")
    _make(path, now, words, lines, max(line.moment.day for line in lines))


def make_class(folder: Path, now: Moment) -> None:
    """Make the ledgers of the demo's class: the last day of the latest of them becomes yesterday.

    Raises:
        LogfileError: The demo data can't be read.
        LedgerError: A file can't be written.
    """
    source = demo_folder() / "class"
    settings = _words(source / "settings.json")
    logs = {name: _log(source / f"{name}.csv") for name in settings}
    last_day = max(line.moment.day for lines in logs.values() for line in lines)
    for name, lines in logs.items():
        _make(folder / f"{name}.db", now, settings[name], lines, last_day)


def class_names() -> list[str]:
    """The names of the demo's class."""
    return list(_words(demo_folder() / "class" / "settings.json"))


def _words(path: Path) -> dict[str, Any]:
    words: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return words


def _log(path: Path) -> list[LogLine]:
    with path.open(encoding="utf-8", newline="") as log:
        lines, problems = parse_log(log)
    if problems:
        msg = f"demo data, line {problems[0].line}: {problems[0].message}"
        raise LogfileError(msg)
    return lines


def _make(
    path: Path, now: Moment, words: dict[str, str], lines: list[LogLine], last_day: int
) -> None:
    """Make a ledger of settings and a log, whose last day becomes yesterday."""
    settings = changed(Settings(), words)
    shift_days = now.day - 1 - last_day
    passes = [_shifted(line, shift_days, now.offset_minutes) for line in lines]
    strings = settings.neck.strings
    with TemporaryDirectory(dir=path.parent) as folder:
        beside = Path(folder) / path.name
        ledger = Ledger(beside)
        try:
            with doing(ledger, "demo", passes[-1][0]) as act:
                first, ids = passes[0][0], EventIds(passes[0][0].utc_ms)
                told = {**words, LOADED_ON: str(now.day)}
                act.add([SettingChanged(ids.next(), first, *each) for each in told.items()])
                act.add([_pass(line, moment, strings) for moment, line in passes])
        finally:
            ledger.close()
        for left_over in (Path(f"{path}-wal"), Path(f"{path}-shm")):
            left_over.unlink(missing_ok=True)
        beside.replace(path)


def _pass(line: LogLine, moment: Moment, strings: int) -> Pass:
    return Pass(
        id=EventIds(moment.utc_ms).next(),
        moment=moment,
        item=line.item,
        notes=line.item.notes_on(strings),
        tempo=line.tempo,
        notes_per_beat=line.notes_per_beat,
        clean=line.clean,
        errors=line.errors,
        fault=line.fault,
        note=line.note,
    )


def _shifted(line: LogLine, days: int, offset_minutes: int) -> tuple[Moment, LogLine]:
    """The same local time so many days later, where the offset is another one."""
    offset_ms = (line.moment.offset_minutes - offset_minutes) * MS_PER_MINUTE
    utc_ms = line.moment.utc_ms + days * MS_PER_DAY + offset_ms
    return Moment(utc_ms, offset_minutes), line
