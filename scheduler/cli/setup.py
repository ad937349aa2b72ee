"""The command `setup`: show or change the settings."""

import typer

from scheduler.plan.settings import read_settings
from scheduler.practice.practice import Practice


def setup(practice: Practice, words: dict[str, str], *, as_json: bool) -> None:
    """Change what was given, then show all settings."""
    if words:
        from scheduler.practice.settings import change_settings

        change_settings(practice, read_settings(words))
    if as_json:
        from scheduler.show.as_json import as_text, settings_json

        typer.echo(as_text(settings_json(practice.settings)))
        return
    from scheduler.show.settings import settings_screen
    from scheduler.show.terminal import console

    console().print(settings_screen(practice.settings))
