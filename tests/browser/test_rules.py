"""The page's own modules against the program's rules and against published ones."""

import json
import random
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest

from scheduler.guitar.items import Item
from scheduler.guitar.metronome import MARKS, BeatsPerMinute
from scheduler.guitar.routine import Direction, Stroke
from scheduler.plan.beats import Kind, Run
from scheduler.plan.cost import PASSES_A_VISIT
from scheduler.plan.session import Block, Reason
from scheduler.stage.beat import is_early, shorter_way
from scheduler.stage.hands_on import HandsOn, Moved, Step
from scheduler.stand.session_page import CONSTANTS
from scheduler.stand.steps import steps_told
from tests.browser.conftest import Phone, Program
from tests.conftest import REFERENCE

if TYPE_CHECKING:
    from playwright.sync_api import Page

SONGS, VERDICTS = 60, 60


@pytest.fixture
def page(put_up: Callable[..., Program], phone: Callable[..., Phone]) -> "Page":
    program = put_up(before=("--demo",))
    return phone().open(program.address).page


def a_session(chance: random.Random) -> list[Step]:
    steps = []
    for number in range(1, chance.randint(1, 4) + 1):
        tempo = chance.choice(MARKS)
        block = Block(number, Reason.ONWARD, tempo, 3, 0.0, ())
        count = chance.randint(1, 4)
        for n in range(1, count + 1):
            item = Item(number, False, Direction.ASC, Stroke.DOWN, n)
            steps.append(Step(block, item, n, count))
    return steps


def plays_of(chance: random.Random) -> list[Any]:
    """What a player does: verdicts, taking back, other tempos."""
    likely = ["clean", "sloppy", "sloppy", "back", "up", "down"]
    return [chance.choice(likely) for _ in range(VERDICTS)]


def in_python(steps: list[Step], plays: list[str], suggested: dict[Item, float]) -> list[Any]:
    state, found = HandsOn(list(steps)), []
    for play in plays:
        moved = None
        if play == "back":
            state.take_back()
        elif play in {"up", "down"}:
            state.change_tempo(1 if play == "up" else -1)
        elif state.step is not None:
            item = state.step.item
            moved = state.judge(
                lambda item=item: BeatsPerMinute(suggested[item]),  # type: ignore[misc]
                clean=play == "clean",
            )
            if moved is Moved.OVER:
                state.come_back(lambda step: BeatsPerMinute(suggested[step.item]))
        found.append([moved, state.place, state.sloppy, state.tempo, len(state.steps)])
    return found


IN_THE_PAGE = """async ([steps, plays, constants]) => {
  const { HandsOn, OVER } = await import("/assets/hands_on.js");
  const hands = new HandsOn(steps, constants);
  return plays.map((play) => {
    let moved = null;
    if (play === "back") hands.takeBack();
    else if (play === "up" || play === "down") hands.changeTempo(play === "up" ? 1 : -1);
    else if (hands.step) {
      moved = hands.judge(play === "clean");
      if (moved === OVER) hands.comeBack();
    }
    return [moved, hands.place, hands.sloppy, hands.tempo, hands.steps.length];
  });
}"""


def test_the_page_leads_where_the_stage_leads(page: "Page") -> None:
    chance = random.Random(14)
    constants = {"marks": MARKS, "tries": PASSES_A_VISIT}
    for _ in range(SONGS):
        steps, plays = a_session(chance), plays_of(chance)
        suggested: dict[Item, float] = {step.item: chance.choice(MARKS) for step in steps}
        told = steps_told(steps, [BeatsPerMinute(suggested[step.item]) for step in steps])

        assert page.evaluate(IN_THE_PAGE, [told, plays, constants]) == in_python(
            steps, plays, suggested
        )


def test_ids_are_uuids_of_version_7_that_sort(page: "Page") -> None:
    # RFC 9562, appendix A.6, the example of a UUID of version 7.
    script = """async () => {
      const { uuid7, Ids, timeOf } = await import("/assets/ids.js");
      const example = uuid7(0x017F22E279B0, 0xCC3, [0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F]);
      let now = 5000;
      const ids = new Ids(() => now);
      const made = [];
      for (let n = 0; n < 9000; n += 1) {
        if (n === 5000) now = 4000;
        made.push(ids.next());
      }
      return [example, timeOf(example), made];
    }"""
    example, time, made = page.evaluate(script)

    assert example == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
    assert time == 0x017F22E279B0
    assert made == sorted(made)
    assert len(set(made)) == len(made)


CLICKS = """async ([tempo, seconds]) => {
  const [{ Beat, PLAY }, { click }] = await Promise.all([import("/assets/beat.js"), import("/assets/sound.js")]);
  const { sounds, accent_every } = JSON.parse(document.getElementById("told").textContent).constants;
  const rate = 8000, start = 0.5;
  const context = new OfflineAudioContext(1, rate * seconds, rate);
  const beat = new Beat(accent_every);
  beat.begin([{ kind: PLAY, beats: Infinity, tempo }], start);
  for (const each of beat.until(seconds - 0.2)) click(context, each, sounds);
  const heard = (await context.startRendering()).getChannelData(0);
  const onsets = [];
  for (let n = 0, quiet = 0; n < heard.length; n += 1) {
    if (Math.abs(heard[n]) > 0.01) {
      if (quiet > rate * 0.05 || !onsets.length) onsets.push(n / rate);
      quiet = 0;
    } else quiet += 1;
  }
  return onsets.map((at, n) => at - (start + n * 60 / tempo));
}"""


@pytest.mark.parametrize("tempo", [20, 240])
def test_no_click_is_a_millisecond_off_over_ten_minutes(page: "Page", tempo: int) -> None:
    off = page.evaluate(CLICKS, [tempo, 600])

    print(f"{len(off)} clicks at {tempo}: at most {1000 * max(map(abs, off)):.2f} ms off")

    assert abs(len(off) - 10 * tempo) <= 3
    assert max(map(abs, off)) < 0.001


BUSY = """async () => {
  const { Metronome, PLAY } = await import("/assets/beat.js");
  const now = () => performance.now() / 1000;
  const late = [];
  const metronome = new Metronome(now, (beat) => {
    late.push(now() - beat.at);
    return () => {};
  }, 4);
  metronome.begin([{ kind: PLAY, beats: Infinity, tempo: 240 }], { atOnce: true });
  const timer = setInterval(() => metronome.look(), 100);
  for (let n = 0; n < 3; n += 1) {
    await new Promise((done) => setTimeout(done, 150));
    const until = performance.now() + 1500;
    while (performance.now() < until);
  }
  clearInterval(timer);
  return late;
}"""


def test_a_page_that_is_busy_for_seconds_delays_no_click(page: "Page") -> None:
    late = page.evaluate(BUSY)

    assert len(late) > 20
    assert max(late) < 0


def test_runs_are_those_of_the_stage(page: "Page") -> None:
    script = """async () => {
      const { runsTo } = await import("/assets/beat.js");
      const told = JSON.parse(document.getElementById("told").textContent);
      const step = (fret) => ({ ...told.steps[0], fret });
      return [["next block", 1, 5], ["next item", 5, 6], ["next item", 5, 9], ["again", 5, 5]].map(
        ([moved, before, fret]) => runsTo(moved, step(before), step(fret), 50, told.constants)
          .map(({ kind, beats }) => [kind, beats === Infinity ? "on" : beats]));
    }"""

    # 50 beats a minute: 3 s are three beats, 8 s seven (DESIGN 3: rounded up to whole beats).
    assert page.evaluate(script) == [
        [["changeover", 7], ["count-in", 4], ["play", "on"]],
        [["settle", 3], ["play", "on"]],
        [["settle", 7], ["play", "on"]],
        [["settle", 3], ["play", "on"]],
    ]


def test_the_marks_are_the_published_ones(page: "Page") -> None:
    told = json.loads(page.text_content("#told") or "")
    lines = (REFERENCE / "metronome_marks.csv").read_text(encoding="utf-8").split()
    published = {float(word) for line in lines for word in line.split(",") if word.isdecimal()}

    assert {mark for mark in told["constants"]["marks"] if mark >= 40} <= published


WAYS_IN_THE_PAGE = """async ([beats, constants]) => {
  const { isEarly, shorterWay } = await import("/assets/beat.js");
  return beats.map(([kind, number, of, notesPerBeat, notes]) => {
    const way = shorterWay({ kind, number, beats: of }, 90, constants);
    return [way && [way.kind, way.beats], isEarly(number + 1, notesPerBeat, notes, constants)];
  });
}"""


def test_the_shorter_way_and_the_early_verdict_are_plays(page: "Page") -> None:
    chance, tempo = random.Random(5), BeatsPerMinute(90)
    cases = [
        (chance.choice([Kind.CHANGEOVER, Kind.COUNT_IN, Kind.SETTLE]), number := chance.randint(0, 9),
         number + chance.randint(1, 9), chance.choice([1, 2, 3, 4, 6]), chance.choice([6, 24, 97]))
        for _ in range(200)
    ]  # fmt: skip
    found = page.evaluate(WAYS_IN_THE_PAGE, [[[str(c[0]), *c[1:]] for c in cases], CONSTANTS])
    expected = []
    for kind, number, of, notes_per_beat, notes in cases:
        way = shorter_way(Run(kind, of, tempo), of - number)
        early = is_early(number + 1, notes_per_beat, notes)
        expected.append([None if way is None else [str(way.kind), way.beats], early])

    assert found == expected
    assert {early for _, early in expected} == {True, False}
