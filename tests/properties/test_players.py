"""Records of ten players, taken in in any order, twice, never mix."""

import json
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.conftest import EXAMPLES, Run

NAMES = ("Mia", "mia b", "Jörg Ask", "Jo", "Joe", "Ann-Kari", "O'Neil", "Zoë", "Li", "Ed & Al")
CALLED = dict(enumerate(NAMES))


@pytest.fixture
def records(run: Run, tmp_path: Path) -> dict[str, tuple[Path, str]]:
    """Each player's record as a file, and the log that it holds."""
    found = {}
    for number, name in CALLED.items():
        ledger = ("--ledger", str(tmp_path / f"machine {number}.db"))
        run(*ledger, "setup", "--minutes", str(10 + number))
        run(*ledger, "record", f"{number % 5 + 1}:any:down:1-{number + 1}", "clean", "--tempo",
            str(60 + number))  # fmt: skip
        file = tmp_path / f"{name}.json"
        run(*ledger, "export", "--format", "json", "-o", str(file))
        found[name] = (file, run(*ledger, "export").out)
    return found


@pytest.mark.slow
@settings(
    max_examples=max(3, EXAMPLES // 20),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.permutations([*NAMES, *NAMES]), st.data())
def test_records_of_ten_players_never_mix(
    run: Run,
    records: dict[str, tuple[Path, str]],
    tmp_path_factory: pytest.TempPathFactory,
    order: list[str],
    data: st.DataObject,
) -> None:
    with pytest.MonkeyPatch.context() as here:
        here.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("teacher")))
        seen = set()
        for name in order:
            file, _ = records[name]
            if name in seen:
                file = file.rename(file.with_name(f"{data.draw(st.integers(0, 9**9))}.json"))
            done = run("import", str(file), "--yes")
            file.rename(records[name][0])
            assert done.out.startswith(f"{name}: {'nothing new' if name in seen else ''}")
            seen.add(name)
        told = {each["name"]: each for each in json.loads(run("players", "--json").out)["players"]}

        assert told.keys() == set(NAMES)
        for number, name in CALLED.items():
            assert run("--player", name, "export").out == records[name][1]
            assert told[name]["items_clean"] == number + 1
            assert told[name]["week"]["planned_seconds"] == 60 * (10 + number)
