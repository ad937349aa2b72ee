"""The scale against music21, a general-purpose music library, where it is installed."""

import pytest

from scheduler.guitar.boxes import MINOR_KEYS, box_frets, root_pitch_class
from scheduler.guitar.neck import format_note, parse_neck
from scheduler.guitar.routine import PENTATONIC

music21 = pytest.importorskip("music21", reason="outside check skipped: music21 not installed")


@pytest.mark.parametrize("root", range(12))
def test_the_minor_pentatonic_of_every_key(root: int) -> None:
    """Source: music21's pitches of a scale given by its degrees 1, b3, 4, 5, b7."""
    neck = parse_neck(frets=24)
    tonic = music21.pitch.Pitch(36 + root)
    degrees = [tonic.transpose(interval) for interval in ("P1", "m3", "P4", "P5", "m7")]
    scale = music21.scale.ConcreteScale(tonic=tonic, pitches=degrees)
    pitches = sorted({pitch.midi for pitch in scale.getPitches("C1", "C8")})
    for box in PENTATONIC.boxes:
        for fret in range(1, 13):
            if root_pitch_class(neck, box, fret) != root:
                continue
            played = [
                neck.pitch_midi(string, f)
                for string, pair in enumerate(box_frets(neck, box, fret))
                for f in pair
            ]
            start = pitches.index(played[0])

            assert played == pitches[start : start + 12]


@pytest.mark.parametrize("midi", range(24, 96))
def test_notes_are_named_alike(midi: int) -> None:
    assert music21.pitch.Pitch(format_note(midi)).midi == midi


def test_keys_are_named_alike() -> None:
    for number, name in enumerate(MINOR_KEYS):
        spelled = name.replace(" sharp", "#").replace(" flat", "-")

        assert music21.pitch.Pitch(spelled).pitchClass == number
