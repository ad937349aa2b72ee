"""The click track as sound: clicks lie where arithmetic puts them."""

import io
import wave
from array import array
from collections.abc import Iterator

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.rounds import round_items
from scheduler.plan.beats import (
    MOST_SIGNALS,
    SIGNALS_APART_SECONDS,
    Kind,
    Run,
    beats_of,
    runs_of,
    total_seconds,
)
from scheduler.plan.planner import plan_session
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability
from scheduler.show.click_wave import RATE, write_wave
from tests.player.logs import moment

ITEM = parse_address("1:asc:down:5")


def runs(tempo: float = 93.0) -> list[Run]:
    t = BeatsPerMinute(tempo)
    return [
        Run(Kind.CHANGEOVER, 13, t), Run(Kind.COUNT_IN, 4, t), Run(Kind.PLAY, 8, t, ITEM),
        Run(Kind.SETTLE, 5, t), Run(Kind.PLAY, 8, t, ITEM),
    ]  # fmt: skip


def samples(of: list[Run]) -> "array[int]":
    file = io.BytesIO()
    write_wave(file, of)
    file.seek(0)
    with wave.open(file) as track:
        assert (track.getframerate(), track.getsampwidth(), track.getnchannels()) == (RATE, 2, 1)
        return array("h", track.readframes(track.getnframes()))


def onsets(found: "array[int]") -> Iterator[int]:
    """Frames at which a sound follows at least 50 ms of silence."""
    quiet = RATE
    for place, value in enumerate(found):
        if value and quiet > RATE // 20:
            yield place
        quiet = 0 if value else quiet + 1


@pytest.mark.parametrize("tempo", [40.0, 93.0, 208.0, 333.3])
def test_clicks_lie_at_the_samples_that_arithmetic_gives(tempo: float) -> None:
    """Closed form: beat n of a run begins at round(22,050 x (start + 60 n / tempo))."""
    of = runs(tempo)
    found = list(onsets(samples(of)))
    wanted = [60 / tempo * n for n in (0, *range(13, 13 + 4 + 8 + 5 + 8))]

    assert len(found) == len(wanted)
    # The first sample of a sine is 0: the sound is heard one sample later.
    assert all(abs(a - 1 - RATE * b) <= 1 for a, b in zip(found, wanted, strict=True))


def test_the_track_is_as_long_as_its_runs_and_its_level_is_moderate() -> None:
    of = runs()
    found = samples(of)

    assert len(found) == round(total_seconds(of) * RATE)
    assert max(found) <= 0.25 * 32767 + 1
    assert max(found) > 0.2 * 32767


def test_accents_and_signals_sound_otherwise_than_beats() -> None:
    found = samples(runs(60.0))
    starts = list(onsets(found))
    signal, accent, beat = (bytes(found[s : s + 1300].tobytes()) for s in starts[:3])

    assert len({signal, accent, beat}) == 3


def test_a_session_sounds_as_it_was_planned() -> None:
    ability = Ability(replay([]), moment(1), parse_neck(), 3, BeatsPerMinute(60), 0.9)
    session = plan_session(ability, round_items(parse_neck()), 1200, 0.15)
    of = runs_of(session.blocks, 6)
    items = [run.item for run in of if run.kind is Kind.PLAY]
    beats = list(beats_of(of))

    assert items == [p.item for block in session.blocks for p in block.items]
    assert sum(run.kind is Kind.COUNT_IN for run in of) == len(session.blocks)
    assert total_seconds(of) <= session.planned_seconds
    assert [b.seconds for b in beats] == sorted(b.seconds for b in beats)
    assert sum(b.is_accent for b in beats if b.kind is Kind.COUNT_IN) == len(session.blocks)


def test_a_block_is_announced_by_as_many_signals_as_its_number() -> None:
    t = BeatsPerMinute(120)
    for block, signals in ((0, 1), (1, 1), (3, 3), (40, MOST_SIGNALS)):
        beats = list(beats_of([Run(Kind.CHANGEOVER, 16, t, block=block), Run(Kind.COUNT_IN, 4, t)]))
        starts = [beat.seconds for beat in beats if beat.kind is Kind.CHANGEOVER]

        assert starts == [SIGNALS_APART_SECONDS * n for n in range(signals)]
        # The count-in begins in time all the same.
        assert beats[signals].seconds == 8.0
    found = samples([Run(Kind.CHANGEOVER, 16, t, block=3), Run(Kind.COUNT_IN, 4, t)])
    early = [place / RATE for place in onsets(found) if place < 2 * RATE]
    assert len(early) == 3
