"""What an import ticks off in the session: each visit that is over, for one block."""

import pytest

from tests.conftest import NOON, Run

HEAD = "played_at,item,tempo,notes_per_beat,clean,errors,fault,note"
YESTERDAY = "2026-11-24T12:00:00+01:00"
IN_BOTH = "1:asc:down:1"
"""The warm-up and the new ground of a first session begin with it."""
AHEAD = "1:desc:down:2"
"""New ground only."""


def log(
    item: str, results: str = "clean", tempo: float = 72, notes_per_beat: int = 3, day: int = 25
) -> str:
    """Passes of an item, a minute apart."""
    lines = [
        f"2026-11-{day}T11:{minute:02d}:00+01:00,{item},{tempo:g},{notes_per_beat},"
        f"{int(result == 'clean')},,,"
        for minute, result in enumerate(results.split())
    ]
    return "\n".join([HEAD, *lines, ""])


def plan(run: Run, *settings: str, at: str = NOON) -> dict[str, float]:
    """Plan a short session; the tempo of its blocks by their reason."""
    run("setup", "--minutes", "5", *settings, at=at)
    return {
        block["reason"]: block["tempo"] for block in run("today", "--json", at=at).json["blocks"]
    }


def plan_above_floor(run: Run, at: str = NOON) -> None:
    """Plan a session of a warm-up, and of new ground at 72 where 46.2 counts."""
    planned = plan(run, "--plays-clean", "100", "--floor-tempo", "46.2", at=at)
    assert planned == {"warm-up": 56, "onward": 72}


def ticked(run: Run, day: int = 25) -> list[tuple[str, str]]:
    """What is done in a day's session: the reason of the block, and the item."""
    blocks = run("today", "--on", f"2026-11-{day}", "--json").json["blocks"]
    return [(block["reason"], each["item"]) for block in blocks for each in block["items"]
            if each["done"]]  # fmt: skip


def test_what_was_played_yesterday_is_done_in_yesterdays_session_alone(run: Run) -> None:
    plan_above_floor(run, at=YESTERDAY)
    run("today")
    run("import", "-", stdin=log(AHEAD, day=24))

    assert ticked(run, day=24) == [("onward", AHEAD)]
    assert ticked(run) == []


def test_a_pass_that_is_undone_and_taken_again_is_for_the_block_it_was_for(run: Run) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(IN_BOTH))
    run("undo")
    assert ticked(run) == []
    run("import", "-", stdin=log(IN_BOTH))

    assert ticked(run) == [("warm-up", IN_BOTH)]


def test_what_is_taken_again_counts_for_the_plan_made_meanwhile(run: Run) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(AHEAD))
    run("undo")
    run("today", "--afresh")
    run("import", "-", stdin=log(AHEAD))

    assert ticked(run) == [("onward", AHEAD)]


def test_a_visit_may_come_in_two_imports(run: Run) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(AHEAD, "sloppy sloppy"))
    assert ticked(run) == []
    run("import", "-", stdin=log(AHEAD, "sloppy sloppy sloppy"))

    assert ticked(run) == [("onward", AHEAD)]


def test_a_pass_played_on_a_journey_is_of_the_day_it_was_there(run: Run) -> None:
    plan_above_floor(run, at=YESTERDAY)
    run("import", "-", stdin=log(AHEAD, day=24).replace("T11:00:00+01:00", "T01:30:00+10:00"))

    assert ticked(run, day=24) == [("onward", AHEAD)]


@pytest.mark.parametrize("tempos", [(72, 20), (20, 72)])
def test_the_slower_of_two_passes_is_the_warm_up(run: Run, tempos: tuple[int, int]) -> None:
    plan_above_floor(run)
    first, second = (log(IN_BOTH, tempo=tempo) for tempo in tempos)
    later = second.splitlines()[1].replace("T11:00", "T11:05")
    run("import", "-", stdin=f"{first}{later}\n")

    assert ticked(run) == [("warm-up", IN_BOTH), ("onward", IN_BOTH)]


@pytest.mark.parametrize(
    ("results", "blocks"),
    [
        ("clean clean", 2),
        ("sloppy sloppy", 0),
        ("sloppy sloppy clean", 1),
        ("sloppy clean sloppy sloppy", 1),
        ("sloppy sloppy sloppy", 1),
        ("sloppy sloppy sloppy sloppy sloppy", 1),
        ("sloppy sloppy sloppy sloppy sloppy sloppy", 2),
    ],
)
def test_a_visit_ends_clean_or_with_the_third_sloppy_pass_and_is_for_one_block(
    run: Run, results: str, blocks: int
) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(IN_BOTH, results))

    assert ticked(run) == [("warm-up", IN_BOTH), ("onward", IN_BOTH)][:blocks]


@pytest.mark.parametrize(
    ("tempo", "notes_per_beat", "is_done"),
    [(60, 3, True), (46.2, 3, True), (138.6, 1, True), (46.1, 3, False)],
)
def test_new_ground_is_done_from_the_floor_tempo_on(
    run: Run, tempo: float, notes_per_beat: int, *, is_done: bool
) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(AHEAD, tempo=tempo, notes_per_beat=notes_per_beat))

    assert ticked(run) == [("onward", AHEAD)] * is_done


@pytest.mark.parametrize(("tempo", "is_done"), [(42, True), (41, False)])
def test_new_ground_that_is_planned_under_the_floor_tempo_is_done_as_planned(
    run: Run, tempo: float, *, is_done: bool
) -> None:
    assert plan(run, "--floor-tempo", "100") == {"onward": 42}
    run("import", "-", stdin=log(AHEAD, tempo=tempo))

    assert ticked(run) == [("onward", AHEAD)] * is_done


def test_three_sloppy_passes_are_a_visit_of_new_ground_at_any_tempo(run: Run) -> None:
    plan_above_floor(run)
    run("import", "-", stdin=log(AHEAD, "sloppy sloppy sloppy", tempo=20))

    assert ticked(run) == [("onward", AHEAD)]


def test_a_warm_up_and_a_revisit_are_done_at_any_tempo(run: Run) -> None:
    weak = "1:asc:down:3"
    run("record", "1:any:down:1-12", "clean", "--tempo", "60", at=YESTERDAY)
    run("record", weak, "sloppy", "--tempo", "60", at=YESTERDAY)
    assert plan(run).keys() == {"warm-up", "onward", "repair"}
    for item in (IN_BOTH, weak):
        run("import", "-", stdin=log(item, tempo=20))

    assert ticked(run) == [("warm-up", IN_BOTH), ("repair", weak)]
