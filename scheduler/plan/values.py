"""Values of settings, read from the words a player types, and weekdays written as they are read."""

from scheduler.errors import SettingError
from scheduler.guitar.metronome import NOTES_PER_BEAT, BeatsPerMinute, check_tempo
from scheduler.guitar.patterns import nearest

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NAMES_OF_DAYS = (
    "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday",
)  # fmt: skip
FEWEST_MINUTES, MOST_MINUTES = 1, 720
FEWEST_OF_TEN, MOST_OF_TEN = 5, 9.9
MOST_DIGITS = 9


def read_number(text: str, what: str) -> float:
    """Read a number; `what` says in the error what it is for.

    Raises:
        SettingError: It isn't one.
    """
    cleaned = text.strip()
    if not cleaned or not all(mark in "0123456789." for mark in cleaned.removeprefix("-")):
        msg = f"{what} is a number, not {text!r}"
        raise SettingError(msg)
    try:
        return float(cleaned)
    except ValueError as problem:
        msg = f"{what} is a number, not {text!r}"
        raise SettingError(msg) from problem


def read_between(text: str, what: str, low: float, high: float) -> float:
    """Read a number from `low` to `high`.

    Raises:
        SettingError: It isn't one.
    """
    number = read_number(text, what)
    if not low <= number <= high:
        msg = f"{what} is {low:g} to {high:g}, not {number:g}"
        raise SettingError(msg)
    return number


def read_whole(text: str, what: str, low: int, high: int) -> int:
    """Read a whole number from `low` to `high`.

    Raises:
        SettingError: It isn't one.
    """
    number = read_between(text, what, low, high)
    if number != int(number):
        msg = f"{what} is a whole number from {low} to {high}, not {number:g}"
        raise SettingError(msg)
    return int(number)


def whole_number(text: str) -> int | None:
    """Read a whole number of at most nine digits; None if it is none, or longer.

    Example:
        >>> whole_number("12"), whole_number("-1"), whole_number("9" * 5000)
        (12, None, None)
    """
    # Python itself refuses thousands of digits; nothing here counts further than that.
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None


def parse_minutes(text: str) -> float:
    """Read a day's budget.

    Raises:
        SettingError: It isn't a number of minutes from 1 to 720.

    Example:
        >>> parse_minutes("20")
        20.0
    """
    return read_between(text, "minutes a day", FEWEST_MINUTES, MOST_MINUTES)


def parse_tempo(text: str) -> BeatsPerMinute:
    """Read a tempo.

    Raises:
        SettingError: It isn't a number.
        TempoError: No metronome beats it.
    """
    return check_tempo(read_number(text, "a tempo"))


def parse_clean_of_ten(text: str) -> float:
    """Read how many of ten passes should be clean.

    Raises:
        SettingError: It isn't a number from 5 to 9.9.

    Example:
        >>> parse_clean_of_ten("9"), parse_clean_of_ten("8.5")
        (9.0, 8.5)
    """
    return read_between(text, "clean passes of ten", FEWEST_OF_TEN, MOST_OF_TEN)


NAMED_DAYS = {"weekdays": "mon-fri", "weekends": "sat-sun", "daily": "mon-sun"}
"""What people call some of them."""


def parse_days(text: str) -> frozenset[int]:
    """Read weekdays, Monday = 0: lists and ranges, which may run over the week's end.

    Raises:
        SettingError: A word is no weekday.

    Example:
        >>> sorted(parse_days("mon-wed,sat")), sorted(parse_days("weekdays"))
        ([0, 1, 2, 5], [0, 1, 2, 3, 4])
    """
    text = NAMED_DAYS.get(text.lower().strip(), text)
    days: set[int] = set()
    for piece in text.lower().replace(" ", "").split(","):
        ends = [_weekday(word) for word in piece.split("-", 1)]
        length = (ends[-1] - ends[0]) % 7 + 1
        days.update((ends[0] + step) % 7 for step in range(length))
    return frozenset(days)


def _weekday(word: str) -> int:
    found = [n for n, name in enumerate(NAMES_OF_DAYS) if name.startswith(word)]
    if len(found) == 1 and len(word) >= len(WEEKDAYS[0]):
        return found[0]
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


def read_flag(text: str) -> bool:
    """Read yes or no.

    Raises:
        SettingError: It is neither.
    """
    words = {"yes": True, "no": False}
    if text not in words:
        msg = f"it is yes or no, not {text!r}"
        raise SettingError(msg)
    return words[text]


def read_notes_per_beat(text: str) -> int:
    """Read the notes per beat.

    Raises:
        SettingError: They aren't 1, 2, 3, 4 or 6.
    """
    number = read_number(text, "notes per beat")
    if number not in NOTES_PER_BEAT:
        msg = f"notes per beat are 1, 2, 3, 4 or 6, not {number:g}"
        raise SettingError(msg)
    return int(number)
