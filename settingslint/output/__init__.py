"""What `check` prints: one function for each form, by name."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Final, cast

from settingslint.plain import Plain

if TYPE_CHECKING:
    from settingslint.checking.report import Report


@dataclass(frozen=True, slots=True)
class Look:
    """How text may be printed: width of the screen, colour or none.

    `every` names every rule that was not checked, `full` is all that is known of each finding; `by` rule, site or plant
    is all findings in short; `narrow` says that one plant or site was asked for, so that all of its findings are shown.
    """

    width: int = 80
    colour: bool = False
    every: bool = False
    full: bool = False
    by: str = ""
    narrow: bool = False


FORMS: Final = ("text", "json", "sarif", "junit", "markdown", "csv")
BY: Final = ("rule", "site", "plant")
"""By what findings can be listed in text."""
_MODULES: Final = {"json": "data"}


def parts(form: str, report: Report, look: Look) -> Iterator[Plain]:
    """Yield a report in one of `FORMS` piece by piece; text is never held as a whole.

    Raises:
        KeyError: for another form.
    """
    if form != "text":
        yield render(form, report, look)
        return
    from settingslint.output.text import pieces

    yield from pieces(report, look)


def render(form: str, report: Report, look: Look) -> Plain:
    """Return a report in one of `FORMS`.

    Raises:
        KeyError: for another form.
    """
    if form not in FORMS:
        raise KeyError(form)
    module = import_module(f"settingslint.output.{_MODULES.get(form, form)}")
    return cast(Callable[["Report", Look], Plain], module.render)(report, look)
