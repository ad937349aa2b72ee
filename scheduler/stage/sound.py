"""The beat as sound, where the optional extra `upneck[sound]` (sounddevice) is installed."""

from typing import Any

from scheduler.plan.beats import Kind
from scheduler.show.click_wave import RATE, click_sounds


class ClickSound:
    """Plays clicks on the default output as they are asked for.

    Raises:
        ImportError: sounddevice or PortAudio isn't installed.
        OSError: There is no output.
    """

    def __init__(self) -> None:
        import sounddevice

        self._sounds = click_sounds()
        self._playing = b""
        try:
            self._stream: Any = sounddevice.RawOutputStream(
                samplerate=RATE, channels=1, dtype="int16", latency="low", callback=self._fill
            )
            self._stream.start()
        except sounddevice.PortAudioError as problem:
            raise OSError(str(problem)) from problem

    def click(self, kind: Kind, *, accent: bool) -> None:
        """Sound a beat from the next buffer on."""
        if kind is Kind.CHANGEOVER:
            self._playing = self._sounds["signal"]
        elif accent:
            self._playing = self._sounds["accent"]
        else:
            self._playing = self._sounds["settle" if kind is Kind.SETTLE else "beat"]

    def _fill(self, out: Any, frames: int, time: Any, status: Any) -> None:  # noqa: ANN401
        del time, status
        wanted = 2 * frames
        piece, self._playing = self._playing[:wanted], self._playing[wanted:]
        out[:] = piece + bytes(wanted - len(piece))

    def close(self) -> None:
        """Stop the output."""
        self._stream.stop()
        self._stream.close()


def open_sound() -> ClickSound | None:
    """Sound where it can be had; None where the extra or an output is missing."""
    try:
        return ClickSound()
    except (ImportError, OSError):
        return None
