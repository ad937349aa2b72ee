"""The pictures of the report and of the class, drawn of numbers that are known."""

import re
from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.patterns import parse_address
from scheduler.guitar.rounds import Trip
from scheduler.guitar.routine import PENTATONIC, Part
from scheduler.plan.projection import Milestone, Window
from scheduler.plan.session import Block, PlannedItem, Reason
from scheduler.player.chronicle import Tempos, Told
from scheduler.player.facts import Fault
from scheduler.player.standing import Standing
from scheduler.practice.attention import FINE, Attention, Why
from scheduler.practice.look import Look, Week
from scheduler.practice.neck_map import Cell, Row
from scheduler.practice.report.faults import FaultsReport, Hard
from scheduler.practice.report.minutes import Minutes, TimeSpent
from scheduler.practice.report.next import Next
from scheduler.practice.report.periods import Period, periods_of
from scheduler.practice.report.report import Report
from scheduler.practice.report.rounds import RoundLine
from scheduler.practice.report.way import Forecast, Way
from scheduler.show.report.chart import Chart, Scale, Words, apart, dates_below, heights
from scheduler.show.report.faults import faults_picture
from scheduler.show.report.minutes import minutes_picture
from scheduler.show.report.neck import neck_picture
from scheduler.show.report.next import next_picture
from scheduler.show.report.players import players_pictures
from scheduler.show.report.rounds import rounds_picture
from scheduler.show.report.tempos import tempos_picture, thinned
from scheduler.show.report.told import told_picture
from scheduler.show.report.values import Picture
from scheduler.show.report.way import way_picture

AS_OF = date(2026, 11, 25)
"""A Wednesday."""
TODAY = AS_OF.toordinal()


def ahead(days: int) -> date:
    return AS_OF + timedelta(days=days)


def window(early: int, middle: int, late: int) -> Window:
    return Window(ahead(early), ahead(middle), ahead(late))


LIKELY = window(7, 14, 30)
ENDS = (
    Milestone(Part.SINGLES, Trip(Part.SINGLES, 1, False, ()), window(-9, -9, -9), ahead(-9)),
    Milestone(Part.SINGLES, Trip(Part.SINGLES, 2, False, ()), LIKELY, None),
    Milestone(None, None, LIKELY, None),
)
WAY = Way(
    items_total=100, done={TODAY - 9: 20, TODAY - 3: 30, TODAY - 1: 40},
    ahead={TODAY: 40, TODAY + 14: 100}, planned={TODAY: 30, TODAY + 1: 60, TODAY + 6: 15},
    early={TODAY: 40, TODAY + 7: 100}, late={TODAY: 40, TODAY + 30: 100},
    milestones=ENDS, before=(), obstacle="", periods=tuple(periods_of(TODAY - 9, TODAY + 14)),
)  # fmt: skip
THIS_WEEK = WAY.periods[1]
REPORT = Report(
    as_of=AS_OF, routine=PENTATONIC, round_number=1, passes=500,
    next=Next((), False, (), 0, 0), way=WAY,
    neck=(), frets=12, is_left_handed=False, notes_per_beat=3,
    tempos=(), told=(), told_since=date(2026, 11, 1), time=TimeSpent((), {}, 60, 30),
    faults=FaultsReport({}, {}, {}, {}, ()), rounds=(),
)  # fmt: skip


def cells(picture: Picture, key: str) -> list[list[str]]:
    (table,) = (table for table in picture.tables if table.key == key)
    return [[cell.text for cell in row] for row in table.rows]


def texts(chart: Chart) -> list[str]:
    return [words.text for words in chart.words]


@pytest.mark.parametrize(
    ("first", "days", "named"),
    [
        (date(2026, 11, 4), 21, {"9 Nov": 5, "16 Nov": 12, "23 Nov": 19}),
        (date(2026, 4, 10), 300, {"May": 21, "Jul": 82, "Sep": 144, "Nov": 205, "Jan 2027": 266}),
        (date(2019, 3, 1), 8 * 365, {"2020": 306, "2022": 1037, "2024": 1767, "2026": 2498}),
    ],
)
def test_mondays_months_or_years_are_named(first: date, days: int, named: dict[str, float]) -> None:
    across = Scale(first.toordinal(), first.toordinal() + days, 0, days)

    assert {words.text: words.x for words in dates_below(across, 0)} == named


def test_a_low_chart_has_few_thin_lines_each_with_its_number() -> None:
    grid, numbers = heights(Scale(0, 100, 200, 0), 2)

    assert grid == [200, 100, 0]
    assert [(words.text, words.y) for words in numbers] == [("0", 204), ("50", 104), ("100", 4)]


def test_a_few_passes_are_counted_in_whole_ones() -> None:
    _, numbers = heights(Scale(0, 2, 200, 0))

    assert [words.text for words in numbers] == ["0", "1", "2"]


def test_labels_that_would_lie_on_each_other_are_moved_apart() -> None:
    placed = apart([Words(0, 20, "b"), Words(0, 18, "a"), Words(0, 90, "c")])

    assert [(words.text, words.y) for words in placed] == [("a", 18), ("b", 30), ("c", 90)]


BOX_2, COUPLING = (2, False, ""), (3, True, "desc")
FAULTS = FaultsReport(
    over_time={THIS_WEEK: Counter({Fault.RINGING: 1, Fault.SYNC: 2, None: 1})},
    by_trip={BOX_2: Counter({Fault.RINGING: 1, Fault.SYNC: 2}), COUPLING: Counter({Fault.SYNC: 1})},
    passes={COUPLING: 8, (1, False, ""): 90, BOX_2: 30},
    by_region={1: Counter({Fault.RINGING: 3, None: 9}), 5: Counter({Fault.SYNC: 5})},
    hardest=(Hard(BOX_2, 7, 6, 1), Hard(COUPLING, 4, 9, 6)),
)


def what_goes_wrong() -> Picture:
    return faults_picture(replace(REPORT, faults=FAULTS))


def test_the_fault_that_was_named_most_often_and_the_worst_place_are_told() -> None:
    assert what_goes_wrong().sentences[:2] == [
        "Most often: hands not together, 5 of 8 faults that you named.",
        "Most often sloppy so far: box 2 at fret 7, 1 of 6 passes clean.",
    ]


def test_each_box_has_its_own_faults_and_passes() -> None:
    assert cells(what_goes_wrong(), "faults_by_box") == [
        ["box 2", "1", "2", "0", "0", "30"], ["boxes 3+4 from the top", "0", "1", "0", "0", "8"],
    ]  # fmt: skip


def test_one_kind_of_fault_is_drawn_where_the_other_ends() -> None:
    (low, middle, high), (left, right, below) = (each.bars for each in what_goes_wrong().charts[:2])

    assert [(bar.kind, bar.height) for bar in (low, middle)] == [("first", 34), ("second", 68)]
    assert (middle.y + middle.height, high.y + high.height) == (low.y, middle.y)
    assert (left.x, right.x) == (below.x, left.x + left.width)
    assert right.width == pytest.approx(2 * left.width, abs=0.2)


def spent(*minutes: Minutes) -> Picture:
    reasons = {None: 5.0, Reason.WARM_UP: 15.0, Reason.ONWARD: 60.0}
    return minutes_picture(replace(REPORT, time=TimeSpent(minutes, reasons, 60, 30)))


def week(place: int, practised: float, planned: float, days: int) -> Minutes:
    first = THIS_WEEK.first + 7 * place
    return Minutes(Period(first, first + 6, False), practised, planned, days, 5, 0.5)


def test_the_last_eight_weeks_are_told_by_the_day() -> None:
    before = [week(n, 700, 700, 7) for n in (-9, -8)]
    said = spent(*before, *(week(n, 60, 80, 4) for n in range(-7, 1))).sentences[0]

    assert re.findall(r"(\d+) minutes a day on (\d+) days", said) == [("15", "32")]
    assert re.findall(r"(\d+)%", said) == ["75"]


def test_what_was_set_aside_is_the_wide_bar_and_what_was_practised_the_narrow_one() -> None:
    planned, practised = spent(week(0, 40, 100, 4)).charts[0].bars

    assert (planned.kind, planned.y, planned.height) == ("third", 18, 136)
    assert (practised.kind, practised.y, practised.height) == ("first", 99.6, 54.4)


def test_what_the_minutes_went_to_is_told_as_a_share_of_all() -> None:
    assert cells(spent(week(0, 80, 100, 4)), "reasons") == [
        ["warm-up", "15.0", "19%"], ["new ground", "60.0", "75%"], ["played again", "5.0", "6%"],
    ]  # fmt: skip


def neck(*, left_handed: bool = False) -> Picture:
    tempos = enumerate((60.0, 90.0, 80.0, 70.0, None), 1)
    places = {fret: Cell(Standing.CLEAN, False, tempo) for fret, tempo in tempos}
    rows = (Row(Part.SINGLES, 1, False, places),)
    return neck_picture(replace(REPORT, neck=rows, is_left_handed=left_handed))


def test_the_neck_of_a_left_handed_player_is_mirrored() -> None:
    right, left = neck().charts[0], neck(left_handed=True).charts[0]

    assert [bar.x for bar in right.bars] == [93, 117, 141, 165, 189]
    assert [bar.x for bar in left.bars] == [189, 165, 141, 117, 93]
    assert texts(left)[:5] == ["5", "4", "3", "2", "1"]


def test_the_faster_a_place_the_higher_its_shade() -> None:
    tempos = neck().charts[1]
    shades = [bar.kind.removeprefix("shade-") for bar in tempos.bars]

    assert shades == ["0", "3", "2", "1", "none"]
    assert texts(tempos)[-5:] == ["60", "90", "80", "70", ""]


def block(left: int) -> tuple[Block, int]:
    tempo, items = BeatsPerMinute(72), [parse_address(f"2:asc:down:{fret}") for fret in (4, 5, 6)]
    planned = tuple(PlannedItem(item, tempo, 0.8, 1.2, 30, 0, "") for item in items)
    return Block(1, Reason.ONWARD, tempo, 3, 90, planned), left


def next_of(*left: int, is_kept: bool = True) -> Picture:
    return next_picture(replace(REPORT, next=Next(tuple(map(block, left)), is_kept, (), 0, 0)))


def test_what_is_left_of_today_is_told() -> None:
    would_be = "Today's session would be 3 items: upneck today plans it."

    assert next_of().sentences[0] == "Nothing is planned today."
    assert next_of(0, 0).sentences[0] == "Today's session is done."
    assert next_of(1, 2).sentences[0] == "Today: 3 items left."
    assert next_of(3, is_kept=False).sentences[0] == would_be


def test_a_block_is_told_with_its_minutes() -> None:
    what = "New ground: box 2, frets 4 to 6, up the neck, downstroke first, ascending"

    assert cells(next_of(2), "today") == [["1", what, "72", "1.5", "2"]]


def past_round(number: int) -> RoundLine:
    days = date(2024, number, 1), date(2024, number, 20), date(2024, number, 28)
    return RoundLine(number, *days, 20, 600, 200, 100, BeatsPerMinute(60), 5, 2)


def rounds(*before: int) -> Picture:
    now = past_round(12)._replace(
        done_on=None, ended=None, seconds=300, clean=160, tempo=BeatsPerMinute(75)
    )
    return rounds_picture(replace(REPORT, rounds=(*map(past_round, before), now)))


def test_a_round_is_told_with_what_it_took_and_what_became_of_its_weak_places() -> None:
    took, shares = rounds(11).sentences

    assert took.startswith("Round 11 took 10 min on 20 days; of its 5 weak places 3 ")
    assert shares == "In round 12 80% of the passes are clean so far; in round 11 it was 50%."


def test_a_round_is_a_row_with_its_minutes_and_its_share_of_clean_passes() -> None:
    assert cells(rounds(1), "rounds") == [
        [
            "1", "1 January 2024", "20 January 2024", "28 January 2024",
            "20", "10.0", "200", "50%", "60", "5", "2",
        ],
        ["12", "1 December 2024", "-", "-", "20", "5.0", "200", "80%", "75", "-", "-"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("weak", "weak_now", "said"),
    [
        (0, 0, "20 days."), (1, 0, "its one weak place holds now."),
        (1, 1, "its one weak place is still weak."), (3, 2, "of its 3 weak places 1 holds now."),
    ],
)  # fmt: skip
def test_what_became_of_the_weak_places_is_told(weak: int, weak_now: int, said: str) -> None:
    lines = past_round(1)._replace(weak=weak, weak_now=weak_now), past_round(2)

    assert rounds_picture(replace(REPORT, rounds=lines)).sentences[0].endswith(said)


def test_the_last_twelve_rounds_are_drawn_and_told_and_all_stand_in_the_table() -> None:
    picture, more = rounds(*range(1, 12)), rounds(1, *range(1, 12))

    assert (picture.charts, picture.sentences) == (more.charts, more.sentences)
    assert len(more.charts[0].bars) == 12
    assert len(cells(more, "rounds")) == 13


def tempos_on(ago: int, boxes: tuple[float, float], couplings: tuple[float, float]) -> Tempos:
    return Tempos(PENTATONIC, TODAY - ago, boxes, couplings, 2.0)


def tempos_over_time() -> Picture:
    tempos = (
        tempos_on(24, (0, 0), (0, 0)), tempos_on(17, (4, 3.5), (0, 0)),
        tempos_on(10, (4.5, 3.75), (3, 2.5)), tempos_on(0, (5, 4), (3.25, 2.75)),
    )  # fmt: skip
    return tempos_picture(replace(REPORT, tempos=tempos))


def test_tempos_are_told_from_the_first_week_that_has_them() -> None:
    assert tempos_over_time().sentences[:-1] == [
        "Boxes: half at 100 or faster (80 on 8 November), the slowest tenth at 80 or slower.",
        "Couplings: half at 65 or faster (60 on 15 November), the slowest tenth at 55 or slower.",
    ]


def test_each_series_of_tempos_has_its_column() -> None:
    assert cells(tempos_over_time(), "tempos")[1:] == [
        ["8 November", "80", "70", "-", "-", "40"],
        ["15 November", "90", "75", "60", "50", "40"],
        ["25 November", "100", "80", "65", "55", "40"],
    ]


def test_of_many_weeks_the_last_of_each_month_stays() -> None:
    weeks = tuple(tempos_on(7 * n, (4, 3), (0, 0)) for n in reversed(range(70)))
    left = [date.fromordinal(each.day) for each in thinned(weeks)]

    assert (len(left), left[0], left[-1]) == (17, date(2025, 7, 30), AS_OF)
    assert all((day + timedelta(weeks=1)).month != day.month for day in left)
    assert thinned(weeks[-60:]) == list(weeks[-60:])


def told(*fifths: tuple[int, int, float]) -> Picture:
    return told_picture(replace(REPORT, told=tuple(Told(*each) for each in fifths)))


@pytest.mark.parametrize(
    ("fifths", "shares", "verdict"),
    [
        ([(9, 2, 4.9), (10, 9, 9.3)], (19, 75, 58), "That is too few to judge it by."),
        ([(20, 15, 14.6)], (20, 73, 75), "On the whole the forecasts were right."),
        ([(20, 15, 15.4)], (20, 77, 75), "On the whole the forecasts were right."),
        ([(10, 9, 4.0), (40, 36, 36.0)], (50, 80, 90), "You play cleaner than it thought."),
        ([(10, 4, 9.0), (40, 36, 36.0)], (50, 90, 80), "You play less clean than it thought."),
    ],
)
def test_the_forecasts_are_judged(
    fifths: list[tuple[int, int, float]], shares: tuple[int, int, int], verdict: str
) -> None:
    said = told(*fifths).sentences
    begin = "Since 1 November, of {} passes Upneck expected {}% to be clean; {}% were."

    assert said[:2] == [begin.format(*shares), verdict]


def test_a_dot_lies_at_what_was_expected_and_as_high_as_what_came() -> None:
    picture = told((0, 0, 0), (19, 10, 5.7), (20, 8, 15.0))

    assert [(dot.x, dot.y) for dot in picture.charts[0].marks] == [(387, 133.2)]
    assert cells(picture, "told")[1:] == [
        ["33 to 66%", "19", "30%", "53%"], ["66 to 100%", "20", "75%", "40%"],
    ]  # fmt: skip


def way(**changed: Any) -> Picture:  # noqa: ANN401
    return way_picture(replace(REPORT, way=WAY._replace(**changed)))


def ends(when: Window) -> tuple[Milestone, ...]:
    return (*ENDS[:-1], Milestone(None, None, when, None))


def test_the_likely_end_is_told() -> None:
    likely = "it is finished about 9 December (likely 2 to 25 December)."
    clean = "Round 1: 40 of 100 items are clean."
    not_begun = way_picture(replace(REPORT, passes=0))

    assert way().sentences[0] == f"{clean} At your pace {likely}"
    assert not_begun.sentences[0] == f"{clean} With the minutes and days you set {likely}"


@pytest.mark.parametrize(
    ("end", "said"),
    [
        (6, "1 December, sooner than that"), (7, "2 December, inside it"),
        (30, "25 December, inside it"), (31, "26 December, later than that"),
    ],
)  # fmt: skip
def test_an_earlier_forecast_is_held_against_the_end(end: int, said: str) -> None:
    before = (Forecast(ahead(-7), LIKELY, ""),)
    now = way(before=before, milestones=ends(window(5, end, 60))).sentences

    assert now[-1] == f"The forecast of 18 November was 2 to 25 December; now it is {said}."


def test_the_band_runs_along_the_early_ends_and_back_along_the_late_ones() -> None:
    assert way().charts[0].bands == ["169,121.2 245.3,18 496,18 169,121.2"]
    assert "Shaded: eight chances in ten." in way().sentences[1]


@pytest.mark.parametrize(
    "milestones", [ends(LIKELY._replace(late=None)), ends(LIKELY._replace(is_open=True))]
)
def test_without_a_late_end_there_is_no_band(milestones: tuple[Milestone, ...]) -> None:
    picture = way(milestones=milestones)

    assert picture.charts[0].bands == way(late={}).charts[0].bands == []
    assert "Shaded" not in picture.sentences[1]


@pytest.mark.parametrize(("end", "named"), [(5, ["today"]), (6, ["today", "1 Dec"])])
def test_the_end_is_named_where_it_is_far_from_today(end: int, named: list[str]) -> None:
    chart = way(milestones=ends(window(end, end, 30))).charts[0]

    assert [words.text for words in chart.words if words.y == 15] == named


@pytest.mark.parametrize(("total", "named"), [(100, "0 20 40 60 80 100"), (306, "0 100 200 306")])
def test_the_total_is_named_alone_where_a_round_number_is_near(total: int, named: str) -> None:
    chart = way(items_total=total).charts[0]

    assert [words.text for words in chart.words if words.anchor == "end"] == named.split()


def test_minutes_are_bars_and_the_ends_of_boxes_lie_on_the_line() -> None:
    chart = way().charts[0]

    assert [bar.height for bar in chart.bars] == [13, 26, 6.5]
    assert [(mark.x, mark.y) for mark in chart.marks] == [(70.9, 155.6), (321.6, 18)]


def test_each_week_has_what_was_clean_and_what_is_planned_and_expected() -> None:
    assert cells(way(), "way") == [
        ["16 November", "30", "-", "-"], ["23 November", "40", "90", "57"],
        ["30 November", "-", "15", "87"], ["7 December", "-", "0", "100"],
    ]  # fmt: skip


LOOK = Look(
    as_of=AS_OF, routine="pentatonic", round=1, items_total=400, items_clean=100,
    week=Week(4, 6, 5400, 7200, 50, 40, 7), week_before=Week(3, 6, 3600, 7200, 40, 20, 5),
    places=(), finish=LIKELY, obstacle="", done_on=None, last_played=AS_OF, assigned=None,
)  # fmt: skip
BEN = ("Ben", replace(LOOK, items_clean=300), Attention(Why.AWAY, -9))
MIA = ("Mia", LOOK, FINE)


def test_the_class_names_those_who_need_a_look() -> None:
    standing = players_pictures([BEN, MIA], AS_OF)[0]
    why = [row[-1] for row in cells(standing, "standing")]

    assert standing.sentences[:-1] == ["Ben: not heard from for 9 days."]
    assert why == ["Not heard from for 9 days", "All is well"]


def test_the_bar_of_a_player_is_filled_as_far_as_the_round_is_clean() -> None:
    chart = players_pictures([BEN, MIA], AS_OF)[0].charts[0]

    assert [bar.width for bar in chart.bars] == [332, 249, 332, 83]


def test_the_week_of_a_player_lies_beside_what_was_planned() -> None:
    week = players_pictures([MIA], AS_OF)[1]

    assert cells(week, "week") == [["Mia", "4", "6", "90.0", "120.0", "7"]]
    assert [bar.width for bar in week.charts[0].bars] == [332, 249]
    assert texts(week.charts[0]) == ["Mia", "90 of 120 min"]


def test_clean_passes_of_a_player_lie_beside_those_of_the_week_before() -> None:
    clean = players_pictures([MIA], AS_OF)[2]

    assert cells(clean, "clean") == [["Mia", "80%", "50%", "50", "40"]]
    assert [bar.width for bar in clean.charts[0].bars] == [265.6]
    assert [mark.x for mark in clean.charts[0].marks] == [330]
    assert texts(clean.charts[0]) == ["Mia", "80%"]


def test_the_end_of_each_player_is_a_line_from_early_to_late_or_told() -> None:
    never = replace(LOOK, finish=Window(None, None, None))
    done = replace(LOOK, finish=window(-1, -1, -1), done_on=ahead(-1))
    blocked = replace(never, obstacle="No day is planned.")
    new = replace(LOOK, finish=LIKELY._replace(late=None, is_open=True))
    looks = [LOOK, done, blocked, never, new]
    picture = players_pictures([("Mia", look, FINE) for look in looks], AS_OF)[3]
    chart = picture.charts[0]

    assert texts(chart)[1:10:2] == [
        "2 Dec to 25 Dec", "done on 24 November", "no end in sight", "not within five years",
        "2 Dec or later",
    ]  # fmt: skip
    assert [line.points for line in chart.lines] == ["241.5,26 496,26"]
    assert [(mark.x, mark.y) for mark in chart.marks] == [(318.9, 26), (318.9, 122)]
    following = replace(LOOK, finish=Window(date(2026, 12, 30), date(2027, 1, 3), date(2027, 1, 9)))
    assert "30 Dec to 9 Jan 2027" in texts(
        players_pictures([("Bo", following, FINE)], AS_OF)[3].charts[0]
    )
    assert cells(picture, "ends")[0] == ["Mia", "-", "9 December", "2 December", "25 December"]
