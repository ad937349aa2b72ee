"""Where verdicts lead while a session is played."""

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.plan.session import Block, Break, PlannedItem, Reason, Session
from scheduler.stage.hands_on import HandsOn, Moved, Step, steps_of


def block(number: int, *addresses: str, tempo: float = 60) -> Block:
    t = BeatsPerMinute(tempo)
    items = tuple(PlannedItem(parse_address(a), t, 0.9, 1.1, 12.0, 0.0, "") for a in addresses)
    return Block(number, Reason.ONWARD, t, 3, 12.0 * len(items), items)


SLOWER = lambda _: BeatsPerMinute(56)  # noqa: E731
BLOCKS = [block(1, "1:asc:down:1", "1:desc:down:2"), block(2, "2:asc:down:1", tempo=72)]


def steps(blocks: list[Block], *breaks: Break) -> list[Step]:
    whole = Session(1, 60.0, tuple(blocks), breaks, ())
    return steps_of(whole, lambda n: blocks[n - 1].all_items)


def session() -> HandsOn:
    return HandsOn(steps(BLOCKS))


def test_a_rest_lies_before_the_first_step_after_it() -> None:
    assert [s.rest_seconds for s in steps(BLOCKS, Break(1, 300.0))] == [0, 0, 300]
    assert [s.rest_seconds for s in steps(BLOCKS, Break(2, 300.0))] == [0, 0, 0]
    whole = Session(1, 60.0, tuple(BLOCKS), (Break(1, 300.0),), ())
    left = steps_of(whole, lambda n: BLOCKS[1].all_items if n == 2 else ())
    assert [s.rest_seconds for s in left] == [0]


def judge(state: HandsOn, *verdicts: bool, suggested: float = 50) -> list[Moved]:
    return [state.judge(lambda: BeatsPerMinute(suggested), clean=v) for v in verdicts]


def test_clean_goes_on_item_by_item_and_block_by_block() -> None:
    state = session()

    assert judge(state, True, True) == [Moved.ITEM, Moved.BLOCK]
    assert state.tempo == 72
    assert judge(state, True) == [Moved.OVER]
    assert state.step is None


def test_sloppy_comes_again_then_slower_then_the_session_goes_on() -> None:
    state = session()

    assert judge(state, False) == [Moved.AGAIN]
    assert state.tempo == 60
    assert judge(state, False) == [Moved.SLOWER]
    assert state.tempo == 56
    assert judge(state, False) == [Moved.ITEM]
    assert state.tempo == 60


def test_what_stays_sloppy_comes_back_once_after_the_others() -> None:
    state = session()
    judge(state, False, False, False, suggested=56)
    assert judge(state, True, True)[-1] is Moved.OVER
    assert state.come_back(SLOWER)
    assert state.step is not None
    assert (state.step.item.fret, state.tempo) == (1, 56)

    assert judge(state, False, False, False)[-1] is Moved.OVER
    assert not state.come_back(SLOWER)


def test_a_verdict_taken_back_lets_it_come_back_once_all_the_same() -> None:
    state = session()
    judge(state, False, False, False, suggested=56)
    judge(state, True, True)
    state.come_back(SLOWER)
    state.take_back()
    judge(state, True)

    assert state.come_back(SLOWER)
    assert sum(step.again_at is not None for step in state.steps) == 1


def test_the_list_goes_on_with_another_plan() -> None:
    state = session()
    judge(state, True, True, True)
    more = [block(1, "3:asc:down:1", tempo=48)]
    state.go_on_with(steps(more))

    assert state.step is not None
    assert (state.step.item.box, state.tempo) == (3, 48)


def test_slower_is_one_mark_at_least() -> None:
    state = session()
    judge(state, False, False, suggested=90)

    assert state.tempo == 58


def test_a_clean_pass_ends_the_slow_down() -> None:
    state = session()

    assert judge(state, False, False, True)[-1] is Moved.ITEM
    assert (state.sloppy, state.tempo) == (0, 60)


def test_taking_back_leads_to_where_it_was() -> None:
    state = session()
    judge(state, False, False, True, True)
    for _ in range(2):
        state.take_back()

    assert (state.place, state.sloppy, state.tempo) == (0, 2, 56)
    state.take_back()
    state.take_back()
    assert (state.place, state.sloppy, state.tempo) == (0, 0, 60)
    assert state.take_back() is None


def test_a_tempo_set_by_the_player_holds_for_the_block() -> None:
    state = session()
    state.change_tempo(2)
    judge(state, True)
    assert state.tempo == 66
    judge(state, True)
    assert state.tempo == 72


def test_a_verdict_taken_back_after_it_came_back_leaves_it_once() -> None:
    state = session()
    judge(state, True, True, False, False, False)
    state.come_back(SLOWER)
    state.take_back()
    assert judge(state, True) == [Moved.OVER]
    assert not state.come_back(SLOWER)
    state.take_back()
    assert judge(state, False) == [Moved.OVER]
    state.come_back(SLOWER)
    assert len(state.steps) == 4


def test_it_comes_back_at_what_is_believed_after_the_last_try() -> None:
    state = session()
    judge(state, False, False, False, suggested=60)
    judge(state, True, True)
    state.come_back(lambda _: BeatsPerMinute(44))

    assert state.tempo == 44
