"""Acts: what was done on this machine, each one transaction, taken back and brought back whole.

An act of this machine's own is an entry of the record: its undo is an event, which goes wherever
the record goes. What was taken in from elsewhere (import, merge) is set aside here by an undo, and
stays where it came from.
"""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.ledger.checkpoints import earliest_touched, forget_from
from scheduler.ledger.clock import Dated, SetRight, set_right
from scheduler.ledger.events import (
    Correction,
    Event,
    EventIds,
    PlayerKnown,
    Undo,
    Withdrawal,
)
from scheduler.ledger.events_table import Row, insert_rows, known_events, unknown_rows
from scheduler.ledger.record import Ledger
from scheduler.ledger.same_pass import copies_among
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
        what: What is done.
        ids: Ids for its events.
        clock: What becomes of events that are dated later than the clock.
        moment: When the act counts as done: what the clock says, unless the clock is behind.
        act: The act, once something was added.
    """

    def __init__(self, ledger: Ledger, what: str, now: Moment) -> None:
        self._ledger = ledger
        self._entry = ""
        self.what = what
        self.ids: EventIds = ledger.ids(now)
        self.clock: SetRight = _set_right(ledger, now)
        self.moment: Moment = self.clock.now
        self.act: Act | None = None

    def add(self, events: Sequence[Event]) -> None:
        """Add events to the act's entry; what is sent again is left as it is.

        Raises:
            LedgerError: One is there with other content.
        """
        known = known_events(self._ledger.db.conn, (event.id for event in events))
        if not self._entry and len(known) < len(events):
            self._know_player()
            self._begin()
            self._entry = self.ids.next() if self.clock.moved else events[0].id
            self._ledger.insert(self._corrections(), self._entry)
        self._ledger.insert(events, self._entry or self.ids.next())
        self._end()

    def _corrections(self) -> list[Event]:
        """Events that say when others count as done; the first bears the name of the entry."""
        moved = list(self.clock.moved.items())
        return [
            Correction(self._entry if n == 0 else self.ids.next(), self.moment, target, moved_ms)
            for n, (target, moved_ms) in enumerate(moved)
        ]

    def _know_player(self) -> None:
        """Give the player an id if there is none yet; no undo takes it back."""
        if not self._ledger.player_ids():
            player = PlayerKnown(self.ids.next(), self.moment)
            self._ledger.insert([player], player.id)

    def take(self, rows: Sequence[Row]) -> int:
        """Take in events from elsewhere, each in its own entry; how many are new here.

        What is known but was set aside by an undo is brought again.

        Raises:
            LedgerError: An event is there with other content.
        """
        connection = self._ledger.db.conn
        new = unknown_rows(connection, rows)
        aside = {str(row[0]) for row in self._ledger.rows("SELECT id FROM set_aside")}
        again = [row["id"] for row in rows if row["id"] in aside]
        if not new and not again:
            return 0
        if not any(row["kind"] == "player" for row in rows):
            self._know_player()
        act = self._begin()
        insert_rows(connection, new)
        connection.executemany(
            "INSERT INTO brought_again (event_id, act) VALUES (?, ?)",
            ((event_id, act.number) for event_id in again),
        )
        self._end()
        return len(new) + len(again)

    def _begin(self) -> Act:
        """Note the act, before its first event."""
        if self.act is None:
            first = self._ledger.last_seq() + 1
            number = _next_number(self._ledger)
            self._ledger.db.execute("UPDATE acts SET redoable = 0 WHERE undone IS NOT NULL")
            self.act = Act(number, self.what, self.moment, first, first - 1, None)
            self._ledger.db.execute(
                "INSERT INTO acts (number, what, at_ms, offset_minutes, first_seq, last_seq) "
                "VALUES (?, ?, ?, ?, ?, ?)",
                [number, self.what, *self.moment, first, first - 1],
            )
        return self.act

    def _end(self) -> None:
        """Note how far the act's events go by now."""
        if self.act is not None:
            self.act = self.act._replace(last_seq=self._ledger.last_seq())
            self._ledger.db.execute(
                "UPDATE acts SET last_seq = ? WHERE number = ?",
                [self.act.last_seq, self.act.number],
            )


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
        being_done = Doing(ledger, what, now)
        yield being_done
        act = being_done.act
        if act is not None:
            forget_from(ledger, act.first_seq, act.last_seq, act.number)


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
    """The act that was undone last, with nothing done since; None if there is none.

    Raises:
        LedgerError: The file can't be read.
    """
    return _act(ledger, "WHERE undone IS NOT NULL AND redoable ORDER BY undone DESC")


def undo_act(ledger: Ledger, act: Act, now: Moment, *, only_last: bool = True) -> list[str]:
    """Take back an act done here, whole; ids of the events that stood and don't any more.

    Args:
        ledger: The ledger.
        act: The act.
        now: What the clock says.
        only_last: Whether it must still be the last one.

    Raises:
        RecordError: Another program did something meanwhile.
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        there = last_done(ledger) if only_last else _act(ledger, f"WHERE number = {act.number}")
        if there != act:
            raise RecordError(MEANWHILE)
        before = events_of(ledger, act)
        ledger.db.execute(
            "UPDATE acts SET redoable = 1, "
            "undone = (SELECT 1 + coalesce(max(undone), 0) FROM acts) "
            "WHERE number = ?",
            [act.number],
        )
        if not act.is_taking_in:
            _mark(ledger, _entry_of(ledger, act), now, redone=False)
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
        ids = ledger.ids(now)
        entry = ids.next() if act.is_taking_in else _entry_of(ledger, act)
        if not act.is_taking_in:
            _mark(ledger, entry, now, redone=True)
        # What a log told meanwhile of what is brought back counts once.
        touched = earliest_touched(ledger, act.first_seq, act.last_seq, number)
        since = 0 if touched is None or ledger.amendments.moved else touched[0]
        copies = copies_among(ledger.passes(since))
        ledger.insert([Withdrawal(ids.next(), now, copy) for copy in copies], entry)
        forget_from(ledger, act.first_seq, act.last_seq, number)
        forget_from(ledger, ledger.last_seq() - len(copies) + 1, ledger.last_seq(), number)
        now_there = events_of(ledger, act._replace(number=number))
        return [event_id for event_id in now_there if event_id not in before]


MEANWHILE = "another program recorded something meanwhile: look again, and try again"


def _entry_of(ledger: Ledger, act: Act) -> str:
    (entry,) = ledger.rows("SELECT entry FROM events WHERE seq = :seq", {"seq": act.first_seq})
    return str(entry[0])


def _mark(ledger: Ledger, entry: str, now: Moment, *, redone: bool) -> None:
    """Say in the record that an entry of this machine's own is taken or brought back.

    A copy of the ledger elsewhere may have said so too, and records add up.
    """
    values = {"entry": entry}
    query = "SELECT coalesce(sum(1 - 2 * redone), 0) FROM undos WHERE target = :entry"
    ((balance,),) = ledger.rows(query, values)
    ids = ledger.ids(now)
    for _ in range(balance if redone else 1 - balance):
        event = Undo(ids.next(), now, entry, redone)
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
