"""Whatever happens meanwhile, each pass that was acknowledged or kept is in the ledger once."""

import socket
import subprocess
from collections.abc import Callable
from pathlib import Path
from sys import executable

import pytest

from tests.browser.conftest import Phone, Program
from tests.commands.test_screen import environment
from tests.conftest import Run

PutUp = Callable[..., Program]
MakePhone = Callable[..., Phone]
FAST = ("--floor-tempo", "400", "--tuning", "E1 A1 D2 G2", "--plays-clean", "400")


@pytest.fixture(autouse=True)
def fast(run: Run) -> None:
    run("setup", *FAST, at="2026-11-20T12:00:00+01:00")


def test_the_stand_is_killed_in_the_middle_and_put_up_again(
    put_up: PutUp, phone: MakePhone
) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    before = put_up("--minutes", "10", "--port", str(port))
    one = phone().open(before.address).begin()
    one.judge()
    one.wait_until_sent()
    before.kill()
    for _ in range(3):
        one.judge()
    assert one.kept() == 3
    assert one.page.inner_text("#kept") == "3 kept here"
    assert "can't be reached" in one.page.inner_text("#trouble")
    after = put_up("--minutes", "10", "--port", before.port)
    one.until("document.getElementById('trouble').textContent.includes('again')")
    one.open(after.address)
    one.wait_until_sent()

    assert [clean for _, clean in after.passes()] == [1] * 4
    assert len({event_id for event_id, _ in after.passes()}) == 4
    one.begin()
    one.judge()
    one.wait_until_sent()
    assert len(after.passes()) == 5


def test_the_network_is_off_for_twenty_passes(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    one.context.set_offline(True)
    verdicts = [n % 4 != 3 for n in range(20)]
    for clean in verdicts:
        one.judge("#clean" if clean else "#sloppy")
    assert one.kept() == 20
    assert program.passes() == []
    shown = one.page.inner_text("#what")
    one.context.set_offline(False)
    one.wait_until_sent()

    assert [bool(clean) for _, clean in program.passes()] == verdicts
    # The stand has come to the same place by itself: nothing jumps on the page.
    one.page.wait_for_timeout(3000)
    assert one.page.inner_text("#what") == shown


def test_the_page_is_reloaded_with_passes_that_were_kept(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    one.page.route("**/messages", lambda route: route.abort())
    one.judge()
    one.judge("#sloppy")
    assert one.kept() == 2
    one.page.unroute("**/messages")
    one.page.reload()
    one.wait_until_sent()

    assert [clean for _, clean in program.passes()] == [1, 0]


def test_the_tab_is_killed_with_passes_that_were_kept(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    one.page.route("**/messages", lambda route: route.abort())
    one.judge()
    assert one.kept() == 1
    with pytest.raises(Exception, match=r"crash|closed|Target|Timeout"):
        one.page.goto("chrome://crash", timeout=2000)
    one.new_page()
    one.open(program.address)
    one.wait_until_sent()

    assert [clean for _, clean in program.passes()] == [1]


def test_the_answer_is_lost_after_the_commit(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()

    def lose(route: "object") -> None:
        route.fetch()  # type: ignore[attr-defined]
        route.abort()  # type: ignore[attr-defined]

    one.page.route("**/messages", lose)
    one.judge()
    one.page.wait_for_timeout(2000)
    assert one.kept() == 1
    assert len(program.passes()) == 1
    one.page.unroute("**/messages")
    one.wait_until_sent()

    assert len(program.passes()) == 1


def test_two_phones_play_one_session(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    two = phone().open(program.address).begin()
    first = one.page.inner_text("#what")
    one.judge()
    one.wait_until_sent()
    second = one.page.inner_text("#what")
    assert second != first
    two.until("what => document.getElementById('what').textContent === what", arg=second)
    two.judge()
    two.wait_until_sent()
    one.until("what => document.getElementById('what').textContent !== what", arg=second)

    assert [clean for _, clean in program.passes()] == [1, 1]


@pytest.mark.parametrize("hours", [-1, 1, 24 * 400])
def test_the_phones_clock_is_off(put_up: PutUp, phone: MakePhone, run: Run, hours: int) -> None:
    program = put_up("--minutes", "10")
    one = phone()
    one.context.add_init_script(
        f"const real = Date.now; Date.now = () => real() + {hours} * 3600000;"
    )
    one.open(program.address).begin()
    one.judge()
    one.wait_until_sent()

    assert [clean for _, clean in program.passes()] == [1]
    checked = run("check", at="")
    assert checked.code == 0
    assert "clock" not in checked.out + checked.err


def test_what_is_refused_is_given_out_and_not_lost(
    put_up: PutUp, phone: MakePhone, home: Path
) -> None:
    program = put_up("--minutes", "10")
    one = phone().open(program.address).begin()
    one.page.evaluate(
        "localStorage.setItem(`upneck/${JSON.parse(document.getElementById('told').textContent)"
        ".owners[0]}/broken`, '{')"
    )
    one.page.route("**/messages", lambda route: route.abort())
    one.judge()
    one.page.evaluate("""() => {
      for (const [key, text] of Object.entries(localStorage)) {
        if (text.includes('"pass"')) localStorage.setItem(key, text.replace(/"block":\\d+/, '"block":99'));
      }
    }""")
    one.page.unroute("**/messages")
    one.page.reload()
    one.page.wait_for_selector("#refused:not([hidden])")
    assert "its session has no block 99" in one.page.inner_text("#refused-words")
    with one.page.expect_download() as download:
        one.page.click("#give-refused")
    given = home / "given.json"
    download.value.save_as(given)
    assert program.passes() == []
    program.end()
    done = subprocess.run(
        [executable, "-m", "scheduler", "import", str(given)], env=environment(home, UPNECK_NOW=""),
        capture_output=True, text=True, check=False,
    )  # fmt: skip

    assert done.returncode == 0, done.stderr
    assert [clean for _, clean in program.passes()] == [1]


def test_nothing_can_be_kept_here_and_that_is_said(put_up: PutUp, phone: MakePhone) -> None:
    program = put_up("--minutes", "10")
    one = phone()
    one.context.add_init_script("Storage.prototype.setItem = () => { throw new Error('full'); };")
    one.open(program.address).begin()
    one.context.set_offline(True)
    one.judge()
    assert one.page.inner_text("#kept") == "1 kept here, not safe"
    one.context.set_offline(False)
    one.page.wait_for_selector("#kept", state="hidden")

    assert [clean for _, clean in program.passes()] == [1]
