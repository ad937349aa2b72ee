"""Other routines beside the first: begun, recorded, rested, finished, and carried along."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.conftest import Run

TOMORROW = "2026-11-26T12:00:00+01:00"
OWN = """\
name = "dorian3"
title = "dorian, three notes a string"
scale = [0, 2, 3, 5, 7, 9, 10]
notes-a-string = 3
group = 6
step = 3
"""


def line_of(run: Run, name: str) -> dict[str, object]:
    found = run("routines", "--json").json["routines"]
    return next(line for line in found if line["name"] == name)


def onward(run: Run, at: str = TOMORROW) -> list[str]:
    blocks = run("today", "--json", at=at).json["blocks"]
    return [i["item"] for b in blocks if b["reason"] == "onward" for i in b["items"]]


@pytest.fixture
def own(tmp_path: Path) -> str:
    file = tmp_path / "own.toml"
    file.write_text(OWN)
    return str(file)


def take_in_a_definition(run: Run, own: str, tmp_path: Path) -> None:
    """Import the record of another ledger that keeps an own routine."""
    first = ("--ledger", str(tmp_path / "first.db"))
    run(*first, "setup", "--minutes", "30")
    run(*first, "routines", "--add", own)
    run(*first, "export", "--format", "json", "-o", str(tmp_path / "first.json"))
    run("import", str(tmp_path / "first.json"))


def test_the_first_routine_goes_onward_until_another_is_begun(run: Run) -> None:
    assert line_of(run, "pentatonic")["goes_onward"]
    assert onward(run)[0] == "1:asc:down:1"
    assert "major3 is now the routine you work on" in run("routine", "major3", "--begin").err
    assert "single boxes, major3" in run("neck").out
    assert onward(run)[0] == "major3/1:asc:down:1"
    assert not line_of(run, "pentatonic")["goes_onward"]
    run("undo")
    assert onward(run)[0] == "1:asc:down:1"


def test_a_session_of_another_routine_is_recorded_like_any(run: Run) -> None:
    run("routine", "major3", "--begin")
    run("today")
    done = run("record", "2", "clean", "--second-try", "5", "--sloppy", "7")

    assert done.code == 0, done.err
    assert "major3 round 1: " in done.out
    assert "major3/1:asc:down:7" in done.out
    shown = run("item", "major3/1:asc:down:7", "--json").json
    assert (shown["notes"], shown["key"], shown["standing"]) == (30, "B major", "weak")
    assert run("round", "--json").json["items_total"] == 660
    assert run("items", "major3/1:any:down:5-9", "--json").json["items"][0]["passes"] >= 1
    assert "undone" in run("undo").out


@pytest.mark.slow
def test_rounds_and_floor_tempos_are_each_routines_own(run: Run) -> None:
    run("setup", "--floor-tempo", "60")
    run("record", "1:asc:down:1", "clean", "--tempo", "66")
    run("routine", "fours", "--begin")
    run("round", "--floor-tempo", "50")
    run("record", "fours/1:asc:down:1", "clean", "--tempo", "52")
    run("round", "--next", "--yes")
    fours = run("round", "--json").json
    run("routine", "pentatonic", "--begin")
    first = run("round", "--json").json

    assert (fours["number"], fours["floor_tempo"], fours["items_clean"]) == (2, 50, 0)
    assert (first["number"], first["floor_tempo"], first["items_clean"]) == (1, 60, 1)
    assert line_of(run, "fours")["round"] == 2


@pytest.mark.slow
def test_what_rests_is_not_revisited(run: Run) -> None:
    run("record", "1:any:any:any", "sloppy", "--tempo", "60")
    run("record", "1:any:any:any", "clean", "--tempo", "60")
    run("record", "1:any:down:1-9", "sloppy", "--tempo", "60")
    run("routine", "fours", "--begin")

    def revisits(at: str) -> list[str]:
        blocks = run("today", "--json", at=at).json["blocks"]
        return [i["item"] for b in blocks if b["reason"] == "repair" for i in b["items"]]

    assert revisits(TOMORROW)
    assert run("routine", "pentatonic", "--rest").code == 0
    assert not revisits("2026-11-27T12:00:00+01:00")
    assert line_of(run, "pentatonic")["rests"]
    assert run("routine", "fours", "--rest").code == 2
    run("routine", "pentatonic", "--begin")
    assert not line_of(run, "pentatonic")["rests"]


@pytest.mark.slow
def test_the_calendar_asks_what_if_the_other(run: Run) -> None:
    run("record", "1:any:down:any", "clean", "--tempo", "60")
    shown = run("calendar", "--routine", "fours", "--json", at=TOMORROW).json
    told = " ".join(run("calendar", "--routine", "fours", at=TOMORROW).out.split())

    assert shown["milestones"][-1]["name"] == "fours round 1"
    assert shown["items_total"] == 516
    assert "With fours begun today: " in told


def test_one_routine_is_shown_with_its_boxes_and_what_it_takes(run: Run) -> None:
    run("record", "1:any:down:any", "clean", "--tempo", "60")
    shown = run("routine", "major3", "--json", at=TOMORROW).json
    told = " ".join(run("routine", "major3", at=TOMORROW).out.split())

    assert (shown["items_total"], len(shown["boxes"]), shown["notes_a_string"]) == (660, 7, 3)
    assert "On your neck a round has 660 items" in told
    assert "strings begin with down- and upstrokes in turn" in told
    assert "Begun today, it would be finished about" in told


def test_a_finished_round_names_another_routine_and_its_end(run: Run) -> None:
    run("setup", "--frets", "12")
    run("record", "any", "clean", "--tempo", "80")
    told = " ".join(run("round", at=TOMORROW).out.split())

    assert "upneck round --next --weak" in told
    assert "begin another routine: upneck routine fours --begin" in told
    assert "finished about" in told


def test_an_own_routine_is_kept_and_goes_with_the_record(
    run: Run, own: str, tmp_path: Path
) -> None:
    assert run("routines", "--add", own).code == 0
    run("routine", "dorian3", "--begin")
    run("record", "dorian3/2+3:desc:up:5", "sloppy", "--tempo", "50")
    run("record", "dorian3/1:asc:down:3", "clean", "--tempo", "50")
    for form in ("json", "csv"):
        run("export", "--format", form, "-o", str(tmp_path / f"record.{form}"))
    other, third = (("--ledger", str(tmp_path / f"{name}.db")) for name in ("other", "third"))
    run(*other, "setup")
    run(*third, "setup")
    taken = run(*other, "import", str(tmp_path / "record.json"))
    merged = run(*third, "merge", str(tmp_path / "other.db"), "--same-player")

    assert (taken.code, merged.code) == (0, 0), taken.err + merged.err
    for ledger in (other, third):
        assert run(*ledger, "round", "--json").json["items_total"] == 660
        assert run(*ledger, "item", "dorian3/2+3:desc:up:5", "--json").json["standing"] == "weak"
        assert run(*ledger, "check").code == 0
    assert "dorian3/2+3:desc:up:5" in (tmp_path / "record.csv").read_text()
    run("undo"), run("undo"), run("undo"), run("undo")
    assert run("import", str(tmp_path / "record.csv")).code == 0


def test_an_own_routine_that_was_taken_back_is_gone_and_may_be_kept_again(
    run: Run, own: str
) -> None:
    run("routines", "--add", own)
    assert line_of(run, "dorian3")["items_total"] == 660
    assert [each["name"] for each in run("routines", "--json").json["routines"]][-1] == "dorian3"
    run("undo")
    assert "dorian3" not in run("routines").out
    assert run("routines", "--add", own).code == 0
    assert line_of(run, "dorian3")["items_total"] == 660


def test_json_alone_goes_to_standard_output_when_a_routine_is_kept(run: Run, own: str) -> None:
    done = run("routines", "--add", own, "--json")

    assert done.json["routines"][-1]["name"] == "dorian3"
    assert "is kept" in done.err


def test_a_log_says_that_it_defines_no_routine(run: Run, own: str, tmp_path: Path) -> None:
    run("routines", "--add", own)
    run("record", "dorian3/1:asc:down:3", "clean", "--tempo", "50")
    run("export", "-o", str(tmp_path / "log.csv"))
    run("undo")

    assert "dorian3 is taken as it is defined here" in run("import", str(tmp_path / "log.csv")).err


@pytest.mark.slow
def test_an_item_of_another_routine_is_told_of_its_own_round(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    before = run("item", "1:asc:down:1", "--json").json
    run("routine", "major3", "--begin")
    after = run("item", "1:asc:down:1", "--json").json

    assert before["why"] == after["why"] == "played clean"
    assert run("item", "1:asc:down:3", "--json").json["standing"] == "ahead"


def test_with_other_notes_per_beat_every_floor_moves(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("routine", "fours", "--begin")
    run("round", "--floor-tempo", "50")
    run("setup", "--notes-per-beat", "2")
    beats = run("setup", "--json").json["notes_per_beat"]

    assert beats == 2
    assert line_of(run, "fours")["floor_tempo"] == 50 * 3 / 2
    assert line_of(run, "pentatonic")["floor_tempo"] == 40 * 3 / 2


def test_a_neck_without_a_place_for_the_routine_is_told(run: Run, own: str) -> None:
    Path(own).write_text(OWN.replace("group = 6", "group = 18"))
    run("routines", "--add", own)
    run("routine", "dorian3", "--begin")
    told = " ".join(run("setup", "--tuning", "E2 A2 D3").err.split())
    begun = run("round", "--next", "--yes")
    recorded = (run("today"), run("record", "1", "clean"))[1]

    assert "dorian3, which you work on, has no place on this neck" in told
    assert (begun.code, begun.err.count("\n")) == (1, 1)
    assert "has no blocks" in recorded.err


def test_a_log_of_an_unknown_routine_is_refused(run: Run, own: str, tmp_path: Path) -> None:
    run("routines", "--add", own)
    run("record", "dorian3/1:asc:down:3", "clean", "--tempo", "50")
    run("export", "-o", str(tmp_path / "log.csv"))
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    refused = run(*other, "import", str(tmp_path / "log.csv"))

    assert refused.code == 1
    assert "no routine 'dorian3'" in refused.err


def test_one_name_stands_for_one_routine_when_records_meet(
    run: Run, own: str, tmp_path: Path
) -> None:
    run("routines", "--add", own)
    again = run("routines", "--add", own)
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    Path(own).write_text(OWN.replace("step = 3", "step = 2"))
    run(*other, "routines", "--add", own)
    clash = run("routines", "--add", own)
    met = run("merge", str(tmp_path / "other.db"), "--same-player")

    assert again.code == 0
    assert (clash.code, "in use" in clash.err) == (2, True)
    assert (met.code, "defined in another way" in met.err) == (1, True)


@pytest.mark.slow
def test_a_definition_taken_back_before_it_was_played_is_in_nobodys_way(
    run: Run, own: str, tmp_path: Path
) -> None:
    other, third = (("--ledger", str(tmp_path / f"{name}.db")) for name in ("other", "third"))
    run("routines", "--add", own)
    run("routine", "dorian3", "--begin")
    run("undo"), run("undo")
    assert run("routine", "dorian3").code == run("routine", "dorian3", "--begin").code == 2
    assert run("record", "dorian3/1:asc:down:3", "clean", "--tempo", "50").code == 2
    run(*other, "setup", "--minutes", "30")
    Path(own).write_text(OWN.replace("step = 3", "step = 2"))
    run(*other, "routines", "--add", own)
    run(*other, "record", "dorian3/1:asc:down:3", "clean", "--tempo", "50")
    assert run("merge", str(tmp_path / "other.db"), "--same-player").code == 0
    run("export", "--format", "json", "-o", str(tmp_path / "all.json"))
    run(*third, "setup")
    for ledger in ((), other, third):
        taken = run(*ledger, "import", "--same-player", str(tmp_path / "all.json"))
        assert taken.code == 0, taken.err
        assert run(*ledger, "item", "dorian3/1:asc:down:3", "--json").json["notes"] == 42
        assert run(*ledger, "check").code == 0


def test_a_definition_taken_back_after_it_was_played_keeps_its_name(
    run: Run, own: str, tmp_path: Path
) -> None:
    other = ("--ledger", str(tmp_path / "other.db"))
    run("routines", "--add", own)
    run("record", "dorian3/1:asc:down:3", "clean", "--tempo", "50")
    run("undo"), run("undo")
    run(*other, "setup", "--minutes", "30")
    Path(own).write_text(OWN.replace("step = 3", "step = 2"))
    run(*other, "routines", "--add", own)
    met = run("merge", str(tmp_path / "other.db"), "--same-player")

    assert (met.code, met.err.count("\n"), "another name" in met.err) == (1, 1, True)
    assert "in use" in run("routines", "--add", own).err
    assert run("check").code == 0


def test_what_was_taken_in_played_and_undone_goes_out_so_that_it_can_be_read(
    run: Run, own: str, tmp_path: Path
) -> None:
    third = ("--ledger", str(tmp_path / "third.db"))
    take_in_a_definition(run, own, tmp_path)
    run("record", "dorian3/1:asc:down:5", "clean", "--tempo", "50")
    run("undo"), run("undo")
    run("export", "--format", "json", "-o", str(tmp_path / "second.json"))
    run(*third, "setup")
    taken = run(*third, "import", str(tmp_path / "second.json"))

    assert taken.code == 0, taken.err
    assert run("check").code == run(*third, "check").code == 0


@pytest.mark.parametrize("change", [("group = 6", "group = 4"), ("7, 9, 10", "7, 8, 10")])
def test_what_was_played_and_taken_back_stays_the_routines_that_it_was_of(
    run: Run, own: str, tmp_path: Path, change: tuple[str, str]
) -> None:
    """Two definitions one after the other, both taken back: with other notes, and with as many."""
    other, third = (("--ledger", str(tmp_path / f"{name}.db")) for name in ("other", "third"))
    run("routines", "--add", own)
    run("undo")
    Path(own).write_text(OWN.replace(*change))
    run("routines", "--add", own)
    run("record", "dorian3/1:asc:down:5", "clean", "--tempo", "80")
    run("export", "--format", "json", "-o", str(tmp_path / "before.json"))
    run(*other, "setup")
    run(*other, "import", str(tmp_path / "before.json"))
    run("undo"), run("undo")
    run("export", "--format", "json", "-o", str(tmp_path / "after.json"))
    run(*third, "setup")

    assert run("check").code == 0
    for ledger in (other, third):
        taken = run(*ledger, "import", str(tmp_path / "after.json"))
        assert (taken.code, run(*ledger, "check").code) == (0, 0), taken.err
    assert "the routine" not in run("merge", str(tmp_path / "other.db")).err
    assert run("routines", "--add", own).code == 0


@pytest.mark.slow
def test_a_plan_is_for_the_definition_with_which_it_was_made(run: Run, own: str) -> None:
    run("routines", "--add", own)
    run("routine", "dorian3", "--begin")
    run("today")
    run("undo"), run("undo")
    Path(own).write_text(OWN.replace("step = 3", "step = 2"))
    run("routines", "--add", own)
    run("routine", "dorian3", "--begin")
    first = run("today", "--json").json["blocks"][0]

    assert first == run("today", "--afresh", "--json").json["blocks"][0]


@pytest.mark.slow
def test_a_routine_that_was_chosen_here_stays_when_it_is_taken_back_elsewhere(
    run: Run, own: str, tmp_path: Path
) -> None:
    other = ("--ledger", str(tmp_path / "other.db"))
    run(*other, "setup")
    run(*other, "routines", "--add", own)
    run("setup")
    run("merge", str(tmp_path / "other.db"))
    run("routine", "dorian3", "--begin")
    run(*other, "undo")
    merged = run("merge", str(tmp_path / "other.db"))

    assert merged.code == 0, merged.err
    assert line_of(run, "dorian3")["goes_onward"]
    assert run("routine", "dorian3").code == run("today").code == 0
    assert run("record", "1", "clean").code == run("check").code == 0


def test_a_coupling_that_is_too_long_to_be_recorded_is_refused(run: Run, own: str) -> None:
    chromatic = OWN.replace("[0, 2, 3, 5, 7, 9, 10]", str(list(range(12))))
    wide = chromatic.replace("a-string = 3", "a-string = 4").replace("group = 6", "group = 16")
    Path(own).write_text(wide.replace("step = 3", "step = 1\ntimes-round = 4"))
    run("setup", "--tuning", "F#1 B1 E2 A2 D3 G3 B3 E4 A4")
    done = run("routines", "--add", own)

    assert (done.code, done.err.count("\n"), "2000 at most" in done.err) == (2, 1, True)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("scale =", "no TOML file"),
        ("scale = " + "[" * 5000 + "]" * 5000, "no TOML file"),
        ("step = " + "9" * 6000, "no TOML file"),
        (OWN.replace("[0, 2,", "[1, 2,"), "begins with 0"),
        (OWN.replace("9, 10]", "9, 12]"), "within an octave"),
        (OWN.replace("5, 7,", "7, 5,"), "rises"),
        (OWN.replace("notes-a-string = 3", "notes-a-string = 0"), "1 to 4 notes a string"),
        (OWN.replace("group = 6", "group = 60").replace("step = 3", "step = 60"), "longer than"),
        (OWN.replace("step = 3", "step = 0"), "notes later"),
        (OWN.replace("group = 6\n", ""), "group is missing"),
        (OWN.replace("group = 6", 'group = "6"'), "group is a number"),
        (OWN.replace("dorian3", "major3"), "in use"),
        (OWN.replace("dorian3", "Any Name"), "small letters"),
        (OWN + "colour = 3\n", "no 'colour'"),
        (OWN + "c" * 500 + " = 3\n", "no 'ccc"),
        (OWN.replace("dorian3", "am"), "is a key"),
        (OWN.replace("dorian3", "d" * 200), "2 to 20 small letters"),
        (OWN.replace("dorian, three notes a string", "  "), "title is a text"),
        (OWN.replace("notes-a-string = 3", "notes-a-string = 1"), "covers"),
    ],
)
def test_a_routine_that_is_none_is_told_in_one_line(
    run: Run, tmp_path: Path, text: str, told: str
) -> None:
    file = tmp_path / "own.toml"
    file.write_text(text)
    before = run("routines", "--json").json
    done = run("routines", "--add", str(file))

    assert (done.code, done.err.count("\n")) == (2, 1), done.err
    assert told in done.err
    assert run("routines", "--json").json == before


@pytest.mark.parametrize(
    "words",
    [
        ["routine", "major4"], ["routine", "major3", "--begin", "--rest"],
        ["tab", "major4/1:asc:down:5"], ["tab", "major3/8:asc:down:5"],
        ["record", "major3/1+3:asc:down:5", "clean"], ["items", "major3/"],
        ["routines", "--add", "nowhere.toml"], ["calendar", "--routine", "x"],
    ],
    ids=" ".join,
)  # fmt: skip
def test_what_isnt_there_is_told_in_one_line(run: Run, words: list[str]) -> None:
    done = run(*words)

    assert (done.code, done.err.count("\n")) == (2, 1), done.err


def test_a_neck_of_48_frets(run: Run) -> None:
    run("setup", "--frets", "48")
    run("record", "1:asc:down:45", "clean", "--tempo", "60")

    assert run("round", "--json").json["items_total"] > 1000
    assert run("today").code == run("calendar").code == run("neck").code == 0
    assert run("export").out.count("1:asc:down:45") == 1


def evenings(run: Run, first: str, most: int) -> list[str]:
    """Evenings of sessions, all of them clean, until the round is finished."""
    days: list[str] = []
    day = date.fromisoformat(first)
    while not (found := run("round", "--json", at=f"{day}T11:00:00+01:00").json) or (
        found["items_clean"] < found["items_total"]
    ):
        assert len(days) < most
        at = f"{day}T19:00:00+01:00"
        run("today", at=at)
        assert run("record", "all", "clean", at=at).code == 0
        days.append(at)
        day += timedelta(days=1)
    return days


@pytest.mark.slow
def test_another_routine_is_begun_played_for_weeks_finished_and_looked_back_on(run: Run) -> None:
    run("setup", "--minutes", "15")
    run("record", "any", "clean", "--tempo", "60", at="2026-11-25T12:00:00+01:00")
    before = run("items", "1", "--json", at="2026-11-25T13:00:00+01:00").json
    run("routine", "major3", "--begin", at="2026-11-25T13:00:00+01:00")
    days = evenings(run, "2026-11-26", 60)
    end = days[-1].replace("T19", "T21")
    told = " ".join(run("round", at=end).out.split())
    lines = {line["name"]: line for line in run("routines", "--json", at=end).json["routines"]}

    assert len(days) > 14
    assert "Major3 round 1, floor tempo 40" in told
    assert "The round is finished." in told
    assert f"on {len(days)} days" in told
    assert "begin another routine: upneck routine fours --begin" in told
    assert lines["major3"]["items_clean"] == lines["major3"]["items_total"] > 200
    assert lines["pentatonic"]["items_clean"] == lines["pentatonic"]["items_total"]
    after = run("items", "1", "--json", at=end).json
    assert {line["item"] for line in before["items"]} == {line["item"] for line in after["items"]}
    assert all(line["passes"] >= 1 for line in after["items"] if line["standing"] != "outside")
    run("routine", "pentatonic", "--begin", at=end)
    assert run("round", "--json", at=end).json["items_clean"] == lines["pentatonic"]["items_total"]
    assert run("check", at=end).code == 0


def test_on_a_neck_of_too_few_strings_a_long_group_has_no_place(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "own.toml"
    file.write_text(OWN.replace("group = 6", "group = 18"))
    run("routines", "--add", str(file))
    run("routine", "dorian3", "--begin")
    run("record", "dorian3/2+3:asc:down:5", "sloppy", "--tempo", "50")
    run("setup", "--tuning", "E2 A2 D3")

    for words in (["today"], ["items"], ["calendar"], ["neck"], ["round"], ["routines"]):
        done = run(*words)
        assert done.code == 0, (words, done.err)
    assert run("item", "dorian3/2+3:asc:down:5").code == 2
    assert run("round", "--json").json["items_total"] == 0


def test_what_was_taken_in_and_undone_is_kept_anew_so_that_it_goes_out(
    run: Run, own: str, tmp_path: Path
) -> None:
    third = ("--ledger", str(tmp_path / "third.db"))
    take_in_a_definition(run, own, tmp_path)
    run("undo")
    run("routines", "--add", own)
    run("record", "dorian3/1:asc:down:5", "clean", "--tempo", "50")
    run("export", "--format", "json", "-o", str(tmp_path / "second.json"))
    run(*third, "setup")
    taken = run(*third, "import", str(tmp_path / "second.json"))

    assert taken.code == 0, taken.err
    assert run(*third, "item", "dorian3/1:asc:down:5", "--json").json["passes"]
