"""The pictures of the page in docs/, made anew: `python -m tests.browser.pictures`.

The invented player's session of 25 November 2026, as three sizes of screen show it.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from tests.browser.conftest import CHROMIUM, Phone, Program
from tests.commands.test_screen import environment
from tests.house.screens import ROOT

PICTURES = ROOT / "docs" / "pictures"
SIZES = {
    "stand-phone": (360, 740, "light"),
    "stand-tablet": (820, 1180, "dark"),
    "stand-laptop": (1280, 800, "light"),
}


def main() -> None:
    """Play a first block on each size of screen, and take its picture."""
    from playwright.sync_api import sync_playwright

    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        program = Program(Path(folder), before=("--demo",))
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for name, (width, height, scheme) in SIZES.items():
            size = {"width": width, "height": height}
            context = browser.new_context(
                viewport=size,  # type: ignore[arg-type]
                has_touch=True,
                color_scheme=scheme,  # type: ignore[arg-type]
            )
            phone = Phone(context).open(program.address).begin()
            phone.judge()
            phone.wait_for_touch()
            phone.come_to_the_item()
            phone.page.wait_for_timeout(1700)
            phone.page.screenshot(path=PICTURES / f"{name}.png")
            context.close()
        program.kill()
        page = browser.new_context(viewport={"width": 800, "height": 900}).new_page()
        page.goto(f"file://{_report(Path(folder))}")
        page.locator("#picture-1 figure").screenshot(path=PICTURES / "report.png")
        browser.close()


def _report(folder: Path) -> Path:
    """The report of the invented player."""
    file = folder / "report.html"
    subprocess.run(
        [sys.executable, "-m", "scheduler", "--demo", "report", "-o", str(file)],
        env=environment(folder), check=True, capture_output=True,
    )  # fmt: skip
    return file


if __name__ == "__main__":
    main()
