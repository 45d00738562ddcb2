"""The findings of one plant as its page shows them: one cause one finding, its fix, and folded away what proves it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from settingslint.checking.audit import Result
from settingslint.checking.causes import Headed, headed
from settingslint.model.values import kind_of, show_value
from settingslint.output.first_view import Shown, classes_of
from settingslint.output.owner import accepted_words
from settingslint.report.both import both
from settingslint.report.history import Key, Since
from settingslint.report.names import SIGNS, URGENT
from settingslint.rules.base import Finding
from settingslint.rules.plant import Plant
from settingslint.units import show
from settingslint.vocabulary.cautions import CAUTIONS
from settingslint.vocabulary.settings import SETTINGS


def causes(result: Result) -> list[Shown]:
    """Return the causes of a plant's findings: what is sure, worst first, then what depends on an answer."""
    found = [Shown(result, one) for one in headed(result.findings, result.summary.accepted)]
    return sorted(found, key=lambda one: one.rank(1))


def cause_row(one: Shown, plant: Plant, since: Mapping[Key, Since]) -> dict[str, Any]:
    """Return a cause as the plant's page shows it: what is read first, then `details` of each finding that sees it."""
    finding = one.finding
    return {
        "severity": finding.severity.value,
        "sign": SIGNS[finding.severity],
        "certainty": finding.certainty.value,
        "headline": finding.headline,
        "case": f"{finding.case}: {finding.says}" if finding.question else "",
        "fix": one.fix,
        "who": one.actor,
        "accepted": accepted_words(finding.accepted) if finding.accepted else "",
        "details": [
            _details(finding, plant, since),
            *([*_said(other), *_details(other, plant, since)] for other in one.head.related),
        ],
    }


def _said(finding: Finding) -> list[tuple[str, str]]:
    """Return what another finding says, and its fix."""
    case = f" {finding.case}: {finding.says}" if finding.question else ""
    said = f"{finding.severity.value} ({finding.certainty.value}): {finding.headline}{case}"
    return [("sees the same", said), *([("fix", finding.remedy.text)] if finding.remedy is not None else [])]


def _details(finding: Finding, plant: Plant, since: Mapping[Key, Since]) -> list[tuple[str, str]]:
    """Return names and texts of what proves a finding and where it comes from; only what there is."""
    found: list[tuple[str, str]] = [("rests on", one) for one in finding.remarks]
    day, days = since.get((finding.rule, finding.at), ("", ""))
    proof = ", ".join(
        f"{name} {show(q.value, q.kind, plant.system, q.unit) if q.unit else both(plant, q.kind, q.value)}"
        for name, q in finding.numbers.items()
    )
    typed = ""
    if finding.at in SETTINGS and finding.typed is not None and finding.typed != finding.effective:
        kind = kind_of(finding.at)
        typed, runs = (show_value(value, kind, plant.system) for value in (finding.typed, finding.effective))
        typed = f"{typed}, runs at {runs}"
    verified = finding.remedy is not None and finding.remedy.verified
    found += [
        ("since", f"{day} ({days} days)" if days else day),
        ("proof", proof),
        ("set to", typed),
        ("verified", "the fix clears the finding" if verified else ""),
        ("caution", "; ".join(CAUTIONS[name].title for name in finding.cautions)),
        ("source", "; ".join(finding.sources)),
        ("place", f"rule {finding.rule}; {finding.file}:{finding.line}:{finding.column}"),
    ]
    return [(name, text) for name, text in found if text]


def caution_rows(result: Result) -> list[tuple[str, str]]:
    """Return the cautions of what is open, each once, the worst harm first; in full where it can hurt somebody."""
    open_ = [Shown(result, Headed(one)) for one in result.findings if one.accepted is None]
    urgent = set(classes_of(one for one in open_ if one.finding.severity in URGENT))
    return [
        (CAUTIONS[name].title, CAUTIONS[name].long if name in urgent else CAUTIONS[name].short)
        for name in classes_of(open_)
    ]
