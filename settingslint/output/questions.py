"""`questions`: what to find out next, as text, JSON, CSV and a page; other forms and papers show the first of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

from settingslint.checking.questions import FIRST_VIEW, Question, Questions
from settingslint.output import Look
from settingslint.output.plain import json_text, plural, wrapped
from settingslint.plain import Plain, in_lines
from settingslint.sheets.cells import table

COLUMNS: Final = (
    "site", "boiler", "question", "name", "worst", "decides findings", "needed by checks", "known by", "answer",
)  # fmt: skip
MOST_PLANTS: Final = 3
"""So many plants are named with a question; the rest are counted."""
NEXT: Final = "Ask next"
NOTHING: Final = "No question: everything that a rule asks for is recorded."
MORE: Final = "settingslint questions"
"""The command that lists them."""


def places(question: Question) -> str:
    """Return the plants that a question is about: the first three, and how many more."""
    names = ", ".join(f"{site} {plant}" for site, plant in question.plants[:MOST_PLANTS])
    more = len(question.plants) - MOST_PLANTS
    return f"{names} and {more} more" if more > 0 else names


def of_one(asked: Sequence[Question]) -> bool:
    """Return whether all questions are about one plant, which then needs no naming."""
    return len({place for question in asked for place in question.plants}) == 1


def decides(question: Question) -> str:
    """Return what the answer decides, in words."""
    parts = []
    if question.findings and question.worst is not None:
        parts.append(f"decides {plural(question.findings, 'finding')}, worst {question.worst.value}")
    if question.checks:
        parts.append(f"{plural(question.checks, 'check')} {'needs' if question.checks == 1 else 'need'} it")
    return "; ".join(parts)


def known_by(question: Question) -> str:
    """Return how the answer gets known, empty where nobody says."""
    return question.learned.value if question.learned is not None else ""


def about(question: Question, *, one_plant: bool = False) -> str:
    """Return what a question decides, how the answer gets known and, if not `one_plant`, where it is open."""
    where = "" if one_plant else places(question)
    return "; ".join(filter(None, (decides(question), known_by(question), where)))


def lines(asked: Sequence[Question], look: Look, most: int, *, one_plant: bool) -> list[Plain]:
    """Return the first questions as lines of text."""
    found = []
    for number, question in enumerate(asked[:most], 1):
        found.append(wrapped(f"{number}. {question.text}", look.width, "", "   "))
        found.append(wrapped(about(question, one_plant=one_plant), look.width, "   ", ""))
    return found


def as_text(found: Questions, look: Look) -> Plain:
    """Return questions as text, the first ten if not every one is asked for."""
    asked = found.asked
    if not asked:
        return in_lines([NOTHING])
    most = len(asked) if look.every else FIRST_VIEW
    rest = [f"and {len(asked) - most} more: --all"] if len(asked) > most else []
    return in_lines([*lines(asked, look, most, one_plant=of_one(asked)), *rest])


def data(asked: Sequence[Question], *, places: bool = True) -> list[dict[str, Any]]:
    """Return questions as JSON holds them, those of one plant without its name."""
    return [
        {
            "question": one.text,
            "name": one.name,
            "findings": one.findings,
            "worst": one.worst.value if one.worst is not None else None,
            "checks": one.checks,
            "known_by": known_by(one),
            **({"plants": [{"site": site, "plant": plant} for site, plant in one.plants]} if places else {}),
        }
        for one in asked
    ]


def as_json(found: Questions, look: Look) -> Plain:
    """Return all questions as JSON text, over all plants and of each."""
    plants = [
        {"site": one.site, "plant": one.plant, "questions": data(one.asked, places=False)} for one in found.plants
    ]
    problems = [
        {"file": one.file, "line": one.line, "column": one.column, "message": one.message} for one in found.problems
    ]
    return json_text({
        "format": 1, "portfolio": found.portfolio, "as_of": found.as_of.isoformat(), "questions": data(found.asked),
        "plants": plants, "problems": problems,
    })  # fmt: skip


def as_csv(found: Questions, look: Look) -> Plain:
    """Return all questions as a table with a row for each question of each plant and room for the answer."""
    rows = (
        [
            of.site, of.plant, one.text, one.name, one.worst.value if one.worst else "", one.findings, one.checks,
            known_by(one), "",
        ]
        for of in found.plants
        for one in of.asked
    )  # fmt: skip
    return table(COLUMNS, rows)


FORMS: Final[dict[str, Callable[[Questions, Look], Plain]]] = {"text": as_text, "json": as_json, "csv": as_csv}
"""Beside the page."""
