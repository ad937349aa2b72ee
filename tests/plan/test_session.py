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


def test_after_a_bad_evening_what_is_known_is_the_warm_up_slowly() -> None:
    """Where all that is known has gone stale and nothing is easy, it isn't begun cold."""
    history = f"{clean(1, 1, range(1, 7))}\n" + "\n".join(
        f"2.{n:02d} {box}:asc:down:{fret} 60 sloppy 12"
        for n, (box, fret) in enumerate((box, fret) for box in (2, 3) for fret in range(1, 16, 2))
    )
    planned = session(history, day=3)

    assert planned.blocks[0].reason is Reason.WARM_UP
    assert addresses(planned, Reason.WARM_UP)[0] in {"1:asc:down:1", "1:desc:down:2"}


def test_the_next_session_goes_on_where_the_last_one_stopped() -> None:
    planned = session(clean(1, 1, range(1, 9)), day=2)

    assert addresses(planned, Reason.ONWARD)[0] == "1:asc:down:9"


def sloppy_after(day: float, box: int, frets: range, tempo: int = 60) -> str:
    """Items of the trip of a box up the neck, played sloppy."""
    return clean(day, box, frets, tempo).replace("clean", "sloppy")


def test_an_item_that_failed_is_played_again_in_its_place_no_faster() -> None:
    history = clean(1, 1, range(1, 9)) + "\n1.5 1:asc:down:9 60 sloppy"
    planned = session(history, day=2)
    first = next(block for block in planned.blocks if block.reason is Reason.ONWARD)

    assert first.items[0].item.address == "1:asc:down:9"
    assert first.tempo <= 60
    assert first.items[0].why == "sloppy last time, again in its place"


def test_what_is_done_and_was_sloppy_since_is_repaired_in_the_middle() -> None:
    history = clean(1, 1, range(1, 9)) + "\n" + sloppy_after(1.5, 1, range(1, 3))
    planned = session(history, day=2)
    reasons = [block.reason for block in planned.blocks]

    assert addresses(planned, Reason.REPAIR) == ["1:asc:down:1", "1:desc:down:2"]
    where = reasons.index(Reason.REPAIR)
    assert Reason.ONWARD in reasons[:where]
    assert Reason.ONWARD in reasons[where:]


def test_stale_items_are_refreshed_last() -> None:
    since = (clean(day, 4, range(1, 2)) for day in range(7, 80, 6))
    before = (clean(1, 1, range(1, 20)), sloppy_after(2, 2, range(1, 20)))
    planned = session("\n".join([*before, *since]), day=80)

    assert addresses(planned, Reason.REFRESH)
    assert planned.blocks[-1].reason is Reason.REFRESH


def test_revisits_take_at_most_their_share_while_there_is_new_ground() -> None:
    boxes = (1, 2, 4, 5)
    history = [clean(1 + box / 10, box, range(1, 19)) for box in boxes]
    history += [sloppy_after(2 + box / 10, box, range(1, 19)) for box in boxes]
    planned = session("\n".join(history), day=3)
    seconds = sum(b.seconds for b in planned.blocks if b.reason in {Reason.REPAIR, Reason.REFRESH})

    assert 0 < seconds <= 0.2 * 1200 + 30


@pytest.mark.parametrize(("times", "most"), [(1, 60), (2, 58), (3, 58)])
def test_what_keeps_failing_comes_slower(times: int, most: int) -> None:
    failing = clean(1, 1, range(1, 9)) + "\n" + "\n".join(["1.5 1:asc:down:9 60 sloppy"] * times)
    planned = session(failing, day=2)
    (item,) = (i for b in planned.blocks for i in b.items if i.item.address == "1:asc:down:9")

    assert item.tempo <= most


@pytest.mark.parametrize("away", [7, 20, 49])
def test_after_a_week_without_playing_it_is_five_minutes_a_rest_and_five_more(away: int) -> None:
    history = "\n".join(clean(1 + day, box, range(1, 19)) for day in range(3) for box in (1, 2, 4))
    usual = {block.tempo for block in session(history, day=5).blocks}
    planned = session(history, day=4 + away)
    first, second = (
        sum(
            b.seconds for b in planned.blocks if (b.number <= planned.breaks[0].after_block) is half
        )
        for half in (True, False)
    )

    assert 0 < first <= 300
    assert 0 < second <= 300
    assert not addresses(planned, Reason.ONWARD)
    assert max(block.tempo for block in planned.blocks) < max(usual)
    assert f"{away} days without playing" in planned.cautions[0]


def test_then_it_is_ten_minutes_more_a_day() -> None:
    history = clean(1, 1, range(1, 19)) + "\n" + clean(30, 1, range(1, 5))
    planned = session(history, day=31, minutes=45)

    assert planned.planned_seconds <= 1200
    assert "28 days without playing: 20 minutes today" in planned.cautions[0]
    assert session(history + "\n" + clean(31, 1, range(1, 5)), 32, 25).budget_seconds == 1500


def test_no_block_is_longer_than_may_be_played_without_a_break() -> None:
    planned = session(clean(1, 1, range(1, 5), 22), day=1.9, minutes=120, floor=20)

    assert max(block.seconds for block in planned.blocks) <= 1800


def test_the_first_session_rises_from_block_to_block_unless_the_player_has_said_something() -> None:
    tempos = [block.tempo for block in session(floor=40).blocks if block.reason is Reason.ONWARD]

    assert tempos == sorted(tempos)
    assert len(set(tempos)) == len(tempos) > 2


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
