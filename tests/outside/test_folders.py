"""The folder of the player's data is where the standard and platformdirs put it."""

import sys
from pathlib import Path

import platformdirs
import pytest
from platformdirs.unix import Unix

from scheduler.cli.ledger_file import data_folder


@pytest.mark.parametrize("told", [None, "", "absolute", "relative/data"])
def test_data_lie_where_xdg_puts_them(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, told: str | None
) -> None:
    """Source: XDG Base Directory Specification 0.8: unset, empty or relative means the default."""
    monkeypatch.setattr(sys, "platform", "linux")
    for variable in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(variable, str(tmp_path))
    monkeypatch.delenv("XDG_DATA_HOME", raising=False)
    wanted = tmp_path / ".local" / "share"
    if told == "absolute":
        wanted = tmp_path / "somewhere" / "data"
        monkeypatch.setenv("XDG_DATA_HOME", str(wanted))
    elif told is not None:
        monkeypatch.setenv("XDG_DATA_HOME", told)

    assert data_folder() == wanted / "upneck"
    if told != "relative/data":
        assert data_folder() == Unix("upneck", appauthor=False).user_data_path


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_elsewhere_platformdirs_is_asked(monkeypatch: pytest.MonkeyPatch, system: str) -> None:
    monkeypatch.setattr(sys, "platform", system)

    assert data_folder() == platformdirs.user_data_path("upneck", appauthor=False)
