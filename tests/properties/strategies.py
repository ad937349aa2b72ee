"""What Hypothesis draws from: necks, items, histories."""

from hypothesis import assume
from hypothesis import strategies as st

from scheduler.errors import NeckError
from scheduler.guitar.boxes import check_boxes
from scheduler.guitar.items import Item, catalogue, check_room
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import MOST_FRETS, Neck, parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.guitar.routine import PART_ORDER, Routine, Stroke, routine
from scheduler.player.facts import Fact, Pass, Reset
from scheduler.player.moments import MS_PER_DAY
from tests.player.logs import moment

TUNINGS = ("E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2", "B1 E2 A2 D3 G3 B3 E4", "E2 A2 D3 G3 C4 F4")


@st.composite
def necks(draw: st.DrawFn) -> Neck:
    """Any neck that the five boxes fit on."""
    lowest = draw(st.integers(20, 60))
    steps = draw(st.lists(st.integers(3, 7), min_size=2, max_size=8))
    tuning = [lowest]
    for step in steps:
        tuning.append(tuning[-1] + step)
    frets, lowest_fret = draw(st.integers(12, 36)), draw(st.integers(0, 5))
    try:
        return check_boxes(Neck(tuple(tuning), frets, lowest_fret))
    except NeckError:
        assume(condition=False)
        raise


@st.composite
def routines(draw: st.DrawFn) -> Routine:
    """Any routine that nobody would refuse before a neck is at hand."""
    size = draw(st.sampled_from([2, 3, 5, 6, 7, 8, 9]))
    bends = draw(st.lists(st.integers(-1, 1), min_size=size - 1, max_size=size - 1))
    even = [round(12 * n / size) for n in range(1, size)]
    rest = {min(max(note + bend, 1), 11) for note, bend in zip(even, bends, strict=True)}
    # As many notes of the scale as lie in a fourth, so that a box goes straight up the strings.
    notes_a_string = max(1, round(5 * (len(rest) + 1) / 12))
    group = draw(st.integers(2, 4 * notes_a_string if notes_a_string > 1 else 4))
    strokes = draw(st.permutations([Stroke.DOWN, Stroke.UP]))
    parts = draw(st.lists(st.sampled_from(PART_ORDER), min_size=1, unique=True))
    return routine(
        "own", "drawn", (0, *sorted(rest)), notes_a_string, group, draw(st.integers(1, group)),
        draw(st.integers(1, 4)), tuple(parts), (strokes[0], strokes[1]),
    )  # fmt: skip


@st.composite
def places(draw: st.DrawFn) -> tuple[Neck, Routine]:
    """A routine and a neck on which all its boxes lie."""
    drawn = draw(routines())
    tuning = draw(st.sampled_from(TUNINGS))
    neck = parse_neck(tuning, draw(st.integers(16, MOST_FRETS)), draw(st.integers(0, 2)))
    try:
        check_room(check_boxes(neck, drawn), drawn)
    except NeckError:
        assume(condition=False)
        raise
    return neck, drawn


@st.composite
def items(draw: st.DrawFn) -> tuple[Neck, Item]:
    """An item and the neck it lies on."""
    neck = draw(necks())
    return neck, draw(st.sampled_from(catalogue(neck)))


@st.composite
def histories(draw: st.DrawFn, most: int = 120) -> list[Fact]:
    """Passes and resets over some weeks, in order of time."""
    pool = round_items(parse_neck())
    size = draw(st.integers(0, most))
    seed = draw(st.randoms(use_true_random=False))
    clean_share = draw(st.sampled_from([0.0, 0.5, 0.85, 1.0]))
    spread = draw(st.sampled_from([0.001, 3.0, 30.0, 300.0]))
    reach = draw(st.integers(1, len(pool)))
    tempos = draw(st.sampled_from([[20.0], [400.0], [60.0], [40.0, 60.0, 63.5, 92.0]]))
    times = sorted(seed.uniform(0, spread) for _ in range(size))
    found: list[Fact] = []
    for number, time in enumerate(times):
        item = pool[seed.randrange(reach)]
        when = moment(1)._replace(utc_ms=moment(1).utc_ms + round(time * MS_PER_DAY))
        event_id = f"{number:036d}"
        if seed.random() < 0.02:
            found.append(Reset(event_id, when, item))
            continue
        clean = seed.random() < clean_share
        errors = 0 if clean else seed.choice([None, 1, 5, 999])
        tempo = BeatsPerMinute(seed.choice(tempos))
        notes = item.notes_on(6)
        found.append(Pass(event_id, when, item, notes, tempo, 3, clean, errors))
    return found
