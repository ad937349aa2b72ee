"""Acts: what was done on this machine, each one transaction, taken back and brought back whole.

An act of this machine's own is an entry of the record: its undo is an event, which goes wherever
the record goes. What was taken in from elsewhere (import, merge) is set aside here by an undo, and
stays where it came from.
"""

from typing import NamedTuple

from scheduler.errors import RecordError
from scheduler.ledger.checkpoints import forget_from
from scheduler.ledger.clock import TAKINGS_IN
from scheduler.ledger.events import Undo
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment


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
        """Whether it was an import or a merge: its undo hides the events here alone."""
        return self.what in TAKINGS_IN


def next_number(ledger: Ledger) -> int:
    """The number that the next act gets.

    Raises:
        LedgerError: The file can't be read.
    """
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


def act_with(ledger: Ledger, event_id: str) -> Act | None:
    """The act done here that added an event; None if none did.

    Raises:
        LedgerError: The file can't be read.
    """
    found = ledger.rows("SELECT seq FROM events WHERE id = :id", {"id": event_id})
    if not found:
        return None
    (seq,) = found[0]
    return _act(ledger, f"WHERE {int(seq)} BETWEEN first_seq AND last_seq ORDER BY number DESC")


def act_numbered(ledger: Ledger, number: int) -> Act | None:
    """The act of a number; None if there is none.

    Raises:
        LedgerError: The file can't be read.
    """
    return _act(ledger, f"WHERE number = {int(number)}")


def acts_dated(ledger: Ledger, since_ms: int, until_ms: int) -> list[tuple[Moment, Act]]:
    """The acts that stand between two instants (UTC, ms), each with what it is dated to.

    What was entered later is dated to when it was played; what was taken in, to when it was.

    Raises:
        LedgerError: The file can't be read.
    """
    # What only brought back what was there already has no event of its own.
    taken_in = "what IN ('import', 'merge') OR events.seq IS NULL"
    rows = ledger.rows(
        "SELECT number, what, acts.at_ms, acts.offset_minutes, first_seq, last_seq, undone, "
        f"CASE WHEN {taken_in} THEN acts.at_ms ELSE events.at_ms END AS dated_ms, "
        f"CASE WHEN {taken_in} THEN acts.offset_minutes ELSE events.offset_minutes END "
        "FROM acts LEFT JOIN events ON events.seq = first_seq AND first_seq <= last_seq "
        "WHERE undone IS NULL AND dated_ms >= :since AND dated_ms < :until "
        "ORDER BY dated_ms, number",
        {"since": since_ms, "until": until_ms},
    )
    return [
        (Moment(dated_ms, offset), Act(number, what, Moment(at_ms, at_offset), first, last, undone))
        for number, what, at_ms, at_offset, first, last, undone, dated_ms, offset in rows
    ]


def _brought_back(ledger: Ledger, act: Act) -> Act | None:
    """An act that stands, even if it was undone and brought back, which gave it another number."""
    found = _act(
        ledger,
        f"WHERE first_seq = {act.first_seq} AND last_seq = {act.last_seq} AND undone IS NULL",
    )
    return found if found is not None and found.what == act.what else None


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
        there = last_done(ledger) if only_last else _brought_back(ledger, act)
        if there is None or (only_last and there != act):
            raise RecordError(MEANWHILE)
        act = there
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
        number = next_number(ledger)
        ledger.db.execute(
            "UPDATE acts SET number = ?, undone = NULL WHERE number = ?", [number, act.number]
        )
        if not act.is_taking_in:
            _mark(ledger, _entry_of(ledger, act), now, redone=True)
        forget_from(ledger, act.first_seq, act.last_seq, number)
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
    query = (
        "SELECT coalesce(sum(1 - 2 * redone), 0) FROM undos "
        "WHERE target = :entry AND event_id NOT IN (SELECT id FROM set_aside)"
    )
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
