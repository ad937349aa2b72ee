"""Screens in the documentation: what every `console` block shows is what the program prints.

`python -m tests.house.screens` writes the screens anew; read the difference before you commit it.
"""

import os
import re
import shlex
import sys
import tempfile
from io import StringIO
from pathlib import Path

from rich.console import Console
from rich.terminal_theme import TerminalTheme
from rich.text import Text
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


PICTURE = ROOT / "docs" / "pictures" / "calendar.svg"
PICTURED = ("--demo", "calendar", "--months", "0")
SVG = """<svg viewBox="0 0 {width} {height}" xmlns="http://www.w3.org/2000/svg" role="img">
<title>upneck calendar</title>
<style>
.{unique_id}-matrix {{ font: {char_height}px "DejaVu Sans Mono", Menlo, Consolas, monospace; }}
{styles}
</style>
<rect width="100%" height="100%" rx="6" fill="#fbfaf6"/>
<g transform="translate({terminal_x}, 24)">
{backgrounds}
<g class="{unique_id}-matrix">
{matrix}
</g>
</g>
</svg>
"""
"""What rich draws a screen into: no font is fetched, no window is drawn around it."""
INK_ON_PAPER = TerminalTheme(
    (251, 250, 246), (28, 27, 25),
    [(28, 27, 25), (150, 40, 30), (30, 100, 50), (110, 80, 0),
     (30, 70, 140), (120, 40, 110), (10, 95, 110), (90, 88, 82)],
)  # fmt: skip


def picture() -> str:
    """The calendar of the invented player as a picture, as the program prints it."""
    with tempfile.TemporaryDirectory() as home:
        environment = {
            "HOME": home, "XDG_DATA_HOME": f"{home}/data", "COLUMNS": "80", "UPNECK_NOW": NOW,
            "FORCE_COLOR": "1", "TERM": "xterm-256color",
        }  # fmt: skip
        runner = CliRunner(env=environment)
        runner.invoke(program(), ["--demo", "round"], prog_name="upneck")
        done = runner.invoke(program(), list(PICTURED), prog_name="upneck", color=True)
    console = Console(width=80, record=True, file=StringIO(), force_terminal=True)
    console.print(Text.from_ansi(done.output))
    drawn = console.export_svg(theme=INK_ON_PAPER, code_format=SVG, unique_id="upneck")
    return "\n".join(line.rstrip() for line in drawn.splitlines()) + "\n"


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
    PICTURE.write_text(picture(), encoding="utf-8")
    sys.exit(os.EX_OK)
