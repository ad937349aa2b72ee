"""The tempo suggested for the next pass."""

import pytest

from scheduler.guitar.metronome import MARKS, BeatsPerMinute, speed_of
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.player.replay import replay
from scheduler.player.tempo import (
    Ability,
    fastest_allowed,
    onward_tempo,
    slower_tempo,
    suggested_tempo,
)
from tests.player.logs import facts, moment

ITEM = parse_address("1:asc:down:5")


def ability(history: str, day: float = 1, target: float = 0.9, floor: float = 60) -> Ability:
    return Ability(
        replay(facts(history)), moment(day), parse_neck(), 3, BeatsPerMinute(floor), target
    )


def clean_days(tempo: int, days: int) -> str:
    return "\n".join(
        f"{day}.{n:02d} 1:asc:down:{fret} {tempo} clean"
        for day in range(1, days + 1)
        for n, fret in enumerate(range(1, 20))
    )


def test_a_suggestion_is_the_fastest_mark_with_the_wanted_chance() -> None:
    asked = ability(clean_days(60, 3), 3.5)
    outlook = asked.outlook(ITEM)
    tempo = suggested_tempo(asked._replace(state=replay([])), ITEM, outlook)

    assert outlook.clean_chance(speed_of(tempo, 3)) >= 0.9
    faster = MARKS[MARKS.index(tempo) + 1]
    assert outlook.clean_chance(speed_of(faster, 3)) < 0.9


@pytest.mark.parametrize(
    ("played", "most"), [(20, 24), (22, 26), (40, 44), (60, 66), (116, 126), (208, 208)]
)
def test_a_suggestion_is_two_marks_and_a_fifth_above_the_fastest_clean_pass_at_most(
    played: int, most: int
) -> None:
    tempo = suggested_tempo(ability(clean_days(played, 8), 8.5), ITEM)

    assert tempo <= most
    assert tempo <= max(1.2 * played, played + 2)


@pytest.mark.parametrize(
    ("day", "most"), [(8.5, 66), (21.5, 66), (22.5, 63), (45, 60), (57, 58), (500, 56)]
)
def test_days_away_lower_it_by_a_mark_a_fortnight_and_four_at_most(day: float, most: int) -> None:
    assert fastest_allowed(ability(clean_days(60, 8), day), ITEM) == most


@pytest.mark.parametrize(
    ("address", "most"), [("1:asc:down:9", 84), ("2:asc:down:5", 126), ("1+2:asc:down:5", 66)]
)
def test_a_shape_that_was_never_played_starts_within_its_kind_else_within_anything(
    address: str, most: int
) -> None:
    history = "1 1:asc:down:5 76 clean\n1 1:asc:up:5 116 clean"
    with_coupling = f"{history}\n1 3+4:asc:down:5 60 clean"
    item = parse_address(address)

    assert fastest_allowed(ability(with_coupling), item) == most
    if item.coupling:
        assert fastest_allowed(ability(history), item) == 126
        assert fastest_allowed(ability(""), item) is None


@pytest.mark.parametrize(
    ("failures", "most"),
    [
        (["60 sloppy"], 60), (["60 sloppy"] * 2, 58), (["60 sloppy", "50 sloppy"], 48),
        (["40 sloppy"], 40), (["60 sloppy", "60 clean"], 66),
    ],
)  # fmt: skip
def test_what_failed_is_never_planned_faster_than_it_failed(failures: list[str], most: int) -> None:
    history = "\n".join([clean_days(60, 8), *(f"8.5 1:asc:down:5 {each}" for each in failures)])
    asked = ability(history, 9)

    assert fastest_allowed(asked, ITEM) == most
    assert suggested_tempo(asked, ITEM) <= most
    assert onward_tempo(asked._replace(floor_tempo=BeatsPerMinute(72)), ITEM) <= most


def test_under_the_floor_it_comes_a_mark_faster_once_it_keeps_being_clean() -> None:
    neighbours = "\n".join(f"1 1:asc:down:{fret} 40 sloppy 9" for fret in range(9, 19, 2))
    once, often = (
        ability(f"{neighbours}\n" + "\n".join(["2 1:asc:down:5 20 clean"] * times), 3, floor=66)
        for times in (1, 3)
    )

    assert onward_tempo(once, ITEM) == suggested_tempo(once, ITEM)
    assert onward_tempo(often, ITEM) == 22


@pytest.mark.parametrize(("suggested", "slower"), [(80, 58), (58, 58), (56, 56), (40, 56)])
def test_a_third_try_is_one_or_two_marks_slower(suggested: int, slower: int) -> None:
    assert slower_tempo(BeatsPerMinute(60), BeatsPerMinute(suggested)) == slower


def test_nothing_is_suggested_under_the_slowest_mark() -> None:
    failing = "\n".join(f"1 1:asc:down:{fret} 40 sloppy 9" for fret in range(1, 20))

    assert suggested_tempo(ability(failing), ITEM) == 20


def test_a_higher_clean_target_means_a_slower_tempo() -> None:
    asked = [suggested_tempo(ability("", target=t), ITEM) for t in (0.7, 0.8, 0.9)]

    assert asked == sorted(asked, reverse=True)
    assert asked[0] > asked[-1]


def test_an_item_ahead_is_planned_at_the_floor_tempo_where_it_has_a_fair_chance() -> None:
    assert onward_tempo(ability("", floor=60), ITEM) == 60
    assert onward_tempo(ability("", floor=160), ITEM) < 60


@pytest.mark.parametrize(
    ("tempo", "times", "again", "planned"),
    [
        (48, 1, "", 60),
        (48, 2, "", 60),
        (48, 3, "", 52),
        (46, 1, "", 50),
        (48, 1, "1.5 1:asc:down:5 52 sloppy", 52),
        (48, 1, "1.5 1:asc:down:3 48 sloppy", 52),
    ],
)
def test_who_stopped_after_a_clean_warm_up_goes_on_at_the_floor_tempo(
    tempo: int, times: int, again: str, planned: int
) -> None:
    """Not under it, where nothing counts; a warm-up is four fifths of the tempo."""
    frets = (1, 2, 3, 4, 5) * times
    warm_up = "\n".join(
        f"1.{n:02d} 1:asc:down:{fret} {tempo} clean" for n, fret in enumerate(frets)
    )
    asked = ability(f"{warm_up}\n{again}", 2)

    assert onward_tempo(asked, ITEM) == planned


def test_other_notes_per_beat_change_the_tempo_but_not_the_speed() -> None:
    three = ability("")
    six = three._replace(notes_per_beat=6)

    assert three.outlook(ITEM) == six.outlook(ITEM)
    assert suggested_tempo(six, ITEM) <= suggested_tempo(three, ITEM)
