"""Marks, tempos and times."""

import pytest

from scheduler.errors import TempoError
from scheduler.guitar.durations import pass_seconds, whole_beats_seconds
from scheduler.guitar.metronome import (
    MARKS,
    BeatsPerMinute,
    check_tempo,
    mark_at_or_below,
    marks_away,
    speed_of,
    tempo_of,
)


@pytest.mark.parametrize("tempo", [19.9, 400.1, float("nan"), float("inf"), -60])
def test_a_tempo_that_no_metronome_beats_is_refused(tempo: float) -> None:
    with pytest.raises(TempoError, match="20 to 400"):
        check_tempo(tempo)


@pytest.mark.parametrize(("notes", "seconds"), [(24, 8.0), (97, 97 / 3)])
def test_a_pass_at_60_with_three_notes_a_beat(notes: int, seconds: float) -> None:
    assert pass_seconds(notes, speed_of(BeatsPerMinute(60), 3)) == pytest.approx(seconds)


@pytest.mark.parametrize("notes_per_beat", [1, 2, 3, 4, 6])
def test_tempo_and_speed_are_inverse(notes_per_beat: int) -> None:
    for mark in MARKS:
        assert tempo_of(speed_of(mark, notes_per_beat), notes_per_beat) == pytest.approx(mark)


def test_steps_along_the_marks_stay_on_the_scale() -> None:
    assert marks_away(40, -3) == 34
    assert marks_away(22, -3) == 20
    assert marks_away(208, 5) == 208
    assert [marks_away(60, n) for n in (-1, 0, 1, 2)] == [58, 60, 63, 66]
    assert marks_away(61, -1) == 60


def test_the_mark_below_a_tempo() -> None:
    assert [mark_at_or_below(tempo) for tempo in (19, 39, 40, 63, 500)] == [20, 38, 40, 63, 208]


@pytest.mark.parametrize(("tempo", "seconds"), [(60, 3.0), (50, 3.6), (120, 3.0), (72, 10 / 3)])
def test_a_pause_is_rounded_up_to_whole_beats(tempo: float, seconds: float) -> None:
    assert whole_beats_seconds(3.0, BeatsPerMinute(tempo)) == pytest.approx(seconds)
