"""What comes from elsewhere, taken in: a log, a record, another ledger. All of it or nothing."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from scheduler.errors import LedgerError
from scheduler.guitar.routines import INSIDE
from scheduler.ledger.backup import keep_copy
from scheduler.ledger.doing import news_among
from scheduler.ledger.events_table import Row
from scheduler.ledger.intake import Taken, check_player, problems_of_rows, take_in
from scheduler.ledger.logfile import LogLine, Problem, parse_log
from scheduler.ledger.merge import SettingClash, setting_clashes
from scheduler.ledger.record_file import Reading, read_record
from scheduler.ledger.same_pass import rows_of_log, tellings
from scheduler.player.moments import MS_PER_DAY
from scheduler.practice.practice import Practice
from scheduler.practice.settings import changed_words
from scheduler.practice.ticking import tick_off

NOTHING = Taken(0, 0)


@dataclass(frozen=True, slots=True)
class TakenIn:
    """What a file brought.

    Attributes:
        taken: How many events were new, and how many known.
        problems: What is wrong with it, where nothing was taken.
        fine: How many of its events would do.
        beyond_neck: Passes of a log at places that the neck in force hasn't.
    """

    taken: Taken = NOTHING
    problems: tuple[Problem, ...] = ()
    fine: int = 0
    beyond_neck: int = 0


def take_file(practice: Practice, text: str, *, dry_run: bool, is_same_player: bool) -> TakenIn:
    """Take in a log (CSV) or a record (JSON).

    Args:
        practice: The player's practice.
        text: What the file holds.
        dry_run: Whether it is only tried.
        is_same_player: Whether a record that says another player is this player's all the same.

    Raises:
        LedgerError: It is another player's record, or the file can't be written.
    """
    is_record = text.lstrip()[:1] == "{"
    reading, beyond = _record(practice, text) if is_record else _log(practice, text)
    if reading.problems:
        fine = len(reading.rows) + reading.known
        return TakenIn(problems=tuple(reading.problems), fine=fine)
    is_same = is_same_player or not is_record
    taken = _take(practice, "import", reading.rows, is_same_player=is_same, dry_run=dry_run)
    return TakenIn(Taken(taken.new, taken.known + reading.known), beyond_neck=beyond)


def _take(
    practice: Practice, what: str, rows: Sequence[Row], *, is_same_player: bool, dry_run: bool
) -> Taken:
    """Take in events as one act, after a backup if any of them is news."""
    ledger = practice.ledger
    check_player(ledger, rows, is_same=is_same_player)
    if not dry_run and any(news_among(ledger, rows)):
        keep_copy(ledger.db.conn, ledger.path, what)
    # Read before the transaction: what a session asks for is what was in force until now.
    tick = partial(tick_off, practice, practice.basis(), practice.state)
    taken = take_in(
        ledger, what, rows, practice.now, dry_run=dry_run, is_same_player=is_same_player,
        then=tick,
    )  # fmt: skip
    practice.look_again()
    return taken


def _record(practice: Practice, text: str) -> tuple[Reading, int]:
    routines = practice.routines
    reading = read_record(text, routines)
    if not reading.problems:
        reading.problems = problems_of_rows(reading.rows, practice.now, 2, routines)
    if reading.problems:
        wrong = {problem.line for problem in reading.problems}
        reading.rows = [row for line, row in enumerate(reading.rows, 2) if line not in wrong]
    return reading, 0


def _log(practice: Practice, text: str) -> tuple[Reading, int]:
    latest = practice.now._replace(utc_ms=practice.now.utc_ms + MS_PER_DAY)
    lines, problems = parse_log(io.StringIO(text, newline=""), latest, practice.routines)
    own = {line.item.routine.name for line in lines} - {each.name for each in INSIDE.values()}
    if own:
        names = ", ".join(sorted(own))
        practice.tell(f"a log doesn't define routines: {names} is taken as it is defined here")
    ledger = practice.ledger
    with ledger.reading():
        besides = tellings(ledger.db.conn)
    rows, known = rows_of_log(lines, ledger.passes(), practice.neck.strings, besides)
    return Reading(rows, problems, known), _beyond(practice, lines)


def _beyond(practice: Practice, lines: Sequence[LogLine]) -> int:
    return sum(not practice.has(line.item) for line in lines)


@dataclass(frozen=True, slots=True)
class Merged:
    """What a merge brought.

    Attributes:
        taken: How many events.
        clashes: The settings that were changed in both.
        settings: The settings that are other ones now, in words.
    """

    taken: Taken
    clashes: tuple[SettingClash, ...]
    settings: dict[str, str]


def merge(practice: Practice, theirs: Sequence[Row], *, is_same_player: bool) -> Merged:
    """Take in all events of another ledger that aren't known.

    Raises:
        LedgerError: The other ledger is another player's, or holds what no clock gives; or the
            file can't be written.
    """
    ledger = practice.ledger
    problems = problems_of_rows(theirs, practice.now, routines=practice.routines)
    if problems:
        more = f", and {len(problems) - 1} more" if len(problems) > 1 else ""
        msg = f"in the other ledger, {problems[0].message}{more}: nothing was taken"
        raise LedgerError(msg)
    clashes, before = setting_clashes(ledger, theirs), practice.settings
    taken = _take(practice, "merge", theirs, is_same_player=is_same_player, dry_run=False)
    return Merged(taken, tuple(clashes), changed_words(before, practice.settings))
