"""What Hypothesis draws from: necks, items, histories."""

from hypothesis import assume
from hypothesis import strategies as st

from scheduler.errors import NeckError
from scheduler.guitar.boxes import check_boxes
from scheduler.guitar.items import Item, catalogue
from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import Neck, parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.player.facts import Fact, Pass, Reset
from scheduler.player.moments import MS_PER_DAY
from tests.player.logs import moment


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
