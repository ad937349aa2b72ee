"""An act that is being done: what is entered or taken in, one transaction."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from scheduler.ledger.acts import Act, next_number
from scheduler.ledger.checkpoints import forget_from
from scheduler.ledger.clock import SetRight, clock_set_right
from scheduler.ledger.events import Correction, Event, EventIds, PlayerKnown
from scheduler.ledger.events_table import Row, insert_rows, known_events, unknown_rows
from scheduler.ledger.record import Ledger
from scheduler.ledger.same_pass import note_told_alike
from scheduler.player.moments import Moment


class Doing:
    """An act that is being done, inside its transaction.

    Attributes:
        what: What is done.
        ids: Ids for its events.
        clock: What becomes of events that are dated later than the clock.
        moment: When the act counts as done: what the clock says, unless the clock is behind.
        act: The act, once something was added.
    """

    def __init__(
        self, ledger: Ledger, what: str, now: Moment, *, clock_is_right: bool = False
    ) -> None:
        self._ledger = ledger
        self._entry = ""
        self._clock_ms = now.utc_ms
        self.what = what
        self.ids: EventIds = ledger.ids(now)
        self.clock: SetRight = clock_set_right(ledger, now, is_right=clock_is_right)
        self.moment: Moment = self.clock.now
        self.act: Act | None = None

    def add(self, events: Sequence[Event]) -> None:
        """Add events to the act's entry; what is sent again is left as it is.

        Raises:
            LedgerError: One is there with other content.
        """
        known = known_events(self._ledger.db.conn, (event.id for event in events))
        if not self._entry and len(known) < len(events):
            self._open(events[0].id)
        self._ledger.insert(events, self._entry or self.ids.next())
        self._end()

    def correct(self) -> None:
        """Set right what a wrong clock had dated, and no more."""
        if self.clock.moved:
            self._open("")
            self._end()

    def _open(self, first_id: str) -> None:
        """Begin the act's entry, with what a wrong clock had dated."""
        self.know_player()
        self._begin()
        self._entry = self.ids.next() if self.clock.moved else first_id
        self._ledger.insert(self._corrections(), self._entry)

    def _corrections(self) -> list[Event]:
        """Corrections of times that a wrong clock gave; the first one's id is that of the entry."""
        moved = list(self.clock.moved.items())
        return [
            Correction(self._entry if n == 0 else self.ids.next(), self.moment, target, moved_ms)
            for n, (target, moved_ms) in enumerate(moved)
        ]

    def know_player(self) -> None:
        """Give the player an id if there is none yet; no undo takes it back."""
        if not self._ledger.player_ids():
            player = PlayerKnown(self.ids.next(), self.moment)
            self._ledger.insert([player], player.id)

    def take(self, rows: Sequence[Row]) -> list[str]:
        """Take in events from elsewhere, each in its own entry; the ids of those new here.

        What is known but was set aside by an undo is brought again.

        Raises:
            LedgerError: An event is there with other content.
        """
        connection = self._ledger.db.conn
        new, again = news_among(self._ledger, rows)
        if not new and not again:
            return []
        if not any(row["kind"] == "player" for row in rows):
            self.know_player()
        act = self._begin()
        insert_rows(connection, new)
        connection.executemany(
            "INSERT INTO brought_again (event_id, act) VALUES (?, ?)",
            ((event_id, act.number) for event_id in again),
        )
        self._end()
        return [*(row["id"] for row in new), *again]

    def _begin(self) -> Act:
        """Note the act, before its first event."""
        if self.act is None:
            first = self._ledger.last_seq() + 1
            number = next_number(self._ledger)
            self._ledger.db.execute("UPDATE acts SET redoable = 0 WHERE undone IS NOT NULL")
            self.act = Act(number, self.what, self.moment, first, first - 1, None)
            self._ledger.db.execute(
                "INSERT INTO acts "
                "(number, what, at_ms, offset_minutes, first_seq, last_seq, clock_ms) "
                "VALUES (?, ?, ?, ?, ?, ?, ?)",
                [number, self.what, *self.moment, first, first - 1, self._clock_ms],
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


def news_among(ledger: Ledger, rows: Sequence[Row]) -> tuple[list[Row], list[str]]:
    """Events from elsewhere that aren't known yet, and ids of those that an undo set aside.

    Raises:
        LedgerError: An event is there with other content, or the file can't be read.
    """
    with ledger.reading():
        new = unknown_rows(ledger.db.conn, rows)
    aside = {str(row[0]) for row in ledger.rows("SELECT id FROM set_aside")}
    return new, [row["id"] for row in rows if row["id"] in aside]


@contextmanager
def doing(
    ledger: Ledger, what: str, now: Moment, *, clock_is_right: bool = False
) -> Iterator[Doing]:
    """An act: what is added inside is one entry and one transaction.

    Nothing is left behind where nothing is added, or where an error is raised.

    Args:
        ledger: The ledger.
        what: What is done.
        now: What the clock says.
        clock_is_right: Whether the player says that the clock is right.

    Raises:
        LedgerError: The file can't be written.
    """
    with ledger.writing():
        being_done = Doing(ledger, what, now, clock_is_right=clock_is_right)
        yield being_done
        act = being_done.act
        if act is not None:
            note_told_alike(ledger.db.conn, act.first_seq, act.last_seq)
            forget_from(ledger, act.first_seq, act.last_seq, act.number)
