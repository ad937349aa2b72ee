"""A player with several machines: whatever was done where, their ledgers come to be the same."""

import json
import tempfile
from contextlib import closing
from pathlib import Path
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.cache import current_state, has_fitting_state
from scheduler.ledger.events import Event, SettingChanged, Withdrawal
from scheduler.ledger.events_table import Row, all_events
from scheduler.ledger.exchange import read_record, record_lines
from scheduler.ledger.merge import read_other, take_in
from scheduler.ledger.record import Ledger
from scheduler.ledger.schema import is_sound
from scheduler.plan.settings import in_force
from scheduler.player.facts import Pass, Reset, RoundStarted
from scheduler.player.moments import MS_PER_DAY, Moment
from scheduler.player.replay import in_order, replay
from tests.conftest import EXAMPLES

ITEMS = round_items(parse_neck())[:12]
START = Moment(1_764_000_000_000, 60)
MACHINES = 3
DEEDS = st.lists(
    st.tuples(
        st.integers(0, MACHINES - 1),
        st.sampled_from(["passes", "passes", "reset", "round", "setting", "undo", "merge", "file"]),
        st.integers(0, 2**32),
    ),
    max_size=25,
)


def do(ledger: Ledger, deed: str, random: Random) -> None:
    """Record something, at some time within a month."""
    now = START._replace(utc_ms=START.utc_ms + random.randrange(30 * MS_PER_DAY))
    ids, item = ledger.ids(now), random.choice(ITEMS)
    events: list[Event] = []
    if deed == "passes":
        for _ in range(random.choice([1, 3, 150])):
            clean = random.random() < 0.7
            events.append(
                Pass(ids.next(), now, random.choice(ITEMS), 24, BeatsPerMinute(60), 3, clean,
                     0 if clean else None)
            )  # fmt: skip
    elif deed == "reset":
        events.append(Reset(ids.next(), now, item))
    elif deed == "round":
        events.append(RoundStarted(ids.next(), now, random.randrange(1, 5), ()))
    elif deed == "setting":
        name, value = random.choice(
            [("minutes", "15"), ("minutes", "30"), ("floor_tempo", "66"), ("frets", "12"),
             ("lowest_fret", "12"), ("lowest_fret", "0"), ("notes_per_beat", "4")]
        )  # fmt: skip
        events.append(SettingChanged(ids.next(), now, name, value))
    else:
        known = [row["id"] for row in all_events(ledger.db.conn) if row["kind"] != "withdrawal"]
        if known:
            events.append(Withdrawal(ids.next(), now, random.choice(known)))
    if events:
        ledger.append(events)
        current_state(ledger)


def take(ledger: Ledger, other: Ledger, *, by_file: bool) -> None:
    """Take in another machine's record, by merging its ledger or through a file."""
    if by_file:
        reading = read_record("".join(record_lines(all_events(other.db.conn))))
        assert reading.problems == []
        take_in(ledger, reading.rows, dry_run=False)
    else:
        take_in(ledger, read_other(other.path), dry_run=False)


def events_of(ledger: Ledger) -> list[Row]:
    return sorted(all_events(ledger.db.conn), key=json.dumps)


@settings(max_examples=max(20, EXAMPLES // 3))
@given(DEEDS, st.permutations(range(MACHINES)))
def test_machines_come_to_be_the_same(deeds: list[tuple[int, str, int]], order: list[int]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        machines = [Ledger(Path(folder) / f"{number}.db") for number in range(MACHINES)]
        for place, deed, seed in deeds:
            random = Random(seed)
            if deed in {"merge", "file"}:
                other = machines[(place + random.choice([1, 2])) % MACHINES]
                take(machines[place], other, by_file=deed == "file")
            else:
                do(machines[place], deed, random)
        for _ in range(2):
            for place in order:
                for other in machines:
                    take(machines[place], other, by_file=False)
        states = [current_state(ledger).state for ledger in machines]
        first, *others = machines
        for ledger in others:
            assert events_of(ledger) == events_of(first)
            assert in_force(ledger.setting_changes()) == in_force(first.setting_changes())
        assert states == [replay(in_order(first.facts()))] * MACHINES
        for ledger in machines:
            assert is_sound(ledger.db.conn)
            assert has_fitting_state(ledger)
            with closing(ledger.db):
                assert ledger.db.execute("PRAGMA foreign_key_check").fetchone() is None
