"""The first view of a check: worst first, one cause once, the same finding at several plants as one line.

What is shown here in two lines has its proof, caution and source one step away: `--full`, `explain`, the plant's page.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.causes import Headed, headed
from settingslint.checking.report import Report
from settingslint.rules.base import Certainty, Finding
from settingslint.units import Kind
from settingslint.vocabulary.cautions import HARM, actor_of
from settingslint.vocabulary.settings import SETTINGS

_SURE: Final = {certainty: rank for rank, certainty in enumerate(Certainty)}
VULNERABLE: Final = "vulnerable"
LONG_AGO: Final = date.max


@dataclass(frozen=True, slots=True)
class Shown:
    """One cause at one plant: what speaks for it and what else sees it."""

    result: Result
    head: Headed

    @property
    def finding(self) -> Finding:
        """The finding that speaks."""
        return self.head.finding

    @property
    def is_question(self) -> bool:
        """Whether an answer decides if it is so."""
        return bool(self.finding.asks)

    @property
    def where(self) -> str:
        """Site and plant in words."""
        return f"{self.result.site}, {self.result.plant}" if self.result.site else self.result.plant

    @property
    def fix(self) -> str:
        """What there is to do, or an empty text."""
        return self.finding.remedy.text if self.finding.remedy is not None else ""

    @property
    def who(self) -> str:
        """Who must do it: of a setting by its class, of anything else by the cautions."""
        row = SETTINGS.get(self.finding.at)
        return actor_of(self.finding.cautions if row is None else [row.caution])

    def rank(self, people: int) -> tuple[object, ...]:
        """Return what it is ordered by, `people` being a measure of how many it concerns."""
        finding, summary = self.finding, self.result.summary
        harm = min((HARM.index(name) for name in finding.cautions if name in HARM), default=len(HARM))
        vulnerable = summary.facts.get("site.occupants") == VULNERABLE
        since = summary.changed.get(finding.at, LONG_AGO)
        return (
            self.is_question and finding.typed is None,
            finding.severity.rank, _SURE[finding.certainty], barely(finding), harm, not vulnerable, -people, since,
            finding.file, finding.line, finding.column, finding.rule,
        )  # fmt: skip


def related(result: Result, report: Report) -> dict[int, tuple[Finding, ...]]:
    """Return what else sees the cause of a finding, by the `id` of the finding that speaks; old and new ones apart."""
    found: dict[int, tuple[Finding, ...]] = {}
    for known in (False, True):
        own = [one for one in result.findings if report.is_known(result, one) is known]
        found |= {id(head.finding): head.related for head in headed(own, result.summary.accepted)}
    return found


BARELY: Final = 1.2
"""K: what is not further beyond its bound comes after what is (common practice, no source)."""


def barely(finding: Finding) -> bool:
    """Return whether the first two temperatures of a proof are nearly the same."""
    points = [one.value for one in finding.numbers.values() if one.kind is Kind.POINT]
    return len(points) > 1 and abs(points[0] - points[1]) < BARELY


def shown(report: Report) -> list[Shown]:
    """Return what is open and new in a report, by causes, worst first."""
    found = []
    for result in report.results:
        own = [one for one in result.findings if one.accepted is None and not report.is_known(result, one)]
        found += [Shown(result, head) for head in headed(own, result.summary.accepted)]
    counts: dict[tuple[str, str], int] = {}
    for one in found:
        counts[_alike(one)] = counts.get(_alike(one), 0) + 1
    return sorted(found, key=lambda one: one.rank(counts[_alike(one)]))


def _alike(one: Shown) -> tuple[str, str]:
    return (one.finding.rule, one.finding.certainty.value)


def grouped(every: Iterable[Shown]) -> list[list[Shown]]:
    """Return the same finding at several plants together, in the order of the first of them."""
    groups: dict[tuple[str, str], list[Shown]] = {}
    for one in every:
        groups.setdefault(_alike(one), []).append(one)
    return list(groups.values())


def places(group: Sequence[Shown], most: int = 3) -> str:
    """Return the names of the first plants of a group, and how many more there are."""
    names = list(dict.fromkeys(one.where for one in group))
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return "; ".join(names[:most]) + more


def classes_of(every: Iterable[Shown]) -> list[str]:
    """Return the caution classes of what is shown, each once, the worst harm first."""
    names = dict.fromkeys(name for one in every for name in one.finding.cautions)
    return sorted(names, key=lambda name: HARM.index(name) if name in HARM else len(HARM))
