"""Whatever clocks said: nothing is refused or lost, acts keep their order, machines agree."""

import tempfile
from contextlib import closing
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.acts import last_done, undo_act
from scheduler.ledger.check import problems_of
from scheduler.ledger.doing import doing
from scheduler.ledger.intake import problems_of_rows, take_in
from scheduler.ledger.logfile import log_lines
from scheduler.ledger.merge import read_other
from scheduler.ledger.record import Ledger
from scheduler.player.facts import Pass
from scheduler.player.moments import MS_PER_DAY, Moment
from tests.conftest import EXAMPLES

ITEM = round_items(parse_neck())[0]
START_MS = 1_764_000_000_000
WRONG_DAYS = (0.0, 0.0, 0.0, 0.04, -0.04, 1.5, -1.5, 12.0, -12.0, 1700.0, -1700.0, 24_000.0)
EVENINGS = st.lists(
    st.tuples(
        st.sampled_from(WRONG_DAYS),
        st.sampled_from((1, 1, 2, 10, 50)),
        st.sampled_from(("pass", "pass", "pass", "by hand", "undone", "merge")),
    ),
    min_size=2,
    max_size=14,
)


def play(ledger: Ledger, now: Moment, tempo: int, back_ms: int = 0) -> None:
    with doing(ledger, "record", now) as act:
        moment = act.moment._replace(utc_ms=now.utc_ms - back_ms) if back_ms else act.moment
        act.add([Pass(act.ids.next(), moment, ITEM, 24, BeatsPerMinute(tempo), 3, clean=True,
                      errors=0)])  # fmt: skip


def tempos(ledger: Ledger) -> list[float]:
    return [played.tempo for played in ledger.passes()]


@pytest.mark.slow
@settings(max_examples=max(25, EXAMPLES))
@given(EVENINGS)
def test_whatever_a_clock_said_nothing_is_lost_and_acts_keep_their_order(
    evenings: list[tuple[float, int, str]],
) -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        closing(Ledger(Path(folder) / "a.db")) as ledger,
        closing(Ledger(Path(folder) / "b.db")) as other,
    ):
        truly_ms, entered, by_hand = START_MS, [], set()
        for number, (wrong_days, days_on, what) in enumerate(evenings):
            truly_ms += days_on * MS_PER_DAY
            now = Moment(truly_ms + round(wrong_days * MS_PER_DAY), 60)
            tempo = 40 + number
            before = list(log_lines(ledger.passes()))
            play(ledger, now, tempo, 3_600_000 if what == "by hand" else 0)
            if what == "undone":
                act = last_done(ledger)
                assert act is not None
                undo_act(ledger, act, now)
                assert list(log_lines(ledger.passes())) == before
                continue
            entered.append(tempo)
            if what == "by hand":
                by_hand.add(tempo)
            rows = read_other(ledger.path)
            if what == "merge" and not problems_of_rows(rows, Moment(truly_ms, 60)):
                take_in(other, "merge", rows, Moment(truly_ms, 60))
        right = Moment(truly_ms + MS_PER_DAY, 60)
        with doing(ledger, "clock", right, clock_is_right=True) as clock:
            clock.correct()
        assert [t for t in tempos(ledger) if t not in by_hand] == [
            t for t in entered if t not in by_hand
        ]
        assert sorted(tempos(ledger)) == entered
        latest = max((p.moment.utc_ms for p in ledger.passes()), default=0)
        assert latest <= right.utc_ms + len(evenings)
        assert problems_of(ledger, right) == []
        take_in(other, "merge", read_other(ledger.path), right)
        assert list(log_lines(other.passes())) == list(log_lines(ledger.passes()))
