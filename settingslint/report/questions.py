"""`questions` in all its forms: those of text and data, and a page to print, with room for the answers."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from settingslint.checking.questions import FIRST_VIEW, Question, Questions
from settingslint.output import Look
from settingslint.output import questions as output
from settingslint.output.plain import plural
from settingslint.plain import Plain
from settingslint.report.single import page

FORMS: Final = (*output.FORMS, "html")
MOST_PLANTS: Final = 20
"""So many plants have a table of their own in the first view."""


def render(form: str, found: Questions, look: Look) -> Plain:
    """Return questions in one of `FORMS`.

    Raises:
        KeyError: for another form.
    """
    return html(found, look) if form == "html" else output.FORMS[form](found, look)


def rows(asked: Iterable[Question]) -> list[dict[str, Any]]:
    """Return questions as the pages show them."""
    return [
        {
            "question": one.text,
            "name": one.name,
            "decides": output.decides(one),
            "known_by": output.known_by(one) or "-",
            "places": output.places(one),
        }
        for one in asked
    ]


def html(found: Questions, look: Look) -> Plain:
    """Return questions as a page: over all plants where there are several, then a table with room for each plant."""
    most, plants = FIRST_VIEW, MOST_PLANTS
    if look.every:
        most = plants = max(len(found.asked), len(found.plants))
    hidden = [
        f"{plural(count, noun)} more: settingslint questions --all"
        for count, noun in ((len(found.asked) - most, "question"), (len(found.plants) - plants, "plant"))
        if count > 0
    ]
    problems = [f"not read: {one.file}:{one.line}:{one.column}: {one.message}" for one in found.problems]
    return page(
        "questions.html",
        f"What to find out next: {found.portfolio}",
        [*problems, *hidden],
        as_of=found.as_of.isoformat(),
        asked=rows(found.asked[:most]) if len(found.plants) > 1 else [],
        plants=[
            {
                "title": f"{one.plant}, {one.site}",
                "rows": rows(one.asked[:most]),
                "more": max(0, len(one.asked) - most),
            }
            for one in found.plants[:plants]
        ],
        nothing=output.NOTHING,
    )
