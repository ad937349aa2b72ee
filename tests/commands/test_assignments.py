"""What a teacher hands out, and what becomes of it on the student's side."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.conftest import Run, another

NEXT_WEEK = "2026-12-02"
AFTER = "2026-12-03T12:00:00+01:00"
OWN = """
name = "wide"
title = "minor pentatonic, two notes a string, in fours"
scale = [0, 3, 5, 7, 10]
notes-a-string = 2
group = 4
step = 2
"""


def assigned(run: Run, path: Path, *words: str) -> str:
    """A file that a teacher wrote, who has a ledger of their own."""
    teacher = path.parent / "teacher.db"
    if not teacher.exists():
        another(run, teacher)
    done = run("--ledger", str(teacher), "assign", *words, "-o", str(path), "--force")
    assert done.code == 0, done.err
    return str(path)


@pytest.fixture
def week(run: Run, tmp_path: Path) -> str:
    """Boxes 2 and 3 for a week."""
    words = ("2", "3", "--until", NEXT_WEEK, "--by", "Ines", "--say", "Slowly, and even.")
    return assigned(run, tmp_path / "week.json", *words)


def boxes_in(session: Any, *reasons: str) -> set[str]:  # noqa: ANN401
    return {
        each["item"].split(":")[0]
        for block in session["blocks"]
        if not reasons or block["reason"] in reasons
        for each in block["items"]
    }


def onward_of(session: Any) -> list[str]:  # noqa: ANN401
    return [
        each["item"]
        for block in session["blocks"]
        if block["reason"] == "onward"
        for each in block["items"]
    ]


def test_it_is_shown_and_asked_before_it_is_taken(run: Run, week: str) -> None:
    done = run("import", week)

    assert (done.code, done.err) == (
        1, "upneck: add --yes to take the assignment: nobody can be asked here\n"
    )  # fmt: skip
    assert "An assignment by Ines, until 2 December: box 2 and box 3." in done.out
    assert "“Slowly, and even.”" in done.out
    assert run("today", "--json").json["assignment"] is None
    assert run("import", week, "--dry-run").code == 0
    assert run("today", "--json").json["assignment"] is None


def test_places_may_be_named_by_key(run: Run, tmp_path: Path) -> None:
    run("import", assigned(run, tmp_path / "a.json", "2 Am", "1+2:desc"), "--yes")
    told = run("round", "--json").json["assignment"]

    assert told["places"] == ["2:any:any:am", "1+2:desc"]
    assert told["items_total"] == 2 * 2 + 34
    assert "box 2, in A minor and boxes 1+2 from the top" in " ".join(run("round").out.split())


def test_a_session_keeps_to_it_until_its_day(run: Run, week: str) -> None:
    run("record", "5:any:any:1-9", "clean", "--tempo", "60", at="2026-11-01T12:00:00+01:00")
    run("record", "5:any:any:1-9", "sloppy", "--tempo", "60", at="2026-11-02T12:00:00+01:00")
    assert run("today", "--on", "+1", "--json").json["assignment"] is None
    assert "5" in boxes_in(run("today", "--on", "+1", "--json").json, "repair")
    run("import", week, "--yes")

    for day in ("2026-11-25", NEXT_WEEK):
        session = run("today", "--on", day, "--json").json
        assert boxes_in(session, "onward", "repair", "refresh") <= {"2", "3"}
        assert session["planned_seconds"] > 0.9 * session["budget_seconds"]
    assert "1" in boxes_in(run("today", "--on", "2026-12-03", "--json").json, "onward")
    assert run("today", at=AFTER).out.count("Ines") == 0


def test_today_and_round_say_whose_it_is_and_how_far_it_is_done(run: Run, week: str) -> None:
    run("import", week, "--yes")
    run("record", "2:any:down:1-3", "clean", "--tempo", "60")
    line = "Assigned by Ines, until 2 December: box 2 and box 3; 3 of 74 items clean."

    for command in ("today", "round"):
        assert line in " ".join(run(command).out.split())
        assert run(command, "--json").json["assignment"] == {
            "by": "Ines", "until": NEXT_WEEK, "places": ["2", "3"], "words": "Slowly, and even.",
            "items_total": 74, "items_clean": 3, "is_over": False,
        }  # fmt: skip
    assert "(that day is over)" in run("round", at=AFTER).out


def test_once_it_is_clean_sessions_go_on_in_the_round(run: Run, week: str) -> None:
    run("import", week, "--yes")
    for box in ("2", "3"):
        for stroke in ("down", "up"):
            run("record", f"{box}:any:{stroke}", "clean", "--tempo", "60")
    later = "2026-11-26T12:00:00+01:00"

    assert run("round", "--json").json["assignment"]["items_clean"] == 74
    assert "all of its 74 items are clean" in " ".join(run("today", at=later).out.split())
    session = run("today", "--json", at=later).json
    assert next(iter(onward_of(session))).startswith("1:")
    assert not boxes_in(session, "onward") & {"2", "3"}


def test_where_little_of_it_is_left_the_session_goes_on_in_the_round(run: Run, week: str) -> None:
    run("import", week, "--yes")
    run("record", "2:any:any", "clean", "--tempo", "60")
    run("record", "3:any:down", "clean", "--tempo", "60")
    run("record", "3:any:up:1-14", "clean", "--tempo", "60")
    later = "2026-11-26T12:00:00+01:00"
    session = run("today", "--json", at=later).json
    onward = [item.split(":")[0] for item in onward_of(session)]

    assert onward == sorted(onward, key=lambda box: (box != "3", box))
    assert {"1", "3"} <= set(onward)
    assert "2" not in onward
    assert session["planned_seconds"] > 0.9 * session["budget_seconds"]


def test_the_calendar_reckons_with_it(run: Run, tmp_path: Path) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", at="2026-11-24T12:00:00+01:00")

    def ends() -> dict[str, str]:
        told = run("calendar", "--json").json["milestones"]
        return {each["name"]: each["middle"] for each in told}

    before = ends()
    run("import", assigned(run, tmp_path / "a.json", "5", "--until", "+14"), "--yes")
    after = ends()

    assert before["box 5"] > before["box 1"]
    assert after["box 5"] < after["box 1"]


def test_a_second_one_replaces_the_first_whole(run: Run, week: str, tmp_path: Path) -> None:
    run("import", week, "--yes")
    run("import", assigned(run, tmp_path / "b.json", "4", "--until", "2026-12-09"), "--yes")

    assert run("round", "--json").json["assignment"] == {
        "by": "", "until": "2026-12-09", "places": ["4"], "words": "", "items_total": 38,
        "items_clean": 0, "is_over": False,
    }  # fmt: skip
    assert run("undo").out.startswith("undone: taking of an assignment")
    assert run("round", "--json").json["assignment"]["places"] == ["2", "3"]


def test_taken_twice_it_is_taken_once(run: Run, week: str) -> None:
    run("import", week, "--yes")
    record = run("export", "--format", "json").out

    assert "taken already" in run("import", week, "--yes").out
    assert run("export", "--format", "json").out == record


def test_it_carries_no_passes_and_touches_none(run: Run, tmp_path: Path) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", "--note", "mine")
    log = run("export").out
    teacher = another(run, tmp_path / "teacher.db")
    run(*teacher, "record", "3:any:down:1-5", "clean", "--tempo", "99", "--note", "theirs")
    file = tmp_path / "a.json"
    run(*teacher, "assign", "2", "-o", str(file))
    run("import", str(file), "--yes")

    assert "theirs" not in file.read_text()
    assert run("export").out == log


def test_who_has_played_keeps_guitar_and_minutes_but_for_what_was_said(
    run: Run, tmp_path: Path
) -> None:
    teacher = tmp_path / "teacher.db"
    run("--ledger", str(teacher), "setup", "--frets", "24", "--minutes", "40", "--days", "mon-fri",
        "--home-key", "Am", "--floor-tempo", "50")  # fmt: skip
    file = assigned(run, tmp_path / "a.json", "2", "--days", "sat")
    played, new = another(run, tmp_path / "played.db"), another(run, tmp_path / "new.db")
    run(*played, "record", "1:asc:down:1", "clean", "--tempo", "60")
    names = ("frets", "minutes", "days", "home_key", "floor_tempo")
    told = {}
    for ledger in (played, new):
        run(*ledger, "import", file, "--yes")
        settings = run(*ledger, "setup", "--json").json
        told[ledger] = [settings[name] for name in names]

    assert told[played] == [22, 20, "sat", "", 40]
    assert told[new] == [24, 40, "sat", "Am", 50]


def test_a_routine_of_ones_own_travels_along(run: Run, tmp_path: Path) -> None:
    teacher = another(run, tmp_path / "teacher.db")
    (tmp_path / "own.toml").write_text(OWN)
    assert run(*teacher, "routines", "--add", str(tmp_path / "own.toml")).code == 0
    file = assigned(run, tmp_path / "a.json", "1", "--routine", "wide", "--floor-tempo", "44")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("import", file, "--yes")

    assert run("round", "--json").json["floor_tempo"] == 44
    assert run("round", "--json").json["assignment"]["places"] == ["wide/1"]
    assert onward_of(run("today", "--json").json)[0].startswith("wide/1:")
    out = run("export", "--format", "json").out
    (tmp_path / "record.json").write_text(out)
    other = another(run, tmp_path / "other.db")
    assert run(*other, "import", str(tmp_path / "record.json")).code == 0
    assert run(*other, "round", "--json").json == run("round", "--json").json


def test_a_routine_whose_name_is_in_use_is_refused(run: Run, tmp_path: Path) -> None:
    teacher = another(run, tmp_path / "teacher.db")
    for number, ledger in ((2, teacher), (1, ())):
        (tmp_path / "own.toml").write_text(OWN.replace("step = 2", f"step = {number}"))
        assert run(*ledger, "routines", "--add", str(tmp_path / "own.toml")).code == 0
    file = assigned(run, tmp_path / "a.json", "1", "--routine", "wide")
    done = run("import", file, "--yes")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "the name wide is in use" in done.err


def test_what_it_changes_is_said_before_with_the_routines_own_floor(
    run: Run, tmp_path: Path
) -> None:
    run("record", "1:any:down:1-2", "clean", "--tempo", "60")
    fours = assigned(run, tmp_path / "a.json", "1", "--routine", "fours", "--floor-tempo", "70")
    done = run("import", fours, "--yes")
    told = " ".join(done.out.split())
    assert "floor tempo 70 instead of 40, routine fours instead of pentatonic" in told
    assert run("round", "--json").json["floor_tempo"] == 70
    back = assigned(run, tmp_path / "b.json", "1", "--floor-tempo", "70")
    assert "floor tempo 70 instead of 40" in " ".join(run("import", back, "--yes").out.split())
    assert run("round", "--json").json["floor_tempo"] == 70
    again = assigned(run, tmp_path / "c.json", "2", "--floor-tempo", "70")
    assert "It changes" not in run("import", again, "--yes").out


def test_it_can_be_dropped_later(run: Run, week: str) -> None:
    run("import", week, "--yes")
    run("record", "2:any:down:1-3", "clean", "--tempo", "60")
    dropped = run("setup", "--no-assignment").out

    assert dropped == "the assignment is dropped\n"
    assert "assignment dropped" in " ".join(run("diary").out.split())
    assert run("round", "--json").json["assignment"] is None
    assert "Ines" not in run("today").out
    assert "undone: the assignment dropped, today" in run("undo").out
    assert run("round", "--json").json["assignment"]["items_clean"] == 3


def test_who_set_up_before_playing_keeps_that(run: Run, tmp_path: Path) -> None:
    run("setup", "--frets", "24", "--minutes", "45")
    run("import", assigned(run, tmp_path / "a.json", "1", "--days", "sat"), "--yes")
    told = run("setup", "--json").json

    assert (told["frets"], told["minutes"], told["days"]) == (24, 45, "sat")


def test_what_is_written_can_be_taken(run: Run, tmp_path: Path) -> None:
    """Places with their routine's name in front are as long as the ledger keeps, or refused."""
    places = [f"1:asc:down:{fret}" for fret in range(1, 16)]
    teacher = another(run, tmp_path / "teacher.db")
    done = run(*teacher, "assign", "--routine", "fours", *places)
    assert (done.code, done.err.count("\n"), done.out) == (2, 1, "")
    file = assigned(run, tmp_path / "a.json", "--routine", "fours", *places[:9])
    assert run("import", file, "--yes").code == 0


@pytest.mark.slow
def test_another_routine_begun_lets_it_rest(run: Run, week: str) -> None:
    run("import", week, "--yes")
    run("routine", "fours", "--begin")
    assert run("today", "--json").json["assignment"] is None
    run("routine", "pentatonic", "--begin")
    assert run("today", "--json").json["assignment"]["places"] == ["2", "3"]


def test_two_that_meet_from_two_machines_dont_mix(run: Run, week: str, tmp_path: Path) -> None:
    later = assigned(run, tmp_path / "b.json", "4", "--until", NEXT_WEEK, "--by", "Ines")
    other = another(run, tmp_path / "other.db")
    run("import", week, "--yes", at="2026-11-25T10:00:00+01:00")
    run(*other, "import", later, "--yes", at="2026-11-25T11:00:00+01:00")
    run(*other, "record", "4:asc:down:1", "clean", "--tempo", "60")
    run("merge", other[1], "--same-player")
    run(*other, "merge", str(tmp_path / "data" / "upneck" / "upneck.db"))

    told = run("round", "--json").json["assignment"]
    assert (told["places"], told["words"]) == (["4"], "")
    assert run(*other, "round", "--json").json["assignment"] == told


def test_it_doesnt_go_with_a_neck_on_which_a_part_has_no_place(run: Run, tmp_path: Path) -> None:
    teacher = another(run, tmp_path / "teacher.db")
    done = run(*teacher, "assign", "1:any:any:24")
    assert (done.code, done.err.count("\n"), done.out) == (2, 1, "")
    run(*teacher, "setup", "--frets", "24")
    file = assigned(run, tmp_path / "a.json", "1:any:any:20-22")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    before = run("export", "--format", "json").out
    done = run("import", file, "--yes")

    assert (done.code, done.err.count("\n"), done.out) == (1, 1, "")
    assert "no position on this neck of 22 frets" in done.err
    assert run("export", "--format", "json").out == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["9"], "no box '9'"),
        (["1", "--until", "yesterday"], "is over"),
        (["1", "--until", "soon"], "no day"),
        (["1", "--say", "x" * 201], "up to 200 characters"),
        (["1", "--by", "x" * 41], "up to 40 characters"),
        (["1", "fours/2"], "of one routine"),
        (["1", "--minutes", "0"], "minutes a day"),
        (["2 Hm"], "no key"),
        (["1", "--routine", "nothing"], "no routine"),
    ],
)
def test_what_cant_be_assigned_is_told_in_one_line(run: Run, words: list[str], said: str) -> None:
    done = run("assign", *words)

    assert (done.code, done.err.count("\n"), done.out) == (2, 1, "")
    assert said in done.err


@pytest.mark.parametrize(
    "change",
    [
        {"version": 2}, {"version": True}, {"version": "1"}, {"passes": []}, {"events": []},
        {"places": "1"}, {"places": [1]}, {"places": ["9"]}, {"places": ["fours/1"]},
        {"places": [f"1:any:down:{n}" for n in range(1, 22)]}, {"places": [" "]},
            {"places": ["2 Am"]}, {"until": ""}, {"until": "soon"}, {"until": 3}, {"until": None},
        {"until": "2026-11-24"}, {"until": "9999-12-31"}, {"by": 1}, {"by": "x" * 41},
            {"by": "\x1b[2J"}, {"words": None},
        {"words": "x" * 201}, {"words": "\ud800"}, {"routine": "nothing"}, {"routine": []},
        {"definition": 5}, {"definition": "nonsense"}, {"settings": []},
        {"settings": {"guitar": "x"}}, {"settings": {"assigned": "1"}},
        {"settings": {"frets": "99"}}, {"settings": {"minutes": 20}}, {"to_begin_with": None},
        {"to_begin_with": {"tuning": "no tuning"}}, {"settings": {"tuning": "E2 E2 E2"}},
        {"to_begin_with": {"frets": "12", "lowest_fret": "12"}},
    ],
    ids=lambda change: str(change)[:40],
)  # fmt: skip
def test_an_assignment_that_cant_be_read_takes_nothing(
    run: Run, week: str, change: dict[str, object]
) -> None:
    told = json.loads(Path(week).read_text())
    Path(week).write_text(json.dumps({**told, **change}))
    done = run("import", week, "--yes")

    assert (done.code, done.err.count("\n"), done.out) == (1, 1, "")
    assert done.err.rstrip("\n").isprintable()
    assert run("export", "--format", "json").json["events"] == []


@pytest.mark.parametrize(
    ("name", "value"),
    [("assigned", "9"), ("assigned_until", "soon"), ("assigned_by", "x" * 41),
     ("assigned", "nothing/1"), ("assigned_words", "two\nlines")],
)  # fmt: skip
def test_a_record_with_a_wrong_assignment_is_refused(
    run: Run, week: str, tmp_path: Path, name: str, value: str
) -> None:
    run("import", week, "--yes")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    told = json.loads(run("export", "--format", "json").out)
    for event in told["events"]:
        if event.get("name") == name:
            event["value"] = value
    (tmp_path / "record.json").write_text(json.dumps(told))
    other = another(run, tmp_path / "other.db")
    done = run(*other, "import", str(tmp_path / "record.json"))

    assert done.code == 1
    assert "1 line is wrong" in done.err
