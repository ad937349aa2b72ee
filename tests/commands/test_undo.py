"""One act, one undo: whatever was done last here is taken back whole, and brought back whole."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.conftest import Result, Run, another

LATER = "2026-11-25T12:30:00+01:00"
TOMORROW = "2026-11-26T09:00:00+01:00"
HEAD = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"
LOG = "\n".join(
    [HEAD, *(f"2026-11-{n:02d}T19:30:00+01:00,4:asc:down:{n},60,3,1,0,," for n in range(1, 20))]
)


def everything(run: Run, at: str = LATER) -> list[str]:
    """What an undo must bring back: standings, round, settings, the plan of the day, the log."""
    done = [
        run(*words, at=at)
        for words in (
            ["items", "any", "--json"], ["round", "--json"], ["setup", "--json"],
            ["today", "--json"], ["export"],
        )
    ]  # fmt: skip
    assert [each.code for each in done] == [0] * len(done)
    return [each.out for each in done]


def begin(run: Run) -> None:
    """A player in the middle of a session."""
    run("setup", "--minutes", "25")
    run("record", "1:any:any:3-9", "clean", "--tempo", "60", at="2026-11-24T12:00:00+01:00")
    run("today")
    run("record", "2", "clean", "--sloppy", "12")


def a_log(run: Run, tmp_path: Path) -> Result:
    (tmp_path / "log.csv").write_text(LOG)
    return run("import", str(tmp_path / "log.csv"), at=LATER)


def a_record(run: Run, tmp_path: Path) -> Result:
    other = another(run, tmp_path / "other.db")
    run("export", "--format", "json", "-o", str(tmp_path / "mine.json"))
    run(*other, "import", str(tmp_path / "mine.json"))
    run(*other, "record", "5:any:down:4-6", "sloppy", "--tempo", "60", "--fault", "sync")
    run(*other, "setup", "--frets", "24")
    run(*other, "undo")
    run(*other, "export", "--format", "json", "-o", str(tmp_path / "theirs.json"))
    return run("import", str(tmp_path / "theirs.json"), at=LATER)


def a_merge(run: Run, tmp_path: Path) -> Result:
    a_record(run, tmp_path)
    run("undo", at=LATER)
    return run("merge", str(tmp_path / "other.db"), at=LATER)


def typed(*words: str) -> Callable[[Run, Path], Result]:
    return lambda run, _: run(*words, at=LATER)


ACTS = {
    "a block": typed("record", "3", "clean"),
    "a block again": typed("record", "2", "sloppy", "--repeat", "--errors", "2"),
    "a pattern of 258": typed("record", "any:asc", "clean", "--tempo", "66"),
    "a pass of yesterday": typed("record", "1:asc:down:3", "sloppy", "--tempo", "60", "--at",
                                 "yesterday"),
    "a reset": typed("reset", "1:asc:down:3", "--yes"),
    "a round": typed("round", "--next", "--yes"),
    "a round with its floor tempo": typed("round", "--next", "--yes", "--floor-tempo", "72"),
    "a round of what is weak": typed("round", "--next", "--weak", "--yes"),
    "a floor tempo": typed("round", "--floor-tempo", "54"),
    "minutes": typed("setup", "--minutes", "40", "--days", "mon-fri"),
    "another neck": typed("setup", "--frets", "15", "--tuning", "D2 A2 D3 G3 B3 E4"),
    "notes per beat": typed("setup", "--notes-per-beat", "4"),
    "fingers": typed("tab", "1:asc:down:5", "--fingers", "1" * 24),
    "a log": a_log,
    "a record": a_record,
    "a merge": a_merge,
}  # fmt: skip


@pytest.mark.parametrize("name", ACTS)
def test_the_state_after_an_act_and_its_undo_is_the_state_before(
    run: Run, tmp_path: Path, name: str
) -> None:
    begin(run)
    before = everything(run)
    done = ACTS[name](run, tmp_path)
    assert done.code == 0, done.err
    after = everything(run)
    undone = run("undo", at=LATER)
    assert everything(run) == before
    redone = run("redo", at=LATER)

    assert undone.code == redone.code == 0
    assert undone.out.startswith("undone: ")
    assert redone.out.startswith("redone: ")
    assert everything(run) == after
    assert name == "fingers" or before != after
    run("undo", at=LATER)
    assert everything(run) == before
    assert run("check").code == 0


WORDS = {
    "a block": "undone: 12 passes, box 1, frets 1, 2 and 10 to 19, today 12:30",
    "a pattern of 258": "undone: 258 passes, 10 boxes and couplings, today 12:30",
    "a reset": "undone: reset, box 1, fret 3, today 12:30",
    "a round with its floor tempo": "undone: the beginning of round 2, floor tempo 72, today 12:30",
    "minutes": "undone: minutes 40, days mon-fri, today 12:30",
    "a log": "undone: import, 19 passes, box 4, frets 1 to 19, today 12:30",
    "a merge": "undone: merge, 3 passes, box 5, frets 4 to 6, today 12:30",
}


@pytest.mark.parametrize("name", WORDS)
def test_an_undo_says_what_it_took_back_and_when_that_was(
    run: Run, tmp_path: Path, name: str
) -> None:
    begin(run)
    ACTS[name](run, tmp_path)
    first = run("undo", at=LATER).out.splitlines()[0]

    assert first == WORDS[name]


def test_what_was_done_on_an_earlier_day_is_said_with_its_day(run: Run) -> None:
    run("record", "1+2:asc:down:11-14", "clean", "--tempo", "60")

    assert run("undo", at=TOMORROW).out.splitlines()[0] == (
        "undone: 4 passes, boxes 1+2, frets 11 to 14, yesterday 12:00"
    )


def test_nothing_to_undo_or_redo_is_one_line(run: Run) -> None:
    for word, hint in (("undo", "nothing to undo"), ("redo", "nothing to bring back")):
        done = run(word)
        assert (done.code, done.out, done.err.count("\n")) == (1, "", 1)
        assert hint in done.err


def test_acts_are_undone_one_after_the_other_and_brought_back_in_turn(run: Run) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("setup", "--minutes", "40")
    run("record", "1:desc:down:2", "clean", "--tempo", "60")
    seen = [run("undo", "--json").json["items"] for _ in range(3)]
    back = [run("redo", "--json").json["items"] for _ in range(3)]

    assert seen == [["1:desc:down:2"], [], ["1:asc:down:1"]]
    assert back == seen[::-1]
    assert run("setup", "--json").json["minutes"] == 40


def test_what_was_undone_stays_undone_once_something_else_was_done(run: Run) -> None:
    run("today")
    run("record", "2", "clean")
    run("undo")
    run("record", "2", "clean", "--sloppy", "11")
    done = run("redo")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "something was done since" in done.err
    assert run("export").out.count("\n") == 20


def test_an_undo_never_touches_what_another_machine_did(run: Run, tmp_path: Path) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "2:asc:down:3", "clean", "--tempo", "60")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("merge", other[1], "--same-player")
    run("undo")
    run("undo")
    assert run("undo").code == 1
    assert run("export").out.count("\n") == 1
    run("redo")
    run("redo")
    run(*other, "merge", str(tmp_path / "data" / "upneck" / "upneck.db"))
    run("undo")
    run("undo")

    assert run("export").out.count("\n") == 1
    assert run(*other, "export").out.count("\n") == 3


def test_an_undo_goes_wherever_the_record_goes(run: Run, tmp_path: Path, ledger_file: Path) -> None:
    other = another(run, tmp_path / "other.db")
    run("record", "1:any:down:1-5", "clean", "--tempo", "60")
    run(*other, "merge", str(ledger_file))
    run("undo")
    run(*other, "merge", str(ledger_file))
    assert run(*other, "export").out.count("\n") == 1
    run("redo")
    run(*other, "merge", str(ledger_file))

    assert run(*other, "export").out == run("export").out
    assert run("export").out.count("\n") == 6


@pytest.mark.slow
def test_taking_in_again_what_an_undo_took_back_brings_it_back(run: Run, tmp_path: Path) -> None:
    for act in (a_log, a_record, a_merge):
        begin(run)
        first = act(run, tmp_path)
        after = everything(run)
        run("undo", at=LATER)
        again = act(run, tmp_path) if act is a_log else None
        if act is a_record:
            again = run("import", str(tmp_path / "theirs.json"), at=LATER)
        if act is a_merge:
            again = run("merge", str(tmp_path / "other.db"), at=LATER)

        assert again is not None
        assert again.out == first.out
        assert everything(run) == after


@pytest.mark.parametrize("passes", [99, 100, 101, 200, 262, 300, 400])
def test_an_undo_over_the_newest_checkpoint_leaves_a_ledger_that_every_command_reads(
    run: Run, tmp_path: Path, passes: int
) -> None:
    lines = [HEAD] + [
        f"2026-11-{1 + n // 60 % 20:02d}T{10 + n // 1200}:{n % 60:02d}:00+01:00,"
        f"{1 + n % 5}:asc:down:{1 + n % 15},60,3,1,0,,{n}"
        for n in range(passes)
    ]
    (tmp_path / "log.csv").write_text("\n".join(lines))
    assert run("import", str(tmp_path / "log.csv")).code == 0
    run("round")
    undone = run("undo")

    assert undone.code == 0
    for words in (["round"], ["today"], ["items"], ["calendar"], ["check"], ["neck"], ["undo"]):
        done = run(*words)
        assert done.code == (words == ["undo"]), (words, done.err)
    run("redo")
    assert run("round", "--json").json["items_clean"] > 0
    assert run("check").code == 0


def test_a_pattern_of_hundreds_of_passes_is_recorded_and_undone(run: Run) -> None:
    for times in range(1, 4):
        assert run("record", "any:any:down", "clean", "--tempo", "60").code == 0
        assert run("undo").code == 0
        assert run("round", "--json").json["items_clean"] == 0, times
    assert run("check").code == 0


def test_the_demo_begins_with_one_act(run: Run) -> None:
    before = run("--demo", "round", "--json").json
    run("--demo", "today")
    assert run("--demo", "record", "1", "clean").code == 0
    run("--demo", "undo")
    assert run("--demo", "round", "--json").json == before
    undone = run("--demo", "undo", "--json").json
    assert len(undone["withdrawn"]) > 500
    assert run("--demo", "export").out.count("\n") == 1
    run("--demo", "redo")

    assert run("--demo", "round", "--json").json == before


def test_the_json_of_undo_and_redo_names_events_items_and_standings(run: Run) -> None:
    recorded = run("record", "1:asc:down:1", "clean", "--tempo", "60", "--json").json
    undone, redone = run("undo", "--json").json, run("redo", "--json").json

    assert undone["withdrawn"] == redone["restored"] == recorded["recorded"]
    assert undone["standing"] == {"1:asc:down:1": "ahead"}
    assert redone["standing"] == {"1:asc:down:1": "clean"}
    json.dumps(undone)


def test_a_pass_is_recorded_once_though_its_log_came_while_it_was_undone(
    run: Run, tmp_path: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("export", "-o", str(tmp_path / "log.csv"))
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "log.csv"))
    ours = str(tmp_path / "data" / "upneck" / "upneck.db")
    for _ in range(2):
        run(*other, "merge", ours, "--same-player")
        assert run(*other, "export").out.count("\n") == 2
        run(*other, "undo")
        assert run(*other, "export").out.count("\n") == 2
    run("undo")
    run("import", str(tmp_path / "log.csv"))

    assert run("export").out.count("\n") == 2
    assert run("redo").code == 1


def test_two_programs_dont_record_the_same_block(
    run: Run, ledger_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from scheduler.practice import recording

    run("today")
    record_at_once = recording._results

    def while_another_records(*words: object) -> object:
        monkeypatch.setattr(recording, "_results", record_at_once)
        assert run("record", "2", "clean").code == 0
        return record_at_once(*words)  # type: ignore[arg-type]

    monkeypatch.setattr(recording, "_results", while_another_records)
    done = run("record", "2", "clean")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "meanwhile" in done.err
    assert run("export").out.count("\n") == 20
    assert ledger_file.exists()


def test_a_pass_that_a_log_told_elsewhere_is_never_lost(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    """Recorded here, told to another machine by a log, taken back, and told again."""
    other = another(run, tmp_path / "other.db")
    log = str(tmp_path / "log.csv")
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("export", "-o", log)
    run(*other, "import", log)
    run(*other, "merge", str(ledger_file), "--same-player", at=LATER)
    assert run(*other, "export").out.count("\n") == 2
    run("undo", at=LATER)
    run("import", log, at=LATER)
    run("merge", other[1], at=LATER)

    for words in ((), other):
        assert run(*words, "export", at=LATER).out.count("\n") == 2
    run(*other, "merge", str(ledger_file), at=LATER)
    assert run(*other, "export", at=LATER).out == run("export", at=LATER).out
    assert run(*other, "import", log, at=LATER).out.startswith("0 imported")


def test_the_log_counts_again_when_the_merge_that_brought_its_passes_is_undone(
    run: Run, tmp_path: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "1:any:down:1-5", "clean", "--tempo", "60")
    run(*other, "export", "-o", str(tmp_path / "log.csv"))
    run("import", str(tmp_path / "log.csv"))
    before = run("item", "1:asc:down:1", "--json", at=LATER).json
    run("merge", other[1], "--same-player")
    merged = run("item", "1:asc:down:1", "--json", at=LATER).json
    run("undo")

    assert len(merged["passes"]) == 1
    assert merged["passes"] != before["passes"]
    assert run("item", "1:asc:down:1", "--json", at=LATER).json == before
    assert run("check").code == 0


@pytest.mark.parametrize("tempo", ["81.99999999999999", "82"])
def test_one_log_on_two_necks_and_to_other_digits_counts_once(
    run: Run, tmp_path: Path, tempo: str
) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "setup", "--tuning", "B1 E2 A2 D3 G3 B3 E4")
    for words, told in (((), tempo), (other, "82")):
        log = tmp_path / "log.csv"
        log.write_text(f"{HEAD}\n2026-11-20T19:30:00+01:00,4:asc:down:1,{told},3,1,0,,\n")
        assert run(*words, "import", str(log)).out.startswith("1 imported")
    assert run("merge", other[1], "--same-player").code == 0
    assert run(*other, "merge", str(tmp_path / "mine.db")).code == 1
    run("export", "--format", "json", "-o", str(tmp_path / "mine.json"))
    assert run(*other, "import", str(tmp_path / "mine.json"), "--same-player").code == 0

    for words in ((), other):
        assert run(*words, "export").out.count("\n") == 2
        assert run(*words, "check").code == 0


def test_what_another_machine_undid_can_be_undone_here_once_the_merge_is_undone(
    run: Run, tmp_path: Path
) -> None:
    """A copied ledger file carries its acts: the same act may be undone on both machines."""
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    copy = tmp_path / "copy.db"
    run("backup", "-o", str(copy))
    run("--ledger", str(copy), "undo")
    run("merge", str(copy), at=LATER)
    assert run("export").out.count("\n") == 1
    run("undo", at=LATER)
    assert run("export").out.count("\n") == 2

    assert run("undo", at=LATER).out.startswith("undone: 1 pass")
    assert run("export").out.count("\n") == 1
    assert run("redo", at=LATER).code == 0
    assert run("export").out.count("\n") == 2
