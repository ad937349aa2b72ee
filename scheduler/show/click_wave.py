"""The click track as a WAV file: 22.05 kHz, 16 bit, one channel.

Clicks are short decaying sines, higher on accents; a new block is announced by two tones. Peaks
lie at a quarter of full scale (-12 dB), so that the level is set on the amplifier.
"""

import wave
from array import array
from collections.abc import Iterable
from itertools import chain
from math import exp, pi, sin
from typing import BinaryIO

from scheduler.plan.beats import Beat, Kind, Run, beats_of, total_seconds

RATE = 22_050
"""Enough for clicks, and half the size of a music file."""

PEAK = 0.25
FULL_SCALE = 32_767
CLICK_SECONDS, CLICK_DECAY = 0.03, 0.006
ACCENT_HZ, BEAT_HZ, SETTLE_HZ = 1760.0, 1320.0, 880.0
SIGNAL_HZ, SIGNAL_SECONDS = (660.0, 990.0), 0.18
SILENCE_FRAMES = 1 << 16


def write_wave(file: BinaryIO, runs: list[Run]) -> None:
    """Write the click track of some runs."""
    sounds = click_sounds()
    frames = round(total_seconds(runs) * RATE)
    with wave.open(file, "wb") as track:
        track.setnchannels(1)
        track.setsampwidth(2)
        track.setframerate(RATE)
        track.setnframes(frames)
        for piece in _pieces(beats_of(runs), sounds, frames):
            track.writeframesraw(piece)


_CLICKS = {"accent": ACCENT_HZ, "beat": BEAT_HZ, "settle": SETTLE_HZ}


def sample_of(seconds: float) -> int:
    """The frame in which something at that time begins."""
    return round(seconds * RATE)


def _pieces(beats: Iterable[Beat], sounds: dict[str, bytes], frames: int) -> Iterable[bytes]:
    """Sounds with silence between them; a sound ends where the next one begins."""
    silence = bytes(2 * SILENCE_FRAMES)
    for (start, beat), following in _with_next(((sample_of(b.seconds), b) for b in beats), frames):
        sound = sounds[_name(beat)]
        sound = sound[: 2 * (following - start)]
        yield sound
        place = start + len(sound) // 2
        while place < following:
            step = min(SILENCE_FRAMES, following - place)
            yield silence[: 2 * step]
            place += step


def click_sounds() -> dict[str, bytes]:
    """The sounds by name: accent, beat, settle, signal; 16-bit samples at `RATE`."""
    sounds = {name: _click(hz) for name, hz in _CLICKS.items()}
    tones = (_tone(hz, SIGNAL_SECONDS, SIGNAL_SECONDS / 3) for hz in SIGNAL_HZ)
    return sounds | {"signal": b"".join(tones)}


def _name(beat: Beat) -> str:
    if beat.kind is Kind.CHANGEOVER:
        return "signal"
    if beat.is_accent:
        return "accent"
    return "settle" if beat.kind is Kind.SETTLE else "beat"


def _with_next(
    starts: Iterable[tuple[int, Beat]], end: int
) -> Iterable[tuple[tuple[int, Beat], int]]:
    """Each start with the frame of the next one; the last with the end."""
    before = None
    for start in chain(starts, [None]):
        if before is not None:
            yield before, end if start is None else start[0]
        before = start


def _click(hz: float) -> bytes:
    return _tone(hz, CLICK_SECONDS, CLICK_DECAY)


def _tone(hz: float, seconds: float, decay: float) -> bytes:
    """A sine that dies away, scaled so that its highest sample is the peak level."""
    frames = round(seconds * RATE)
    shape = [sin(2 * pi * hz * n / RATE) * exp(-n / RATE / decay) for n in range(frames)]
    highest = max(abs(value) for value in shape)
    samples = array("h", (round(PEAK * FULL_SCALE * value / highest) for value in shape))
    return samples.tobytes()
