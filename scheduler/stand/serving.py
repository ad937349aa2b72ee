"""Serving: a port of this machine's, and the stand there until it is stopped."""

import errno
import socket
from collections.abc import Callable
from contextlib import suppress
from ipaddress import ip_address

import uvicorn

from scheduler.errors import StandError
from scheduler.stand.gate import Gate

LOCAL, LOOPBACK = "127.0.0.1", "127."
FIRST_PORT, PORTS_TRIED = 8517, 20
AT_ONCE = 64
IPV4 = 4
ELSEWHERE = ("192.0.2.1", 9)
"""An address that nobody has (RFC 5737): nothing is sent there, but the way to it is found."""


def network_address() -> str:
    """This machine's address on the local network.

    Raises:
        StandError: It has none.
    """
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        asked.connect(ELSEWHERE)
        found = str(asked.getsockname()[0])
        if not found.startswith(LOOPBACK) and found != "0.0.0.0":  # noqa: S104
            return found
    msg = "this machine has no address on a network: connect it, or say --address"
    raise StandError(msg)


def address_of(words: str) -> str:
    """An IPv4 address as it was said.

    Raises:
        StandError: It is none, or none at which a phone could ask.
    """
    try:
        found = ip_address(LOCAL if words == "localhost" else words)
    except ValueError as problem:
        msg = f"{words!r} is no IPv4 address, such as 192.168.1.5"
        raise StandError(msg) from problem
    if found.version != IPV4 or found.is_unspecified or found.is_multicast:
        msg = f"{words} is no IPv4 address of one machine: name one of this machine's"
        raise StandError(msg)
    return str(found)


def bound(address: str, port: int | None) -> socket.socket:
    """A socket at an address, at a port or the next free one.

    Args:
        address: An IPv4 address of this machine's.
        port: The port; None for the usual one.

    Raises:
        StandError: The address isn't this machine's, or no port is free.
    """
    first = FIRST_PORT if port is None else port
    for tried in range(first, min(first + PORTS_TRIED, 1 << 16)):
        found = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            found.bind((address, tried))
            found.listen(AT_ONCE)
        except OSError as problem:
            found.close()
            if problem.errno == errno.EACCES:
                msg = f"port {tried} isn't free for everybody: choose one from 1024 on"
                raise StandError(msg) from problem
            if problem.errno != errno.EADDRINUSE:
                msg = f"{address} is no IPv4 address of this machine's ({problem.strerror})"
                raise StandError(msg) from problem
        else:
            return found
    msg = f"no port from {first} to {first + PORTS_TRIED - 1} is free: --port names another"
    raise StandError(msg)


class _Server(uvicorn.Server):
    """A server that tells when it is up: from then on an interrupt ends it in order."""

    def __init__(self, config: uvicorn.Config, is_up: Callable[[], None]) -> None:
        super().__init__(config)
        self._is_up = is_up

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        self._is_up()


def server_of(gate: Gate, is_up: Callable[[], None] = lambda: None) -> uvicorn.Server:
    """The server of a stand; requests under way are answered before it ends.

    Args:
        gate: What is served.
        is_up: Called once requests are answered.
    """
    config = uvicorn.Config(
        gate, log_level="critical", access_log=False, server_header=False, lifespan="off",
        limit_concurrency=4 * AT_ONCE, timeout_graceful_shutdown=5, http="h11", ws="none",
        loop="asyncio",
    )  # fmt: skip
    return _Server(config, is_up)


def serve(gate: Gate, at: socket.socket, is_up: Callable[[], None]) -> None:
    """Serve until the program is interrupted or ended.

    Args:
        gate: What is served.
        at: Where.
        is_up: Called once requests are answered.

    Raises:
        KeyboardInterrupt: It was, and what was asked for is answered.
    """
    server_of(gate, is_up).run(sockets=[at])
