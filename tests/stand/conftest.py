"""The stand as it is served, on this machine, and what asks it."""

import http.client
import json
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import uvicorn

from scheduler.ledger.events import EventIds
from scheduler.ledger.record import Ledger
from scheduler.player.moments import Moment
from scheduler.practice.practice import Practice
from scheduler.stand.application import Place, make_application
from scheduler.stand.desk import Desk
from scheduler.stand.serving import LOCAL, bound, server_of

NOON = Moment(1_795_604_400_000, 60)
"""25 November 2026, 12:00 at +01:00."""

KEY = "k" * 22


class Answer(NamedTuple):
    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def json(self) -> Any:  # noqa: ANN401
        return json.loads(self.body)


@dataclass
class Stand:
    """A stand that is served, and its ledger."""

    port: int
    desk: Desk
    path: Path
    ids: EventIds
    cookie: str = f"upneck_stand_{{}}={KEY}"
    now: list[Moment] = field(default_factory=lambda: [NOON])

    def ask(
        self, method: str, path: str, told: object = None, *, body: bytes | None = None,
        **headers: str | None,
    ) -> Answer:  # fmt: skip
        """Ask as the page does, but for the headers said; None leaves one out."""
        usual: dict[str, str | None] = {
            "Host": f"{LOCAL}:{self.port}", "Cookie": self.cookie.format(self.port),
        }  # fmt: skip
        if method != "GET":
            usual |= {"Origin": f"http://{LOCAL}:{self.port}", "Content-Type": "application/json"}
        usual |= {name.replace("_", "-"): value for name, value in headers.items()}
        sent = json.dumps(told).encode() if body is None and method != "GET" else body
        connection = http.client.HTTPConnection(LOCAL, self.port, timeout=20)
        connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
        for name, value in usual.items():
            if value is not None:
                connection.putheader(name, value)
        if sent is not None:
            connection.putheader("Content-Length", str(len(sent)))
        connection.endheaders(sent)
        answer = connection.getresponse()
        found = {name.lower(): value for name, value in answer.getheaders()}
        body = answer.read()
        connection.close()
        return Answer(answer.status, found, body)

    def document(self) -> Any:  # noqa: ANN401
        text = self.ask("GET", "/session").body.decode()
        return json.loads(text.partition('id="told">')[2].partition("</script>")[0])

    def state(self) -> Any:  # noqa: ANN401
        return self.ask("GET", "/state").json

    def send(self, *messages: dict[str, Any], owner: str | None = None) -> Answer:
        owner = owner or self.owner
        return self.ask("POST", "/messages", {"owner": owner, "messages": list(messages)})

    @cached_property
    def owner(self) -> str:
        return str(self.document()["owners"][0])

    def played(self, step: dict[str, Any], *, clean: bool = True, **more: Any) -> dict[str, Any]:  # noqa: ANN401
        """A pass of a step as the page tells it."""
        return {
            "kind": "pass", "id": self.ids.next(), "plan": self.state()["plan"],
            "block": step["block"], "item": step["item"], "back": step["again_at"] is not None,
            "tempo": step["tempo"], "clean": clean, "errors": 0 if clean else None,
            "goes_on": clean, "notes_per_beat": 3, **more,
        }  # fmt: skip

    def log(self) -> list[tuple[str, int]]:
        """The passes on disk that stand, as their items and whether they were clean."""
        ledger = Ledger(self.path)
        found = [(played.item.address, int(played.clean)) for played in ledger.passes()]
        ledger.close()
        return found


Make = Callable[[], Stand]


@contextmanager
def stands(folder: Path, clock: Callable[[], Moment] | None = None) -> Iterator[Make]:
    """Puts up stands at one ledger; all of them are taken down at the end."""
    running: list[tuple[uvicorn.Server, threading.Thread, Desk]] = []
    path, now = folder / "upneck.db", [NOON]

    def make() -> Stand:
        moment = clock or (lambda: now[0])
        desk = Desk(lambda: Practice(Ledger(path), moment()), moment)
        at = bound(LOCAL, None)
        port = at.getsockname()[1]
        gate = make_application(desk, Place((LOCAL, "localhost"), port, KEY))
        server = server_of(gate)
        thread = threading.Thread(target=lambda: server.run(sockets=[at]), daemon=True)
        thread.start()
        running.append((server, thread, desk))
        while not server.started:
            thread.join(0.01)
        return Stand(port, desk, path, EventIds(NOON.utc_ms), now=now)

    yield make
    for server, thread, desk in running:
        server.should_exit = True
        thread.join(20)
        desk.close()


@pytest.fixture
def make_stand(tmp_path: Path) -> Iterator[Make]:
    with stands(tmp_path) as make:
        yield make


@pytest.fixture
def stand(make_stand: Make) -> Stand:
    return make_stand()
