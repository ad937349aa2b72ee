"""A session is put together from warm-up, repair, onward and refresh."""

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.plan.planner import plan_session
from scheduler.plan.session import Block, Reason, Session, breaks_in
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability
from tests.player.logs import facts, moment


def session(history: str = "", day: float = 1.8, minutes: float = 20, floor: float = 60) -> Session:
    state = replay(facts(history))
    ability = Ability(state, moment(day), parse_neck(), 3, BeatsPerMinute(floor), 0.9)
    return plan_session(ability, round_items(parse_neck()), minutes * 60, 0.2)


def addresses(planned: Session, reason: Reason) -> list[str]:
    return [
        item.item.address
        for block in planned.blocks
        for item in block.items
        if block.reason is reason
    ]


def clean(day: float, box: int, frets: range, tempo: int = 60) -> str:
    """The trip of a box up the neck, played clean."""
    return "\n".join(
        f"{day + n / 5000:.5f} {box}:{'asc' if n % 2 == 0 else 'desc'}:down:{fret} {tempo} clean"
        for n, fret in enumerate(frets)
    )


def test_the_first_session_warms_up_slowly_and_goes_on_from_the_first_item() -> None:
    planned = session()

    assert planned.blocks[0].reason is Reason.WARM_UP
    assert planned.blocks[0].tempo == 48
    assert addresses(planned, Reason.ONWARD)[:3] == [
        "1:asc:down:1", "1:desc:down:2", "1:asc:down:3",
    ]  # fmt: skip
    assert not addresses(planned, Reason.REPAIR) + addresses(planned, Reason.REFRESH)


def test_the_next_session_goes_on_where_the_last_one_stopped() -> None:
    planned = session(clean(1, 1, range(1, 9)), day=2)

    assert addresses(planned, Reason.ONWARD)[0] == "1:asc:down:9"


def test_an_item_that_failed_is_repaired_in_the_middle() -> None:
    history = clean(1, 1, range(1, 9)) + "\n1.5 1:asc:down:9 60 sloppy"
    planned = session(history, day=2)
    reasons = [block.reason for block in planned.blocks]

    assert addresses(planned, Reason.REPAIR) == ["1:asc:down:9"]
    where = reasons.index(Reason.REPAIR)
    assert Reason.ONWARD in reasons[:where]
    assert Reason.ONWARD in reasons[where:]


def test_stale_items_are_refreshed_last() -> None:
    planned = session(clean(1, 1, range(1, 20)), day=12)

    assert addresses(planned, Reason.REFRESH)
    assert planned.blocks[-1].reason is Reason.REFRESH


def test_revisits_take_at_most_their_share_while_there_is_new_ground() -> None:
    history = "\n".join(clean(1 + box / 10, box, range(1, 19)) for box in (1, 2, 4, 5))
    planned = session(history, day=14)
    seconds = sum(b.seconds for b in planned.blocks if b.reason in {Reason.REPAIR, Reason.REFRESH})

    assert 0 < seconds <= 0.2 * 1200 + 30


def test_failed_items_come_before_all_other_revisits() -> None:
    history = (
        clean(1, 1, range(1, 20))
        + "\n"
        + "\n".join(
            f"12 2:{'asc' if n % 2 == 0 else 'desc'}:down:{n + 1} 60 sloppy" for n in range(4)
        )
    )
    planned = session(history, day=13, minutes=5)

    assert addresses(planned, Reason.REPAIR)
    assert not addresses(planned, Reason.REFRESH)


def test_after_three_sloppy_passes_the_item_comes_slower() -> None:
    failing = clean(1, 1, range(1, 9)) + "\n" + "\n".join(["1.5 1:asc:down:9 60 sloppy 5"] * 3)
    planned = session(failing, day=2)
    (block,) = (block for block in planned.blocks if block.reason is Reason.REPAIR)

    assert block.tempo < 60


def test_items_of_a_block_follow_each_other_along_the_neck_at_one_tempo() -> None:
    for block in session(minutes=60).blocks:
        frets = [planned.item.fret for planned in block.items]

        assert frets in (sorted(frets), sorted(frets, reverse=True))
        assert len({(p.item.box, p.item.coupling, p.item.stroke) for p in block.items}) == 1
        assert {planned.tempo for planned in block.items} == {block.tempo}


def test_numbers_run_from_one() -> None:
    assert [block.number for block in session().blocks] == list(range(1, len(session().blocks) + 1))


def test_the_same_record_and_day_give_the_same_session() -> None:
    history = clean(1, 1, range(1, 20))

    assert session(history, day=12) == session(history, day=12)


def test_a_floor_tempo_out_of_reach_is_told() -> None:
    assert session(floor=200).short_of_floor == 1.0
    assert session(floor=40).short_of_floor == 0.0


@pytest.mark.parametrize(
    ("seconds", "breaks"),
    [([1000, 700], []), ([1000, 900], [1]), ([1700, 200, 1700], [1, 2]), ([2000, 100], [1])],
)
def test_half_an_hour_of_playing_is_followed_by_a_break(
    seconds: list[float], breaks: list[int]
) -> None:
    """Source: British Association for Performing Arts Medicine, five minutes every half hour."""
    blocks = [
        Block(n + 1, Reason.ONWARD, BeatsPerMinute(60), 3, length, ())
        for n, length in enumerate(seconds)
    ]

    assert [pause.after_block for pause in breaks_in(blocks)] == breaks
    assert all(pause.seconds == 300 for pause in breaks_in(blocks))
