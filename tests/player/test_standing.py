"""Where an item stands, and why."""

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.rounds import round_items
from scheduler.player.replay import replay
from scheduler.player.standing import Judgement, Standing, judge
from scheduler.player.tempo import Ability
from tests.player.logs import facts, moment

ITEM = "1:asc:down:5"
OFTEN_CLEAN = "\n".join(f"{day} 1:asc:down:5 60 clean" for day in range(1, 6))
NEIGHBOURS_FAIL = "\n".join(f"8 1:asc:down:{fret} 60 sloppy 9" for fret in range(6, 19))


def judged(history: str, day: float, address: str = ITEM, floor: float = 60) -> Judgement:
    state = replay(facts(history))
    ability = Ability(state, moment(day), parse_neck(), 3, BeatsPerMinute(floor), 0.9)
    order = round_items(parse_neck(), state.round.number)
    return judge(ability, parse_address(address), frozenset(order))


@pytest.mark.parametrize(
    ("history", "day", "standing"),
    [
        ("", 1, Standing.AHEAD),
        ("1 1:asc:down:5 60 clean", 1, Standing.CLEAN),
        ("1 1:asc:down:5 58 clean", 1, Standing.AHEAD),
        ("1 1:asc:down:5 60 sloppy", 1, Standing.WEAK),
        ("1 1:asc:down:5 60 sloppy\n1 1:asc:down:5 60 clean", 1, Standing.CLEAN),
        ("1 1:asc:down:5 60 clean\n2 1:asc:down:5 60 sloppy 2", 2, Standing.WEAK),
        ("1 1:asc:down:5 60 clean", 40, Standing.CLEAN),
        (OFTEN_CLEAN, 7, Standing.CLEAN),
        (f"{OFTEN_CLEAN}\n{NEIGHBOURS_FAIL}", 9, Standing.STALE),
        (f"{NEIGHBOURS_FAIL}\n9 1:asc:down:5 60 clean", 9.5, Standing.CLEAN),
        (
            "1 1:asc:down:5 60 sloppy 9\n1 1:asc:down:5 60 sloppy 9\n1 1:asc:down:5 60 clean",
            2,
            Standing.WEAK,
        ),
        ("1 1:asc:down:5 60 clean\n2 round 2", 3, Standing.CLEAN),
        ("1 1:asc:down:5 60 clean\n2 1:asc:down:5 reset", 3, Standing.AHEAD),
    ],
)
def test_a_history_gives_a_standing(history: str, day: float, standing: Standing) -> None:
    assert judged(history, day).standing is standing


def test_an_item_that_is_not_in_the_round_and_never_played_is_outside() -> None:
    assert judged("", 1, "1:desc:down:5").standing is Standing.OUTSIDE


def test_what_was_clean_in_an_earlier_round_is_ahead_in_the_next() -> None:
    history = "1 1:desc:down:5 60 clean\n2 round 2"

    assert judged(history, 3, "1:desc:down:5").standing is Standing.AHEAD


def test_another_floor_tempo_changes_what_counts() -> None:
    history = "1 1:asc:down:5 72 clean\n2 1:asc:down:5 60 clean"

    assert judged(history, 2, floor=72).standing is Standing.CLEAN
    assert judged(history, 2, floor=76).standing is Standing.AHEAD


def test_the_reason_is_told_in_words() -> None:
    assert judged("1 1:asc:down:5 60 sloppy\n2 1:asc:down:5 60 sloppy", 2).why == (
        "2 sloppy in a row, last on 2 November"
    )
    assert judged(f"{OFTEN_CLEAN}\n{NEIGHBOURS_FAIL}", 9).why == (
        "last played 4 days ago; may have slipped, 9 in 10"
    )


def test_nothing_becomes_weak_by_what_others_failed_at() -> None:
    clean = "\n".join(f"1 {box}:asc:down:5 60 clean" for box in range(1, 6))
    failing = "\n".join(f"30 1:desc:down:{fret} 60 sloppy 9" for fret in range(6, 19))
    found = [judged(f"{clean}\n{failing}", 30.5, f"{box}:asc:down:5") for box in range(1, 6)]

    assert Standing.WEAK not in {judgement.standing for judgement in found}


def test_what_was_played_on_the_last_practice_day_is_not_stale() -> None:
    failing = "\n".join(f"9 1:asc:down:{fret} 60 sloppy 9" for fret in range(6, 19))

    assert judged(f"9 1:asc:down:5 60 clean\n{failing}", 10).standing is Standing.CLEAN
