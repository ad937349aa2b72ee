"""A neck is read from what a player types, and refused with a reason."""

import pytest

from scheduler.errors import NeckError
from scheduler.guitar.neck import (
    format_note,
    format_tuning,
    parse_neck,
    parse_note,
    parse_tuning,
)


@pytest.mark.parametrize(
    ("text", "midi"),
    [("C4", 60), ("A4", 69), ("E2", 40), ("f#3", 54), ("Bb1", 34), ("C-1", 0), ("G9", 127)],
)
def test_a_note_is_its_midi_number(text: str, midi: int) -> None:
    assert parse_note(text) == midi


@pytest.mark.parametrize("midi", range(128))
def test_every_midi_number_reads_back(midi: int) -> None:
    assert parse_note(format_note(midi)) == midi


@pytest.mark.parametrize("text", ["", "H2", "E", "2", "E22", "E2#", "Cb-1", "G#9", "é2"])
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises(NeckError, match="note"):
        parse_note(text)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("E2 A2", "3 to 9 strings"),
        ("E2 " * 10, "3 to 9 strings"),
        ("E2 A2 D3 G3 B3 E2", "goes down at E2"),
        ("E2 A2 A2", "goes down at A2"),
        ("E2 A2 X3", "no note 'X3'"),
    ],
)
def test_a_tuning_that_no_guitar_has_is_refused(text: str, why: str) -> None:
    with pytest.raises(NeckError, match=why):
        parse_tuning(text)


def test_a_tuning_reads_back() -> None:
    assert format_tuning(parse_tuning("b1,e2 a2 d3 gb3 b3")) == "B1 E2 A2 D3 F#3 B3"


@pytest.mark.parametrize("frets", [11, 49])
def test_necks_have_12_to_48_frets(frets: int) -> None:
    with pytest.raises(NeckError, match="12 to 48"):
        parse_neck(frets=frets)


def test_the_lowest_fret_lies_on_the_neck() -> None:
    with pytest.raises(NeckError, match="lowest fret"):
        parse_neck(lowest_fret=13)
