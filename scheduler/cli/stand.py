"""The command `stand`: today's session as a page, served from this machine or as a file."""

import secrets
import sys
from collections.abc import Mapping, Sequence
from contextlib import closing, suppress
from io import StringIO
from typing import TYPE_CHECKING, NamedTuple

import typer

from scheduler.cli.opening import open_practice
from scheduler.cli.options import read_budget, read_page
from scheduler.cli.sheet import command_of
from scheduler.cli.telling import tell
from scheduler.errors import PlanError, UsageError
from scheduler.guitar.items import Item
from scheduler.ledger.files import write_whole
from scheduler.player.facts import Pass
from scheduler.player.standing import Standing
from scheduler.practice.practice import Practice
from scheduler.practice.session import whats_left_today

if TYPE_CHECKING:
    from segno import QRCode

    from scheduler.stand.application import Place

MOST_PORT = 65535
NOT_INSTALLED = (
    "the page for a phone needs an extra ({name} is missing): pip install '.[stand]' in Upneck's "
    "own folder"
)
UNENCRYPTED = (
    "Your network carries it unencrypted: use it in a network that you trust, and keep the code "
    "to yourself."
)


class Where(NamedTuple):
    """Where the stand is put up, as it was said."""

    network: bool
    address: str | None
    port: str | None


def stand(
    ctx: typer.Context, minutes: str | None, where: Where, output: str | None, *, force: bool
) -> None:
    """Serve today's session until the program is interrupted, or write it as a file.

    Raises:
        UsageError: A port that is none, or words that don't go together.
        PlanError: Nothing is left, or the extra isn't installed.
        StandError: The stand can't be put up there.
    """
    budget = read_budget(minutes)
    port = _port(where.port)
    if output is not None and (where.network or where.address or where.port):
        msg = "-o writes a file: it goes with neither --network nor --address nor --port"
        raise UsageError(msg)
    if output is not None:
        _write(ctx, budget, output, force=force)
        return
    try:
        import segno  # noqa: F401
        import starlette  # noqa: F401
        import uvicorn  # noqa: F401
    except ImportError as problem:
        raise PlanError(NOT_INSTALLED.format(name=problem.name)) from problem
    _serve(ctx, budget, where, port)


def _port(words: str | None) -> int | None:
    if words is None:
        return None
    is_short = words.isdecimal() and len(words) <= len(str(MOST_PORT))
    if not is_short or not 1 <= int(words) <= MOST_PORT:
        msg = f"a port is a number from 1 to {MOST_PORT}, not {words[:20]!r}"
        raise UsageError(msg)
    return int(words)


def _write(ctx: typer.Context, budget: float | None, output: str, *, force: bool) -> None:
    from scheduler.stand.session_file import session_file

    path = read_page(output)
    with open_practice(ctx) as practice:
        whats_left_today(practice, budget)
        page = session_file(practice, budget, command_of(ctx.obj.player))
        write_whole(path, page.encode(), force=force)
    tell(f"wrote {output}: open it in a browser; upneck import takes in what it saves", err=True)


def _serve(ctx: typer.Context, budget: float | None, where: Where, port: int | None) -> None:
    from scheduler.cli.clock import now
    from scheduler.ledger.record import Ledger
    from scheduler.stand.application import Place, make_application
    from scheduler.stand.desk import Desk
    from scheduler.stand.gate import KEY_BYTES
    from scheduler.stand.serving import FIRST_PORT, LOOPBACK, bound, serve

    with open_practice(ctx) as practice:
        whats_left_today(practice, budget)
        path, items = practice.ledger.path, practice.order
        before = {item: each.standing for item, each in practice.judge_all(items).items()}
    command, address = command_of(ctx.obj.player), _address(where)
    is_local = address.startswith(LOOPBACK)
    with closing(bound(address, port)) as at:
        found = at.getsockname()[1]
        names = (address, "localhost") if is_local else (address,)
        place = Place(names, found, secrets.token_urlsafe(KEY_BYTES))
        with closing(Desk(lambda: Practice(Ledger(path), now()), now, budget, command)) as desk:
            with suppress(KeyboardInterrupt):
                serve(
                    make_application(desk, place),
                    at,
                    lambda: _tell_where(place, asked=port or FIRST_PORT, is_local=is_local),
                )
            played = desk.played()
    with open_practice(ctx) as practice:
        _tell_done(practice, played, before)


def _address(where: Where) -> str:
    """The address that was said, that of the network, or this machine's own.

    Raises:
        UsageError: The network was said, and an address that isn't on it.
        StandError: It is none, or there is none.
    """
    from scheduler.stand.serving import LOCAL, LOOPBACK, address_of, network_address

    if where.address is None:
        return network_address() if where.network else LOCAL
    address = address_of(where.address)
    if where.network and address.startswith(LOOPBACK):
        msg = f"{address} is only for this machine itself: leave --network out, or name another"
        raise UsageError(msg)
    return address


def _tell_where(place: "Place", *, asked: int, is_local: bool) -> None:
    from scheduler.show.terminal import console, shows_signs

    address = f"http://{place.hosts[0]}:{place.port}/#{place.key}"
    if asked != place.port:
        tell(
            f"upneck: port {asked} is in use, so it is {place.port}; what a phone kept for the "
            "other port stays there",
            err=True,
        )
    screen = console()
    if not is_local:
        import segno

        console(sys.stderr).print(UNENCRYPTED)
        if shows_signs(screen):
            screen.print("Open it with the phone's camera, or type it in:")
            # Dark on light, whatever the colours of the terminal.
            code = _code(segno.make(address, error="m"))
            screen.print(code, style="bright_white on black", soft_wrap=True)
        else:
            screen.print("Open it on the phone:")
    else:
        screen.print("Open it in a browser on this machine:")
    screen.print(address, soft_wrap=True)
    screen.print("Ctrl-C ends it.")


def _code(made: "QRCode") -> str:
    out = StringIO()
    made.terminal(out, compact=True)
    return out.getvalue()


def _tell_done(practice: Practice, played: Sequence[Pass], before: Mapping[Item, Standing]) -> None:
    from scheduler.cli.play import tell_moved, tomorrow_words
    from scheduler.cli.standings import round_words
    from scheduler.show.words import count, share

    if not played:
        tell("nothing was played")
        return
    clean = sum(each.clean for each in played)
    tell(
        f"{count(len(played), 'pass', 'passes')} recorded, {share(clean / len(played))} clean; "
        f"{round_words(practice)}"
    )
    tell_moved(practice, [each.item for each in played], before)
    tell(tomorrow_words(practice))
