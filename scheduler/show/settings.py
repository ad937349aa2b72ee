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
    "clean_of_ten": "tempos are chosen so that this many passes of ten are clean",
    "minutes": "minutes a day",
    "days": "weekdays with practice",
    "revisit": "at most this share of a session, in percent, for repair and refresh",
    "left_handed": "necks and boxes drawn mirrored",
    "both_directions": "single boxes up and down at every fret",
    "scale_length": "scale length in millimetres, for the fingering",
    "home_key": "a new box is first played slowly in this key",
    "guitar": "the guitar that is played, of several",
    "plays_clean": "what you said to play clean in box 1, before the first pass",
}


def changed_lines(before: Settings, after: Settings) -> list[str]:
    """What was changed, a line for each setting."""
    old, new = before._asdict(), after._asdict()
    changed = [name for name in new if name in MEANINGS and new[name] != old[name]]
    dropped = ["the assignment is dropped"] if before.assigned and not after.assigned else []
    if not changed and not dropped:
        return ["Nothing to change: upneck setup shows all settings."]
    return dropped + [
        f"{name.replace('_', ' ')}: {format_setting(new[name]) or '-'} instead of "
        f"{format_setting(old[name]) or '-'}"
        for name in changed
    ]


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
