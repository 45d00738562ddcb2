"""What to find out next: settings and facts that nobody recorded, ranked by what the answer decides."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from typing import Final, NamedTuple

from settingslint.checking.assuming import question_of
from settingslint.checking.audit import Result
from settingslint.checking.guesses import EMITTERS
from settingslint.checking.report import Report
from settingslint.model.values import Problem
from settingslint.rules.base import Severity
from settingslint.vocabulary.facts import FACTS
from settingslint.vocabulary.questions import QUESTIONS, Learned, row_name
from settingslint.vocabulary.settings import SETTINGS

FIRST_VIEW: Final = 10
"""So many questions are shown where nobody asks for all."""
NO_RULE_DECIDES: Final = len(Severity)


@dataclass(slots=True)
class Question:
    """One question: about which setting or fact, what the answer decides, and at which plants.

    `findings` are decided by it: likely ones that rest on an assumption about it, and those that are so for some of its
    plausible values only. `checks` are rules that nothing is said of without it.
    """

    name: str
    worst: Severity | None = None
    findings: int = 0
    checks: int = 0
    on_record: bool = False
    """Whether any of these findings is about a setting or fact that somebody recorded."""
    plants: list[tuple[str, str]] = field(default_factory=list)
    """Site and plant."""

    @property
    def text(self) -> str:
        """The question in words."""
        return question_of(self.name)

    @property
    def learned(self) -> Learned | None:
        """How the answer gets known."""
        row = QUESTIONS.get(self.name)
        return row.learned if row is not None else None

    @property
    def rank(self) -> tuple[bool, int, int, int, int, str]:
        """What bears on recorded values comes first, then what decides the worst, most, and costs least to know."""
        cost = list(Learned).index(self.learned) if self.learned is not None else len(Learned)
        worst = NO_RULE_DECIDES if self.worst is None else self.worst.rank
        return (not self.on_record, worst, -self.findings, cost, -self.checks, self.name)


def questions(results: Iterable[Result]) -> list[Question]:
    """Return what is to be found out at some plants, that which matters most first."""
    found: dict[str, Question] = {}

    def about(name: str, result: Result) -> Question | None:
        row = _row(name)
        if row is None:
            return None
        question = found.setdefault(row, Question(row))
        if (result.site, result.plant) not in question.plants[-1:]:
            question.plants.append((result.site, result.plant))
        return question

    for result in results:
        for finding in result.findings:
            if finding.accepted is not None:
                continue
            for name in (*finding.asks, *finding.assumed):
                question = about(name, result)
                if question is None:
                    continue
                question.findings += 1
                question.on_record = question.on_record or finding.typed is not None
                if question.worst is None or finding.severity.rank < question.worst.rank:
                    question.worst = finding.severity
        for lack in result.not_checked:
            for name in lack.needs:
                question = about(name, result)
                if question is not None:
                    question.checks += 1
    return sorted(found.values(), key=lambda one: one.rank)


@cache
def _row(name: str) -> str | None:
    """Return under which name one asks for something; None for what nobody can answer at a boiler, as the history."""
    row = row_name(name)
    return row if row in SETTINGS or row in FACTS or row in QUESTIONS or row == EMITTERS else None


class OfPlant(NamedTuple):
    """The questions about one plant."""

    site: str
    plant: str
    asked: tuple[Question, ...]


@dataclass(frozen=True, slots=True)
class Questions:
    """What to find out next over some plants, and at each of them; `problems` are what could not be read."""

    portfolio: str
    as_of: date
    asked: tuple[Question, ...]
    plants: tuple[OfPlant, ...]
    """Those with a question, in the order of the questions."""
    problems: tuple[Problem, ...]


def questions_of(report: Report) -> Questions:
    """Return what to find out next, of what a check says."""
    asked = questions(report.results)
    order: dict[tuple[str, str], None] = {}
    for question in asked:
        order.update(dict.fromkeys(question.plants))
    own = {(one.site, one.plant): one for one in report.results}
    plants = tuple(OfPlant(*place, tuple(questions([own[place]]))) for place in order)
    context = report.portfolio.context
    return Questions(report.portfolio.name, context.as_of, tuple(asked), plants, report.problems)
