"""Pages: HTML made from templates, with everything that is put into them escaped."""

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment

FOLDER = "pages"
"""Where a floor keeps its templates."""


@cache
def environment() -> "Environment":
    """Where templates are found, as FLOOR/NAME: those of show and those of the stand."""
    from jinja2 import Environment, PackageLoader, PrefixLoader, StrictUndefined

    return Environment(
        loader=PrefixLoader(
            {name: PackageLoader(f"scheduler.{name}", FOLDER) for name in ("show", "stand")}
        ),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def page(name: str, **values: object) -> str:
    """A page from its template.

    Args:
        name: The template, such as `show/sheet.html`.
        values: What it shows.
    """
    return environment().get_template(name).render(**values)


def page_source(name: str) -> str:
    """A stylesheet or script that lies beside the templates, as it is."""
    jinja = environment()
    assert jinja.loader is not None, "the environment is made with a loader"  # noqa: S101
    return jinja.loader.get_source(jinja, name)[0]
