"""Files of notation read back by music21, a general-purpose music library."""

from xml.etree import ElementTree as ET

import pytest

from scheduler.guitar.fingering import fingering
from scheduler.guitar.items import Stroke
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.show.musicxml import musicxml
from scheduler.show.sheet import Sheet, sheet_of

CASES = [
    ("1:asc:down:5", "E2 A2 D3 G3 B3 E4", 3),
    ("2+3:desc:up:7", "E2 A2 D3 G3 B3 E4", 4),
    ("4:desc:up:2", "B1 E2 A2 D3 F#3 B3", 6),
    ("5:asc:down:6", "E1 A1 D2 G2", 3),
]
NOTE_ORDER = [
    "pitch", "rest", "duration", "voice", "type", "time-modification", "staff", "notations",
]  # fmt: skip
ATTRIBUTES_ORDER = ["divisions", "key", "time", "staves", "clef", "clef", "staff-details"]


def sheet(address: str, tuning: str, notes_per_beat: int) -> Sheet:
    neck = parse_neck(tuning)
    item = parse_address(address)
    return sheet_of(neck, item, fingering(neck, item), BeatsPerMinute(72), notes_per_beat)


@pytest.mark.parametrize(("address", "tuning", "beat"), CASES)
def test_musicxml_reads_back_with_pitches_strings_frets_strokes_and_fingers(
    address: str, tuning: str, beat: int
) -> None:
    """Source: music21's reader of MusicXML."""
    music21 = pytest.importorskip("music21", reason="outside check skipped: no music21")
    written = sheet(address, tuning, beat)
    score = music21.converter.parse(musicxml(written), format="musicxml")
    staves = [list(part.recurse().notes) for part in score.parts]
    wanted = written.notes

    for notes in staves:
        assert [n.pitch.midi - n.pitch.midi % 1 for n in notes] == [n.pitch_midi for n in wanted]
        for note, meant, finger in zip(notes, wanted, written.fingers, strict=True):
            found = {type(a).__name__: a for a in note.articulations}
            assert found["StringIndication"].number == written.neck.strings - meant.string
            assert found["FretIndication"].number == meant.fret
            assert found["Fingering"].fingerNumber == finger
            assert ("DownBow" in found) == (meant.stroke is Stroke.DOWN)
            assert ("UpBow" in found) == (meant.stroke is Stroke.UP)
    marks = list(score.recurse().getElementsByClass("MetronomeMark"))
    assert {mark.number for mark in marks} == {72}
    assert sum(n.quarterLength for n in staves[0]) == pytest.approx(len(wanted) / beat)


@pytest.mark.parametrize(("address", "tuning", "beat"), CASES)
def test_elements_come_in_the_order_of_the_schema(address: str, tuning: str, beat: int) -> None:
    """Source: W3C MusicXML 4.0 schema: sequences of note, attributes and staff-details."""
    root = ET.fromstring(musicxml(sheet(address, tuning, beat)))  # noqa: S314

    assert root.tag == "score-partwise"
    assert [child.tag for child in root] == ["work", "part-list", "part"]
    attributes = root.find("part/measure/attributes")
    assert attributes is not None
    assert [child.tag for child in attributes] == ATTRIBUTES_ORDER
    details = attributes.find("staff-details")
    assert details is not None
    assert [child.tag for child in details] == ["staff-lines"] + ["staff-tuning"] * len(
        tuning.split()
    )
    lines = [int(line.get("line", "0")) for line in details.findall("staff-tuning")]
    assert lines == list(range(1, len(tuning.split()) + 1))
    for note in root.iter("note"):
        places = [NOTE_ORDER.index(child.tag) for child in note]
        assert places == sorted(places)
    for measure in root.iter("measure"):
        for staff in ("1", "2"):
            total = sum(
                int(note.findtext("duration", "0"))
                for note in measure.findall("note")
                if note.findtext("staff") == staff
            )
            assert total == 4 * beat
