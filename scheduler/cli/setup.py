"""The command `setup`: show or change the settings."""

from pathlib import Path

import typer

from scheduler.cli.telling import tell
from scheduler.plan.assignment import ASSIGNED
from scheduler.plan.settings import Settings, read_settings, with_values
from scheduler.practice.practice import Practice


def read_words(
    words: dict[str, str | None], ledger: Path, *, no_assignment: bool
) -> dict[str, object]:
    """Read the settings that were given, before a ledger is made for them.

    Args:
        words: The settings; None for those that weren't given.
        ledger: The ledger.
        no_assignment: Whether what a teacher assigned is dropped.

    Raises:
        SettingError: A value is outside its range.
        NeckError: No box lies on such a neck.
        TempoError: No metronome beats the floor tempo.
    """
    given = {name: text for name, text in words.items() if text is not None}
    if no_assignment:
        given |= dict.fromkeys(ASSIGNED, "")
    values = read_settings(given)
    if not ledger.exists():
        with_values(Settings(), values)
    return values


def setup(practice: Practice, values: dict[str, object], *, as_json: bool) -> None:
    """Change what was given and tell it; show all settings where nothing was."""
    before = practice.settings
    if values:
        from scheduler.practice.settings import change_settings

        change_settings(practice, values)
    if as_json:
        from scheduler.show.as_json import as_text, settings_json

        typer.echo(as_text(settings_json(practice.settings)))
        return
    from scheduler.show.settings import changed_lines, settings_screen
    from scheduler.show.terminal import console

    if values:
        tell("\n".join(changed_lines(before, practice.settings)))
        return
    console().print(settings_screen(practice.settings))
