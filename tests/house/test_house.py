"""The house: floors, files at the top, words that are not ours."""

import ast
import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FLOORS = ("guitar", "player", "plan", "ledger", "practice", "show", "stage", "stand", "cli")
MAY_IMPORT = {
    "guitar": set(),
    "player": {"guitar"},
    "plan": {"guitar", "player"},
    "ledger": {"guitar", "player", "plan"},
    "practice": {"guitar", "player", "plan", "ledger"},
    "show": {"guitar", "player", "plan", "practice"},
    "stage": {"guitar", "player", "plan", "ledger", "practice", "show"},
    "stand": {"guitar", "player", "plan", "ledger", "practice", "show", "stage"},
    "cli": {"guitar", "player", "plan", "ledger", "practice", "show", "stage"},
}
PURE = ("guitar", "player", "plan")
NOT_IN_PRACTICE = {
    "typer", "rich", "sqlite_utils", "sqlite3", "platformdirs", "os", "time", "sys", "pathlib",
    "subprocess", "socket", "tempfile", "shutil",
}  # fmt: skip
NOT_IN_PURE = {
    "typer", "rich", "sqlite_utils", "sqlite3", "platformdirs", "pathlib", "os", "io", "time",
    "sys", "subprocess", "socket", "tempfile", "shutil",
}  # fmt: skip
MODULES = sorted((ROOT / "scheduler").rglob("*.py"))
NAMES = [str(module.relative_to(ROOT)) for module in MODULES]
LONGEST_MODULE, LONGEST_FUNCTION = 320, 60


def name_of(module: Path) -> str:
    """A module by its place in the package."""
    return str(module.relative_to(ROOT / "scheduler"))


def floor_of(module: Path) -> str | None:
    """The floor that a module lies on, also in a folder of it."""
    parts = module.relative_to(ROOT / "scheduler").parts
    return parts[0] if len(parts) > 1 else None


def tracked() -> list[str]:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    return listed.stdout.splitlines()


def imports(module: Path) -> set[str]:
    """Every module that a file imports, also inside functions."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: a relative import"
            found.add(node.module or "")
            found.update(f"{node.module}.{alias.name}" for alias in node.names)
    return found


def modules_of(floor: str) -> set[str]:
    """The modules and folders of a floor, as an import names them."""
    found = {
        ".".join(module.relative_to(ROOT).with_suffix("").parts)
        for module in MODULES
        if floor_of(module) == floor
    }
    return found | {name.rpartition(".")[0] for name in found}


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_a_floor_imports_only_from_floors_above_it(module: Path) -> None:
    parts, floor = module.relative_to(ROOT / "scheduler").parts, floor_of(module)
    if floor is None:
        return
    used = {
        name.split(".")[1]
        for name in imports(module)
        if name.startswith("scheduler.") and name.split(".")[1] in FLOORS
    }
    may = MAY_IMPORT[floor] | {floor}
    if parts == ("cli", "stand.py"):
        # One door puts up the other: the command that serves the page.
        may |= {"stand"}

    assert used <= may


@pytest.mark.parametrize(
    "module",
    [m for m in MODULES if floor_of(m) in PURE],
    ids=name_of,
)
def test_pure_floors_touch_no_screen_file_or_clock(module: Path) -> None:
    used = {name.split(".")[0] for name in imports(module)}
    calls = re.findall(r"\b(?:now|today|utcnow)\(", module.read_text(encoding="utf-8"))

    assert not used & NOT_IN_PURE
    assert not [call for call in calls if call in {"now(", "utcnow("}]


@pytest.mark.parametrize("module", [m for m in MODULES if floor_of(m) == "practice"], ids=name_of)
def test_practice_reads_no_words_and_knows_no_screen_clock_or_environment(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    used = {name.split(".")[0] for name in imports(module)}

    assert not used & NOT_IN_PRACTICE
    assert not re.findall(r"\b(?:now|utcnow|print|echo)\(", text)


@pytest.mark.parametrize("module", [m for m in MODULES if floor_of(m) == "show"], ids=name_of)
def test_show_takes_from_practice_its_values_only(module: Path) -> None:
    taken = {
        name.rpartition(".")[2]
        for name in imports(module)
        # `scheduler.practice.report.way` is a module in a folder; `...way.Way` is what it holds.
        if name.startswith("scheduler.practice.") and name not in modules_of("practice")
    }

    assert not {name for name in taken if name == "Practice" or not name[0].isupper()}


@pytest.mark.parametrize("module", MODULES, ids=NAMES)
def test_a_module_does_one_thing_and_a_function_fits_a_screen(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    functions = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.FunctionDef)]

    assert len(text.splitlines()) <= LONGEST_MODULE
    for node in functions:
        # Commands are long by their options; their bodies are not.
        body = (node.end_lineno or 0) - node.body[0].lineno + 1
        assert body <= LONGEST_FUNCTION, f"{module.name}: {node.name}"


def test_every_folder_of_the_package_is_a_floor() -> None:
    folders = {
        path.name
        for path in (ROOT / "scheduler").iterdir()
        if path.is_dir() and path.name != "__pycache__"
    }

    assert folders == set(FLOORS)


def test_the_top_level_is_what_was_asked_for() -> None:
    top = {name.split("/")[0] for name in tracked()}

    assert {name for name in top if not name.startswith(".")} <= {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "scheduler", "tests", "demo_data", "docs",
    }  # fmt: skip


WRITTEN = {".py", ".md", ".html", ".js", ".css"}
NOT_OUR_WORDS = re.compile(
    r"\b(decks?|lapses?|leech|ease|streaks?|badges?|flash-?cards?|gamif\w*|grades?|cards?|due)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize("folder", ["scheduler", "docs", "demo_data", "README.md"])
def test_words_of_other_kinds_of_programs_are_not_used(folder: str) -> None:
    path = ROOT / folder
    files = [path] if path.is_file() else [p for p in path.rglob("*") if p.suffix in WRITTEN]
    found = [
        (file.name, match[0])
        for file in files
        for match in NOT_OUR_WORDS.finditer(file.read_text(encoding="utf-8"))
    ]

    assert not found


def test_no_path_of_one_machine_stands_in_the_tree() -> None:
    pattern = re.compile(r"/(work|farm|tmp|root)/")
    found = [
        name
        for name in tracked()
        if (ROOT / name).is_file()
        and name != "tests/house/test_house.py"
        and pattern.search((ROOT / name).read_text(encoding="utf-8", errors="replace"))
    ]

    assert not found
