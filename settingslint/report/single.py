"""Templates with escaping on, and the page that stands alone: its style is in it, and it needs no other file."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from settingslint import __version__
from settingslint.plain import Plain, as_laid_out, plain
from settingslint.vocabulary.cautions import FRAME


@cache
def environment() -> Environment:
    """Return what fills templates: every text is escaped, and nothing invisible stays in it."""
    made = Environment(
        loader=PackageLoader("settingslint.report"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.finalize = lambda value: plain(value) if type(value) is str else value
    return made


def page(template: str, title: str, remarks: Sequence[str], **more: Any) -> Plain:
    """Return a page from a template that extends `single.html`."""
    css = (resources.files("settingslint.report") / "templates" / "pages.css").read_text(encoding="utf-8")
    return as_laid_out(
        environment()
        .get_template(template)
        .render(title=title, remarks=remarks, css=css, frame=FRAME, meta=f"settingslint {__version__}", **more)
    )
