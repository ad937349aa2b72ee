"""A class for two simulated weeks, by commands alone, as a teacher and four students type them."""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.guitar.metronome import speed_of
from scheduler.guitar.patterns import parse_address
from tests.conftest import Result, Run
from tests.simulation.players import FAMILIES, Player

FIRST_DAY = date(2026, 11, 2)
STRINGS = 6
WEEKS = 2


@dataclass
class Student:
    """Somebody with a machine of their own.

    Attributes:
        name: The name.
        ledger: The words that name the ledger.
        player: What they can do.
        days: The days of the two weeks, counted from 0, on which they play.
    """

    name: str
    ledger: tuple[str, str]
    player: Player
    days: set[int]


@dataclass
class Teacher:
    """The teacher's commands, counted."""

    run: Run
    commands: list[tuple[str, ...]] = field(default_factory=list)

    def types(self, *words: str, at: str) -> Result:
        self.commands.append(words)
        done = self.run(*words, at=at)
        assert done.code == 0, done.err
        return done


def at(day: int, clock: str) -> str:
    return f"{FIRST_DAY + timedelta(day)}T{clock}:00+01:00"


def practise(run: Run, student: Student, day: int) -> None:
    """Take the day's session, play it, and record it, a line a block."""
    evening = at(day, "19:00")
    session = run(*student.ledger, "today", "--json", at=evening).json
    for block in session["blocks"]:
        sloppy = []
        for each in block["items"]:
            item = parse_address(each["item"])
            speed = speed_of(block["tempo"], block["notes_per_beat"])
            notes = item.notes_on(STRINGS)
            clean, *_ = student.player.play(item, notes, speed, float(day), 5.0)
            if not clean:
                sloppy.append(f"{block['number']}/{item.fret}")
        words = ["--sloppy", ",".join(sloppy)] if sloppy else []
        done = run(*student.ledger, "record", str(block["number"]), "clean", *words, at=evening)
        assert done.code == 0, done.err


@pytest.fixture
def students(run: Run, tmp_path: Path) -> list[Student]:
    weeks = {
        "Mia": set(range(14)),
        "Jörg Ask": {0, 1, 5, 8, 12},
        "Ann": {0, 1, 2},
        "Li": {7, 9, 11},
    }
    family = replace(FAMILIES[0], base=-5.0)
    found = []
    for seed, (name, days) in enumerate(weeks.items()):
        ledger = ("--ledger", str(tmp_path / f"machine {seed}.db"))
        assert run(*ledger, "setup", at=at(0, "08:00")).code == 0
        found.append(Student(name, ledger, Player(family, seed), days))
    return found


@pytest.mark.slow
def test_two_weeks_of_a_class_take_three_commands_a_week(
    run: Run, tmp_path: Path, students: list[Student]
) -> None:
    """One to assign, one to import, one to look; without an assignment two."""
    teacher, box, handed = Teacher(run), tmp_path / "box", tmp_path / "week.json"
    box.mkdir()
    for week in range(WEEKS):
        monday, until = at(7 * week, "09:00"), str(FIRST_DAY + timedelta(7 * week + 6))
        places = ("1", "2") if week == 0 else ("3", "4")
        teacher.types("assign", *places, "--until", until, "-o", str(handed), "--force", at=monday)
        for student in students:
            assert run(*student.ledger, "import", str(handed), "--yes", at=monday).code == 0
        for day in range(7 * week, 7 * week + 7):
            for student in students:
                if day in student.days:
                    practise(run, student, day)
        sunday = at(7 * week + 6, "21:00")
        for student in students:
            file = str(box / f"{student.name}.json")
            run(*student.ledger, "export", "--format", "json", "-o", file, "--force", at=sunday)
        teacher.types("import", str(box), "--yes", at=sunday)
        told = teacher.types("players", "--json", at=sunday).json["players"]
        _is_what_the_students_see(run, students, told, sunday)

    assert len(teacher.commands) == 3 * WEEKS
    assert [line["name"] for line in told] == ["Ann", "Jörg Ask", "Li", "Mia"]
    # Few minutes are enough where all that was assigned is clean.
    assert [line["why"] for line in told] == ["away", "fine", "fine", "fine"]


def _is_what_the_students_see(
    run: Run, students: list[Student], told: list[dict[str, object]], now: str
) -> None:
    by_name = {line["name"]: line for line in told}
    for student in students:
        own = run(*student.ledger, "round", "--json", at=now).json
        if student.name not in by_name:
            assert own["items_clean"] == 0
            continue
        line = by_name[student.name]
        assert line["items_clean"] == own["items_clean"]
        assert line["items_total"] == own["items_total"]
        assert line["assignment"] == own["assignment"]
        log = run("--player", student.name, "export", at=now).out
        assert log == run(*student.ledger, "export", at=now).out
