"""The folder of the player's data is where the standard and platformdirs put it."""

import sys

import platformdirs
import pytest

from scheduler.cli.desk import data_folder


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere platformdirs is asked itself")
@pytest.mark.parametrize("told", [None, "", "/somewhere/data", "relative/data"])
def test_data_lie_where_xdg_puts_them(monkeypatch: pytest.MonkeyPatch, told: str | None) -> None:
    """Source: XDG Base Directory Specification 0.8: unset, empty or relative means the default."""
    monkeypatch.setenv("HOME", "/home/player")
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    if told is not None:
        monkeypatch.setenv("XDG_DATA_HOME", told)
    wanted = "/somewhere/data" if told == "/somewhere/data" else "/home/player/.local/share"

    assert str(data_folder()) == f"{wanted}/upneck"
    if told != "relative/data":
        assert data_folder() == platformdirs.user_data_path("upneck", appauthor=False)
