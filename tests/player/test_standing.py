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
        ("1 1:asc:down:5 60 clean", 9.9, Standing.CLEAN),
        ("1 1:asc:down:5 60 clean", 10.1, Standing.STALE),
        ("1 1:asc:down:5 60 clean\n2 1:asc:down:5 60 clean", 19.9, Standing.CLEAN),
        ("1 1:asc:down:5 60 clean\n2 1:asc:down:5 60 clean", 20.1, Standing.STALE),
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
    assert judged("1 1:asc:down:5 60 clean", 12).why == (
        "11 days since the last pass, 54% of the gain is gone"
    )


def test_an_item_whose_neighbours_keep_failing_is_weak_although_it_was_clean() -> None:
    failing = "\n".join(f"1 1:asc:down:{fret} 60 sloppy 9" for fret in range(6, 19))

    judgement = judged(f"1 1:asc:down:5 60 clean\n{failing}", 1)

    assert judgement.standing is Standing.WEAK
    assert "at its working tempo" in judgement.why
