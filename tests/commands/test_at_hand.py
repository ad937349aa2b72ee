"""Click tracks and the map of the neck from the command line."""

import wave
from pathlib import Path

import pytest

from tests.conftest import Run


def test_what_is_left_of_the_session_becomes_a_click_track(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "session.wav"
    done = run("click", "-o", str(path))
    with wave.open(str(path)) as track:
        whole = track.getnframes() / track.getframerate()
    run("record", "2-5", "clean")
    run("click", "-o", str(path), "--force")
    with wave.open(str(path)) as track:
        rest = track.getnframes() / track.getframerate()

    assert done.code == 0
    assert "every item once" in done.err
    assert "level" in done.err
    assert 60 < rest < 120 < whole < 1200


def test_one_item_becomes_a_click_track(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "item.mid"
    words = ["click", "--item", "2:asc:down:5", "--tempo", "60", "-o", str(path), "--notes"]

    assert run(*words).code == 0
    assert path.read_bytes().startswith(b"MThd\x00\x00\x00\x06\x00\x01\x00\x03")


@pytest.mark.parametrize(
    ("words", "code", "hint"),
    [
        (["click", "-o", "session.mp3"], 2, ".wav or .mid"),
        (["click", "-o", "session.wav", "--notes"], 2, ".mid"),
        (["click"], 2, "Missing option"),
        (["click", "--item", "9:asc:down:5", "-o", "x.wav"], 2, "no box"),
        (["click", "-o", "no/such/folder/x.wav"], 1, "can't be written"),
        (["neck", "-o", "neck.png"], 2, ".svg"),
        (["tab", "1:asc:down:50"], 2, "at most 48"),
    ],
)
def test_wrong_words_are_told_in_one_line_and_nothing_is_written(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], code: int, hint: str
) -> None:
    monkeypatch.chdir(home)
    done = run(*words)

    assert done.code == code
    assert hint in done.err
    assert done.err.count("\n") == 1
    assert [path for path in home.iterdir() if path.name != "data"] == []


def test_a_session_that_is_over_has_no_click_track(run: Run, tmp_path: Path) -> None:
    run("today")
    run("record", "all", "clean")
    done = run("click", "-o", str(tmp_path / "x.wav"))

    assert done.code == 1
    assert "--item" in done.err


def test_the_map_is_drawn_and_written(run: Run, tmp_path: Path) -> None:
    run("record", "1:any:down:2", "sloppy", "--tempo", "60")
    path = tmp_path / "neck.svg"

    assert "!" in run("neck").out.splitlines()[2]
    assert run("neck", "--tempo").code == 0
    assert run("neck", "-o", str(path)).code == 0
    assert path.read_text().startswith("<svg")
    assert run("neck", "-o", str(path)).code == 1


def test_a_click_track_tells_when_which_block_begins(run: Run, home: Path) -> None:
    from mido import MidiFile

    run("setup", "--minutes", "10", "--plays-clean", "100")
    blocks = run("today", "--json").json["blocks"]
    file = home / "session.mid"
    told = run("click", "-o", str(file)).err
    marks = [each.text for each in MidiFile(file).tracks[0] if each.type == "marker"]

    assert [mark.split(":")[0] for mark in marks] == [f"block {n + 1}" for n in range(len(blocks))]
    assert all(mark in " ".join(told.split()) for mark in marks)
    assert "0:00  block 1: box 1" in told
