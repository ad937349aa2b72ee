"""The settings on the screen."""

from rich import box
from rich.console import RenderableType
from rich.table import Table

from scheduler.plan.settings import Settings, format_setting

MEANINGS = {
    "tuning": "open strings, lowest first",
    "frets": "last fret of the neck",
    "lowest_fret": "lowest fret used; 1: no open strings",
    "notes_per_beat": "notes to a beat: 1, 2, 3, 4 or 6",
    "floor_tempo": "slowest tempo that counts in the round",
    "clean_of_ten": "how many of ten passes at a suggested tempo are clean",
    "minutes": "minutes a day",
    "days": "weekdays with practice",
    "revisit": "at most so many percent of a session repair and refresh",
    "left_handed": "necks and boxes drawn mirrored",
    "both_directions": "every single in both directions in one round",
    "scale_length": "scale length in millimetres, for the fingering",
    "home_key": "key in which a box is first looked at",
    "guitar": "the guitar that is played, of several",
    "plays_clean": "what you said to play clean in box 1, before the first pass",
}


def settings_screen(settings: Settings) -> RenderableType:
    """Every setting with its option, value and meaning."""
    table = Table(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False)
    for name in ("option", "value", "meaning"):
        table.add_column(name, no_wrap=name == "option")
    for name, value in settings._asdict().items():
        if name not in MEANINGS or (name == "guitar" and not value):
            continue
        table.add_row(f"--{name.replace('_', '-')}", format_setting(value) or "-", MEANINGS[name])
    return table
