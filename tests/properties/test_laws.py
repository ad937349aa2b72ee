"""Laws of the design, for any neck, item and history."""

from itertools import pairwise
from math import isfinite

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.guitar.boxes import root_pitch_class
from scheduler.guitar.durations import opening_seconds
from scheduler.guitar.items import Item, catalogue, frets_of
from scheduler.guitar.metronome import BeatsPerMinute, speed_of
from scheduler.guitar.neck import Neck, parse_neck
from scheduler.guitar.patterns import matching, parse_item, parse_pattern
from scheduler.guitar.rounds import round_items
from scheduler.guitar.routine import MINOR_PENTATONIC, Direction
from scheduler.guitar.sequence import notes_of
from scheduler.plan.assignment import first_of_all, items_of
from scheduler.plan.cautions import return_of
from scheduler.plan.knapsack import Option, best_choice
from scheduler.plan.planner import Choice, Planner, plan_session
from scheduler.plan.session import Costs, Reason, Visit, blocks_of
from scheduler.plan.visits import candidates, onward_visit
from scheduler.player.facts import Fact, Pass
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import in_order, replay
from scheduler.player.tempo import Ability
from tests.conftest import EXAMPLES
from tests.player.logs import moment
from tests.properties.strategies import histories, items, necks

FLOOR = BeatsPerMinute(60)


@given(items())
def test_an_address_reads_back_as_its_item(drawn: tuple[Neck, Item]) -> None:
    neck, item = drawn

    assert parse_item(neck, item.address) == item
    assert matching(neck, parse_pattern(item.address)) == (item,)


@given(items())
def test_all_notes_lie_on_the_neck_and_in_the_scale(drawn: tuple[Neck, Item]) -> None:
    neck, item = drawn
    notes = notes_of(neck, item)
    root = root_pitch_class(neck, item.box, item.fret)

    assert len(notes) == item.notes_on(neck.strings)
    assert all(neck.lowest_fret <= note.fret <= neck.frets for note in notes)
    assert {(note.pitch_midi - root) % 12 for note in notes} <= set(MINOR_PENTATONIC)
    assert min(note.fret for note in notes) == item.fret == frets_of(neck, item)[0]


@given(items())
def test_strokes_strictly_alternate(drawn: tuple[Neck, Item]) -> None:
    neck, item = drawn
    strokes = [note.stroke for note in notes_of(neck, item)]

    assert strokes[0] is item.stroke
    assert all(a is not b for a, b in pairwise(strokes))


@given(items())
def test_descending_mirrors_ascending(drawn: tuple[Neck, Item]) -> None:
    neck, item = drawn
    up = notes_of(neck, Item(item.box, False, Direction.ASC, item.stroke, item.fret))
    down = notes_of(neck, Item(item.box, False, Direction.DESC, item.stroke, item.fret))
    boxed = {(note.string, note.fret) for note in up}

    assert {(note.string, note.fret) for note in down} == boxed
    assert [n.string for n in down] == [neck.strings - 1 - n.string for n in up]


@given(necks(), st.integers(1, 4), st.booleans())
def test_a_round_holds_items_of_the_catalogue_each_once(
    neck: Neck,
    number: int,
    both: bool,  # noqa: FBT001
) -> None:
    order = round_items(neck, number, both_directions=both)

    assert len(set(order)) == len(order)
    assert set(order) <= set(catalogue(neck))


@given(histories())
def test_the_order_of_entry_does_not_matter(history: list[Fact]) -> None:
    assert replay(in_order(history[::-1])) == replay(history)


@given(histories(), st.floats(0, 4000))
def test_chances_stay_inside_0_and_1_and_variances_positive(
    history: list[Fact], days_later: float
) -> None:
    state = replay(history)
    now = Moment(moment(400).utc_ms + int(days_later * MS_PER_DAY), 0)
    ability = Ability(state, now, parse_neck(), 3, FLOOR, 0.9)

    assert all(isfinite(w.mean) and w.variance > 0 for w in state.belief.weights.values())
    for item in round_items(parse_neck())[::37]:
        for tempo in (20, 60, 208, 400):
            chance = ability.outlook(item).clean_chance(speed_of(BeatsPerMinute(tempo), 3))
            assert 0 <= chance <= 1


@given(
    st.integers(1, 1000),
    st.sampled_from([0, None, 1, 999]),
    st.sampled_from([20, 60, 400]),
    st.sampled_from([0.0, 60_000 / 1000 / MS_PER_DAY, 365 / 1000]),
)
@settings(max_examples=20)
def test_a_thousand_passes_of_one_item_break_nothing(
    number: int, errors: int | None, tempo: int, days_apart: float
) -> None:
    item = round_items(parse_neck())[0]
    history: list[Fact] = [
        Pass(f"{n:036d}", moment(1 + n * days_apart), item, 24, BeatsPerMinute(tempo), 3,
             clean=errors == 0, errors=errors)
        for n in range(number)
    ]  # fmt: skip
    state = replay(history)
    ability = Ability(state, moment(2 + number * days_apart), parse_neck(), 3, FLOOR, 0.9)

    assert all(isfinite(w.mean) and w.variance > 0 for w in state.belief.weights.values())
    for asked in round_items(parse_neck())[::100]:
        assert 0 <= ability.outlook(asked).clean_chance(speed_of(FLOOR, 3)) <= 1


@settings(max_examples=EXAMPLES // 2)
@given(histories(), st.floats(1, 720), st.floats(0, 0.5), st.floats(0.01, 40))
def test_no_plan_runs_over_its_budget_and_none_leaves_room_for_one_more_item(
    history: list[Fact], minutes: float, share: float, days_later: float
) -> None:
    last = history[-1].moment if history else moment(1)
    now = Moment(last.utc_ms + int(days_later * MS_PER_DAY), 0)
    ability = Ability(replay(history), now, parse_neck(), 3, FLOOR, 0.9)
    order = round_items(parse_neck())
    session = plan_session(ability, order, minutes * 60, share)

    assert session.planned_seconds <= minutes * 60 + 1e-5

    if return_of(ability.state.days, now.day) is not None:
        return
    found = candidates(ability, order)
    planner = Planner(ability, found, order, minutes * 60)
    choice = planner.fill(planner.first_choice(share))
    assert planner.arrange(choice) == session.blocks
    if len(choice.onward) < len(found.onward):
        visit = onward_visit(ability, found.onward[len(choice.onward)])
        assert not planner.fits(Choice(choice.warm_up, choice.revisits, (*choice.onward, visit)))
    warmed = {visit.item for visit in choice.warm_up}
    for visit in found.revisits:
        if visit not in choice.revisits and visit.item not in warmed:
            more = Choice(choice.warm_up, (*choice.revisits, visit), choice.onward)
            assert not planner.fits(more)


@settings(max_examples=EXAMPLES // 2)
@given(histories(), st.floats(5, 240), st.sampled_from(["1", "4:any:up", "2+3:desc", "any:asc"]))
def test_a_session_keeps_to_what_was_assigned_as_long_as_that_lasts(
    history: list[Fact], minutes: float, place: str
) -> None:
    now = moment(10_000) if not history else history[-1].moment
    ability = Ability(replay(history), now, parse_neck(), 3, FLOOR, 0.9)
    order = round_items(parse_neck())
    first = frozenset(items_of(parse_neck(), [parse_pattern(place)], order))
    session = plan_session(ability, first_of_all(order, first), minutes * 60, 0.2, only=first)
    by_reason: dict[Reason, set[Item]] = {reason: set() for reason in Reason}
    for block in session.blocks:
        by_reason[block.reason].update(block.all_items)
    if return_of(ability.state.days, now.day) is not None:
        return

    assert by_reason[Reason.REPAIR] | by_reason[Reason.REFRESH] <= first
    onward = by_reason[Reason.ONWARD]
    assert onward <= first or first & set(candidates(ability, order).onward) <= onward


@settings(max_examples=EXAMPLES // 2)
@given(histories(), st.floats(1, 120))
def test_no_item_is_planned_twice_beside_the_warm_up(history: list[Fact], minutes: float) -> None:
    now = moment(500)
    ability = Ability(replay(history), now, parse_neck(), 3, FLOOR, 0.9)
    session = plan_session(ability, round_items(parse_neck()), minutes * 60, 0.2)
    planned = [
        item.item
        for block in session.blocks
        if block.reason is not Reason.WARM_UP
        for item in block.items
    ]

    assert len(planned) == len(set(planned))


@given(
    st.lists(st.tuples(st.integers(1, 30), st.integers(0, 40)), max_size=11), st.integers(0, 100)
)
def test_the_choice_is_the_best_of_all_subsets(pairs: list[tuple[int, int]], room: int) -> None:
    options = [Option(cost, worth) for cost, worth in pairs]
    best = max(
        sum(options[n].worth for n in range(len(options)) if mask >> n & 1)
        for mask in range(1 << len(options))
        if sum(options[n].cost for n in range(len(options)) if mask >> n & 1) <= room
    )
    chosen = best_choice(options, room)

    assert sum(options[n].cost for n in chosen) <= room
    assert sum(options[n].worth for n in chosen) == best


def test_a_block_costs_its_items_and_its_opening() -> None:
    ability = Ability(replay([]), moment(1), parse_neck(), 3, FLOOR, 0.9)
    costs = Costs(ability)
    visits = [
        Visit(item, BeatsPerMinute(60), Reason.ONWARD) for item in round_items(parse_neck())[:5]
    ]
    (block,) = blocks_of(visits, costs)
    inside = sum(costs.of(visit.item, visit.tempo)[1] for visit in visits)

    assert block.seconds == inside + opening_seconds(BeatsPerMinute(60))
