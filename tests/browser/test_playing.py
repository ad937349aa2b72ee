"""A session played on the page: by touch, by pedals, from the address to the last block."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.browser.conftest import Phone, Program
from tests.conftest import Run

PutUp = Callable[..., Program]
MakePhone = Callable[..., Phone]
FAST = ("--floor-tempo", "400", "--tuning", "E1 A1 D2 G2", "--plays-clean", "400")


@pytest.fixture
def program(run: Run, put_up: PutUp) -> Program:
    run("setup", *FAST, at="2026-11-20T12:00:00+01:00")
    return put_up("--minutes", "1")


def test_a_whole_session_is_played_by_touch_to_the_last_block(
    program: Program, phone: MakePhone
) -> None:
    one = phone().open(program.address)
    assert "#" not in one.page.url
    steps = one.told()["steps"]
    assert one.page.inner_text("#day")
    one.begin()
    assert one.page.inner_text("#what") in {item["words"] for item in one.told()["items"].values()}
    number = 0
    while one.page.is_visible("#hands"):
        one.judge()
        number += 1
        assert number <= 4 * len(steps)
    one.wait_until_sent()
    assert one.page.is_visible("#over")
    assert number >= len(steps)
    assert [clean for _, clean in program.passes()] == [1] * number
    assert not one.complaints
    told = program.end()

    assert f"{number} passes recorded, 100% clean" in told
    assert "tomorrow: box 1" in told


def test_pedals_and_keys_mean_what_they_mean_in_play(program: Program, phone: MakePhone) -> None:
    one = phone().open(program.address)
    keys = one.page.keyboard
    keys.press("PageDown")
    one.page.wait_for_selector("#hands:not([hidden])")
    for key, told in (
        ("PageDown", "Clean."), ("ArrowRight", "Clean."), ("Space", "Clean."), ("Enter", "Clean."),
        ("PageUp", "Sloppy: once more."), ("ArrowLeft", "Sloppy: once more, slower"),
        ("3", "Sloppy three times"),
    ):  # fmt: skip
        one.wait_for_touch()
        if one.page.inner_text("#clean") == "Begin now":
            keys.press("Space")
        one.until("document.getElementById('kind').textContent === 'clean or sloppy?'")
        one.wait_for_touch()
        keys.press(key)
        assert told in one.said()
    keys.press("r")
    assert "string noise" in one.said()
    one.wait_until_sent()
    assert [clean for _, clean in program.passes()] == [1, 1, 1, 1, 0, 0, 0]
    before = int(one.page.inner_text("#bpm"))
    keys.press("ArrowDown")
    assert int(one.page.inner_text("#bpm")) < before
    keys.press("p")
    assert one.page.inner_text("#pause") == "Go on"
    keys.press("Space")
    assert one.said() == "Paused: go on first."
    keys.press("p")
    keys.press("u")
    one.wait_until_sent()

    assert [clean for _, clean in program.passes()] == [1, 1, 1, 1, 0, 0]
    assert not one.complaints


def test_a_pedal_that_is_held_and_a_finger_that_touches_twice_count_once(
    program: Program, phone: MakePhone
) -> None:
    one = phone().open(program.address).begin()
    one.page.keyboard.press("Space")
    one.until("document.getElementById('kind').textContent === 'clean or sloppy?'")
    one.wait_for_touch()
    for _ in range(10):
        one.page.keyboard.press("PageDown")
        one.page.wait_for_timeout(30)
    one.judge()
    one.page.tap("#clean")
    one.wait_until_sent()

    assert len(program.passes()) == 2


def test_a_clean_pass_in_no_time_is_asked_once_more(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    one.page.wait_for_selector("#kind:text('move to it')")
    one.page.tap("#clean")
    one.until("document.getElementById('clean').textContent === 'Clean'")
    one.page.wait_for_selector("#kind:text('count-in')")
    # What looks as if it did nothing says why.
    one.page.dispatch_event("#clean", "click")
    assert one.said() == "Not begun yet: wait for the beat."
    one.come_to_the_item()
    one.page.tap("#clean")
    assert "Not half played yet" in one.said()
    assert program.passes() == []
    one.wait_for_touch()
    one.page.tap("#clean")
    assert one.said() == "Clean."
    one.wait_until_sent()
    assert [clean for _, clean in program.passes()] == [1]
    one.until("document.getElementById('kind').textContent === 'play'")

    assert one.said() == ""


def test_once_more_begins_at_the_top_and_a_reload_says_where_it_goes_on(
    put_up: PutUp, phone: MakePhone, run: Run
) -> None:
    run("record", "1+2:asc:any:1-12", "clean", "--tempo", "44", at="2026-11-20T12:00:00+01:00")
    program = put_up()
    one = phone().open(program.address).begin()
    one.come_to_the_item()
    one.page.evaluate("document.getElementById('drawn').scrollTop = 90")
    assert one.page.evaluate("document.getElementById('drawn').scrollTop") > 0
    one.page.tap("#sloppy")
    assert one.page.evaluate("document.getElementById('drawn').scrollTop") == 0
    one.judge()
    one.wait_until_sent()
    one.page.reload()
    of = len(one.told()["steps"])

    assert one.page.inner_text("#begin") == f"Go on: item 2 of {of}"


def test_a_button_that_is_reached_by_keys_is_pressed_by_keys(
    program: Program, phone: MakePhone
) -> None:
    one = phone().open(program.address).begin()
    one.page.focus("#back")
    one.page.keyboard.press("Tab")
    assert one.page.evaluate("document.activeElement.id") == "pause"
    one.page.keyboard.press("Enter")

    assert one.page.inner_text("#pause") == "Go on"


def test_a_rest_is_a_rest_on_both_phones(run: Run, put_up: PutUp, phone: MakePhone) -> None:
    run("record", "1+2:asc:any:1-12", "clean", "--tempo", "44", at="2026-10-02T12:00:00+02:00")
    program = put_up()
    before = len(program.passes())
    one, two = (phone().open(program.address).begin() for _ in range(2))
    steps = one.told()["steps"]
    rest = next(n for n, step in enumerate(steps) if step["rest"])
    for _ in range(rest):
        one.judge()
    for each in (one, two):
        each.page.wait_for_selector("#resting:not([hidden])")
        assert each.page.inner_text("#rest") == "Rest for 5 minutes, and put the guitar down."
    one.page.keyboard.press("PageDown")
    one.page.wait_for_selector("#hands:not([hidden])")
    one.judge()
    one.wait_until_sent()

    assert len(program.passes()) == before + rest + 1


def test_where_nothing_can_sound_the_beat_is_seen(program: Program, phone: MakePhone) -> None:
    one = phone()
    one.context.add_init_script("window.AudioContext = class { constructor() { throw 1; } };")
    one.open(program.address).begin()
    assert one.said() == "No sound here: watch the beat."
    one.page.wait_for_selector("#beat .now")
    one.judge()
    one.wait_until_sent()

    assert len(program.passes()) == 1


def test_another_tempo_between_two_beats_is_what_is_heard(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone()
    one.context.add_init_script("""
      window.starts = [];
      const start = OscillatorNode.prototype.start;
      OscillatorNode.prototype.start = function (at) { window.starts.push([this.frequency.value, at]); start.call(this, at); };
    """)
    one.open(program.address).begin()
    one.judge()
    # Nothing of the new item was heard yet: the way to it and the item itself go faster.
    one.page.evaluate("for (let n = 0; n < 8; n += 1) document.getElementById('faster').click()")
    tempo = int(one.page.inner_text("#bpm"))
    one.page.wait_for_selector("#kind:text('play')")
    one.page.wait_for_timeout(4000)
    now, starts = one.page.evaluate("[performance.now(), window.starts.map(([, at]) => at)]")
    gaps = [b - a for a, b in zip(starts[-3:], starts[-2:], strict=False)]

    assert now
    assert gaps
    assert all(abs(gap - 60 / tempo) < 0.002 for gap in gaps)


def test_a_page_reloaded_at_the_end_takes_back(program: Program, phone: MakePhone) -> None:
    one = phone().open(program.address).begin()
    while one.page.is_visible("#hands"):
        one.judge()
    one.wait_until_sent()
    number = len(program.passes())
    one.page.reload()
    one.page.wait_for_selector("#over:not([hidden])")
    one.page.tap("#back-at-the-end")
    one.page.wait_for_selector("#opening:not([hidden])")
    one.begin()
    one.judge()
    one.wait_until_sent()

    assert len(program.passes()) == number
    assert not one.complaints


def test_the_record_is_what_play_writes(
    program: Program, phone: MakePhone, run: Run, tmp_path: Path
) -> None:
    one = phone().open(program.address).begin()
    one.judge("#sloppy")
    one.page.tap("#fault-sync")
    one.page.click("#how-many summary")
    one.judge("#errors-2")
    one.wait_until_sent()
    program.end()
    exported = tmp_path / "record.json"
    run("export", "--format", "json", "-o", str(exported), at="2026-11-26T12:00:00+01:00")
    events = json.loads(exported.read_text())["events"]
    passes = [event for event in events if event["kind"] == "pass"]
    step = one.told()["steps"][0]

    assert [(p["item"], p["errors"], p["clean"]) for p in passes] == [
        (step["item"], None, False), (step["item"], 2, False),
    ]  # fmt: skip
    assert [event["fault"] for event in events if event["kind"] == "fault"] == ["sync"]
    # One act each, as on the stage: undo takes the last one back.
    assert "1 pass" in run("undo", at="2026-12-26T12:00:00+01:00").out
