"""The tempo suggested for the next pass."""

from scheduler.guitar.metronome import MARKS, BeatsPerMinute, speed_of
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.patterns import parse_address
from scheduler.player.replay import replay
from scheduler.player.tempo import Ability, onward_tempo, suggested_tempo
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


def test_a_suggestion_is_at_most_two_marks_above_the_fastest_recent_clean_pass() -> None:
    assert suggested_tempo(ability(clean_days(60, 8), 8.5), ITEM) == 66


def test_after_thirty_days_the_old_passes_bind_no_more() -> None:
    assert suggested_tempo(ability(clean_days(60, 8), 45), ITEM) != 66


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


def test_other_notes_per_beat_change_the_tempo_but_not_the_speed() -> None:
    three = ability("")
    six = three._replace(notes_per_beat=6)

    assert three.outlook(ITEM) == six.outlook(ITEM)
    assert suggested_tempo(six, ITEM) <= suggested_tempo(three, ITEM)
