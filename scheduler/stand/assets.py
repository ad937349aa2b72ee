"""The page's scripts and its stylesheet, as they lie in the package."""

from functools import cache
from importlib.resources import files

from scheduler.show.pages import page_source

SCRIPT, STYLE, PICTURE = "text/javascript", "text/css", "image/svg+xml"
MODULES = (
    "ids.js", "hands_on.js", "beat.js", "sound.js", "keys.js", "kept.js", "sending.js", "view.js",
    "record.js", "playing.js", "stand.js",
)  # fmt: skip
"""The page's modules, each after those that it imports."""

ASSETS = {
    **dict.fromkeys((*MODULES, "entry.js"), SCRIPT),
    "stand.css": STYLE, "report.css": STYLE, "icon.svg": PICTURE,
}  # fmt: skip
"""What can be asked for, with its type."""


@cache
def asset(name: str) -> str:
    """A script or the stylesheet, by its name in `ASSETS`."""
    if name == "report.css":
        return page_source("show/report.css")
    text = (files("scheduler.stand") / "assets" / name).read_text(encoding="utf-8")
    # One stylesheet: the page is printed as the sheet.
    return f"{text}\n{page_source('show/paper.css')}" if name == "stand.css" else text
