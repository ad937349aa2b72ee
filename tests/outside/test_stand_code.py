"""The code for the phone's camera, read by ZXing and not by what wrote it (ISO/IEC 18004)."""

import re
from pathlib import Path

import pytest

from tests.commands.test_stand import started

LARGE = 8
"""Pixels to a module."""


def matrix_in(said: str) -> list[list[bool]]:
    """The dark places of the code that a terminal shows: light is drawn, dark is left out."""
    rows: list[list[bool]] = []
    for line in said.splitlines():
        if line and not set(line) - set("\u2588\u2580\u2584 "):
            rows.append([mark in " \u2584" for mark in line])
            rows.append([mark in " \u2580" for mark in line])
    return rows


def test_the_code_on_the_terminal_is_the_address(home: Path) -> None:
    zxing = pytest.importorskip("zxingcpp", reason="outside check skipped: no reader of codes")
    address = another_address()
    said, _ = started(home, "--address", address)
    found = re.search(rf"http://{re.escape(address)}:\d+/#\S+", said)
    assert found is not None
    assert "unencrypted" in said
    rows = matrix_in(said)
    width = max(map(len, rows))
    light = [[not dark for dark in row] + [False] * (width - len(row)) for row in rows]
    pixels = b"".join(
        bytes(255 * cell for cell in row for _ in range(LARGE)) * LARGE for row in light
    )
    picture = memoryview(pixels).cast("B", [LARGE * len(rows), LARGE * width])

    assert [each.text for each in zxing.read_barcodes(picture)] == [found[0]]


def another_address() -> str:
    """An address of this machine's that isn't the loopback."""
    from scheduler.errors import StandError
    from scheduler.stand.serving import network_address

    try:
        return network_address()
    except StandError as problem:
        pytest.skip(str(problem))
