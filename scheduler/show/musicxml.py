"""An item as MusicXML 4.0: a staff and its tablature, with strokes, fingers and tempo."""

from xml.etree import ElementTree as ET

from scheduler.guitar.keys import key_of_item
from scheduler.guitar.neck import SEMITONES
from scheduler.guitar.routine import Mode, Routine, Stroke
from scheduler.guitar.sequence import Note
from scheduler.practice.sheet import BEATS_IN_A_BAR, Sheet
from scheduler.show.words import item_words

DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
LETTERS = "CDEFGAB"
LETTER_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""How many letters above the root's a note so many semitones above it is written: b2, 2, b3, 3, 4,
#4, 5, b6, 6, b7, 7."""

FIFTHS_OF_MINOR = {
    "C": -3, "C sharp": 4, "D": -1, "E flat": -6, "E": 1, "F": -4,
    "F sharp": 3, "G": -2, "G sharp": 5, "A": 0, "B flat": -5, "B": 2,
}  # fmt: skip
FIFTHS_OF_MAJOR = {
    "C": 0, "D flat": -5, "D": 2, "E flat": -3, "E": 4, "F": -1,
    "F sharp": 6, "G": 1, "A flat": -4, "A": 3, "B flat": -2, "B": 5,
}  # fmt: skip
NOTE_TYPES = {
    1: ("quarter", 1, 1), 2: ("eighth", 1, 1), 3: ("eighth", 3, 2), 4: ("16th", 1, 1),
    6: ("16th", 6, 4),
}  # fmt: skip
"""Note value by notes to a beat, and how many stand in the time of how many."""


def musicxml(sheet: Sheet) -> bytes:
    """Write the score."""
    score = ET.Element("score-partwise", version="4.0")
    work = ET.SubElement(score, "work")
    _text(work, "work-title", f"{item_words(sheet.item)}, {sheet.key}")
    parts = ET.SubElement(score, "part-list")
    _text(ET.SubElement(parts, "score-part", id="P1"), "part-name", "Guitar")
    part = ET.SubElement(score, "part", id="P1")
    bar = sheet.notes_in_a_bar
    for number, first in enumerate(range(0, len(sheet.notes), bar), start=1):
        measure = ET.SubElement(part, "measure", number=str(number))
        if number == 1:
            _attributes(measure, sheet)
            _tempo(measure, sheet)
        _staff(measure, sheet, first, staff=1)
        backup = ET.SubElement(measure, "backup")
        _text(backup, "duration", bar)
        _staff(measure, sheet, first, staff=2)
    ET.indent(score)
    return DOCTYPE.encode() + bytes(ET.tostring(score, encoding="utf-8")) + b"\n"


def _text(parent: ET.Element, tag: str, value: object) -> None:
    ET.SubElement(parent, tag).text = str(value)


def _attributes(measure: ET.Element, sheet: Sheet) -> None:
    attributes = ET.SubElement(measure, "attributes")
    _text(attributes, "divisions", sheet.notes_per_beat)
    key = ET.SubElement(attributes, "key")
    major = sheet.item.routine.mode is Mode.MAJOR
    _text(key, "fifths", (FIFTHS_OF_MAJOR if major else FIFTHS_OF_MINOR)[_root_name(sheet)])
    _text(key, "mode", "major" if major else "minor")
    time = ET.SubElement(attributes, "time")
    _text(time, "beats", BEATS_IN_A_BAR)
    _text(time, "beat-type", 4)
    _text(attributes, "staves", 2)
    for number, sign, line in ((1, "G", 2), (2, "TAB", 5)):
        clef = ET.SubElement(attributes, "clef", number=str(number))
        _text(clef, "sign", sign)
        _text(clef, "line", line)
        if sign == "G":
            _text(clef, "clef-octave-change", -1)
    details = ET.SubElement(attributes, "staff-details", number="2")
    _text(details, "staff-lines", sheet.neck.strings)
    for line, midi in enumerate(sheet.neck.tuning, start=1):
        tuning = ET.SubElement(details, "staff-tuning", line=str(line))
        step, alter, octave = _plain_pitch(midi)
        _text(tuning, "tuning-step", step)
        if alter:
            _text(tuning, "tuning-alter", alter)
        _text(tuning, "tuning-octave", octave)


def _tempo(measure: ET.Element, sheet: Sheet) -> None:
    direction = ET.SubElement(measure, "direction", placement="above")
    metronome = ET.SubElement(ET.SubElement(direction, "direction-type"), "metronome")
    _text(metronome, "beat-unit", "quarter")
    _text(metronome, "per-minute", f"{sheet.tempo:g}")
    _text(direction, "staff", 1)
    ET.SubElement(direction, "sound", tempo=f"{sheet.tempo:g}")


def _staff(measure: ET.Element, sheet: Sheet, first: int, staff: int) -> None:
    """The notes of one bar on one staff, filled up with a rest."""
    last = min(first + sheet.notes_in_a_bar, len(sheet.notes))
    for place in range(first, last):
        _note(measure, sheet, sheet.notes[place], sheet.fingers[place], staff)
    missing = first + sheet.notes_in_a_bar - last
    if missing:
        rest = ET.SubElement(measure, "note")
        ET.SubElement(rest, "rest")
        _text(rest, "duration", missing)
        _text(rest, "voice", staff)
        _text(rest, "staff", staff)


def _note(measure: ET.Element, sheet: Sheet, note: Note, finger: int, staff: int) -> None:
    element = ET.SubElement(measure, "note")
    pitch = ET.SubElement(element, "pitch")
    step, alter, octave = _pitch(sheet, note.pitch_midi)
    _text(pitch, "step", step)
    if alter:
        _text(pitch, "alter", alter)
    _text(pitch, "octave", octave)
    _text(element, "duration", 1)
    _text(element, "voice", staff)
    value, actual, normal = NOTE_TYPES[sheet.notes_per_beat]
    _text(element, "type", value)
    if actual != normal:
        changed = ET.SubElement(element, "time-modification")
        _text(changed, "actual-notes", actual)
        _text(changed, "normal-notes", normal)
    _text(element, "staff", staff)
    technical = ET.SubElement(ET.SubElement(element, "notations"), "technical")
    ET.SubElement(technical, "down-bow" if note.stroke is Stroke.DOWN else "up-bow")
    if finger:
        _text(technical, "fingering", finger)
    _text(technical, "string", sheet.neck.strings - note.string)
    _text(technical, "fret", note.fret)


def _root_name(sheet: Sheet) -> str:
    key = key_of_item(sheet.neck, sheet.item)
    return key.words.removesuffix(f" {key.mode}")


def _letters_above(routine: Routine, semitones: int) -> int:
    """How many letters above the root's a note of a scale is written: seven notes have each one."""
    if len(routine.scale) == len(LETTERS):
        return routine.scale.index(semitones)
    return LETTER_STEPS[semitones]


def _pitch(sheet: Sheet, midi: int) -> tuple[str, int, int]:
    """Letter, accidental and octave of a note of the key, spelled by its degree."""
    semitones = (midi - key_of_item(sheet.neck, sheet.item).root) % 12
    steps = _letters_above(sheet.item.routine, semitones)
    letter = LETTERS[(LETTERS.index(_root_name(sheet)[0]) + steps) % 7]
    return _spelled(letter, midi)


def _plain_pitch(midi: int) -> tuple[str, int, int]:
    """Letter, accidental and octave of an open string, with sharps."""
    letter = max(
        (name for name, semitones in SEMITONES.items() if semitones <= midi % 12),
        key=SEMITONES.__getitem__,
    )
    return _spelled(letter, midi)


def _spelled(letter: str, midi: int) -> tuple[str, int, int]:
    alter = (midi - SEMITONES[letter] + 6) % 12 - 6
    return letter, alter, (midi - alter) // 12 - 1
