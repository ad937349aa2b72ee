"""What the program believes is told, and what was kept of it is built again when it is damaged."""

import re
import sqlite3
from pathlib import Path

import pytest

from tests.commands.test_screen import on_a_terminal
from tests.conftest import Run
from tests.ledger.bulk import write_passes


def test_an_item_tells_what_the_belief_is_made_of(run: Run) -> None:
    for fret in range(1, 15):
        run("record", f"3:any:down:{fret}", "clean", "--tempo", "60")
    run("record", "3:asc:down:7", "sloppy", "--tempo", "72", "--errors", "3")
    found = run("item", "3:asc:down:7", "--json").json
    belief = found["belief"]
    product = belief["anywhere"] * belief["neighbours"] * belief["own"] * belief["practice"]

    assert abs(product - belief["expected"]) < 1e-5
    assert belief["own"] > 1
    assert [c["clean_chance"] for c in found["chances"]] == sorted(
        (c["clean_chance"] for c in found["chances"]), reverse=True
    )
    out = run("item", "3:asc:down:7").out
    assert "72 |  x" in out
    assert "60 | o" in out
    assert "errors in 100 notes" not in out
    why = run("item", "3:asc:down:7", "--why").out
    assert "errors in 100 notes" in why
    assert re.search(r"- for its own passes: \d+% more", why)


def test_a_shared_fault_is_told_beside_the_block(run: Run) -> None:
    run("record", "1:any:down:1-4", "sloppy", "--tempo", "60", "--fault", "ringing")
    session = run("today", "--json").json
    first = next(b for b in session["blocks"] if b["reason"] == "onward")

    assert first["fault"] == "ringing"
    assert "mute them with the free fingers" in " ".join(run("today").out.split())


def test_a_damaged_kept_state_is_built_again_and_told(run: Run, ledger_file: Path) -> None:
    run("record", "3:any:any:any", "clean", "--tempo", "60")
    run("record", "3:any:any:any", "sloppy", "--tempo", "90")
    run("record", "3:any:any:any", "clean", "--tempo", "63")
    before = run("item", "3:asc:down:7", "--json").json
    with sqlite3.connect(ledger_file) as ledger:
        ledger.execute("UPDATE checkpoints SET body = substr(body, 1, 50)")
    ledger.close()
    done = run("item", "3:asc:down:7", "--json")

    assert done.json == before
    assert "built again" in done.err
    assert done.err.count("\n") == 1
    assert run("round").err == ""


@pytest.mark.slow
def test_a_long_rebuilding_shows_how_far_it_is(home: Path) -> None:
    write_passes(home / "data" / "upneck" / "upneck.db", 25_000)
    shown = on_a_terminal(home, ["round"], TERM="xterm-256color")

    assert "working out what you can do" in shown
    assert "working out" not in on_a_terminal(home, ["round"], TERM="xterm-256color")
