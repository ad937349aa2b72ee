"""The beat as sound, through PortAudio and ALSA's null device, where both are installed."""

import time
from pathlib import Path

import pytest

from scheduler.plan.beats import Kind
from scheduler.show.click_wave import click_sounds
from scheduler.stage.sound import ClickSound, open_sound

NULL_DEVICE = "pcm.!default { type null }\nctl.!default { type null }\n"


def test_without_the_extra_there_is_no_sound_and_no_failure(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    import sys

    monkeypatch.setitem(sys.modules, "sounddevice", None)

    assert open_sound() is None


def test_clicks_are_played_as_they_are_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / ".asoundrc").write_text(NULL_DEVICE)
    monkeypatch.setenv("HOME", str(tmp_path))
    try:
        sound = ClickSound()
    except (ImportError, OSError) as problem:
        pytest.skip(f"outside check skipped: no sound here: {problem}")
    for kind, accent in ((Kind.COUNT_IN, True), (Kind.PLAY, False), (Kind.CHANGEOVER, False)):
        sound.click(kind, accent=accent)
        time.sleep(0.45)
    sound.close()

    assert sound._playing == b""
    assert set(click_sounds()) == {"accent", "beat", "settle", "signal"}
