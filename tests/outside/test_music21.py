"""Scales and boxes against music21, a general-purpose music library, where it is installed."""

import pytest

from scheduler.guitar.boxes import MAJOR_KEYS, MINOR_KEYS, box_frets, root_pitch_class
from scheduler.guitar.neck import format_note, parse_neck
from scheduler.guitar.routine import Routine
from scheduler.guitar.routines import INSIDE

music21 = pytest.importorskip("music21", reason="outside check skipped: music21 not installed")


INTERVALS = {
    (0, 3, 5, 7, 10): ("P1", "m3", "P4", "P5", "m7"),
    (0, 2, 4, 5, 7, 9, 11): ("P1", "M2", "M3", "P4", "P5", "M6", "M7"),
    (0, 2, 3, 5, 7, 8, 10): ("P1", "M2", "m3", "P4", "P5", "m6", "m7"),
    (0, 2, 3, 5, 7, 8, 11): ("P1", "M2", "m3", "P4", "P5", "m6", "M7"),
}
"""Degrees by their names in the trade: minor pentatonic, major, natural and harmonic minor."""


@pytest.mark.parametrize("root", range(12))
@pytest.mark.parametrize("routine", INSIDE.values(), ids=lambda routine: routine.name)
def test_every_box_of_every_routine_in_every_key(routine: Routine, root: int) -> None:
    """Source: music21's pitches of a scale given by its degrees, from each box's first note on."""
    neck = parse_neck(frets=36)
    tonic = music21.pitch.Pitch(36 + root)
    degrees = [tonic.transpose(interval) for interval in INTERVALS[routine.scale]]
    scale = music21.scale.ConcreteScale(tonic=tonic, pitches=degrees)
    pitches = sorted({pitch.midi for pitch in scale.getPitches("C1", "C9")})
    for box in routine.boxes:
        places = [
            fret for fret in range(1, 13)
            if root_pitch_class(neck, box, fret, routine) == root
        ]  # fmt: skip
        assert len(places) == 1
        played = [
            neck.pitch_midi(string, fret)
            for string, frets in enumerate(box_frets(neck, box, places[0], routine))
            for fret in frets
        ]
        start = pitches.index(played[0])

        assert played == pitches[start : start + 6 * routine.notes_a_string]
        assert (played[0] - root) % 12 == routine.scale[box - 1]


@pytest.mark.parametrize(
    ("scale", "named"),
    [("major3", music21.scale.MajorScale), ("minor3", music21.scale.MinorScale),
     ("harmonic3", music21.scale.HarmonicMinorScale)],
)  # fmt: skip
def test_scales_are_those_that_the_library_calls_so(scale: str, named: type) -> None:
    """Source: music21's major, natural minor and harmonic minor scales on A."""
    pitches = named("A3").getPitches("A3", "G#4")

    assert (
        tuple(pitch.midi - 57 for pitch in pitches)[: len(INSIDE[scale].scale)]
        == INSIDE[scale].scale
    )


@pytest.mark.parametrize("midi", range(24, 96))
def test_notes_are_named_alike(midi: int) -> None:
    assert music21.pitch.Pitch(format_note(midi)).midi == midi


@pytest.mark.parametrize("names", [MINOR_KEYS, MAJOR_KEYS])
def test_keys_are_named_alike(names: tuple[str, ...]) -> None:
    for number, name in enumerate(names):
        spelled = name.replace(" sharp", "#").replace(" flat", "-")

        assert music21.pitch.Pitch(spelled).pitchClass == number
