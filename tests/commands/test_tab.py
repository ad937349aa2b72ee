"""Tablature from the command line, on the screen and in files."""

from pathlib import Path

from tests.conftest import Run


def test_tablature_comes_at_the_planned_tempo(run: Run) -> None:
    run("setup", "--plays-clean", "96", "--floor-tempo", "60")
    run("today")
    out = run("tab", "1:asc:down:1").out

    assert out.startswith("Box 1 at fret 1, ascending, downstroke first\nF minor")
    assert "tempo 69: 7 s a pass" in out
    assert "tempo 72" in run("tab", "1:asc:down:1", "--tempo", "72").out


def test_the_players_own_fingers_are_kept_for_the_shape(run: Run) -> None:
    own = "1-4 " * 12
    assert run("tab", "1:asc:down:5", "--fingers", own).code == 0
    moved = run("tab", "1:asc:up:9").out.splitlines()

    assert moved[12].split() == ["1", "4"] * (len(moved[12].split()) // 2)
    run("tab", "1:asc:down:5", "--fingers", "none")
    assert "3" in run("tab", "1:asc:up:9").out.splitlines()[12]


def test_fingers_must_be_one_a_note(run: Run) -> None:
    done = run("tab", "1:asc:down:5", "--fingers", "1-4 1-3")

    assert done.code == 2
    assert "2 fingers a string from the lowest one" in done.err
    assert run("tab", "1:asc:down:5", "--fingers", "1-4 1-3 1-3 1-3 1-4 1-5").code == 2
    assert run("tab", "1+2:asc:down:5", "--fingers", "1-4 1-3 1-3 1-3 1-4 1-4").code == 2


def test_fingers_are_told_by_string_and_for_a_coupling_by_box(run: Run) -> None:
    run("tab", "1:asc:down:5", "--fingers", "2-4 1-3 1-3 1-3 1-4 1-4")
    single = run("tab", "1:asc:down:5").out
    told = "1-4 1-3 1-3 1-3 1-4 1-4 / 1-3 1-4 1-4 1-3 2-4 2-4"
    run("tab", "1+2:desc:down:5", "--fingers", told)
    shown = run("tab", "1+2:desc:down:5").out.splitlines()
    lower, higher = shown.index("box 1"), shown.index("box 2")

    assert single.splitlines()[12].split()[:4] == ["2", "4", "1", "3"]
    assert shown[lower + 7].split() == ["E", "1", ".", ".", "4"]
    assert shown[higher + 7].split() == ["E", ".", "1", ".", "3"]
    run("tab", "1+2:desc:down:5", "--fingers", "none")
    assert run("tab", "1+2:desc:down:5").code == 0


def test_files_are_written_whole_and_not_over_others(run: Run, tmp_path: Path) -> None:
    text, xml = tmp_path / "item.txt", tmp_path / "item.musicxml"
    run("tab", "2:asc:down:5", "-o", str(text), "--musicxml", str(xml))
    before = text.read_bytes()

    assert before.startswith(b"Box 2 at fret 5")
    assert b"score-partwise" in xml.read_bytes()
    refused = run("tab", "3:asc:down:5", "-o", str(text))
    assert (refused.code, text.read_bytes()) == (1, before)
    assert run("tab", "3:asc:down:5", "-o", str(text), "--force").code == 0
    assert text.read_bytes() != before


def test_a_scale_length_is_kept(run: Run) -> None:
    assert run("setup", "--scale-length", "690", "--json").json["scale_length"] == 690
    assert run("setup", "--scale-length", "90").code == 2
