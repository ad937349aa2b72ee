"""The application: what the page can ask for, and the answers."""

import json
from functools import cache
from typing import NamedTuple

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, PlainTextResponse, Response
from starlette.routing import Route

from scheduler.errors import MessageError, SchedulerError
from scheduler.show.pages import page
from scheduler.stand.assets import ASSETS, asset
from scheduler.stand.desk import Desk
from scheduler.stand.gate import Gate
from scheduler.stand.messages import messages_from
from scheduler.stand.session_page import report_of_session, session_page

GZIP_FROM_BYTES = 1000
LONGEST_KEY = 100


class Place(NamedTuple):
    """Where a stand is reached: the names of its machine, the port, and the key of this run."""

    hosts: tuple[str, ...]
    port: int
    key: str


def make_application(desk: Desk, place: Place) -> Gate:
    """The stand as an ASGI application, with its gate before it."""
    stand = _Stand(desk)
    routes = [
        Route("/", stand.entry),
        Route("/enter", stand.enter, methods=["POST"]),
        Route("/session", stand.session),
        Route("/report", stand.report),
        Route("/state", stand.state),
        Route("/messages", stand.messages, methods=["POST"]),
        Route("/assets/{name}", stand.asset),
    ]
    app = Starlette(
        routes=routes, middleware=[Middleware(GZipMiddleware, minimum_size=GZIP_FROM_BYTES)]
    )
    stand.gate = Gate(app, place.hosts, place.port, place.key)
    return stand.gate


class _Stand:
    """The answers."""

    gate: Gate

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    async def entry(self, request: Request) -> Response:
        """The page that takes the key out of the address; it shows nothing of the player's."""
        del request
        return HTMLResponse(_entry())

    async def enter(self, request: Request) -> Response:
        """Take the key, and give the cookie that stands for it."""
        told = await _json(request)
        key = told.get("key") if isinstance(told, dict) else None
        if not isinstance(key, str) or len(key) > LONGEST_KEY or not self.gate.is_key(key):
            return await self.gate.wrong_key(given=True)
        answer = JSONResponse({})
        answer.set_cookie(self.gate.cookie, key, path="/", httponly=True, samesite="strict")
        return answer

    async def session(self, request: Request) -> Response:
        """The page of the session."""
        del request
        try:
            await self._desk.look()
            return HTMLResponse(await self._desk.ask(session_page))
        except SchedulerError as problem:
            return HTMLResponse(page("stand/problem.html", problem=str(problem)), 503)

    async def report(self, request: Request) -> Response:
        """Where the player stands, in pictures."""
        del request
        try:
            await self._desk.look()
            return HTMLResponse(await self._desk.ask(report_of_session))
        except SchedulerError as problem:
            return HTMLResponse(page("stand/problem.html", problem=str(problem)), 503)

    async def state(self, request: Request) -> Response:
        """Where the session stands."""
        del request
        return JSONResponse(await self._desk.told())

    async def messages(self, request: Request) -> Response:
        """Take messages; those whose results are told are on disk."""
        try:
            owner, messages = messages_from(await _json(request))
        except MessageError as problem:
            return PlainTextResponse(str(problem), 400)
        if owner not in await self._desk.ask(lambda session: session.owners):
            return PlainTextResponse("what is kept is another player's", 409)
        taken = await self._desk.take(messages)
        told = {
            "results": [result._asdict() for result in taken.results],
            "problem": taken.problem,
            "state": await self._desk.told(),
        }
        return JSONResponse(told, 503 if taken.problem else 200)

    async def asset(self, request: Request) -> Response:
        """A script or the stylesheet; no other file can be asked for."""
        name = request.path_params["name"]
        if name not in ASSETS:
            return PlainTextResponse("there is no such file", 404)
        return Response(asset(name), media_type=ASSETS[name])


async def _json(request: Request) -> object:
    try:
        told: object = json.loads(await request.body())
    except (ValueError, RecursionError):
        return None
    return told


@cache
def _entry() -> str:
    return page("stand/entry.html")
