"""Who may ask the stand, and what it answers to others.

Sources beside the checks: RFC 9110 (421, Host), RFC 6265bis (SameSite, HttpOnly), W3C Content
Security Policy Level 3, OWASP's cheat sheets on headers and sessions.
"""

import threading
import time
from collections.abc import Iterator

import pytest

from scheduler.stand.assets import ASSETS
from scheduler.stand.gate import HEADERS, KEY_BYTES, LONGEST_BODY, WAITING_AT_MOST, WRONG_SECONDS
from tests.stand.conftest import KEY, Stand, stands

DATA = ("/session", "/state")
pytestmark = pytest.mark.xdist_group("gate")


@pytest.fixture(scope="module")
def stand(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Stand]:
    """One stand for all: what is refused changes nothing."""
    with stands(tmp_path_factory.mktemp("stand")) as make:
        yield make()


def test_the_key_has_128_bits() -> None:
    # OWASP Session Management Cheat Sheet: at least 64 bits of entropy.
    assert 8 * KEY_BYTES == 128


def test_the_key_is_given_once_for_a_cookie_that_no_script_reads(stand: Stand) -> None:
    answer = stand.ask("POST", "/enter", {"key": KEY}, Cookie=None)
    cookie = answer.headers["set-cookie"].lower()

    assert answer.status == 200
    assert {"httponly", "samesite=strict", "path=/"} <= {part.strip() for part in cookie.split(";")}
    assert KEY.encode() not in stand.ask("GET", "/session").body


@pytest.mark.parametrize("path", DATA)
def test_nothing_of_the_player_is_shown_without_the_key(stand: Stand, path: str) -> None:
    answer = stand.ask("GET", path, Cookie=None)
    assert answer.status == 403
    assert b"key of this run" in answer.body
    assert stand.ask("GET", path).status == 200


@pytest.mark.slow
def test_a_wrong_cookie_shows_nothing_either(stand: Stand) -> None:
    for cookie in (f"upneck_stand_{stand.port}=wrong", "\xff;;=;"):
        assert stand.ask("GET", "/state", Cookie=cookie).status == 403


@pytest.mark.parametrize("key", ["\ud800", [KEY]])
def test_an_odd_key_is_a_wrong_key(stand: Stand, key: object) -> None:
    assert stand.ask("POST", "/enter", {"key": key}, Cookie=None).status in {403, 429}


def test_the_entry_shows_nothing_of_the_player(stand: Stand) -> None:
    entry = stand.ask("GET", "/", Cookie=None)

    assert entry.status == 200
    assert b"fret" not in entry.body


def test_wrong_keys_are_slowed_down_and_too_many_are_turned_away(stand: Stand) -> None:
    found: list[int] = []

    def guess() -> None:
        found.append(stand.ask("POST", "/enter", {"key": "wrong"}).status)

    before = time.monotonic()
    guesses = [threading.Thread(target=guess) for _ in range(2 * WAITING_AT_MOST)]
    for each in guesses:
        each.start()
    # Whoever has the key doesn't wait behind those who haven't.
    assert stand.ask("GET", "/state").status == 200
    assert time.monotonic() - before < WRONG_SECONDS
    for each in guesses:
        each.join()

    assert time.monotonic() - before >= WRONG_SECONDS
    assert set(found) == {403, 429}
    assert found.count(403) <= WAITING_AT_MOST + 1


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1", "127.0.0.1:1", "", None]
)
def test_another_host_is_refused_so_that_no_name_can_be_pointed_here(
    stand: Stand, host: str | None
) -> None:
    answer = stand.ask("GET", "/state", Host=host)

    assert answer.status in {400, 421}
    assert b"steps" not in answer.body


@pytest.mark.parametrize("origin", ["https://evil.example", "null", "http://localhost", None])
def test_a_page_elsewhere_can_send_nothing(stand: Stand, origin: str | None) -> None:
    document = stand.document()
    step = document["steps"][0]
    told = {"owner": document["owners"][0], "messages": [stand.played(step)]}
    answer = stand.ask("POST", "/messages", told, Origin=origin)

    assert answer.status == 403
    assert stand.log() == []


def test_a_page_elsewhere_can_read_nothing(stand: Stand) -> None:
    assert stand.ask("GET", "/state", Origin="https://evil.example").status == 403
    assert "access-control-allow-origin" not in stand.ask("GET", "/state").headers


@pytest.mark.parametrize(
    ("kind", "body", "status"),
    [
        ("text/plain", b"{}", 415),
        ("application/x-www-form-urlencoded", b"a=b", 415),
        (None, b"{}", 415),
        ("application/json", b"{" * 1000, 400),
        ("application/json", b"\xff\xfe", 400),
        ("application/json", b"[]", 400),
        ("application/json; charset=utf-8", b'{"owner": 1, "messages": []}', 400),
        ("application/json", b" " * (LONGEST_BODY + 1), 413),
    ],
)
def test_bodies_are_typed_and_limited(
    stand: Stand, kind: str | None, body: bytes, status: int
) -> None:
    assert stand.ask("POST", "/messages", body=body, Content_Type=kind).status == status


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../gate.py", "/assets/..%2Fgate.py", "/assets/%2e%2e/gate.py", "/assets/gate.py",
        "/assets//etc/passwd", "/assets/", "/assets/stand.css/..", "/etc/passwd", "/assets/%00",
    ],
)  # fmt: skip
def test_no_other_file_can_be_asked_for(stand: Stand, path: str) -> None:
    answer = stand.ask("GET", path)

    assert answer.status in {404, 400}
    assert b"class Gate" not in answer.body


@pytest.mark.parametrize("path", ["/", "/session", "/state", "/assets/stand.js", "/nowhere"])
def test_every_answer_says_what_a_browser_may_do_with_it(stand: Stand, path: str) -> None:
    headers = stand.ask("GET", path).headers

    assert HEADERS.items() <= headers.items()
    assert "unsafe" not in headers["content-security-policy"]
    assert "server" not in headers


def test_there_are_no_other_methods(stand: Stand) -> None:
    for method in ("PUT", "DELETE", "OPTIONS", "TRACE", "PATCH"):
        assert stand.ask(method, "/messages", {}).status == 405


@pytest.mark.parametrize("name", ASSETS)
def test_every_file_of_the_page_is_there_with_its_type(stand: Stand, name: str) -> None:
    answer = stand.ask("GET", f"/assets/{name}", Cookie=None)

    assert answer.status == 200
    assert answer.headers["content-type"].startswith(ASSETS[name])
