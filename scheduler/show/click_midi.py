"""The click track as a standard MIDI file, format 1: a tempo map, the clicks, and the notes.

Clicks are on the percussion channel: high and low wood block, a triangle before a new block.
"""

from collections.abc import Mapping
from io import BytesIO
from types import MappingProxyType

from mido import Message, MetaMessage, MidiFile, MidiTrack, bpm2tempo

from scheduler.guitar.neck import Neck
from scheduler.guitar.sequence import notes_of
from scheduler.plan.beats import ACCENT_EVERY, SIGNALS_APART_SECONDS, Kind, Run

TICKS = 480
PERCUSSION = 9
HIGH_BLOCK, LOW_BLOCK, SIDE_STICK = 76, 77, 37
TRIANGLES = (80, 81)
GUITAR_PROGRAM = 25
ACCENT_VELOCITY, BEAT_VELOCITY, SETTLE_VELOCITY, NOTE_VELOCITY = 90, 70, 45, 60
CLICK_TICKS = 60
NO_NAMES: Mapping[int, str] = MappingProxyType({})


def click_midi(
    runs: list[Run],
    neck: Neck,
    notes_per_beat: int,
    names: Mapping[int, str] = NO_NAMES,
    *,
    notes: bool,
) -> bytes:
    """Write the file.

    Args:
        runs: The session in beats.
        neck: The neck, for the notes.
        names: What blocks are called, by number: a marker tells it where each begins.
        notes_per_beat: 1, 2, 3, 4 or 6.
        notes: Whether the notes of the items are written as well.
    """
    file = MidiFile(type=1, ticks_per_beat=TICKS)
    file.tracks.append(_tempo_map(runs, names))
    file.tracks.append(_clicks(runs))
    if notes:
        file.tracks.append(_notes(runs, neck, notes_per_beat))
    written = BytesIO()
    file.save(file=written)
    return written.getvalue()


def _tempo_map(runs: list[Run], names: Mapping[int, str]) -> MidiTrack:
    track = MidiTrack([MetaMessage("track_name", name="Upneck", time=0)])
    waited, tempo = 0, 0.0
    for run in runs:
        if run.tempo != tempo:
            tempo = run.tempo
            track.append(MetaMessage("set_tempo", tempo=bpm2tempo(tempo), time=waited))
            waited = 0
        if run.block in names:
            # The file's letters are those of ISO 8859-1.
            text = names[run.block].encode("latin-1", "replace").decode("latin-1")
            track.append(MetaMessage("marker", text=text, time=waited))
            waited = 0
        waited += run.beats * TICKS
    track.append(MetaMessage("end_of_track", time=waited))
    return track


class _Writer:
    """A track that is told absolute ticks and writes the differences."""

    def __init__(self, name: str) -> None:
        self.track = MidiTrack([MetaMessage("track_name", name=name, time=0)])
        self.last = 0

    def sound(self, start: int, length: int, channel: int, note: int, velocity: int) -> None:
        """A note from a tick on; notes come in order."""
        on = Message("note_on", channel=channel, note=note, velocity=velocity)
        self.track.append(on.copy(time=start - self.last))
        off = Message("note_off", channel=channel, note=note, velocity=0, time=length)
        self.track.append(off)
        self.last = start + length

    def end(self, tick: int) -> MidiTrack:
        """Close the track at a tick."""
        self.track.append(MetaMessage("end_of_track", time=max(0, tick - self.last)))
        return self.track


def _clicks(runs: list[Run]) -> MidiTrack:
    writer, start = _Writer("clicks"), 0
    for run in runs:
        if run.kind is Kind.CHANGEOVER:
            apart = round(SIGNALS_APART_SECONDS * run.tempo / 60 * TICKS)
            step = min(TICKS, apart) // 4
            for signal in range(run.signals):
                for number, note in enumerate(TRIANGLES):
                    tick, length = start + signal * apart + number * step, min(CLICK_TICKS, step)
                    writer.sound(tick, length, PERCUSSION, note, BEAT_VELOCITY)
        else:
            for number in range(run.beats):
                note, velocity = _voice(run.kind, number)
                writer.sound(start + number * TICKS, CLICK_TICKS, PERCUSSION, note, velocity)
        start += run.beats * TICKS
    return writer.end(start)


def _voice(kind: Kind, number: int) -> tuple[int, int]:
    if kind is Kind.SETTLE:
        return SIDE_STICK, SETTLE_VELOCITY
    if number % ACCENT_EVERY == 0:
        return HIGH_BLOCK, ACCENT_VELOCITY
    return LOW_BLOCK, BEAT_VELOCITY


def _notes(runs: list[Run], neck: Neck, notes_per_beat: int) -> MidiTrack:
    writer, start = _Writer("notes"), 0
    writer.track.append(Message("program_change", channel=0, program=GUITAR_PROGRAM, time=0))
    length = TICKS // notes_per_beat
    for run in runs:
        if run.item is not None:
            for number, note in enumerate(notes_of(neck, run.item)):
                writer.sound(start + number * length, length, 0, note.pitch_midi, NOTE_VELOCITY)
        start += run.beats * TICKS
    return writer.end(start)
