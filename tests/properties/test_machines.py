"""A player with several machines, whatever is done where, held against an independent model.

After every deed each ledger says what the model says. An undo is the state of before, whatever it
was and whatever came between machines. In the end all ledgers come to be the same.
"""

import json
import tempfile
from collections import Counter
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.guitar.metronome import BeatsPerMinute
from scheduler.guitar.neck import parse_neck
from scheduler.guitar.rounds import round_items
from scheduler.ledger.acts import last_done, last_undone, redo_act, undo_act
from scheduler.ledger.cache import Loaded, current_state, has_fitting_state
from scheduler.ledger.damage import is_sound
from scheduler.ledger.doing import doing
from scheduler.ledger.events import Event, SettingChanged
from scheduler.ledger.events_table import Row, all_events
from scheduler.ledger.intake import problems_of_rows, take_in
from scheduler.ledger.logfile import log_lines, parse_log, told
from scheduler.ledger.merge import read_other
from scheduler.ledger.record import Ledger
from scheduler.ledger.record_file import read_record, record_lines
from scheduler.ledger.same_pass import rows_of_log
from scheduler.ledger.settings_said import setting_changes, setting_words
from scheduler.plan.settings import in_force
from scheduler.player.facts import Pass, Reset, RoundStarted
from scheduler.player.moments import Moment
from scheduler.player.replay import in_order, replay
from tests.conftest import EXAMPLES
from tests.properties.machines import Known, Machine, Said

ITEMS = round_items(parse_neck())[:12]
START = Moment(1_764_000_000_000, 60)
MACHINES = 3
TAKINGS = ("merge", "file", "log")
DEEDS = st.lists(
    st.tuples(
        st.integers(0, MACHINES - 1),
        st.sampled_from(
            [
                "passes",
                "passes",
                "reset",
                "round",
                "setting",
                "undo",
                "undo",
                "undo",
                "redo",
                *TAKINGS,
                *TAKINGS,
            ]
        ),
        st.integers(0, 2**32),
    ),
    min_size=12,
    max_size=30,
)


class Pair:
    """A machine's ledger and its model."""

    def __init__(self, path: Path) -> None:
        self.ledger = Ledger(path)
        self.model = Machine()
        self.loaded: Loaded | None = None

    def enter(self, deed: str, now: Moment, random: Random) -> None:
        """Record something."""
        with doing(self.ledger, deed, now) as act:
            act.add(self._events(deed, act.ids.next, now, random))
        self._learn("player")
        self.model.do([
            known(row)
            for row in all_events(self.ledger.db.conn)
            if row["id"] not in self.model.known
        ])  # fmt: skip

    def _events(self, deed: str, next_id: object, now: Moment, random: Random) -> list[Event]:
        assert callable(next_id)
        if deed == "passes":
            return [
                Pass(next_id(), now, random.choice(ITEMS[:4]), 24, BeatsPerMinute(60), 3, clean,
                     0 if clean else None)
                for clean in random.choices([True, False], [7, 3], k=random.choice([1, 2, 3, 110]))
            ]  # fmt: skip
        if deed == "reset":
            return [Reset(next_id(), now, random.choice(ITEMS))]
        if deed == "round":
            return [
                RoundStarted(next_id(), now, random.randrange(1, 5), ()),
                SettingChanged(next_id(), now, "floor_tempo", random.choice(["66", "72"])),
            ]
        name, value = random.choice(
            [("minutes", "15"), ("minutes", "30"), ("floor_tempo", "63"), ("frets", "12"),
             ("lowest_fret", "12"), ("lowest_fret", "0"), ("notes_per_beat", "4")]
        )  # fmt: skip
        return [SettingChanged(next_id(), now, name, value)]

    def take(self, other: "Pair", how: str, now: Moment) -> None:
        """Take in another machine's record."""
        if how == "log":
            self._take_log(other, now)
            return
        rows = (
            read_other(other.ledger.path)
            if how == "merge"
            else read_record("".join(record_lines(all_events(other.ledger.db.conn)))).rows
        )
        assert problems_of_rows(rows, now) == []
        self._take_rows(rows, "merge" if how == "merge" else "import", now)

    def _take_log(self, other: "Pair", now: Moment) -> None:
        lines, problems = parse_log(log_lines(other.ledger.passes()))
        assert problems == []
        rows, _ = rows_of_log(lines, self.ledger.passes(), 6)
        wanted = self.model.of_log([told(line) for line in lines])
        assert len(rows) == len(wanted)
        copies = {row["id"]: number for row, (_, number) in zip(rows, wanted, strict=True)}
        self._take_rows(rows, "import", now, copies)

    def _take_rows(
        self, rows: list[Row], what: str, now: Moment, copies: dict[str, int] | None = None
    ) -> None:
        take_in(self.ledger, what, rows, now, dry_run=True)
        self.agrees()
        take_in(self.ledger, what, rows, now)
        events = [known(row, (copies or COPIES).get(row["id"], 0)) for row in rows]
        COPIES.update(copies or {})
        self._learn("player", besides=frozenset(event.id for event in events))
        self.model.take(events)

    def undo(self, now: Moment) -> None:
        """Take the last deed back."""
        act = last_done(self.ledger)
        assert (act is None) == (not self.model.done)
        if act is None:
            return
        undo_act(self.ledger, act, now)
        deed = self.model.done.pop()
        self.model.undone.append(deed)
        marks = [event.said for event in self._learn("undo")]
        assert marks == [(deed.entry, False)] * bool(deed.entry)

    def redo(self, now: Moment) -> None:
        """Bring the last undone deed back, if nothing was done since."""
        act = last_undone(self.ledger)
        assert (act is None) == (not self.model.undone)
        if act is None:
            return
        redo_act(self.ledger, act, now)
        deed = self.model.undone.pop()
        self.model.done.append(deed)
        marks = [event.said for event in self._learn("undo")]
        assert marks == [(deed.entry, True)] * bool(deed.entry)

    def _learn(self, *kinds: str, besides: frozenset[str] = frozenset()) -> list[Known]:
        """Learn of events that this machine's ledger added by itself."""
        new = [
            known(row)
            for row in all_events(self.ledger.db.conn)
            if row["kind"] in kinds and row["id"] not in self.model.known.keys() | besides
        ]
        self.model.known |= {event.id: event for event in new}
        self.model.own |= {event.id for event in new}
        return new

    def agrees(self) -> None:
        """Assert that the ledger says what the model says."""
        assert Counter(told(played) for played in self.ledger.passes()) == self.model.passes()
        assert setting_words(self.ledger) == self.model.settings()
        self.loaded = current_state(self.ledger, since=self.loaded)
        state = self.loaded.state
        assert state.round.number == self.model.round_number()
        assert state == replay(in_order(self.ledger.facts()))

    def snapshot(self) -> tuple[object, ...]:
        """What an undo must bring back."""
        return (
            list(log_lines(self.ledger.passes())), setting_words(self.ledger),
            replay(in_order(self.ledger.facts())), self.model.round_number(),
        )  # fmt: skip


COPIES: dict[str, int] = {}
"""Which events come from logs, and the how many-eth of its kind each is: an id tells it."""


def known(row: Row, copy: int = 0) -> Known:
    """An event as the model sees it."""
    said: Said
    match row["kind"]:
        case "pass":
            item = f"{row['box']}{row['coupling']}{row['direction']}{row['stroke']}{row['fret']}"
            said = (item, row["at_ms"], row["clean"])
            said = PASS_WORDS.setdefault((row["id"], *said), _words(row))
        case "round":
            said = (row["number"],)
        case "setting":
            said = (row["name"], row["value"])
        case "undo":
            said = (row["target"], bool(row["redone"]))
        case "withdrawal":
            said = (row["target"],)
        case _:
            said = ()
    copy = copy or COPIES.get(row["id"], 0)
    return Known(row["id"], row["kind"], row["entry"], row["at_ms"], said, copy)


PASS_WORDS: dict[Said, Said] = {}


def _words(row: Row) -> Said:
    """What the log file says of a pass, put together anew."""
    at = Moment(row["at_ms"], row["offset_minutes"]).isoformat()
    box = str(row["box"]) if not row["coupling"] else f"{row['box']}+{row['box'] % 5 + 1}"
    address = f"{box}:{row['direction']}:{row['stroke']}:{row['fret']}"
    errors = "" if row["errors"] is None else str(row["errors"])
    beat, clean = str(row["notes_per_beat"]), str(row["clean"])
    return (at, address, f"{row['tempo']:.10g}", beat, clean, errors, "", "")


def events_of(ledger: Ledger) -> list[Row]:
    return sorted(all_events(ledger.db.conn), key=json.dumps)


def carry_out(pairs: list[Pair], deed: str, place: int, now: Moment, random: Random) -> None:
    """Do one thing on one machine, and hold it against the model."""
    pair = pairs[place]
    before = pair.snapshot()
    if deed == "undo":
        pair.undo(now)
    elif deed == "redo":
        pair.redo(now)
    elif deed in TAKINGS:
        pair.take(pairs[(place + random.choice([1, 2])) % MACHINES], deed, now)
    else:
        pair.enter(deed, now, random)
    pair.agrees()
    if deed not in {"undo", "redo"} and pair.snapshot() != before:
        pair.undo(now)
        assert pair.snapshot() == before, f"an undone {deed} left something"
        pair.redo(now)
        pair.agrees()


DIRECTED = (
    ("passes", "log", "merge", "undo", "merge"),
    ("passes", "log", "merge", "undo", "log", "merge"),
    ("passes", "file", "undo", "merge", "undo", "file"),
    ("passes", "undo", "log", "redo", "undo"),
    ("passes", "log", "merge", "undo", "undo", "log", "undo"),
)


@pytest.mark.parametrize("deeds", DIRECTED, ids=" ".join)
def test_what_is_brought_again_beside_a_log_counts_once(
    deeds: tuple[str, ...], tmp_path: Path
) -> None:
    """The first deed is done on one machine, the others on a second."""
    pairs = [Pair(tmp_path / f"{number}.db") for number in range(MACHINES)]
    now = START
    for number, deed in enumerate(deeds):
        now = now._replace(utc_ms=now.utc_ms + 60_000)
        pair = pairs[min(number, 1)]
        if deed in TAKINGS:
            pair.take(pairs[0], deed, now)
        elif deed in {"undo", "redo"}:
            (pair.undo if deed == "undo" else pair.redo)(now)
        else:
            pair.enter(deed, now, Random(1))
        pair.agrees()
        if pair.model.known:
            pairs[2].take(pair, "file", now)
            pairs[2].agrees()
    for pair in pairs:
        pair.ledger.close()


def all_the_same(pairs: list[Pair]) -> None:
    """Assert that all ledgers hold the same, and are sound."""
    first, *others = pairs
    for pair in pairs:
        pair.agrees()
        assert is_sound(pair.ledger.db.conn)
        assert has_fitting_state(pair.ledger)
    for other in others:
        assert events_of(other.ledger) == events_of(first.ledger)
        assert in_force(setting_changes(other.ledger)) == in_force(setting_changes(first.ledger))


@pytest.mark.slow
@settings(max_examples=max(2, EXAMPLES // 10))
@given(DEEDS, st.permutations(range(MACHINES)))
def test_machines_hold_the_laws_of_undo_and_union(
    deeds: list[tuple[int, str, int]], order: list[int]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        pairs = [Pair(Path(folder) / f"{number}.db") for number in range(MACHINES)]
        now = START
        for place, deed, seed in deeds:
            random = Random(seed)
            now = now._replace(utc_ms=now.utc_ms + random.choice([0, 1, 60_000, 86_400_000]))
            carry_out(pairs, deed, place, now, random)
        for _ in range(3):
            for place in order:
                for other in pairs:
                    if other is not pairs[place]:
                        pairs[place].take(other, "merge", now)
        all_the_same(pairs)
        for pair in pairs:
            with closing(pair.ledger.db):
                assert pair.ledger.db.execute("PRAGMA foreign_key_check").fetchone() is None
