"""The settings, each with its range, read from the words a player types."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import NamedTuple

from scheduler.errors import NeckError, SettingError
from scheduler.guitar.boxes import check_boxes
from scheduler.guitar.fingering import SCALE_LENGTH_MM
from scheduler.guitar.items import check_room
from scheduler.guitar.metronome import (
    DEFAULT_FLOOR_TEMPO,
    DEFAULT_NOTES_PER_BEAT,
    NOTES_PER_BEAT,
    BeatsPerMinute,
    NotesPerSecond,
    check_tempo,
    speed_of,
)
from scheduler.guitar.neck import STANDARD_TUNING, Neck, format_tuning, parse_neck, parse_tuning
from scheduler.guitar.patterns import nearest

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
FEWEST_MINUTES, MOST_MINUTES = 1, 720
LOWEST_TARGET, HIGHEST_TARGET = 0.5, 0.99
MOST_REVISIT = 50
OF_NECK = {"tuning", "frets", "lowest_fret"}


class Settings(NamedTuple):
    """How and on what the player practises; every default works as it is.

    Attributes:
        tuning: Open strings, lowest first.
        frets: The last fret of the neck.
        lowest_fret: The lowest fret used; 1 means no open strings.
        notes_per_beat: 3, 4 or 6.
        floor_tempo: The slowest tempo that counts in the round, in beats per minute.
        clean_target: The chance of a clean pass that a suggested tempo must give.
        minutes: The budget of a day.
        days: The weekdays on which there is practice, Monday = 0.
        revisit: The most of a session that goes to repair and refresh, in percent.
        left_handed: Whether necks and boxes are drawn mirrored.
        both_directions: Whether every single comes in both directions in one round.
        scale_length: Of the instrument, in millimetres.
    """

    tuning: str = STANDARD_TUNING
    frets: int = 22
    lowest_fret: int = 1
    notes_per_beat: int = DEFAULT_NOTES_PER_BEAT
    floor_tempo: float = DEFAULT_FLOOR_TEMPO
    clean_target: float = 0.9
    minutes: float = 20
    days: frozenset[int] = frozenset(range(7))
    revisit: int = 15
    left_handed: bool = False
    both_directions: bool = False
    scale_length: float = SCALE_LENGTH_MM

    @property
    def neck(self) -> Neck:
        """The neck."""
        return parse_neck(self.tuning, self.frets, self.lowest_fret)

    @property
    def floor_speed(self) -> NotesPerSecond:
        """The floor tempo in notes per second."""
        return speed_of(BeatsPerMinute(self.floor_tempo), self.notes_per_beat)

    @property
    def budget_seconds(self) -> float:
        """The budget of a day."""
        return self.minutes * 60


def _number(text: str, what: str) -> float:
    cleaned = text.strip()
    if not cleaned or not all(mark in "0123456789." for mark in cleaned.removeprefix("-")):
        msg = f"{what} is a number, not {text!r}"
        raise SettingError(msg)
    try:
        return float(cleaned)
    except ValueError as problem:
        msg = f"{what} is a number, not {text!r}"
        raise SettingError(msg) from problem


def _between(text: str, what: str, low: float, high: float) -> float:
    number = _number(text, what)
    if not low <= number <= high:
        msg = f"{what} is {low:g} to {high:g}, not {number:g}"
        raise SettingError(msg)
    return number


def _whole(text: str, what: str, low: int, high: int) -> int:
    number = _between(text, what, low, high)
    if number != int(number):
        msg = f"{what} is a whole number from {low} to {high}, not {number:g}"
        raise SettingError(msg)
    return int(number)


def parse_minutes(text: str) -> float:
    """Read a day's budget.

    Raises:
        SettingError: It isn't a number of minutes from 1 to 720.

    Example:
        >>> parse_minutes("20")
        20.0
    """
    return _between(text, "minutes a day", FEWEST_MINUTES, MOST_MINUTES)


def parse_tempo(text: str) -> BeatsPerMinute:
    """Read a tempo.

    Raises:
        SettingError: It isn't a number.
        TempoError: No metronome beats it.
    """
    return check_tempo(_number(text, "a tempo"))


def parse_clean_target(text: str) -> float:
    """Read a clean target, as a share or in percent.

    Raises:
        SettingError: It isn't a share from 0.5 to 0.99.

    Example:
        >>> parse_clean_target("0.9"), parse_clean_target("85%")
        (0.9, 0.85)
    """
    if text.strip().endswith("%"):
        text = str(_number(text.strip()[:-1], "the clean target") / 100)
    return _between(text, "the clean target", LOWEST_TARGET, HIGHEST_TARGET)


def parse_days(text: str) -> frozenset[int]:
    """Read weekdays, Monday = 0: lists and ranges, which may run over the week's end.

    Raises:
        SettingError: A word is no weekday.

    Example:
        >>> sorted(parse_days("mon-wed,sat"))
        [0, 1, 2, 5]
    """
    days: set[int] = set()
    for piece in text.lower().replace(" ", "").split(","):
        ends = [_weekday(word) for word in piece.split("-", 1)]
        length = (ends[-1] - ends[0]) % 7 + 1
        days.update((ends[0] + step) % 7 for step in range(length))
    return frozenset(days)


def _weekday(word: str) -> int:
    if word[:3] in WEEKDAYS and word.isalpha():
        return WEEKDAYS.index(word[:3])
    msg = (
        f"no weekday {word!r}: write mon, tue, wed, thu, fri, sat, sun, or a range such as "
        f"mon-fri{nearest(word, list(WEEKDAYS))}"
    )
    raise SettingError(msg)


def format_days(days: frozenset[int]) -> str:
    """Write weekdays as `parse_days` reads them, runs of three or more as ranges.

    Example:
        >>> format_days(frozenset({0, 1, 2, 5})), format_days(frozenset(range(7)))
        ('mon-wed,sat', 'mon-sun')
    """
    runs: list[list[int]] = []
    for day in sorted(days):
        if runs and day == runs[-1][-1] + 1:
            runs[-1].append(day)
        else:
            runs.append([day])
    words = []
    for run in runs:
        names = [WEEKDAYS[day] for day in run]
        words += [f"{names[0]}-{names[-1]}"] if len(run) > 2 else names  # noqa: PLR2004
    return ",".join(words)


def _flag(text: str) -> bool:
    words = {"yes": True, "no": False}
    if text not in words:
        msg = f"it is yes or no, not {text!r}"
        raise SettingError(msg)
    return words[text]


def _notes_per_beat(text: str) -> int:
    number = _number(text, "notes per beat")
    if number not in NOTES_PER_BEAT:
        msg = f"notes per beat are 3, 4 or 6, not {number:g}"
        raise SettingError(msg)
    return int(number)


READERS: dict[str, Callable[[str], object]] = {
    "tuning": lambda text: format_tuning(parse_tuning(text)),
    "frets": lambda text: _whole(text, "frets", 12, 36),
    "lowest_fret": lambda text: _whole(text, "the lowest fret used", 0, 12),
    "notes_per_beat": _notes_per_beat,
    "floor_tempo": parse_tempo,
    "clean_target": parse_clean_target,
    "minutes": parse_minutes,
    "days": parse_days,
    "revisit": lambda text: _whole(text, "the share for repair and refresh", 0, MOST_REVISIT),
    "left_handed": _flag,
    "both_directions": _flag,
    "scale_length": lambda text: _between(text, "the scale length in millimetres", 300, 1000),
}
"""How each setting is read; the ledger keeps the words that `format_setting` writes."""


def format_setting(value: object) -> str:
    """Write a setting's value as its reader reads it."""
    match value:
        case bool():
            return "yes" if value else "no"
        case frozenset():
            return format_days(value)
        case float():
            return f"{value:.10g}"
        case _:
            return str(value)


def read_settings(words: dict[str, str]) -> dict[str, object]:
    """Read the values of settings from words; other names are left out.

    Raises:
        SettingError: A value is outside its range.
        NeckError: A tuning can't be read.
        TempoError: No metronome beats the floor tempo.
    """
    known = frozenset(Settings._fields)
    return {name: READERS[name](text) for name, text in words.items() if name in known}


def with_values(settings: Settings, values: dict[str, object]) -> Settings:
    """Settings with other values for some of them.

    Raises:
        NeckError: The boxes don't fit the tuning or the neck.
    """
    # The values' types are those of the readers, one for each field.
    settings = settings._replace(**values)  # type: ignore[arg-type]
    check_room(check_boxes(settings.neck))
    return settings


def changed(settings: Settings, words: dict[str, str]) -> Settings:
    """Settings with some of them read anew from words.

    Raises:
        SettingError: A value is outside its range.
        NeckError: The boxes don't fit the tuning or the neck.
        TempoError: No metronome beats the floor tempo.
    """
    return with_values(settings, read_settings(words))


class InForce(NamedTuple):
    """The settings that stand, and the words of those that don't go with them."""

    settings: Settings
    left_out: dict[str, str]


def in_force(changes: Sequence[dict[str, str]]) -> InForce:
    """The settings after all changes, told in order of time.

    The latest value of each stands. Two machines may together have left a neck that no box lies
    on: then its changes count one by one, without those that don't go with what stood.

    Raises:
        SettingError: A value is outside its range.
        TempoError: No metronome beats the floor tempo.

    Example:
        >>> in_force([{"lowest_fret": "12"}, {"frets": "12", "minutes": "30"}]).left_out
        {'frets': '12'}
    """
    latest = {name: text for change in changes for name, text in change.items()}
    try:
        return InForce(changed(Settings(), latest), {})
    except NeckError:
        of_neck = {name: latest.pop(name) for name in OF_NECK & latest.keys()}
    settings = changed(Settings(), latest)
    for change in changes:
        with suppress(NeckError):
            settings = changed(settings, {name: change[name] for name in OF_NECK & change.keys()})
    stands = {name: format_setting(value) for name, value in settings._asdict().items()}
    left_out = {name: text for name, text in of_neck.items() if text != stands[name]}
    return InForce(settings, left_out)
