"""The page's modules as one script: each after those that it imports, no name twice."""

import re
from collections import Counter

from scheduler.stand.assets import MODULES, asset
from scheduler.stand.session_file import EXPORT, IMPORT, bundle

NAMED = re.compile(
    r"^(?:export )?(?:(?:async )?function|class) (\w+)|^(?:export )?(?:const|let) (.*)",
    re.MULTILINE,
)


def names_in(script: str) -> list[str]:
    """The names at the top of a module."""
    found = []
    for function, constants in NAMED.findall(script):
        found += [function] if function else re.findall(r"(?:^|, )(\w+) = ", constants)
    return found


def test_no_name_stands_twice_at_the_top() -> None:
    names = Counter(name for module in MODULES for name in names_in(asset(module)))

    assert len(names) > 40
    assert [name for name, count in names.items() if count > 1] == []


def test_each_module_stands_after_those_that_it_imports() -> None:
    for place, module in enumerate(MODULES):
        for found in re.findall(r'from "\./(\w+\.js)"', asset(module)):
            assert found in MODULES[:place], f"{module} imports {found}"


def test_nothing_of_modules_is_left_in_the_script() -> None:
    script = bundle().script

    assert not re.search(r"^(import|export) ", script, re.MULTILINE)
    assert "</script" not in script
    assert len(IMPORT.findall(asset("stand.js"))) == asset("stand.js").count("\nimport ")
    assert EXPORT.search(asset("ids.js"))
