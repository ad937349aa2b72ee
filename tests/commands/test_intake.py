"""A guarded intake: ids, times and types that no machine gives are refused with their line."""

import json
from contextlib import closing
from pathlib import Path

import pytest

from scheduler.ledger.events import FaultSaid
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Fault
from tests.conftest import NOON, Run, another
from tests.ledger.bulk import append

HEAD = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"


def a_record(run: Run, *, corrected: bool = False) -> dict[str, list[dict[str, object]]]:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("record", "1:desc:down:2", "sloppy", "--tempo", "60", "--errors", "2", "--fault", "sync")
    run("setup", "--minutes", "30")
    run("round", "--next", "--yes")
    run("undo")
    if corrected:
        run("record", "1:asc:down:3", "clean", "--tempo", "60", at="2026-11-25T11:59:00+01:00")
    whole: dict[str, list[dict[str, object]]] = json.loads(run("export", "--format", "json").out)
    return whole


WRONG = [
    ("correction", {"moved_ms": 7_000_000_000_000}, "ahead of the clock"),
    ("correction", {"moved_ms": 2**63}, "ahead of the clock"),
    ("correction", {"moved_ms": 1}, "moved to before 1971"),
    ("pass", {"notes": 25}, "no neck has an item of 25 notes"),
    ("correction", {"moved_ms": "soon"}, "moved_ms is a whole number"),
    ("setting", {"name": "took", "value": "soon"}, "minutes"),
    ("setting", {"name": "took", "value": "-5"}, "minutes"),
    ("setting", {"name": "took", "value": "5.0"}, "is written '5'"),
    ("setting", {"name": "x" * 5000, "value": "5"}, "so long a name"),
    ("pass", {"id": "ffffffff-ffff-4fff-bfff-ffffffffffff"}, "no id"),
    ("pass", {"id": "ffffffff-ffff-7fff-bfff-ffffffffffff"}, "ahead of the clock"),
    ("pass", {"id": "c0ffee00-0000-7000-8000-000000000000"}, "ahead of the clock"),
    ("pass", {"id": "019aba00-0000-7000-0000-000000000000"}, "no id"),
    ("pass", {"entry": "ffffffff-ffff-7fff-bfff-ffffffffffff"}, "ahead of the clock"),
    ("pass", {"at": "2199-01-01T12:00:00+01:00"}, "ahead of the clock"),
    ("pass", {"at": "2026-11-26T12:00:01+01:00"}, "ahead of the clock"),
    ("setting", {"at": "2199-01-01T12:00:00+01:00"}, "ahead of the clock"),
    ("pass", {"tempo": "60"}, "tempo is a whole number or a number"),
    ("pass", {"tempo": True}, "tempo is"),
    ("pass", {"clean": 1.9}, "clean is true or false"),
    ("pass", {"clean": 1}, "clean is true or false"),
    ("pass", {"errors": False}, "errors is a whole number or null"),
    ("pass", {"errors": 2.0}, "errors is"),
    ("pass", {"notes": 24.0}, "notes is a whole number"),
    ("pass", {"notes_per_beat": "3"}, "notes_per_beat is"),
    ("pass", {"note": None}, "note is a text"),
    ("pass", {"fault": 3}, "fault is a text or null"),
    ("round", {"number": 2.0}, "number is a whole number"),
    ("undo", {"redone": 0}, "redone is true or false"),
    ("undo", {"target": "all"}, "no id"),
]


@pytest.mark.parametrize(("kind", "change", "reason"), WRONG, ids=str)
def test_what_no_machine_writes_is_refused_with_its_line(
    run: Run, tmp_path: Path, kind: str, change: dict[str, object], reason: str
) -> None:
    whole = a_record(run, corrected=kind == "correction")
    place, event = next(
        (n, event) for n, event in enumerate(whole["events"]) if event["kind"] == kind
    )
    event.update(change)
    (tmp_path / "record.json").write_text(json.dumps(whole))
    other = another(run, tmp_path / "other.db")
    done = run(*other, "import", str(tmp_path / "record.json"))

    assert done.code == 1
    assert f"line {place + 2}: " in done.err
    assert reason in done.err
    assert run(*other, "export", "--format", "json").out.count("\n") == 3
    assert run(*other, "record", "1:asc:down:1", "clean", "--tempo", "60").code == 0


def test_the_same_record_unchanged_is_taken(run: Run, tmp_path: Path) -> None:
    (tmp_path / "record.json").write_text(json.dumps(a_record(run)))
    other = another(run, tmp_path / "other.db")

    assert run(*other, "import", str(tmp_path / "record.json")).code == 0


def test_a_file_sent_again_is_safe_and_one_with_other_content_is_refused_by_name(
    run: Run, tmp_path: Path
) -> None:
    whole = a_record(run)
    path = tmp_path / "record.json"
    path.write_text(json.dumps(whole))
    assert run("import", str(path)).out.startswith("0 imported")
    event = next(event for event in whole["events"] if event["kind"] == "pass")
    event["tempo"] = 63
    path.write_text(json.dumps(whole))
    done = run("import", str(path))

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert f"event {event['id']} is there with other content" in done.err


def test_an_old_ledger_with_an_id_that_no_clock_gave_can_still_be_recorded_into(
    run: Run, ledger_file: Path
) -> None:
    import sqlite3

    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    wrong = "ffffffff-ffff-4fff-bfff-ffffffffffff"
    with sqlite3.connect(ledger_file) as ledger:
        ledger.execute("INSERT INTO events VALUES (99, ?, 'setting', 1, 0, ?)", [wrong, wrong])
        ledger.execute("INSERT INTO settings VALUES (?, 'setting', 'minutes', '20')", [wrong])
    ledger.close()

    assert run("record", "1:asc:down:1", "clean", "--tempo", "60").code == 0
    checked = run("check")
    assert checked.code == 1
    assert "no id" in checked.out


def test_a_record_of_another_player_is_refused_and_says_whose_it_is(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "2:any:down:1-3", "clean", "--tempo", "60")
    run(*other, "export", "--format", "json", "-o", str(tmp_path / "theirs.json"))
    (theirs,) = [
        event["id"]
        for event in json.loads((tmp_path / "theirs.json").read_text())["events"]
        if event["kind"] == "player"
    ]
    before = ledger_file.read_bytes()
    for words in (["import", str(tmp_path / "theirs.json")], ["merge", other[1]]):
        done = run(*words)
        assert (done.code, done.err.count("\n")) == (1, 1)
        assert f"player {theirs}" in done.err
        assert "3 passes" in done.err
        assert "--same-player" in done.err
    assert run("export").out.count("\n") == 2
    assert before

    assert run("merge", other[1], "--same-player").code == 0
    assert run("merge", other[1]).code == 0
    assert run("export").out.count("\n") == 5


def test_an_empty_ledger_becomes_the_players_whose_record_it_takes(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    new = another(run, tmp_path / "new.db")
    run(*new, "setup", "--minutes", "15", at="2026-11-20T12:00:00+01:00")
    run(*new, "merge", str(ledger_file))
    run("record", "1:asc:down:3", "clean", "--tempo", "60")

    assert run(*new, "merge", str(ledger_file)).code == 0
    assert run("merge", new[1]).code == 0
    assert run(*new, "export").out == run("export").out


def test_a_backup_and_a_record_keep_whose_they_are(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60")
    run("backup", "-o", str(tmp_path / "copy.db"))
    copy = ("--ledger", str(tmp_path / "copy.db"))
    run(*copy, "record", "1:asc:down:3", "clean", "--tempo", "60")

    assert run("merge", copy[1]).code == 0
    assert run(*copy, "merge", str(ledger_file)).code == 0


def test_a_record_from_before_players_ids_needs_to_be_said_whose_it_is(
    run: Run, tmp_path: Path
) -> None:
    whole = a_record(run)
    whole["events"] = [event for event in whole["events"] if event["kind"] != "player"]
    path = tmp_path / "old.json"
    path.write_text(json.dumps(whole))
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "5:asc:down:3", "clean", "--tempo", "60")
    refused = run(*other, "import", str(path))

    assert (refused.code, refused.err.count("\n")) == (1, 1)
    assert "says no player" in refused.err
    assert run(*other, "import", str(path), "--same-player").code == 0


def test_a_log_and_the_ledger_it_came_from_dont_double_passes(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("setup", "--floor-tempo", "82")
    run("today")
    run("record", "2", "clean", "--second-try", "3", "--sloppy", "11", "--fault", "sync")
    run("record", "2:any:down:4-6", "clean", "--tempo", "63.123456789")
    run("record", "1", "clean", "--note", "=odd")
    log = tmp_path / "log.csv"
    run("export", "-o", str(log))
    assert run("import", str(log)).out.startswith("0 imported")
    text, number = run("export").out, run("export").out.count("\n") - 1
    other = another(run, tmp_path / "other.db")
    assert run(*other, "import", str(log)).out.startswith(f"{number} imported")
    run(*other, "merge", str(ledger_file), "--same-player")
    assert run(*other, "export").out == text
    assert (
        run(*other, "round", "--json").json["items_clean"]
        == (run("round", "--json").json["items_clean"])
    )
    run("merge", other[1])
    assert run("export").out == text
    run(*other, "undo")
    assert run(*other, "export").out == text


def test_the_programs_own_log_is_taken_whatever_the_neck(run: Run, tmp_path: Path) -> None:
    run("setup", "--frets", "24")
    run("record", "1:any:down:18-21", "clean", "--tempo", "60")
    run("export", "-o", str(tmp_path / "log.csv"))
    other = another(run, tmp_path / "other.db")
    run(*other, "setup", "--frets", "12")
    done = run(*other, "import", str(tmp_path / "log.csv"))

    assert done.code == 0
    assert done.out.startswith("4 imported")
    assert "4 at places that this neck hasn't" in done.out
    assert run(*other, "items", "--clean", "--json").json["items"] == []
    run(*other, "setup", "--frets", "24")
    assert len(run(*other, "items", "--clean", "--json").json["items"]) == 4


def test_a_dry_run_of_a_record_changes_nothing_at_all(run: Run, tmp_path: Path) -> None:
    whole = a_record(run)
    (tmp_path / "record.json").write_text(json.dumps(whole))
    other = another(run, tmp_path / "other.db")
    before = run(*other, "export", "--format", "json").out
    done = run(*other, "import", str(tmp_path / "record.json"), "--dry-run", at=NOON)

    assert "would be imported" in done.out
    assert run(*other, "export", "--format", "json").out == before
    assert run(*other, "undo").code == 1


def test_a_dry_run_leaves_nothing_in_what_is_derived(run: Run, tmp_path: Path) -> None:
    for _ in range(3):
        run("record", "any:asc:down:1-9", "clean", "--tempo", "60")
    run("export", "--format", "json", "-o", str(tmp_path / "record.json"))
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "record.json"))
    run("undo")
    run("export", "--format", "json", "-o", str(tmp_path / "undone.json"))
    done = run(*other, "import", str(tmp_path / "undone.json"), "--dry-run")

    assert done.code == 0
    assert run(*other, "check").code == 0


def test_what_was_said_of_what_is_set_aside_doesnt_go_out(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    run(*other, "record", "2:asc:down:3", "clean", "--tempo", "60", at="2026-11-25T12:01:00+01:00")
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-25T11:58:00+01:00")
    run("merge", other[1], "--same-player", at="2026-11-25T11:59:00+01:00")
    run("record", "1:asc:down:3", "clean", "--tempo", "60")
    run("undo")
    run("undo")
    third = another(run, tmp_path / "third.db")

    assert run(*third, "merge", str(ledger_file)).code == 0
    assert run(*third, "export").out == run("export").out


def test_a_backup_with_a_log_left_beside_it_is_merged_as_it_is(run: Run, tmp_path: Path) -> None:
    run("record", "1:any:down:1-3", "clean", "--tempo", "60")
    run("backup", "-o", str(tmp_path / "copy.db"))
    (tmp_path / "copy.db-wal").write_bytes(b"a log of another ledger" * 100)
    other = another(run, tmp_path / "other.db")

    assert run(*other, "merge", str(tmp_path / "copy.db")).code == 0
    assert run(*other, "export").out == run("export").out


def test_two_logs_of_one_evening_on_two_machines_count_its_passes_once(
    run: Run, tmp_path: Path
) -> None:
    lines = [f"2026-11-20T19:30:00+01:00,1:asc:down:{n},60,3,1,0,," for n in (1, 3, 5)]
    for name, told in (("a", lines[:2]), ("b", lines[::-1])):
        (tmp_path / f"{name}.csv").write_text("\n".join([HEAD, *told]))
    run("import", str(tmp_path / "a.csv"))
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "b.csv"))
    run("merge", other[1], "--same-player")

    assert run("export").out.count("\n") == 4


def test_a_fault_said_after_a_log_was_written_doubles_nothing(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "sloppy", "--tempo", "60", "--errors", "2")
    run("export", "-o", str(tmp_path / "log.csv"))
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "log.csv"))
    with closing(Ledger(ledger_file)) as ledger:
        played = next(ledger.passes())
        append(ledger, [FaultSaid(ledger.ids(played.moment).next(), played.moment, played.id,
                                  Fault.SYNC)])  # fmt: skip

    assert run("import", str(tmp_path / "log.csv")).out.startswith("0 imported, 1 already")
    run(*other, "merge", str(ledger_file), "--same-player")
    assert run(*other, "export").out == run("export").out
    assert "sync" in run("export").out


def test_a_fault_of_a_clean_pass_is_refused_in_the_file_and_beside_the_ledgers_pass(
    run: Run, tmp_path: Path
) -> None:
    whole = a_record(run)
    clean = next(e for e in whole["events"] if e.get("clean") is True)
    event_id = "019abc00-0000-7000-8000-000000000001"
    fault = {
        "id": event_id, "kind": "fault", "at": NOON, "entry": event_id,
        "target": clean["id"], "fault": "sync",
    }  # fmt: skip
    for events in ([*whole["events"], fault], [fault]):
        (tmp_path / "record.json").write_text(json.dumps({**whole, "events": events}))
        done = run("import", str(tmp_path / "record.json"), "--same-player")
        assert (done.code, "a fault is of a sloppy pass" in done.err) == (1, True)
    assert run("check").code == 0


def test_the_last_round_that_there_is_has_no_next_one(run: Run, tmp_path: Path) -> None:
    whole = a_record(run)
    event_id = "019abc00-0000-7000-8000-000000000001"
    whole["events"].append({
        "id": event_id, "kind": "round", "at": NOON, "entry": event_id, "number": 9999, "items": "",
    })  # fmt: skip
    (tmp_path / "record.json").write_text(json.dumps(whole))
    run("import", str(tmp_path / "record.json"))
    done = run("round", "--next", "--yes")

    assert (done.code, done.err.count("\n")) == (1, 1)
    assert "round 9999 is the last" in done.err
    assert run("undo").code == 0
    assert run("round", "--next", "--yes").code == 0


def test_what_brings_nothing_makes_no_backup(run: Run, tmp_path: Path, ledger_file: Path) -> None:
    a_record(run)
    run("export", "-o", str(tmp_path / "log.csv"))
    run("export", "--format", "json", "-o", str(tmp_path / "record.json"))
    other = another(run, tmp_path / "other.db")
    run(*other, "import", str(tmp_path / "record.json"))
    for name in ("log.csv", "record.json", "other.db"):
        words = ("merge",) if name == "other.db" else ("import",)
        assert run(*words, str(tmp_path / name)).code == 0

    assert not (ledger_file.parent / "backups").exists()
    run(*other, "record", "2:asc:down:1", "clean", "--tempo", "60")
    run("merge", other[1])
    assert len(list((ledger_file.parent / "backups").iterdir())) == 1


def test_an_undo_of_what_had_set_the_clock_right_leaves_nothing_that_is_taken(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    run("record", "1:asc:down:1", "clean", "--tempo", "60", at="2026-11-24T19:00:00+01:00")
    run("record", "1:asc:down:2", "clean", "--tempo", "60", at="2031-03-03T20:00:00+01:00")
    run("record", "1:asc:down:3", "clean", "--tempo", "60")
    run("undo")
    other = another(run, tmp_path / "other.db")
    checked = run("check")
    done = run(*other, "merge", str(ledger_file))

    assert (done.code, "ahead of the clock" in done.err) == (1, True)
    assert "the next that is recorded here sets it right" in checked.out
    run("record", "1:asc:down:4", "clean", "--tempo", "60")
    assert run("check").code == 0
    assert run(*other, "merge", str(ledger_file)).code == 0


@pytest.mark.parametrize(
    "note", ['"good\nday"', "new\u00a0strings", "tab\there", "\x7f", "a\u2028b"]
)
def test_a_note_from_a_spreadsheet_spoils_nothing(
    run: Run, tmp_path: Path, ledger_file: Path, note: str
) -> None:
    (tmp_path / "log.csv").write_text(
        f"{HEAD}\n2026-11-20T19:30:00+01:00,3:asc:down:7,60,3,1,0,,{note}\n"
    )
    assert run("import", str(tmp_path / "log.csv")).out.startswith("1 imported")
    other = another(run, tmp_path / "other.db")

    assert run("check").code == 0
    assert run(*other, "merge", str(ledger_file)).code == 0
    assert run("import", str(tmp_path / "log.csv")).out.startswith("0 imported")
    assert run("export").out.count("\n") == 2


def test_a_correction_to_a_later_time_changes_nothing(run: Run, tmp_path: Path) -> None:
    whole = a_record(run)
    event = next(e for e in whole["events"] if e["kind"] == "pass")
    event_id = "019abc00-0000-7000-8000-000000000001"
    correction = {
        "id": event_id, "kind": "correction", "at": NOON, "entry": event_id,
        "target": event["id"], "moved_ms": 1_795_700_000_000,
    }  # fmt: skip
    before = run("export").out
    player = [e for e in whole["events"] if e["kind"] == "player"]
    (tmp_path / "record.json").write_text(json.dumps({**whole, "events": [*player, correction]}))
    run("import", str(tmp_path / "record.json"))

    assert run("export").out == before
    assert run("check").code == 0


@pytest.mark.parametrize("lines", [(1, 2), (2, 1)])
def test_alike_but_for_the_fault_are_two_passes_whatever_log_comes_first(
    run: Run, tmp_path: Path, lines: tuple[int, ...]
) -> None:
    for fault in ("sync", "ringing"):
        run("record", "3:asc:down:7", "sloppy", "--tempo", "60", "--fault", fault,
            "--at", "2026-11-25T11:30:00+01:00")  # fmt: skip
    told = run("export").out.splitlines()
    other = another(run, tmp_path / "other.db")
    for number, some in enumerate(([told[lines[1]]], [told[line] for line in lines])):
        log = tmp_path / f"{number}.csv"
        log.write_text("\n".join([told[0], *some, ""]))
        run(*other, "import", str(log))

    assert sorted(run(*other, "export").out.splitlines()) == sorted(told)


def test_a_copy_under_another_clock_counts_once(
    run: Run, tmp_path: Path, ledger_file: Path
) -> None:
    other = another(run, tmp_path / "other.db")
    first, second = str(tmp_path / "1.csv"), str(tmp_path / "2.csv")
    run("record", "3:asc:down:7", "clean", "--tempo", "60", at="2026-11-26T18:00:00+01:00")
    run("export", "-o", first, at="2026-11-26T18:01:00+01:00")
    run(*other, "record", "3:asc:down:9", "clean", "--tempo", "60", at="2026-11-26T18:05:00+01:00")
    run(*other, "import", first, at="2026-11-26T13:10:00+01:00")
    run(*other, "record", "3:asc:down:8", "clean", "--tempo", "60", at="2026-11-26T13:20:00+01:00")
    run(*other, "export", "-o", second, at="2026-11-26T18:21:00+01:00")
    run("import", second, at="2026-11-26T18:30:00+01:00")
    run("merge", other[1], "--same-player", at="2026-11-26T18:40:00+01:00")
    run(*other, "merge", str(ledger_file), at="2026-11-26T18:40:00+01:00")

    for words in ((), other):
        assert run(*words, "export", at="2026-11-26T19:00:00+01:00").out.count("3:asc:down:7") == 1
        assert run(*words, "check", at="2026-11-26T19:00:00+01:00").code == 0


@pytest.mark.parametrize(
    "event",
    [
        {"kind": "setting", "id": [], "entry": {}, "name": "routine a", "value": ""},
        {"kind": "withdrawal", "id": "x", "entry": [], "target": {}},
        {"kind": "pass", "id": {}, "item": [], "routine": {}},
    ],
)
def test_values_of_odd_kinds_are_told_of_their_event(
    run: Run, tmp_path: Path, event: dict[str, object]
) -> None:
    file = tmp_path / "odd.json"
    file.write_text(json.dumps({"format": "upneck record", "version": 3, "events": [event]}))
    done = run("import", str(file))

    assert done.code == 1
    assert "bug" not in done.err
