"""Several players beside each other, as a teacher types it."""

import csv
import io
import json
import os
import shutil
import subprocess
from datetime import date, datetime, timedelta
from pathlib import Path
from stat import S_IMODE
from sys import executable
from typing import Any

import pytest

from scheduler.ledger.demo import make_class
from scheduler.player.moments import moment_of
from tests.conftest import NOON, Result, Run

DAYS_MINUTES = {"Edda": 20, "Solvei": 25, "Torben": 20, "Ylva": 15}
"""What each of the demo's class planned for every day."""
TODAY = date(2026, 11, 25)


@pytest.fixture
def folder(home: Path) -> Path:
    return home / "data" / "upneck" / "players"


def export_of(run: Run, path: Path, *words: str) -> Path:
    assert run(*words, "export", "--format", "json", "-o", str(path), "--force").code == 0
    return path


def student(run: Run, tmp_path: Path, name: str, *places: str) -> Path:
    """A student's record, from a machine of their own."""
    ledger = ("--ledger", str(tmp_path / f"machine of {name}.db"))
    run(*ledger, "setup")
    for place in places:
        run(*ledger, "record", place, "clean", "--tempo", "60", "--note", f"{name}'s words")
    return export_of(run, tmp_path / f"{name}.json", *ledger)


def one_line(done: Result, code: int) -> str:
    assert (done.code, done.err.count("\n"), done.out) == (code, 1, "")
    return done.err


# What is shown is what the other commands say.


@pytest.fixture(scope="module")
def ledgers_of_the_class(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's class of the day, made once."""
    folder = tmp_path_factory.mktemp("class")
    make_class(folder, moment_of(datetime.fromisoformat(NOON)))
    return folder


@pytest.fixture
def demo(run: Run, home: Path, ledgers_of_the_class: Path) -> Run:
    """The program with the demo's class at hand."""
    shutil.copytree(ledgers_of_the_class, home / "data" / "upneck" / "demo players")

    def run_demo(*words: str, at: str = NOON, stdin: str | None = None) -> Result:
        return run("--demo", *words, at=at, stdin=stdin)

    return run_demo


@pytest.mark.slow
def test_the_line_of_a_player_is_what_round_items_and_calendar_say(demo: Run) -> None:
    lines = demo("players", "--json").json["players"]
    assert {line["name"] for line in lines} == DAYS_MINUTES.keys()
    for line in lines:
        _is_what_other_commands_say(demo, line)


def _is_what_other_commands_say(run: Run, line: dict[str, Any]) -> None:
    mine = ("--player", line["name"])
    its_round = run(*mine, "round", "--json").json
    calendar = run(*mine, "calendar", "--months", "2", "--json").json
    weak = run(*mine, "items", "any", "--weak", "--json").json["items"]

    assert line["items_clean"] == its_round["items_clean"] == calendar["items_clean"]
    assert line["items_total"] == its_round["items_total"] == calendar["items_total"]
    assert line["round"] == its_round["number"]
    assert [(p["clean"], p["total"]) for p in line["places"]] == [
        (box["items_clean"], box["items_total"])
        for part in its_round["parts"]
        for box in part["boxes"]
    ]
    assert sum(place["weak"] for place in line["places"]) == len(weak)
    for end in ("early", "middle", "late"):
        assert line["finish"][end] == calendar["finish"][end]
    week = [day for day in calendar["days"] if "2026-11-19" <= day["date"] <= "2026-11-25"]
    assert line["week"]["seconds"] == pytest.approx(sum(d["practised_seconds"] for d in week))
    assert line["week"]["passes"] == sum(day["passes"] for day in week)
    assert line["week"]["new_clean"] == sum(day["items_clean"] for day in week)


def test_the_week_of_a_player_is_what_the_passes_add_up_to(demo: Run) -> None:
    """An independent sum, over the log."""
    for line in demo("players", "--json").json["players"]:
        _adds_up(line, demo("--player", line["name"], "export").out)


def _adds_up(line: dict[str, Any], exported: str) -> None:
    log = list(csv.DictReader(io.StringIO(exported)))
    days = [date.fromisoformat(row["played_at"][:10]) for row in log]
    minutes = DAYS_MINUTES[line["name"]]
    for field, last in (("week", TODAY), ("week_before", TODAY - timedelta(7))):
        first = last - timedelta(6)
        rows = [row for row, day in zip(log, days, strict=True) if first <= day <= last]
        there = {day for day in days if first <= day <= last}
        # Today isn't over: nothing was played, so nothing of it was planned yet.
        planned = sum(first + timedelta(n) >= min(days) for n in range(7)) - (last == TODAY)

        assert line[field]["passes"] == len(rows)
        assert line[field]["clean"] == sum(row["clean"] == "1" for row in rows)
        assert line[field]["days"] == len(there)
        assert line[field]["planned_days"] == planned
        assert line[field]["planned_seconds"] == planned * 60 * minutes
    assert line["last_played"] == max(days).isoformat()


def test_who_needs_a_look_first_stands_first_with_the_reason(demo: Run) -> None:
    done = demo("players")
    lines = done.out.splitlines()

    assert [line.split()[0] for line in lines[3:7]] == ["!", "Torben", "Edda", "Solvei"]
    assert "Ylva: not heard from for 13 days." in lines
    assert any(line.startswith("Torben: stuck on boxes 2+3 from the bottom") for line in lines)
    assert "Edda: 12 of 120 planned minutes in seven days." in lines
    assert not any(line.startswith("Solvei:") for line in lines)


def test_a_week_in_sentences(demo: Run) -> None:
    out = demo("players", "--week").out

    assert [line.split(":")[0] for line in out.splitlines()] == ["Ylva", "Torben", "Edda", "Solvei"]
    assert "Edda: 1 day (6 planned), 12 minutes (120 planned). 18 passes, 94% clean" in out
    assert "Ylva: nothing recorded in the last seven days, the last time on 12 November." in out


def test_a_week_that_is_sent_says_no_command(run: Run) -> None:
    run("players", "--add", "Mia")
    run("--player", "Mia", "record", "1:any:any:1-19", "sloppy", "--tempo", "60")
    out = run("players", "--week").out

    assert "Mia: 1 day (1 planned)" in out
    assert out.endswith("At this pace no end is in sight yet.\n")
    assert "upneck" not in out


@pytest.mark.slow
def test_one_beside_the_others(demo: Run) -> None:
    told = demo("players", "torben", "--json").json
    places = {(p["box"], p["direction"]): p for p in told["beside_class"]}

    assert told["name"] == "Torben"
    assert places["1+2", "asc"]["weak_for_one"]
    assert places["1+2", "asc"]["others"] == 3
    assert "Weak for Torben only: boxes 1+2 from the bottom" in demo("players", "Torben").out


# Names and files.


def test_each_player_has_a_ledger_that_only_the_owner_reads(run: Run, folder: Path) -> None:
    for name in ("Jörg Ask", "Mia", "mia", "O'Neil, J. (new) & Co"):
        assert run("players", "--add", name).code == 0
    files = sorted(path.name for path in folder.glob("*.db"))

    assert files == ["Jörg Ask.db", "Mia.db", "O'Neil, J. (new) & Co.db", "mia~2.db"]
    assert {S_IMODE(path.stat().st_mode) for path in folder.glob("*.db")} == {0o600}
    assert S_IMODE(folder.stat().st_mode) == 0o700
    assert [p["name"] for p in run("players", "--json").json["players"]] == [
        "Jörg Ask", "Mia", "mia", "O'Neil, J. (new) & Co",
    ]  # fmt: skip


def test_two_whose_names_differ_in_capitals_only_are_two(run: Run) -> None:
    for name in ("Mia", "mia"):
        run("players", "--add", name)
    run("--player", "mia", "record", "1:any:down:1-5", "clean", "--tempo", "60")

    assert run("--player", "mia", "round", "--json").json["items_clean"] == 5
    assert run("--player", "Mia", "round", "--json").json["items_clean"] == 0
    assert "Mia or mia" in one_line(run("--player", "MIA", "round"), 2)


def test_a_name_is_found_however_its_letters_are_made_and_whatever_its_capitals(run: Run) -> None:
    run("players", "--add", "Jo\u0308rg  Ask")

    assert run("--player", "jörg ask", "round").code == 0
    assert "taken" in one_line(run("players", "--add", "Jörg Ask"), 2)


@pytest.mark.parametrize(
    "name",
    ["../x", "a/b", "a\\b", ".x", "", " ", "x" * 41, "a\nb\x1b[2J", "a:b", "a~2", "-x", "é\u202e"],
)
def test_no_name_becomes_a_path_elsewhere(run: Run, home: Path, name: str) -> None:
    for words in (["players", f"--add={name}"], [f"--player={name}", "round"]):
        one_line(run(*words), 2)
    assert not list(home.rglob("*.db"))


def test_a_name_that_a_system_keeps_for_itself_gets_another_file(run: Run, folder: Path) -> None:
    run("players", "--add", "Con")

    assert [path.name for path in folder.glob("*.db")] == ["Con~2.db"]
    assert run("--player", "con", "round").code == 0


def test_an_unknown_player_is_told_with_the_nearest_name(run: Run, home: Path) -> None:
    run("players", "--add", "Torben")

    assert "did you mean Torben?" in one_line(run("--player", "Torbne", "today"), 2)
    assert "no player 'Nobody'" in one_line(run("players", "Nobody"), 2)
    assert "give one of them" in one_line(run("--player", "Torben", "--ledger", "x.db", "today"), 2)
    assert [path.name for path in home.rglob("*.db")] == ["Torben.db"]


def test_without_a_player_everything_is_as_before(run: Run, ledger_file: Path) -> None:
    run("players", "--add", "Mia")
    assert not ledger_file.exists()
    run("record", "1:any:down:1-5", "clean", "--tempo", "60")
    run("--player", "Mia", "record", "2:any:down:1-3", "clean", "--tempo", "60")

    assert run("round", "--json").json["items_clean"] == 5
    assert run("--player", "Mia", "round", "--json").json["items_clean"] == 3
    assert [p["items_clean"] for p in run("players", "--json").json["players"]] == [3]


def test_nobody_there_yet_is_said_with_the_way(run: Run) -> None:
    assert run("players").out.startswith("There are no players here yet: upneck players --add")
    assert run("players", "--json").json == {"players": []}


# The way back.


def test_a_record_finds_its_player_and_says_what_is_new(run: Run, tmp_path: Path) -> None:
    file = student(run, tmp_path, "Mia", "1:any:down:1-5")
    assert run("import", str(file), "--yes").out == (
        "Mia: 5 passes on 1 day, 5 more items clean (5 of 516), box 1 begun\n"
    )
    other = file.rename(tmp_path / "whatever.json")
    assert run("import", str(other)).out == "Mia: nothing new, last played 25 November\n"
    mine = ("--ledger", str(tmp_path / "machine of Mia.db"))
    run(*mine, "record", "2:any:down:1", "sloppy", "--tempo", "60", at="2026-11-27T12:00:00+01:00")
    done = run("import", str(export_of(run, other, *mine)), at="2026-11-28T12:00:00+01:00")

    assert done.out == "Mia: 1 pass on 1 day (5 of 516), box 2 begun\n"
    assert run("--player", "Mia", "export").out == run(*mine, "export").out


def test_what_comes_through_a_pipe_has_no_name(run: Run, tmp_path: Path) -> None:
    text = student(run, tmp_path, "Mia", "1:any:down:1-5").read_text()
    assert "imported" in run("import", "-", stdin=text).out
    other = student(run, tmp_path, "Jo", "1:any:down:1-3").read_text()
    for words in (["import", "-"], ["import", "-", "--yes"]):
        done = run(*words, stdin=other)
        assert (done.code, done.err.count("\n"), done.out) == (1, 1, "")
        assert "--player NAME import -" in done.err


def test_a_record_of_nobody_known_is_asked_about(run: Run, tmp_path: Path, folder: Path) -> None:
    run("record", "1:any:down:1", "clean", "--tempo", "60")
    file = student(run, tmp_path, "Mia", "1:any:down:1-5")

    assert "--yes makes a player" in one_line(run("import", str(file)), 1)
    assert not folder.exists()
    assert run("import", str(file), "--yes", "--dry-run").code == 0
    assert not list(folder.glob("*.db"))
    assert run("round", "--json").json["items_clean"] == 1


def test_a_folder_of_records_is_taken_but_for_what_is_damaged(run: Run, tmp_path: Path) -> None:
    box = tmp_path / "box"
    box.mkdir()
    for name, place in (("Mia", "1:any:down:1-5"), ("Jo", "2:any:down:1-3")):
        student(run, tmp_path, name, place).rename(box / f"{name}.json")
    whole = (box / "Jo.json").read_text()
    (box / "cut.json").write_text(whole[: len(whole) // 2])
    events = json.loads(whole)
    events["events"][-1]["tempo"] = "fast"
    (box / "wrong.json").write_text(json.dumps(events))
    run("assign", "1", "-o", str(box / "week.json"))
    done = run("import", str(box), "--yes")

    assert done.code == 1
    assert [line.split(":")[0] for line in done.out.splitlines()] == ["Jo", "Mia"]
    assert f"{box / 'cut.json'} is no record" in done.err
    assert f"{box / 'wrong.json'}: 1 line is wrong" in done.err
    assert "2 of 5 files" in done.err.splitlines()[-1]
    found = {p["name"]: p["items_clean"] for p in run("players", "--json").json["players"]}
    assert found == {"Mia": 5, "Jo": 3}


def test_a_new_player_whose_record_is_wrong_isnt_made(
    run: Run, tmp_path: Path, folder: Path
) -> None:
    file = student(run, tmp_path, "Mia", "1:any:down:1-5")
    told = json.loads(file.read_text())
    told["events"][-1]["tempo"] = 1
    file.write_text(json.dumps(told))

    assert run("import", str(file), "--yes").code == 1
    assert list(folder.rglob("*.db")) == []


def test_a_record_of_somebody_else_is_refused(run: Run, tmp_path: Path) -> None:
    for name in ("Mia", "Jo"):
        run("import", str(student(run, tmp_path, name, "1:any:down:1-5")), "--yes")
    mia = str(tmp_path / "Mia.json")

    assert "is Mia's record" in one_line(run("--player", "Jo", "import", mia), 1)
    again = student(run, tmp_path, "Mia again", "3:any:down:1-2").rename(mia)
    assert "another record here" in one_line(run("import", str(again), "--yes"), 1)
    assert run("--player", "Mia", "import", mia, "--same-player").code == 0
    assert run("--player", "Mia", "round", "--json").json["items_clean"] == 7
    assert run("import", mia).out == "Mia: nothing new, last played 25 November\n"
    assert run("--player", "Jo", "round", "--json").json["items_clean"] == 5


def test_a_merge_knows_whose_ledger_it_is_too(run: Run, tmp_path: Path) -> None:
    for name in ("Mia", "Jo"):
        run("import", str(student(run, tmp_path, name, "1:any:down:1-5")), "--yes")
    run("players", "--add", "New")
    ledger = str(tmp_path / "machine of Mia.db")

    for words in (["merge", ledger], ["--player", "New", "merge", ledger]):
        assert "is Mia's record" in one_line(run(*words), 1)
    assert run("--player", "Mia", "merge", ledger).code == 0
    run("record", "2:asc:down:1", "clean", "--tempo", "60")
    mine = export_of(run, tmp_path / "mine.json")
    assert "your own record" in one_line(run("--player", "New", "import", str(mine)), 1)


def test_a_player_who_was_added_gets_the_record_that_comes(run: Run, tmp_path: Path) -> None:
    run("players", "--add", "Mia")
    file = student(run, tmp_path, "mia", "1:any:down:1-5")

    assert run("import", str(file), "--yes").out.startswith("Mia: 5 passes")


def test_a_failed_import_takes_nobody_elses_ledger_along(run: Run, tmp_path: Path) -> None:
    run("players", "--add", "Anna.db")
    mia = student(run, tmp_path, "Mia", "1:any:down:1-5")
    assert run("--player", "Anna.db", "import", str(mia)).code == 0
    anna = student(run, tmp_path, "Anna", "2:any:down:1-5")
    told = json.loads(anna.read_text())
    assert run("import", str(anna), "--yes", "--dry-run").code == 0
    told["events"][-1]["tempo"] = -5
    anna.write_text(json.dumps(told))
    assert run("import", str(anna), "--yes").code == 1

    assert [p["name"] for p in run("players", "--json").json["players"]] == ["Anna.db"]
    assert run("--player", "Anna.db", "round", "--json").json["items_clean"] == 5


def test_a_record_of_two_players_goes_to_neither_by_itself(run: Run, tmp_path: Path) -> None:
    files = [student(run, tmp_path, name, "1:any:down:1-5") for name in ("Mia", "Jo")]
    for file in files:
        run("import", str(file), "--yes")
    first, second = (json.loads(file.read_text()) for file in files)
    second["events"] += [each for each in first["events"] if each["kind"] == "player"]
    both = tmp_path / "both.json"
    both.write_text(json.dumps(second))

    for _ in range(3):
        assert "is of Jo and Mia" in one_line(run("import", str(both)), 1)


@pytest.mark.slow
def test_two_programs_never_make_one_player_twice(run: Run, tmp_path: Path, folder: Path) -> None:
    """One record under two names, and two records under one name, taken in at once."""
    files = [student(run, tmp_path, name, "1:any:down:1-5") for name in ("Mia", "Jo")]
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    pairs = [
        [shutil.copy(files[0], tmp_path / name) for name in ("Xa.json", "Xb.json")],
        [shutil.copy(f, tmp_path / box / "Ann.json") for f, box in zip(files, "ab", strict=True)],
    ]
    for pair in pairs:
        shutil.rmtree(folder, ignore_errors=True)
        programs = [
            subprocess.Popen(
                [executable, "-m", "scheduler", "import", "--yes", str(file)],
                stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
            )
            for file in pair
        ]  # fmt: skip
        codes = [program.wait() for program in programs]
        for program in programs:
            program.communicate()
        told = run("players", "--json").json["players"]
        assert [each["items_clean"] for each in told] == [5]
        assert 0 in codes


def test_what_is_no_record_in_a_folder_hinders_nobody(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    box = tmp_path / "box"
    box.mkdir()
    student(run, tmp_path, "Mia", "1:any:down:1-5").rename(box / "Mia.json")
    nobody = student(run, tmp_path, "Jo", "1:any:down:1-5")
    told = json.loads(nobody.read_text())
    told["events"] = [each for each in told["events"] if each["kind"] != "player"]
    (box / "Ann.json").write_text(json.dumps(told))
    os.mkfifo(box / "pipe.json")
    (box / "folder.json").mkdir()
    ledger_file.parent.mkdir(parents=True, exist_ok=True)
    ledger_file.write_bytes(b"damaged")
    done = run("import", str(box), "--yes")

    assert (done.code, done.out.count("\n")) == (1, 1)
    assert done.out.startswith("Mia: 5 passes")
    assert "Ann.json doesn't say whose it is" in done.err
    assert "1 of 2 files" in done.err


def test_files_that_no_player_could_have_are_left_alone(run: Run, folder: Path) -> None:
    run("players", "--add", "Mia")
    (folder / "Mia b.db").symlink_to(folder / "Mia.db")
    for name in ("[red]x.db", "\x1b[31m.db", ".hidden.db", "~2.db"):
        shutil.copy(folder / "Mia.db", folder / name)

    assert [p["name"] for p in run("players", "--json").json["players"]] == ["Mia"]


def test_a_wrong_import_is_undone(run: Run, tmp_path: Path) -> None:
    run("import", str(student(run, tmp_path, "Mia", "1:any:down:1-5")), "--yes")
    assert "import" in run("--player", "Mia", "undo").out
    assert run("players", "--json").json["players"][0]["items_clean"] == 0


def test_another_round_is_told_as_one_and_not_as_a_loss(run: Run, tmp_path: Path) -> None:
    file = student(run, tmp_path, "Mia", "1:any:down:1-12")
    run("import", str(file), "--yes")
    mine = ("--ledger", str(tmp_path / "machine of Mia.db"))
    later = "2026-11-26T12:00:00+01:00"
    run(*mine, "round", "--next", "--yes", at=later)
    run(*mine, "record", "1:any:down:1-2", "clean", "--tempo", "60", at="2026-11-26T12:05:00+01:00")
    export_of(run, file, *mine)
    evening = "2026-11-26T19:00:00+01:00"

    assert run("import", str(file), at=evening).out == (
        "Mia: 2 passes on 1 day, round 2 begun (2 of 516), box 1 begun\n"
    )
    # What was played in the round before isn't what somebody is stuck on in this one.
    assert run("players", "--json", at=evening).json["players"][0]["why"] == "little_time"


def test_two_records_of_one_player_in_a_folder_are_taken(run: Run, tmp_path: Path) -> None:
    run("players", "--add", "a1")
    box = tmp_path / "box"
    box.mkdir()
    shutil.copy(student(run, tmp_path, "one", "1:any:down:1-5"), box / "a1.json")
    mine = ("--ledger", str(tmp_path / "machine of one.db"))
    run(*mine, "record", "2:any:down:1-2", "clean", "--tempo", "60")
    export_of(run, box / "a2.json", *mine)
    done = run("import", str(box), "--yes")

    assert (done.code, done.err) == (0, "")
    assert [line.split(":")[0] for line in done.out.splitlines()] == ["a1", "a1"]


def test_a_ledger_that_the_variable_names_is_ones_own(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = student(run, tmp_path, "me", "1:any:down:1-5")
    other = student(run, tmp_path, "Mia", "2:any:down:1-3")
    box = tmp_path / "box"
    box.mkdir()
    for each in (file, other):
        each.rename(box / each.name)
    monkeypatch.setenv("UPNECK_LEDGER", str(tmp_path / "machine of me.db"))
    done = run("import", str(box), "--yes")

    assert done.code == 0
    assert [p["name"] for p in run("players", "--json").json["players"]] == ["Mia"]
    assert run("round", "--json").json["items_clean"] == 5


@pytest.mark.parametrize(
    "words",
    [
        ["--demo", "import", "FOLDER", "--yes"],
        ["--demo", "players", "--add", "Zed"],
        ["--ledger", "x.db", "players"],
        ["--player", "Mia", "players"],
        ["players", "Mia", "--add", "Jo"],
        ["players", "--week", "--json"],
        ["import", "FOLDER", "--same-player"],
    ],
)
def test_words_that_dont_go_together_are_refused(
    run: Run, tmp_path: Path, words: list[str]
) -> None:
    run("players", "--add", "Mia")

    one_line(run(*(str(tmp_path) if word == "FOLDER" else word for word in words)), 2)


def test_what_a_killed_program_left_aside_is_swept(run: Run, folder: Path) -> None:
    run("players", "--add", "Mia")
    (folder / ".new-left").mkdir()
    shutil.copy(folder / "Mia.db", folder / ".new-left" / "Ann.db")
    run("players", "--add", "Jo")

    assert not (folder / ".new-left").exists()
    assert [p["name"] for p in run("players", "--json").json["players"]] == ["Jo", "Mia"]


def test_one_own_record_comes_back_to_an_empty_machine(run: Run, tmp_path: Path) -> None:
    file = student(run, tmp_path, "me", "1:any:down:1-5")

    assert "imported" in run("import", str(file)).out
    assert run("round", "--json").json["items_clean"] == 5
    assert run("players", "--json").json == {"players": []}


@pytest.mark.parametrize("form", ["json", "csv"])
def test_a_record_goes_out_without_notes_and_is_the_same_record(
    run: Run, tmp_path: Path, form: str
) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", "--note", "my own words")
    out = {notes: run("export", "--format", form, notes).out for notes in ("--notes", "--no-notes")}
    assert "my own words" in out["--notes"]
    assert "my own words" not in out["--no-notes"]
    files = {}
    for notes, text in out.items():
        files[notes] = tmp_path / f"{notes}.{form}"
        files[notes].write_text(text)

    assert "0 imported" in run("import", str(files["--no-notes"])).out
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    for notes in ("--no-notes", "--notes", "--no-notes"):
        assert run(*other, "import", str(files[notes])).code == 0
    if form == "json":
        assert run(*other, "export").out == run("export", "--no-notes").out


@pytest.mark.parametrize("first", ["json", "csv"])
def test_notes_that_come_later_double_nothing(run: Run, tmp_path: Path, first: str) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", "--note", "my own words")
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    for form, notes in ((first, "--no-notes"), ("csv", "--notes"), ("csv", "--no-notes")):
        file = tmp_path / f"{form}{notes}"
        file.write_text(run("export", "--format", form, notes).out)
        assert run(*other, "import", str(file)).code == 0

    assert run(*other, "export").out == run("export", "--no-notes").out


# What was worked out is kept, and never stale.


def test_another_ledger_in_its_place_is_looked_at_again(
    run: Run, tmp_path: Path, folder: Path
) -> None:
    """Of two logs the last passes are one event: its id alone doesn't tell which record it is."""
    run("players", "--add", "Mia")
    before = (folder / "Mia.db").read_bytes()
    log = tmp_path / "log.csv"
    rows = ["2026-11-24T19:00:00+01:00,{},60,3,{},,,".format(*each) for each in
            (("1:asc:down:1", 1), ("1:asc:down:3", 1), ("1:asc:down:5", 1))]  # fmt: skip
    head = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"
    found = []
    for changed in (rows, [row.replace("60,3,1", "60,3,0") for row in rows[:2]] + rows[2:]):
        (folder / "Mia.db").write_bytes(before)
        log.write_text("\r\n".join([head, *changed, ""]))
        assert run("--player", "Mia", "import", str(log)).code == 0
        found.append(run("players", "--json").json["players"][0]["items_clean"])

    assert found == [3, 1]


@pytest.mark.slow
def test_in_another_hour_it_is_worked_out_again(run: Run, folder: Path) -> None:
    run("players", "--add", "Mia")
    keys = set()
    for clock in ("12:00", "12:59", "13:01"):
        run("players", at=f"2026-11-25T{clock}:00+01:00")
        keys.add(json.loads((folder / "looks.json").read_text())["Mia.db"]["key"])

    assert len(keys) == 2
    # Midnight lies within an hour of UTC where the offset isn't whole hours.
    for now in ("2026-11-22T23:45:00+05:30", "2026-11-23T00:15:00+05:30"):
        assert run("players", "--json", at=now).json["players"][0]["as_of"] == now[:10]


def test_a_second_look_is_the_same_and_a_changed_record_another(run: Run, folder: Path) -> None:
    run("players", "--add", "Mia")
    run("--player", "Mia", "record", "1:any:down:1-5", "clean", "--tempo", "60")
    first = run("players", "--json").out
    kept = (folder / "looks.json").read_bytes()
    assert S_IMODE((folder / "looks.json").stat().st_mode) == 0o600

    assert run("players", "--json").out == first
    assert (folder / "looks.json").read_bytes() == kept
    run("--player", "Mia", "record", "1:any:down:6", "clean", "--tempo", "60")
    assert run("players", "--json").json["players"][0]["items_clean"] == 6
    run("--player", "Mia", "undo")
    assert run("players", "--json").json["players"][0]["items_clean"] == 5
    run("--player", "Mia", "setup", "--minutes", "35")
    assert run("players", "--json").json["players"][0]["week"]["planned_seconds"] == 35 * 60
    next_week = run("players", "--json", at="2026-12-03T12:00:00+01:00").json["players"][0]
    assert next_week["not_heard_of"]


@pytest.mark.parametrize("content", [b"{", b"[]", b'{"Mia.db": {"key": 1, "look": {}}}', b"\xff"])
def test_what_was_kept_may_be_damaged(run: Run, folder: Path, content: bytes) -> None:
    run("players", "--add", "Mia")
    before = run("players", "--json").out
    (folder / "looks.json").write_bytes(content)

    assert run("players", "--json").out == before


@pytest.mark.parametrize("value", [None, -1])
def test_a_kept_look_that_was_changed_isnt_used(run: Run, folder: Path, value: object) -> None:
    run("players", "--add", "Mia")
    before, file = run("players", "--json").out, folder / "looks.json"
    for path in (["week"], ["week", "seconds"], ["places"], ["items_clean"]):
        kept = json.loads(file.read_text())
        inner = kept["Mia.db"]["look"]
        for step in path[:-1]:
            inner = inner[step]
        inner[path[-1]] = value
        file.write_text(json.dumps(kept))

        assert run("players", "--json").out == before


def test_a_damaged_ledger_is_named_and_the_others_are_shown(run: Run, folder: Path) -> None:
    for name in ("Mia", "Jo"):
        run("players", "--add", name)
    (folder / "Jo.db").write_bytes(b"no ledger")
    done = run("players", "--json")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert done.err.startswith("upneck: Jo: ")
    assert [p["name"] for p in done.json["players"]] == ["Mia"]
    (folder / "Mia.db").unlink()
    assert run("players").out == ""


def test_completion_knows_the_names(run: Run) -> None:
    from scheduler.cli.completion import complete_player

    for name in ("Mia", "mia", "Jörg Ask"):
        run("players", "--add", name)

    assert complete_player("m") == ["Mia", "mia"]
    assert complete_player("JÖ") == ["Jörg Ask"]
    assert complete_player("x") == []
