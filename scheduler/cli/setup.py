"""The command `setup`: show or change the settings."""

import typer

from scheduler.cli.desk import Desk
from scheduler.errors import UsageError
from scheduler.guitar.metronome import FASTEST, SLOWEST
from scheduler.ledger.events import SettingChanged
from scheduler.ledger.plans import drop_plan, kept_plan
from scheduler.plan.settings import Settings, changed, format_setting

CHANGES_THE_ITEMS = {"tuning", "frets", "lowest_fret", "both_directions", "notes_per_beat"}


def setup(desk: Desk, words: dict[str, str], *, as_json: bool) -> None:
    """Change what was given, then show all settings."""
    if words:
        change_settings(desk, words)
    if as_json:
        from scheduler.show.as_json import as_text, settings_json

        typer.echo(as_text(settings_json(desk.settings)))
        return
    from scheduler.show.settings import settings_screen
    from scheduler.show.terminal import console

    console().print(settings_screen(desk.settings))


def change_settings(desk: Desk, words: dict[str, str]) -> None:
    """Record new values of settings; a value that is the same as before is not recorded.

    Raises:
        UsageError: A value is outside its range.
    """
    words = words | _same_floor_speed(desk.settings, words)
    new = changed(desk.settings, words)
    before, after = desk.settings._asdict(), new._asdict()
    values = {name: format_setting(after[name]) for name in words if after[name] != before[name]}
    if not values:
        return
    ids = desk.ledger.ids(desk.now)
    events = [SettingChanged(ids.next(), desk.now, name, value) for name, value in values.items()]
    desk.ledger.append(events)
    desk.forget_changes()
    plan = kept_plan(desk.ledger, desk.now.day)
    if plan is None:
        return
    if CHANGES_THE_ITEMS & values.keys() or not plan.done:
        drop_plan(desk.ledger, desk.now.day)
        typer.echo("today's plan will be made anew: upneck today", err=True)
    else:
        typer.echo("today's plan stays as it is: upneck today --afresh plans anew", err=True)


def _same_floor_speed(settings: Settings, words: dict[str, str]) -> dict[str, str]:
    """With other notes per beat the floor tempo moves, so that as many notes a second count."""
    if "notes_per_beat" not in words or "floor_tempo" in words:
        return {}
    new = changed(settings, {"notes_per_beat": words["notes_per_beat"]})
    if new.notes_per_beat == settings.notes_per_beat:
        return {}
    tempo = settings.floor_tempo * settings.notes_per_beat / new.notes_per_beat
    if not SLOWEST <= tempo <= FASTEST:
        msg = (
            f"with {new.notes_per_beat} notes a beat the floor tempo would be {tempo:g}: "
            "give one with --floor-tempo"
        )
        raise UsageError(msg)
    typer.echo(f"floor tempo {tempo:g}: as many notes a second as before", err=True)
    return {"floor_tempo": format_setting(float(tempo))}
