"""Files of notation read back by music21, a general-purpose music library."""

from io import BytesIO
from xml.etree import ElementTree as ET

import pytest

from scheduler.guitar.fingering import fingering
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.routine import Stroke
from scheduler.guitar.sequence import notes_of
from scheduler.plan.beats import Kind, Run
from scheduler.practice.sheet import Sheet
from scheduler.show.click_midi import click_midi
from scheduler.show.musicxml import musicxml
from tests.conftest import reference_rows

CASES = [
    ("1:asc:down:5", "E2 A2 D3 G3 B3 E4", 3),
    ("2+3:desc:up:7", "E2 A2 D3 G3 B3 E4", 4),
    ("4:desc:up:2", "B1 E2 A2 D3 F#3 B3", 6),
    ("5:asc:down:6", "E1 A1 D2 G2", 3),
    ("1:desc:down:3", "E2 A2 D3 G3 B3 E4", 1),
    ("3+4:asc:down:5", "E2 A2 D3 G3 B3 E4", 2),
    ("major3/4:desc:up:5", "E2 A2 D3 G3 B3 E4", 3),
    ("harmonic3/7+1:asc:down:3", "E2 A2 D3 G3 B3 E4", 4),
    ("major3fours/2:asc:down:5", "E2 A2 D3 G3 B3 E4", 3),
]
NOTE_ORDER = [
    "pitch", "rest", "duration", "voice", "type", "time-modification", "staff", "notations",
]  # fmt: skip
ATTRIBUTES_ORDER = ["divisions", "key", "time", "staves", "clef", "clef", "staff-details"]


def sheet(address: str, tuning: str, notes_per_beat: int) -> Sheet:
    neck = parse_neck(tuning)
    item = parse_address(address)
    notes, fingers = notes_of(neck, item), fingering(neck, item)
    return Sheet(neck, item, notes, fingers, BeatsPerMinute(72), notes_per_beat)


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


def runs() -> list[Run]:
    item = parse_address("1+2:asc:down:5")
    slow, fast = BeatsPerMinute(60), BeatsPerMinute(63)
    return [
        Run(Kind.CHANGEOVER, 8, slow), Run(Kind.COUNT_IN, 4, slow),
        Run(Kind.PLAY, 33, slow, item), Run(Kind.SETTLE, 3, slow),
        Run(Kind.CHANGEOVER, 9, fast), Run(Kind.COUNT_IN, 4, fast),
        Run(Kind.PLAY, 33, fast, item),
    ]  # fmt: skip


def test_midi_has_the_header_tempos_and_quantities_of_the_standard() -> None:
    """Source: Standard MIDI File 1.0: MThd, FF 51 03 with microseconds a quarter, FF 2F 00."""
    written = click_midi(runs(), parse_neck(), 3, notes=True)

    assert written[:14] == bytes.fromhex("4D546864 00000006 0001 0003 01E0")
    assert written.count(bytes.fromhex("FF5103 0F4240")) == 1
    assert written.count(bytes.fromhex("FF5103 0E883D")) == 1
    assert written.count(b"MTrk") == 3
    assert written.count(bytes.fromhex("FF2F00")) == 3
    # 48 beats of 480 ticks = 0x5A00 before the second tempo, as a variable-length quantity.
    assert vlq(48 * 480) == bytes.fromhex("81B400")
    assert vlq(48 * 480) + bytes.fromhex("FF5103 0E883D") in written


def vlq(value: int) -> bytes:
    """A variable-length quantity, seven bits a byte, the last byte's high bit clear."""
    groups = [value & 0x7F]
    while value := value >> 7:
        groups.append(0x80 | value & 0x7F)
    return bytes(reversed(groups))


@pytest.mark.parametrize("row", reference_rows("midi_vlq.csv"), ids=lambda r: r["value_hex"])
def test_quantities_are_written_as_the_standard_prints_them(row: dict[str, str]) -> None:
    """Source: reference/SOURCES.md, midi_vlq.csv: mido's writer and the helper above."""
    meta = pytest.importorskip("mido.midifiles.meta")
    value = int(row["value_decimal"])
    wanted = bytes.fromhex(row["vlq_bytes_hex"])

    assert bytes(meta.encode_variable_int(value)) == wanted == vlq(value)


def test_midi_reads_back_with_notes_pitches_and_tempo_map() -> None:
    """Source: music21's reader of MIDI, and mido's."""
    music21 = pytest.importorskip("music21", reason="outside check skipped: no music21")
    mido = pytest.importorskip("mido")
    written = click_midi(runs(), parse_neck(), 3, notes=True)
    item = parse_address("1+2:asc:down:5")
    wanted = [note.pitch_midi for note in notes_of(parse_neck(), item)] * 2

    file = mido.MidiFile(file=BytesIO(written))
    assert file.length == pytest.approx(48 + 46 * 60 / 63, abs=0.01)
    heard = [m.note for m in file.tracks[2] if m.type == "note_on" and m.velocity]
    clicks = [m for m in file.tracks[1] if m.type == "note_on" and m.velocity]
    assert heard == wanted
    assert len(clicks) == 2 * 2 + 4 + 33 + 3 + 4 + 33
    assert {m.channel for m in clicks} == {9}

    score = music21.midi.translate.midiStringToStream(written)
    marks = score.recurse().getElementsByClass("MetronomeMark")
    assert {round(mark.number, 3) for mark in marks} == {60.0, 63.0}
    pitches = [n.pitch.midi for part in score.parts for n in part.recurse().notes if n.isNote]
    assert sum(pitch in set(wanted) for pitch in pitches) >= len(wanted)


@pytest.mark.parametrize(
    ("address", "fifths", "mode", "names"),
    [
        ("major3/1:asc:down:8", 0, "major", {"C", "D", "E", "F", "G", "A", "B"}),
        ("harmonic3/1:asc:down:5", 0, "minor", {"A", "B", "C", "D", "E", "F", "G#"}),
        ("minor3/1:asc:down:3", -2, "minor", {"G", "A", "B-", "C", "D", "E-", "F"}),
        ("major3/1:asc:down:4", -4, "major", {"A-", "B-", "C", "D-", "E-", "F", "G"}),
    ],
)
def test_notes_are_spelled_as_the_key_has_them(
    address: str, fifths: int, mode: str, names: set[str]
) -> None:
    """Source: music21's reader of MusicXML; a scale of seven notes has each letter once."""
    music21 = pytest.importorskip("music21", reason="outside check skipped: no music21")
    written = sheet(address, "E2 A2 D3 G3 B3 E4", 3)
    score = music21.converter.parse(musicxml(written), format="musicxml")
    (key, *_) = score.recurse().getElementsByClass("Key")

    assert (key.sharps, key.mode) == (fifths, mode)
    assert {note.pitch.name for note in score.recurse().notes} == names
