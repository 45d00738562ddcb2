"""`questions`: what to find out next, as text, JSON, CSV and a page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from settingslint.checking.questions import FIRST_VIEW, Question
from settingslint.output import Look
from settingslint.output.plain import json_text, plural, wrapped
from settingslint.plain import Plain, in_lines
from settingslint.sheets.cells import table

COLUMNS: Final = ("question", "name", "decides_findings", "worst", "checks", "known_by", "plants", "first_plants")
MOST_PLANTS: Final = 3
NOTHING: Final = "No question: everything that a rule asks for is recorded."


def places(question: Question) -> str:
    """Return the plants that a question is about: the first three, and how many more."""
    names = ", ".join(f"{site}, {plant}" if site else plant for site, plant in question.plants[:MOST_PLANTS])
    more = len(question.plants) - MOST_PLANTS
    return f"{names} and {more} more" if more > 0 else names


def decides(question: Question) -> str:
    """Return what the answer decides, in words."""
    parts = []
    if question.findings and question.worst is not None:
        parts.append(f"decides {plural(question.findings, 'finding')}, worst {question.worst.value}")
    if question.checks:
        parts.append(f"{plural(question.checks, 'check')} need it")
    return "; ".join(parts)


def lines(asked: Sequence[Question], look: Look, most: int, *, one_plant: bool) -> list[Plain]:
    """Return the first questions as lines of text."""
    found: list[Plain] = []
    for number, question in enumerate(asked[:most], 1):
        learned = f"; {question.learned.value}" if question.learned is not None else ""
        where = "" if one_plant else f" [{places(question)}]"
        found.append(wrapped(f"{number}. {question.text} {decides(question)}{learned}{where}", look.width, "   ", ""))
    return found


def as_text(asked: Sequence[Question], look: Look) -> Plain:
    """Return questions as text."""
    if not asked:
        return in_lines([NOTHING])
    one = len({place for question in asked for place in question.plants}) == 1
    most = len(asked) if look.every else FIRST_VIEW
    more = len(asked) - most
    rest = [f"and {more} more; --all shows them"] if more > 0 else []
    return in_lines([*lines(asked, look, most, one_plant=one), *rest])


def data(asked: Sequence[Question]) -> list[dict[str, Any]]:
    """Return questions as JSON holds them."""
    return [
        {
            "question": one.text,
            "name": one.name,
            "decides": one.findings,
            "worst": one.worst.value if one.worst is not None else None,
            "checks": one.checks,
            "known_by": one.learned.value if one.learned is not None else None,
            "plants": [{"site": site, "plant": plant} for site, plant in one.plants],
        }
        for one in asked
    ]


def as_json(asked: Sequence[Question], look: Look) -> Plain:
    """Return questions as JSON text."""
    return json_text({"format": 1, "questions": data(asked)})


def as_csv(asked: Sequence[Question], look: Look) -> Plain:
    """Return questions as a table."""
    return table(
        COLUMNS,
        (
            [
                one.text, one.name, one.findings, one.worst.value if one.worst else "", one.checks,
                one.learned.value if one.learned else "", len(one.plants), places(one),
            ]
            for one in asked
        ),
    )  # fmt: skip
