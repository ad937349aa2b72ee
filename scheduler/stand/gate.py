"""Access: every request passes these checks before anything else sees it.

Host and Origin must be this stand's own, so that a page elsewhere on the web can't reach it, not
even by a name that it points here; the key of this run, 128 bits, is compared in constant time, and
wrong ones are slowed down; bodies are limited and typed.

Source:
    OWASP, "HTTP Security Response Headers Cheat Sheet" and "Session Management Cheat Sheet" (an id
    of at least 64 bits, HttpOnly, SameSite); W3C, "Content Security Policy Level 3".
"""

import asyncio
import secrets
from collections.abc import Iterable
from http.cookies import CookieError, SimpleCookie

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

KEY_BYTES = 16
USUAL_PORT = 80
LONGEST_BODY = 1 << 17
WRONG_SECONDS, WAITING_AT_MOST = 1.0, 8
OPEN = ("/", "/enter")
"""Paths that show nothing of the player's; so are those of scripts and the stylesheet."""

ASSETS = "/assets/"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


class Gate:
    """Lets through what is this stand's own.

    Attributes:
        key: The key of this run.
        cookie: The name of the cookie; another stand on this machine has another.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str], port: int, key: str) -> None:
        """Guard an application.

        Args:
            app: What is asked once a request may pass.
            hosts: The names by which this machine may be asked.
            port: The port.
            key: The key of this run.
        """
        self._app = app
        hosts = list(hosts)
        names = [f"{host}:{port}" for host in hosts]
        # Browsers leave the usual port out.
        names += hosts if port == USUAL_PORT else []
        self._hosts = frozenset(name.lower() for name in names)
        self._origins = frozenset(f"http://{host}" for host in self._hosts)
        self._waiting = 0
        self.key, self.cookie = key, f"upneck_stand_{port}"

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer a request, or refuse it."""
        if scope["type"] != "http":
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refused = await self._refused(scope)
        if refused is not None:
            await refused(scope, receive, send_with_headers)
            return
        await self._app(scope, _limited(receive), send_with_headers)

    async def _refused(self, scope: Scope) -> PlainTextResponse | None:
        headers = Headers(scope=scope)
        if len(headers.getlist("host")) != 1 or headers["host"].lower() not in self._hosts:
            return _no(421, "this stand has another address")
        origin = headers.get("origin")
        is_asking = scope["method"] in {"GET", "HEAD"}
        if (origin is not None or not is_asking) and origin not in self._origins:
            return _no(403, "that didn't come from the stand's own page")
        if not is_asking and _kind(headers) != "application/json":
            return _no(415, "only JSON is taken")
        path = scope["path"]
        if path in OPEN or path.startswith(ASSETS) or self._has_key(headers):
            return None
        return await self.wrong_key(given="cookie" in headers)

    def _has_key(self, headers: Headers) -> bool:
        try:
            cookies = SimpleCookie(headers.get("cookie", ""))
        except CookieError:
            return False
        return self.cookie in cookies and self.is_key(cookies[self.cookie].value)

    def is_key(self, given: str) -> bool:
        """Whether something is the key, in a time that doesn't tell how much of it is right."""
        return secrets.compare_digest(given.encode(errors="replace"), self.key.encode())

    async def wrong_key(self, *, given: bool) -> PlainTextResponse:
        """What a wrong key gets, late; of too many at once, the rest get nothing."""
        if given:
            if self._waiting >= WAITING_AT_MOST:
                return _no(429, "too many wrong keys: wait")
            self._waiting += 1
            try:
                await asyncio.sleep(WRONG_SECONDS)
            finally:
                self._waiting -= 1
        return _no(403, "this page needs the key of this run: open the address on the terminal")


def _no(status: int, words: str) -> PlainTextResponse:
    return PlainTextResponse(words, status)


def _kind(headers: Headers) -> str:
    return headers.get("content-type", "").partition(";")[0].strip().lower()


def _limited(receive: Receive) -> Receive:
    """Bodies no longer than any that the page sends."""
    length = 0

    async def receive_some() -> Message:
        nonlocal length
        message = await receive()
        length += len(message.get("body", b""))
        if length > LONGEST_BODY:
            raise HTTPException(413, "that is too much at once")
        return message

    return receive_some
