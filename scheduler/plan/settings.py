"""The settings, each with its range, read from the words a player types."""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from typing import NamedTuple

from scheduler.errors import NeckError, SettingError
from scheduler.guitar.fingering import SCALE_LENGTH_MM
from scheduler.guitar.items import check_fits
from scheduler.guitar.keys import parse_key
from scheduler.guitar.metronome import (
    DEFAULT_FLOOR_TEMPO,
    DEFAULT_NOTES_PER_BEAT,
    BeatsPerMinute,
    NotesPerSecond,
    speed_of,
)
from scheduler.guitar.neck import (
    FEWEST_FRETS,
    MOST_FRETS,
    STANDARD_TUNING,
    Neck,
    format_tuning,
    parse_neck,
    parse_tuning,
)
from scheduler.plan.assignment import LONGEST_BY, LONGEST_WORDS, read_line, read_places, read_until
from scheduler.plan.values import (
    FEWEST_OF_TEN,
    MOST_OF_TEN,
    format_days,
    parse_clean_of_ten,
    parse_days,
    parse_minutes,
    parse_tempo,
    read_between,
    read_flag,
    read_notes_per_beat,
    read_whole,
)

MOST_REVISIT = 50
OF_ROUTINE, FLOOR_OF = "routine ", "floor_tempo "
"""`routine NAME` keeps a player's own routine, `floor_tempo NAME` the floor tempo of any but the
first."""

OF_NECK = {"tuning", "frets", "lowest_fret"}
OF_GUITAR = (*sorted(OF_NECK), "scale_length", "left_handed")
"""Settings of a guitar. Those of a second one are kept as `SETTING GUITAR`, such as `tuning seven`;
what isn't given is as on the main guitar."""

MAIN_GUITAR, NO_KEY = "main", "none"
GUITAR_NAME = re.compile(r"[a-z][a-z0-9-]{0,19}")


class Settings(NamedTuple):
    """How and on what the player practises; every default works as it is.

    Attributes:
        tuning: Open strings, lowest first.
        frets: The last fret of the neck.
        lowest_fret: The lowest fret used; 1 means no open strings.
        notes_per_beat: 1, 2, 3, 4 or 6.
        floor_tempo: The slowest tempo that counts in the round, in beats per minute.
        clean_of_ten: How many of ten passes at a suggested tempo should be clean.
        minutes: The budget of a day.
        days: The weekdays on which there is practice, Monday = 0.
        revisit: The most of a session that goes to repair and refresh, in percent.
        left_handed: Whether necks and boxes are drawn mirrored.
        both_directions: Whether every single comes in both directions in one round.
        scale_length: Of the instrument, in millimetres.
        plays_clean: What the player said to play clean in box 1 before the first pass.
        routine: The key of the routine that goes onward; the floor tempo is that of its round.
        resting: The names of routines that are left out of revisits, with blanks between.
        guitar: The name of the guitar that is played; "" for the main one.
        home_key: Where a box or coupling is first looked at, as "Am"; "" for nowhere.
        assigned: What a teacher assigned, as patterns; with its day, by whom, and a sentence.
    """

    tuning: str = STANDARD_TUNING
    frets: int = 22
    lowest_fret: int = 1
    notes_per_beat: int = DEFAULT_NOTES_PER_BEAT
    floor_tempo: float = DEFAULT_FLOOR_TEMPO
    clean_of_ten: float = 9
    minutes: float = 20
    days: frozenset[int] = frozenset(range(7))
    revisit: int = 10
    left_handed: bool = False
    both_directions: bool = False
    scale_length: float = SCALE_LENGTH_MM
    plays_clean: float | None = None
    routine: str = ""
    resting: str = ""
    guitar: str = ""
    home_key: str = ""
    assigned: str = ""
    assigned_until: str = ""
    assigned_by: str = ""
    assigned_words: str = ""

    @property
    def assigned_as(self) -> tuple[str, str, str, str]:
        """What was assigned, until when, by whom, and the sentence, in words."""
        return self.assigned, self.assigned_until, self.assigned_by, self.assigned_words

    @property
    def neck(self) -> Neck:
        """The neck."""
        return parse_neck(self.tuning, self.frets, self.lowest_fret)

    @property
    def floor_speed(self) -> NotesPerSecond:
        """The floor tempo in notes per second."""
        return speed_of(BeatsPerMinute(self.floor_tempo), self.notes_per_beat)

    @property
    def clean_target(self) -> float:
        """The chance of a clean pass that a suggested tempo must give."""
        return self.clean_of_ten / 10

    @property
    def budget_seconds(self) -> float:
        """The budget of a day."""
        return self.minutes * 60


def read_guitar(text: str) -> str:
    """Read a guitar's name; `main` is the one without a name.

    Raises:
        SettingError: It is no name.
    """
    if text in {"", MAIN_GUITAR}:
        return ""
    if not GUITAR_NAME.fullmatch(text):
        msg = f"a guitar's name has up to 20 small letters, digits and -, not {text!r}"
        raise SettingError(msg)
    return text


READERS: dict[str, Callable[[str], object]] = {
    "tuning": lambda text: format_tuning(parse_tuning(text)),
    "frets": lambda text: read_whole(text, "frets", FEWEST_FRETS, MOST_FRETS),
    "lowest_fret": lambda text: read_whole(text, "the lowest fret used", 0, 12),
    "notes_per_beat": read_notes_per_beat,
    "floor_tempo": parse_tempo,
    "clean_of_ten": parse_clean_of_ten,
    "minutes": parse_minutes,
    "days": parse_days,
    "revisit": lambda text: read_whole(text, "the share for repair and refresh", 0, MOST_REVISIT),
    "left_handed": read_flag,
    "both_directions": read_flag,
    "scale_length": lambda text: read_between(text, "the scale length in millimetres", 300, 1000),
    "plays_clean": lambda text: parse_tempo(text) if text else None,
    "routine": str,
    "resting": lambda text: " ".join(sorted(set(text.split()))),
    "guitar": read_guitar,
    "home_key": lambda text: "" if text in {"", NO_KEY} else parse_key(text).short,
    "assigned": read_places,
    "assigned_until": read_until,
    "assigned_by": lambda text: read_line(text, "who assigns", LONGEST_BY),
    "assigned_words": lambda text: read_line(text, "a sentence", LONGEST_WORDS),
}
"""How each setting is read; the ledger keeps the words that `format_setting` writes."""


def in_present_words(name: str, text: str) -> tuple[str, str]:
    """A setting as it is called and written now; records keep older names.

    Raises:
        SettingError: The value of an older name is outside its range.

    Example:
        >>> in_present_words("clean_target", "0.85"), in_present_words("frets", "24")
        (('clean_of_ten', '8.5'), ('frets', '24'))
    """
    if name != "clean_target":
        return name, text
    share = read_between(text, "the clean target", FEWEST_OF_TEN / 10, MOST_OF_TEN / 10)
    return "clean_of_ten", format_setting(round(10 * share, 9))


def kept_name(name: str, guitar: str, routine: str) -> str:
    """The name under which a setting is kept, where it is another guitar's or routine's own.

    Example:
        >>> kept_name("tuning", "seven", ""), kept_name("floor_tempo", "", "major3")
        ('tuning seven', 'floor_tempo major3')
    """
    if guitar and name in OF_GUITAR:
        return f"{name} {guitar}"
    return FLOOR_OF + routine if routine and name == "floor_tempo" else name


def reader_of(name: str) -> Callable[[str], object] | None:
    """How a setting is read by the name under which it is kept; None if nobody reads it."""
    plain, _, of = name.partition(" ")
    if of and (plain in OF_GUITAR or name.startswith(FLOOR_OF)):
        return READERS[plain]
    return READERS.get(name)


def _of_guitar(changes: Sequence[dict[str, str]]) -> list[dict[str, str]]:
    """The changes as they are for the guitar that is played: what is said of it comes last."""
    guitar = next((each["guitar"] for each in reversed(changes) if "guitar" in each), "")
    if not guitar:
        return list(changes)
    own = {kept_name(name, guitar, ""): name for name in OF_GUITAR}
    said = [{own[name]: change[name] for name in own.keys() & change.keys()} for change in changes]
    return [*changes, *filter(None, said)]


def format_setting(value: object) -> str:
    """Write a setting's value as its reader reads it."""
    match value:
        case None:
            return ""
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
    check_fits(settings.neck)
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
    changes = [
        dict(in_present_words(name, text) for name, text in change.items()) for change in changes
    ]
    changes = _of_guitar(changes)
    latest = {name: text for change in changes for name, text in change.items()}
    if latest.get("routine"):
        latest["floor_tempo"] = latest.get(
            FLOOR_OF + latest["routine"], format_setting(float(DEFAULT_FLOOR_TEMPO))
        )
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
