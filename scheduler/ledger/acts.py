"""Acts: what was done on this machine, each one transaction, taken back and brought back whole.

An act of this machine's own is an entry of the record: its undo is an event, which goes wherever
the record goes. What was taken in from elsewhere (import, merge) is set aside here by an undo, and
stays where it came from.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.ledger.checkpoints import forget_from
from scheduler.ledger.clock import Dated, SetRight, set_right
from scheduler.ledger.events import Correction, Event, EventIds, PlayerKnown, Undo
from scheduler.ledger.events_table import Row, insert_rows, unknown_rows
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment

TAKINGS_IN = frozenset({"import", "merge"})


class Act(NamedTuple):
    """Something that was done here.

    Attributes:
        number: Its place in the order in which acts were last done.
        what: What was done: `record`, `play`, `reset`, `round`, `setup`, `import` and so on.
        moment: When.
        first_seq: The number of entry of the first event that it added.
        last_seq: The number of the last one.
        undone: Its place in the order in which acts were undone; None if it stands.
    """

    number: int
    what: str
    moment: Moment
    first_seq: int
    last_seq: int
    undone: int | None

    @property
    def is_taking_in(self) -> bool:
        """Whether it brought what was done elsewhere."""
        return self.what in TAKINGS_IN


class Doing:
    """An act that is being done, inside its transaction.

    Attributes:
        ids: Ids for its events.
        clock: What becomes of events that are dated later than the clock.
        moment: When the act counts as done: what the clock says, unless the clock is behind.
        first_seq: The number of entry of its first event.
        brought_again: Ids of events that were set aside and that it brings again.
    """

    def __init__(self, ledger: Ledger, now: Moment) -> None:
        self._ledger = ledger
        self._entry = ""
        self.ids: EventIds = ledger.ids(now)
        self.clock: SetRight = _set_right(ledger, now)
        self.moment: Moment = self.clock.now
        self.first_seq = ledger.last_seq() + 1
        self.brought_again: list[str] = []

    def add(self, events: Sequence[Event]) -> None:
        """Add events to the act's entry.

        Raises:
            LedgerError: One is there with other content.
        """
        if self._entry:
            self._ledger.insert(events, self._entry)
            return
        self.know_player()
        moved = [
            Correction(self.ids.next(), self.moment, target, moved_ms)
            for target, moved_ms in self.clock.moved.items()
        ]
        self._entry = moved[0].id if moved else events[0].id
        self._ledger.insert([*moved, *events], self._entry)

    def know_player(self) -> None:
        """Give the player an id if there is none yet; no undo takes it back."""
        if not self._ledger.player_ids():
            player = PlayerKnown(self.ids.next(), self.moment)
            self._ledger.insert([player], player.id)
            self.first_seq = self._ledger.last_seq() + 1

    def take(self, rows: Sequence[Row]) -> int:
        """Take in events from elsewhere, each in its own entry; how many are new here.

        What is known but was set aside by an undo is brought again.

        Raises:
            LedgerError: An event is there with other content.
        """
        connection = self._ledger.db.conn
        new = unknown_rows(connection, rows)
        if new and not any(row["kind"] == "player" for row in rows):
            self.know_player()
        aside = {str(row[0]) for row in self._ledger.rows("SELECT id FROM set_aside")}
        self.brought_again = [row["id"] for row in rows if row["id"] in aside]
        insert_rows(connection, new)
        return len(new) + len(self.brought_again)


def _set_right(ledger: Ledger, now: Moment) -> SetRight:
    """What becomes of events of any kind that are dated later than the clock, stand or not."""
    values = {"now": now.utc_ms}
    later = ledger.rows("SELECT at_ms, id, offset_minutes FROM events WHERE at_ms > :now", values)
    moved = ledger.amendments.moved if later else {}
    dated = [Dated(moved.get(row[1], row[0]), row[1], row[2]) for row in later]
    ahead = sorted(event for event in dated if event.at_ms > now.utc_ms)
    if not ahead:
        return SetRight(now, {})
    ((before,),) = ledger.rows("SELECT max(at_ms) FROM events WHERE at_ms <= :now", values)
    return set_right(now, ahead, before)


@contextmanager
def doing(ledger: Ledger, what: str, now: Moment) -> Iterator[Doing]:
    """An act: what is added inside is one entry and one transaction.

    Nothing is left behind where nothing is added, or where an error is raised.

    Args:
        ledger: The ledger.
        what: What is done.
        now: What the clock says.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        act = Doing(ledger, now)
        yield act
        first, last = act.first_seq, ledger.last_seq()
        if last < first and not act.brought_again:
            return
        number = _next_number(ledger)
        ledger.db.execute(
            "INSERT INTO acts (number, what, at_ms, offset_minutes, first_seq, last_seq) "
            "VALUES (?, ?, ?, ?, ?, ?)",
            [number, what, act.moment.utc_ms, act.moment.offset_minutes, first, last],
        )
        ledger.db.conn.executemany(
            "INSERT INTO brought_again (event_id, act) VALUES (?, ?)",
            ((event_id, number) for event_id in act.brought_again),
        )
        forget_from(ledger, first, last, number)


def _next_number(ledger: Ledger) -> int:
    return 1 + int(ledger.rows("SELECT coalesce(max(number), 0) FROM acts")[0][0])


ACTS = "SELECT number, what, at_ms, offset_minutes, first_seq, last_seq, undone FROM acts"


def _act(ledger: Ledger, where: str) -> Act | None:
    found = ledger.rows(f"{ACTS} {where} LIMIT 1")
    if not found:
        return None
    number, what, at_ms, offset, first, last, undone = found[0]
    return Act(number, what, Moment(at_ms, offset), first, last, undone)


def last_done(ledger: Ledger) -> Act | None:
    """The last act done here that stands; None if there is none.

    Raises:
        LedgerError: The file can't be read.
    """
    return _act(ledger, "WHERE undone IS NULL ORDER BY number DESC")


def last_undone(ledger: Ledger) -> Act | None:
    """The act that was undone last and not brought back; None if there is none.

    Raises:
        LedgerError: The file can't be read.
    """
    return _act(ledger, "WHERE undone IS NOT NULL ORDER BY undone DESC")


def undo_act(ledger: Ledger, act: Act, now: Moment) -> list[str]:
    """Take back the last act done here, whole; ids of the events that stood and don't any more.

    Raises:
        RecordError: Another program did something meanwhile.
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        if last_done(ledger) != act:
            raise RecordError(MEANWHILE)
        before = events_of(ledger, act)
        ledger.db.execute(
            "UPDATE acts SET undone = (SELECT 1 + coalesce(max(undone), 0) FROM acts) "
            "WHERE number = ?",
            [act.number],
        )
        _mark(ledger, act, now, redone=False)
        forget_from(ledger, act.first_seq, act.last_seq, act.number)
        still = set(events_of(ledger, act))
        return [event_id for event_id in before if event_id not in still]


def redo_act(ledger: Ledger, act: Act, now: Moment) -> list[str]:
    """Bring the last undone act back, whole; ids of the events that stand again.

    Raises:
        RecordError: Another program did something meanwhile.
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        if last_undone(ledger) != act:
            raise RecordError(MEANWHILE)
        before = set(events_of(ledger, act))
        number = _next_number(ledger)
        ledger.db.execute(
            "UPDATE acts SET number = ?, undone = NULL WHERE number = ?", [number, act.number]
        )
        _mark(ledger, act, now, redone=True)
        forget_from(ledger, act.first_seq, act.last_seq, number)
        now_there = events_of(ledger, act._replace(number=number))
        return [event_id for event_id in now_there if event_id not in before]


MEANWHILE = "another program recorded something meanwhile: try again"


def _mark(ledger: Ledger, act: Act, now: Moment, *, redone: bool) -> None:
    """Say in the record that an entry of this machine's own is taken or brought back."""
    if act.is_taking_in:
        return
    (entry,) = ledger.rows("SELECT entry FROM events WHERE seq = :seq", {"seq": act.first_seq})
    event = Undo(ledger.ids(now).next(), now, entry[0], redone)
    ledger.insert([event], event.id)


def events_of(ledger: Ledger, act: Act) -> list[str]:
    """The ids of the events that an act added or brought again and that stand, in order of entry.

    Raises:
        LedgerError: The file can't be read.
    """
    rows = ledger.rows(
        "SELECT id, at_ms FROM events WHERE seq BETWEEN :first AND :last OR id IN "
        "(SELECT event_id FROM brought_again WHERE act = :number) ORDER BY seq",
        {"first": act.first_seq, "last": act.last_seq, "number": act.number},
    )
    return [str(row[0]) for row in ledger.standing(rows)]
