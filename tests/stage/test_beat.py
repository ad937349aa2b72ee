"""The beat keeps absolute time: lateness never adds up."""

from random import Random
from time import monotonic, sleep

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.plan.beats import Kind, Run
from scheduler.stage.beat import BeatClock


class FakeClock:
    """A clock that the test moves."""

    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def play(tempo: float, beats: int = 1 << 20) -> Run:
    return Run(Kind.PLAY, beats, BeatsPerMinute(tempo))


@pytest.mark.parametrize("tempo", [40.0, 93.0, 208.0, 400.0])
def test_an_hour_of_late_wakings_drifts_by_nothing(tempo: float) -> None:
    """Closed form: beat n comes at start + 60 n / tempo."""
    clock, random = FakeClock(), Random(3)
    beat = BeatClock(clock)
    beat.begin([play(tempo)])
    asked = []
    for _ in range(int(60 * tempo)):
        next_at = beat.next_at
        clock.now = next_at + random.uniform(0, 0.02)
        assert beat.tick() is not None
        asked.append(next_at)

    drift = max(abs(next_at - (100.0 + n * 60 / tempo)) for n, next_at in enumerate(asked))
    assert drift < 1e-6


def test_runs_follow_each_other_without_a_gap() -> None:
    clock = FakeClock()
    beat = BeatClock(clock)
    beat.begin([Run(Kind.COUNT_IN, 4, BeatsPerMinute(60)), play(60)])
    kinds, dues = [], []
    for _ in range(8):
        dues.append(beat.next_at)
        clock.now = beat.next_at
        tick = beat.tick()
        assert tick is not None
        kinds.append((tick.run.kind, tick.number, tick.is_accent))

    assert dues == [100.0 + n for n in range(8)]
    assert kinds[:5] == [(Kind.COUNT_IN, n, n == 0) for n in range(4)] + [(Kind.PLAY, 0, True)]


def test_other_runs_begin_on_the_next_beat_at_their_own_tempo() -> None:
    clock = FakeClock()
    beat = BeatClock(clock)
    beat.begin([play(60)])
    beat.tick()
    clock.now = 100.4
    beat.begin([play(120)])

    assert beat.next_at == 101.0
    clock.now = 101.0
    beat.tick()
    assert beat.next_at == 101.5


def test_missed_beats_are_left_out_and_the_phase_is_kept() -> None:
    clock = FakeClock()
    beat = BeatClock(clock)
    beat.begin([play(60)])
    beat.tick()
    clock.now = 107.3
    tick = beat.tick()

    assert tick is not None
    assert tick.number == 7
    assert beat.next_at == 108.0


def test_nothing_is_due_while_it_stands_still() -> None:
    beat = BeatClock(FakeClock())

    assert beat.next_at == float("inf")
    assert beat.tick() is None


@pytest.mark.slow
def test_in_real_time_no_beat_is_asked_for_before_it_is_due() -> None:
    beat = BeatClock(monotonic)
    beat.begin([play(400)])
    asked: list[float] = []
    while len(asked) < 12:
        next_at = beat.next_at
        sleep(max(0.0, next_at - monotonic()))
        if beat.tick() is not None:
            asked.append(monotonic() - next_at)

    assert min(asked) >= 0
