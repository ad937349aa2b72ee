"""The diary: what was recorded, day by day, and any line of it taken back."""

from pathlib import Path

import pytest

from tests.conftest import Run, another

MONDAY, TUESDAY = "2026-11-23T19:00:00+01:00", "2026-11-24T19:30:00+01:00"


def lines_of(run: Run, *words: str) -> list[dict[str, object]]:
    days = run("diary", *words, "--json").json["days"]
    return [line for day in days for line in day["lines"]]


def test_it_tells_day_by_day_what_was_recorded(run: Run) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", at=MONDAY)
    run("record", "2:any:down:1-3", "sloppy", "--tempo", "60", at=TUESDAY)
    run("reset", "1:asc:down:1", "--yes", at=TUESDAY)
    run("setup", "--minutes", "25")
    shown = run("diary").out

    heads = [line for line in shown.splitlines() if "November" in line]
    assert heads[0].startswith("Wednesday 25 November")
    assert heads[1].startswith("Tuesday 24 November: 3 passes, 0% clean")
    assert heads[2].startswith("Monday 23 November: 5 passes, 100% clean")
    assert "5 passes, box 1, frets 1 to 5, clean" in shown
    assert "3 passes, box 2, frets 1 to 3, sloppy" in shown
    assert "Reset, box 1, fret 1" in shown
    assert "Minutes 25" in shown


def test_a_day_is_the_one_it_was_played_on(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60", "--at", "2026-11-23T19:00+01:00")
    (line,) = lines_of(run, "--day", "2026-11-23")

    assert line["passes"] == 1
    assert lines_of(run, "--day", "2026-11-25") == []
    assert "entered on 25 November" in run("diary", "--day", "2026-11-23").out
    assert "Nothing was recorded on 24 November." in run("diary", "--day", "yesterday").out


def test_any_line_is_taken_back_and_brought_back(run: Run) -> None:
    run("record", "1:any:down:1-5", "clean", "--tempo", "60", at=MONDAY)
    run("record", "2:any:down:1-5", "clean", "--tempo", "60", at=TUESDAY)
    run("record", "3:any:down:1-5", "clean", "--tempo", "60")
    number = str(lines_of(run, "--day", "2026-11-23")[0]["number"])
    before = run("round", "--json").json["items_clean"]
    done = run("diary", "--take-back", number)

    assert done.code == 0
    assert "undone: 5 passes, box 1" in done.out
    assert run("round", "--json").json["items_clean"] == before - 5
    assert lines_of(run, "--day", "2026-11-23") == []
    assert run("diary", "--take-back", number).code == 1
    assert run("redo").code == 0
    assert run("round", "--json").json["items_clean"] == before


@pytest.mark.parametrize("words", [["--take-back", "x"], ["--take-back", "1", "--day", "today"],
                                   ["--day", "soon"]])  # fmt: skip
def test_what_cant_be_meant_is_told_in_a_line(run: Run, words: list[str]) -> None:
    done = run("diary", *words)

    assert (done.code, done.out) == (2, "")
    assert done.err.count("\n") == 1


def test_what_was_taken_in_is_one_line_of_the_day_it_was_taken_in(run: Run, home: object) -> None:
    from pathlib import Path

    file = Path(str(home)) / "record.json"
    other = another(run, Path(str(home)) / "other.db")
    run(*other, "record", "1:any:down:1-5", "clean", "--tempo", "60", at=MONDAY)
    file.write_text(run(*other, "export", "--format", "json").out)
    run("import", str(file))
    (line,) = lines_of(run)

    assert (line["what"], line["passes"]) == ("import", 5)
    run("diary", "--take-back", str(line["number"]))
    assert lines_of(run) == []
    assert run("round", "--json").json["items_clean"] == 0


def test_what_was_played_elsewhere_is_on_the_day_it_was_played(run: Run) -> None:
    log = "".join(
        f"2026-11-{day}T19:00:00+01:00,1:asc:down:{fret},60,3,1,0,,\n"
        for day in (20, 22)
        for fret in (1, 3)
    )
    run("import", "-", stdin="played_at,item,tempo,notes_per_beat,clean,errors,fault,note\n" + log)
    days = run("diary", "--json").json["days"]

    assert [(day["date"], day["passes"], len(day["lines"])) for day in days] == [
        ("2026-11-25", 0, 1), ("2026-11-22", 2, 0), ("2026-11-20", 2, 0),
    ]  # fmt: skip
    assert "from an import" in run("diary", "--day", "2026-11-22").out


def test_an_import_stands_on_the_day_it_was_taken_in_wherever_it_came_from(
    run: Run, tmp_path: Path
) -> None:
    """A record of the summer, taken in late on a winter's evening: its offset isn't the act's."""
    summer, winter = "2026-08-01T18:00:00+02:00", "2026-11-24T23:30:00+01:00"
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "1:any:down:1-5", "clean", "--tempo", "60", at=summer)
    record = run(*other, "export", "--format", "json", at=summer).out
    run("import", "-", "--yes", stdin=record, at=winter)

    (line,) = lines_of(run, "--day", "2026-11-24")
    assert line["what"] == "import"
    run("undo", at=winter)
    assert lines_of(run, "--day", "2026-11-24") == []
    run("import", "-", "--yes", stdin=record, at=winter)
    (again,) = lines_of(run, "--day", "2026-11-24")
    assert (again["what"], again["passes"]) == ("import", line["passes"])


def test_the_last_seven_days_with_anything_are_shown_however_long_ago(run: Run) -> None:
    for day in range(1, 9):
        run("record", "1:asc:down:1", "clean", "--tempo", "60", at=f"2026-05-0{day}T19:00:00+02:00")
    days = run("diary", "--json").json["days"]

    assert [day["date"] for day in days] == [f"2026-05-0{day}" for day in range(8, 1, -1)]


def test_a_line_has_its_time_and_its_verdicts_and_a_day_what_was_told_of_it(run: Run) -> None:
    words = ("record", "1:any:down:1-5", "clean", "--tempo", "60", "--sloppy", "2,4")
    run(*words, "--took", "30", at=MONDAY)
    run("record", "2:asc:down:1", "sloppy", "--tempo", "60", at="2026-11-23T19:40:00+01:00")
    shown = " ".join(run("diary", "--day", "2026-11-23").out.split())
    (day,) = run("diary", "--day", "2026-11-23", "--json").json["days"]

    assert "Monday 23 November: 6 passes, 50% clean, 30 min" in shown
    assert shown.index("19:00 5 passes") < shown.index("2 of them sloppy") < shown.index("19:40")
    assert 1800 <= day["practised_seconds"] < 1830


def test_a_day_whose_line_was_taken_back_is_not_shown(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at=MONDAY)
    (line,) = lines_of(run)
    run("diary", "--take-back", str(line["number"]))
    again = run("diary", "--take-back", str(line["number"]))

    assert run("diary", "--json").json == {"days": []}
    assert (again.code, "the diary has no line" in again.err) == (1, True)


def test_an_evening_in_another_zone_stands_on_its_own_day(run: Run) -> None:
    """Half past eleven in the evening of the 23rd, twelve hours west of here: the 24th here."""
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-23T23:30:00-11:00")

    assert len(lines_of(run, "--day", "2026-11-23")) == 1
    assert lines_of(run, "--day", "2026-11-24") == []


def test_a_merge_stands_on_the_day_it_was_made(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60", at=MONDAY)
    run("record", "2:asc:down:1", "clean", "--tempo", "60", at=TUESDAY)
    run("merge", str(tmp_path / "other.db"), "--same-player")

    assert [line["what"] for line in lines_of(run, "--day", "today")] == ["merge"]
    assert lines_of(run, "--day", "2026-11-23") == []


def test_an_empty_ledger_has_an_empty_diary(run: Run) -> None:
    assert run("diary").out == "Nothing is recorded yet.\n"
    assert run("diary", "--json").json == {"days": []}
