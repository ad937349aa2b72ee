"""Screens in the documentation: what every `console` block shows is what the program prints.

`python -m tests.house.screens` writes the screens anew; read the difference before you commit it.
"""

import os
import re
import shlex
import sys
import tempfile
from pathlib import Path

from typer.testing import CliRunner

from scheduler.cli import program

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
NOW = "2026-11-25T18:00:00+01:00"
CONSOLE = re.compile(r"```console\n(.*?)```", re.DOTALL)


def rendered(page: Path) -> str:
    """A page with all its commands run again, in order, in one new home."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            "HOME": home, "XDG_DATA_HOME": f"{home}/data", "COLUMNS": "80", "UPNECK_NOW": NOW,
        }  # fmt: skip
        runner = CliRunner(env=environment)
        # The demo player says once a day that it was made, and so does the demo's class.
        runner.invoke(program(), ["--demo", "round"], prog_name="upneck")
        text = page.read_text(encoding="utf-8")
        if "$ upneck --demo players" in text:
            runner.invoke(program(), ["--demo", "players"], prog_name="upneck")
        return CONSOLE.sub(lambda block: f"```console\n{_shown(runner, block[1])}```", text)


def _shown(runner: CliRunner, block: str) -> str:
    shown = ""
    for line in block.splitlines():
        if not line.startswith("$ "):
            continue
        words = shlex.split(line.removeprefix("$ upneck "))
        done = runner.invoke(program(), words, prog_name="upneck")
        assert done.exit_code == 0, f"an example that fails: {line}: {done.output}"
        out = "\n".join(each.rstrip() for each in done.output.splitlines())
        shown += f"{line}\n{out}\n"
    return shown


if __name__ == "__main__":
    for page in PAGES:
        page.write_text(rendered(page), encoding="utf-8")
    sys.exit(os.EX_OK)
