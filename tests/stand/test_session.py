"""What becomes of what the page sends: once on disk, in the order sent, the session with it."""

import sqlite3
from typing import Any

import pytest

import scheduler.practice.playing as playing_module
from scheduler.errors import LedgerError
from scheduler.ledger.events import EventIds
from scheduler.ledger.record import Ledger
from scheduler.player.moments import MS_PER_DAY
from scheduler.practice.practice import Practice
from scheduler.practice.settings import change_settings
from scheduler.practice.taking_in import take_file
from scheduler.practice.undoing import next_to_undo, undo
from tests.stand.conftest import NOON, Stand

HOUR_MS = 3_600_000


def results(answer: Any) -> list[str]:  # noqa: ANN401
    return [result["why"] for result in answer.json["results"]]


def test_a_pass_is_on_disk_once_however_often_it_is_sent(stand: Stand) -> None:
    first, second, *_ = stand.document()["steps"]
    sent = stand.played(first)
    for _ in range(3):
        assert results(stand.send(sent)) == [""]
    stand.send(sent, stand.played(second))

    assert stand.log() == [(first["item"], 1), (second["item"], 1)]
    assert stand.state()["place"] == 2


def test_a_verdict_leads_where_it_leads_on_the_stage(stand: Stand) -> None:
    first, second, *_ = stand.document()["steps"]
    tempos = []
    for _ in range(3):
        state = stand.send(stand.played(first, clean=False)).json["state"]
        tempos.append(state["tempo"])

    assert tempos[0] == first["tempo"] > tempos[1]
    assert state["place"] == 1
    assert state["still_sloppy"] == [first["key"]]
    assert stand.document()["state"]["steps"][1] == second["key"]


def test_what_two_phones_send_for_one_place_is_both_recorded_and_moves_on_once(
    stand: Stand,
) -> None:
    first = stand.document()["steps"][0]
    stand.send(stand.played(first))
    stand.send(stand.played(first, clean=False))

    assert stand.log() == [(first["item"], 1), (first["item"], 0)]
    assert stand.state()["place"] == 1


def test_a_pass_is_taken_back_also_when_that_is_said_twice(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    sent = stand.played(first, clean=False)
    fault = {"kind": "fault", "id": stand.ids.next(), "target": sent["id"], "fault": "sync"}
    back = {"kind": "back", "id": stand.ids.next(), "target": sent["id"]}
    assert results(stand.send(sent, fault, back)) == ["", "", ""]
    assert results(stand.send(sent, fault, back, back)) == ["", "", "", ""]

    assert stand.log() == []
    assert stand.state()["place"] == stand.state()["sloppy"] == 0


def test_a_fault_is_of_a_sloppy_pass(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    sent = stand.played(first)
    fault = {"kind": "fault", "id": stand.ids.next(), "target": sent["id"], "fault": "sync"}

    assert results(stand.send(sent, fault)) == ["", "there is no sloppy pass that it is of"]


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"item": "5:asc:up:12"}, "block 1 has no 5:asc:up:12"),
        ({"item": "nonsense"}, "nonsense"),
        ({"block": 99}, "its session has no block 99"),
        ({"notes_per_beat": 5}, "it can't be read"),
        ({"tempo": 1000}, "it can't be read"),
        ({"tempo": float("nan")}, "it can't be read"),
        ({"tempo": True}, "it can't be read"),
        ({"tempo": 10**400}, "it can't be read"),
        ({"plan": 1 << 60}, "it can't be read"),
        ({"errors": 3}, "it can't be read"),
        ({"clean": 1}, "it can't be read"),
        ({"clean": False, "errors": 0}, "it can't be read"),
        ({"kind": "reset"}, "it can't be read"),
    ],
)
def test_what_is_foreign_or_malformed_is_refused_by_itself(
    stand: Stand, changed: dict[str, Any], why: str
) -> None:
    first, second, *_ = stand.document()["steps"]
    answer = stand.send(stand.played(first, **changed), stand.played(second))

    assert answer.status == 200
    refused, taken = results(answer)
    assert why in refused
    assert taken == ""
    assert stand.log() == [(second["item"], 1)]


@pytest.mark.parametrize("bad", [None, "", 7, "../../etc", "a" * 36, "0" * 36])
def test_without_an_id_nothing_is_taken_and_the_rest_is(stand: Stand, bad: object) -> None:
    first, second, *_ = stand.document()["steps"]
    answer = stand.send(stand.played(first, id=bad), stand.played(second))

    assert results(answer) == [""]
    assert stand.log() == [(second["item"], 1)]


def test_an_id_that_is_another_ones_is_refused(stand: Stand) -> None:
    first, second, *_ = stand.document()["steps"]
    sent = stand.played(first)
    stand.send(sent)
    other = stand.played(second, clean=False) | {"id": sent["id"]}

    assert results(stand.send(other)) == ["its id is another one's"]


def test_what_is_kept_for_another_player_is_refused_whole(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    answer = stand.send(stand.played(first), owner=EventIds(NOON.utc_ms).next())

    assert answer.status == 409
    assert stand.log() == []


def test_a_fault_can_not_have_its_passs_id(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    sent = stand.played(first, clean=False)
    fault = {"kind": "fault", "id": sent["id"], "target": sent["id"], "fault": "sync"}

    assert results(stand.send(sent, fault)) == ["", "its id is another one's"]


@pytest.mark.parametrize("block", [0, 999, 1 << 52])
def test_a_tempo_is_of_a_block_that_is_there(stand: Stand, block: int) -> None:
    plan = stand.state()["plan"]
    told = {"kind": "tempo", "id": stand.ids.next(), "plan": plan, "block": block, "tempo": 77}

    assert results(stand.send(told)) == ["there is no such block"]
    assert stand.state()["block_tempos"] == {}


def test_only_what_was_played_is_taken_back(stand: Stand) -> None:
    """Not an import, nor settings: those are other acts, and the terminal's to undo."""
    first = stand.document()["steps"][0]
    log = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note\n" + "".join(
        f"2026-11-24T12:00:00+01:00,{item},60,3,1,0,,\n" for item in (first["item"], "1:asc:up:5")
    )
    ledger = Ledger(stand.path)
    practice = Practice(ledger, NOON)
    take_file(practice, log, dry_run=False, is_same_player=False)
    change_settings(practice, {"minutes": "30"})
    ids = [row[0] for row in ledger.rows("SELECT id FROM events WHERE kind != 'player'")]
    ledger.close()
    for target in ids:
        back = {"kind": "back", "id": stand.ids.next(), "target": target}
        (why,) = results(stand.send(back))
        assert "take" in why

    assert len(stand.log()) == 2


def test_what_isnt_there_yet_is_not_taken_back(stand: Stand) -> None:
    back = {"kind": "back", "id": stand.ids.next(), "target": stand.ids.next()}

    assert results(stand.send(back)) == ["there is no such pass to take back"]


def test_an_undo_at_the_terminal_is_noticed(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    stand.send(stand.played(first))
    ledger = Ledger(stand.path)
    practice = Practice(ledger, NOON)
    undo(practice, next_to_undo(practice))
    ledger.close()
    state = stand.document()["state"]

    assert state["steps"][state["place"]] == first["key"]
    assert state["last"] is None
    assert stand.desk.played() == []


@pytest.mark.parametrize("how", ["replaced", "deleted"])
def test_a_ledger_that_is_no_longer_in_its_place_is_no_disk(stand: Stand, how: str) -> None:
    first, second, *_ = stand.document()["steps"]
    stand.send(stand.played(first))
    if how == "replaced":
        other = stand.path.with_name("other.db")
        Ledger(other).close()
        other.replace(stand.path)
    else:
        stand.path.unlink()
    answer = stand.send(stand.played(second))

    assert answer.status == 503
    assert answer.json["results"] == []
    assert "another file was put in its place" in answer.json["problem"]
    assert stand.ask("GET", "/session").status == 503


@pytest.mark.parametrize(("ahead_ms", "at_ms"), [(0, 0), (-HOUR_MS, -HOUR_MS), (HOUR_MS, 0)])
def test_the_time_of_a_pass_is_in_its_id_and_never_later_than_the_clock(
    stand: Stand, ahead_ms: int, at_ms: int
) -> None:
    first = stand.document()["steps"][0]
    stand.ids = EventIds(NOON.utc_ms + ahead_ms)
    stand.send(stand.played(first))
    connection = sqlite3.connect(stand.path)
    ((found,),) = connection.execute("SELECT at_ms FROM events WHERE kind = 'pass'").fetchall()
    connection.close()

    assert found == NOON.utc_ms + at_ms


def test_a_clock_that_is_days_ahead_is_told_and_the_rest_is_taken(stand: Stand) -> None:
    first, second, *_ = stand.document()["steps"]
    late = stand.played(first) | {"id": EventIds(NOON.utc_ms + 2 * MS_PER_DAY).next()}
    refused, taken = results(stand.send(late, stand.played(second)))

    assert "set the phone's clock" in refused
    assert taken == ""


def test_what_meets_a_bug_stays_with_the_page_and_holds_nothing_up(
    stand: Stand, monkeypatch: pytest.MonkeyPatch
) -> None:
    first, second, *_ = stand.document()["steps"]
    odd, fine = stand.played(first), stand.played(second)
    real = playing_module.record_pass

    def record(practice: Any, playing: Any, *rest: Any) -> Any:  # noqa: ANN401
        if playing.id == odd["id"]:
            raise ZeroDivisionError
        return real(practice, playing, *rest)

    monkeypatch.setattr("scheduler.stand.session.record_pass", record)
    answer = stand.send(odd, fine)
    assert answer.status == 503
    assert [result["id"] for result in answer.json["results"]] == [fine["id"]]
    assert "bug: ZeroDivisionError" in answer.json["problem"]
    monkeypatch.undo()

    assert results(stand.send(odd, fine)) == ["", ""]
    assert sorted(stand.log()) == sorted([(first["item"], 1), (second["item"], 1)])


@pytest.mark.slow
def test_a_ledger_that_is_held_is_told_and_the_same_messages_are_taken_later(
    stand: Stand,
) -> None:
    first = stand.document()["steps"][0]
    sent = stand.played(first)
    holder = sqlite3.connect(stand.path, isolation_level=None)
    holder.execute("BEGIN IMMEDIATE")
    answer = stand.send(sent)
    assert answer.status == 503
    assert answer.json["results"] == []
    assert "another program" in answer.json["problem"]
    assert stand.state()["place"] == 0
    holder.execute("ROLLBACK")
    holder.close()

    assert results(stand.send(sent)) == [""]
    assert stand.log() == [(first["item"], 1)]
    assert stand.state()["place"] == 1


@pytest.mark.slow
def test_a_stand_put_up_again_takes_what_was_kept(make_stand: Any) -> None:  # noqa: ANN401
    before = make_stand()
    first, second, *_ = before.document()["steps"]
    taken, kept = before.played(first), before.played(second)
    before.send(taken)
    after = make_stand()
    assert results(after.send(taken, kept)) == ["", ""]

    assert after.log() == [(first["item"], 1), (second["item"], 1)]
    assert after.state()["steps"][after.state()["place"]] == before.document()["steps"][2]["key"]


def test_the_next_day_begins_its_own_session_and_still_takes_yesterdays(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    kept = stand.played(first)
    plan = stand.state()["plan"]
    stand.now[0] = NOON._replace(utc_ms=NOON.utc_ms + MS_PER_DAY)
    assert stand.document()["state"]["plan"] != plan

    assert results(stand.send(kept)) == [""]
    assert stand.log() == [(first["item"], 1)]


def test_a_plan_that_was_forgotten_loses_no_pass(stand: Stand) -> None:
    first = stand.document()["steps"][0]

    assert results(stand.send(stand.played(first, plan=4711))) == [""]
    assert stand.log() == [(first["item"], 1)]


@pytest.mark.slow
def test_after_midnight_a_session_that_is_through_goes_on_with_the_new_days(stand: Stand) -> None:
    document = stand.document()
    stand.now[0] = NOON._replace(utc_ms=NOON.utc_ms + 11 * HOUR_MS)
    stand.ids = EventIds(stand.now[0].utc_ms)
    for step in document["steps"][:-1]:
        stand.send(stand.played(step, tempo=300))
    left = stand.state()["seconds_left"]
    stand.now[0] = NOON._replace(utc_ms=NOON.utc_ms + 13 * HOUR_MS)
    assert stand.state()["seconds_left"] == left
    state = stand.send(stand.played(document["steps"][-1], tempo=300)).json["state"]
    later = stand.document()

    assert state["plan"] != document["state"]["plan"]
    assert state["place"] == 0
    assert set(state["steps"]) <= {step["key"] for step in later["steps"]}
    assert later["state"]["steps"] == state["steps"]


@pytest.mark.slow
def test_what_comes_after_the_plan_is_tried_once_more(
    stand: Stand, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = stand.document()["steps"]
    for step in steps[:-1]:
        stand.send(stand.played(step, tempo=300))

    def busy(*_: object) -> None:
        msg = "held by another program"
        raise LedgerError(msg)

    monkeypatch.setattr("scheduler.stand.session.more_of_today", busy)
    last = stand.played(steps[-1], tempo=300)
    assert results(stand.send(last)) == [""]
    assert stand.state()["place"] == len(steps)
    monkeypatch.undo()

    assert len(stand.state()["steps"]) > len(steps)


def test_the_session_goes_on_after_its_plan(stand: Stand) -> None:
    document = stand.document()
    for step in document["steps"]:
        answer = stand.send(stand.played(step, tempo=300))
    state = answer.json["state"]

    assert state["place"] == len(document["steps"]) < len(state["steps"])
    assert state["plan"] != document["state"]["plan"]
    more = stand.document()
    assert results(stand.send(stand.played(more["steps"][state["place"]]))) == [""]


def test_another_tempo_is_the_blocks(stand: Stand) -> None:
    first = stand.document()["steps"][0]
    plan = stand.state()["plan"]
    told = {"kind": "tempo", "id": stand.ids.next(), "plan": plan, "block": 1, "tempo": 77}
    stand.send(told, stand.played(first, tempo=77))

    assert stand.state()["tempo"] == 77
