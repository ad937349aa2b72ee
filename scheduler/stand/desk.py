"""The desk: the one thread that works with the ledger, whatever is asked for meanwhile."""

import asyncio
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple, TypeVar

from scheduler.errors import SchedulerError
from scheduler.player.facts import Pass
from scheduler.player.moments import Moment
from scheduler.practice.practice import Practice
from scheduler.stand.messages import Message
from scheduler.stand.session import Result, StandSession

Value = TypeVar("Value")


class Taken(NamedTuple):
    """What became of messages, in their order.

    Attributes:
        results: Of those that were done or refused.
        problem: Why the others weren't, or "".
    """

    results: tuple[Result, ...]
    problem: str


class Desk:
    """The session on the stand, asked from anywhere and worked on in one thread.

    Args:
        open_practice: Opens the player's practice; called in that thread.
        clock: What time it is.
        budget_seconds: The time there is; None for what the settings say.
        command: What is typed before the words of a command, on the sheet.
    """

    def __init__(
        self,
        open_practice: Callable[[], Practice],
        clock: Callable[[], Moment],
        budget_seconds: float | None = None,
        command: str = "upneck",
    ) -> None:
        self._clock = clock
        self._thread = ThreadPoolExecutor(1, "ledger")
        self.session = self._thread.submit(
            lambda: StandSession(open_practice(), budget_seconds, command)
        ).result()

    def close(self) -> None:
        """Close the ledger, once what was asked for is done."""
        self._thread.submit(self.session.practice.ledger.close).result()
        self._thread.shutdown()

    def played(self) -> list[Pass]:
        """The passes that were recorded here and stand.

        Raises:
            LedgerError: The ledger can't be read.
        """
        return self._thread.submit(self.session.still_played).result()

    async def ask(self, question: Callable[[StandSession], Value]) -> Value:
        """Ask something of the session as it stands now."""

        def answer() -> Value:
            self.session.practice.now = self._clock()
            return question(self.session)

        return await asyncio.get_running_loop().run_in_executor(self._thread, answer)

    async def look(self) -> None:
        """Come to the present moment."""
        await self.ask(StandSession.look)

    async def take(self, messages: Sequence[Message | str]) -> Taken:
        """Do what messages say, in their order, until one can't be written."""
        return await self.ask(lambda session: _take(session, messages))

    async def told(self) -> dict[str, Any]:
        """Where the session stands, as the page is told."""
        return await self.ask(StandSession.told)


def _take(session: StandSession, messages: Sequence[Message | str]) -> Taken:
    results: list[Result] = []
    problems: list[str] = []
    for message in messages:
        try:
            results.append(session.take(message))
        except SchedulerError as problem:
            # It can't be written now: the page keeps this and all later messages.
            return Taken(tuple(results), str(problem))
        except Exception as problem:  # noqa: BLE001
            # A bug with one message: the page keeps it, and the others go on.
            problems.append(f"bug: {type(problem).__name__}: {problem}")
    return Taken(tuple(results), "; ".join(dict.fromkeys(problems)))
