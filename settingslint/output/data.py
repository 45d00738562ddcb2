"""`check --form json`: everything, with values in the units of each profile. Described by findings.schema.json."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from settingslint import __version__
from settingslint.checking.audit import Result
from settingslint.checking.questions import questions
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import Weakening
from settingslint.model.values import NUMERIC, Value, kind_of
from settingslint.output import Look
from settingslint.output.first_view import related
from settingslint.output.owner import owner_words
from settingslint.output.plain import json_text
from settingslint.output.questions import data as questions_data
from settingslint.plain import Plain
from settingslint.rules.base import Finding, Quantity, Severity
from settingslint.units import Kind, System, from_si, unit_name
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

Json = dict[str, Any]


def number(value: float, kind: Kind, system: System) -> float | int:
    """Return an SI value in the unit of the system, rounded to four decimals, whole where it is whole."""
    shown = value if kind is Kind.FAN_SPEED else round(from_si(value, kind, system), 4)
    return int(shown) if shown == int(shown) else shown


def value_of(value: Value | None, name: str, system: System) -> object:
    """Return the value of a setting or fact as JSON holds it."""
    if value is None or isinstance(value, bool | str):
        return value
    kind = kind_of(name)
    if isinstance(value, float | int) and kind in NUMERIC:
        return number(value, kind, system)
    return str(value)


def _quantity(quantity: Quantity, system: System) -> Json:
    kind = quantity.kind
    unit = quantity.unit if quantity.unit is not None else unit_name(kind, system)
    return {"value": number(quantity.value, kind, system), "unit": unit}


def finding_data(finding: Finding, system: System, others: Sequence[Finding] = ()) -> Json:
    """Return a finding as JSON holds it; `others` are those of the same cause for which it speaks."""
    remedy = finding.remedy
    named = _known(finding.at)
    return {
        "rule": finding.rule,
        "severity": finding.severity.value,
        "tool_severity": finding.tool_severity.value if finding.tool_severity is not None else None,
        "certainty": finding.certainty.value,
        "asks": list(finding.asks),
        "assumed": list(finding.assumed),
        "setting": finding.at,
        "headline": finding.headline,
        "fix": remedy.text if remedy is not None else "",
        "question": finding.question,
        "case": finding.case,
        "says": finding.says,
        "assumption": "; ".join(finding.remarks),
        "related": [{"rule": one.rule, "setting": one.at} for one in others],
        "message": finding.message,
        "typed": value_of(finding.typed, finding.at, system) if named else None,
        "effective": value_of(finding.effective, finding.at, system) if named else None,
        "unit": unit_name(kind_of(finding.at), system) if named else "",
        "numbers": {name: _quantity(quantity, system) for name, quantity in finding.numbers.items()},
        "remedy": None
        if remedy is None
        else {
            "text": remedy.text,
            "set": {name: value_of(value, name, system) for name, value in remedy.set.items()},
            "verified": remedy.verified,
        },
        "cautions": [{"class": name, "text": CAUTIONS[name].short} for name in finding.cautions],
        "sources": list(finding.sources),
        "file": finding.file,
        "line": finding.line,
        "column": finding.column,
        "accepted": dict(finding.accepted) if finding.accepted is not None else None,
    }


def _known(name: str) -> bool:
    try:
        kind_of(name)
    except KeyError:
        return False
    return True


def plant_data(result: Result, report: Report) -> Json:
    """Return one plant's result as JSON holds it."""
    others = related(result, report)
    return {
        "profile": result.path,
        "plant": result.plant,
        "site": result.site,
        "findings": [
            {
                **finding_data(finding, result.summary.system, others.get(id(finding), ())),
                **({} if report.known is None else {"new": not report.is_known(result, finding)}),
            }
            for finding in result.findings
        ],
        "not_checked": [{"rule": lack.rule, "needs": list(lack.needs), "why": lack.why} for lack in result.not_checked],
        "checked": list(result.checked),
        "assumed": list(result.assumed),
        "not_applicable": list(result.not_applicable),
        "questions": questions_data(questions([result]), places=False),
        "owner_numbers": list(result.owner_numbers),
    }


def totals(report: Report) -> Json:
    """Return the counts of a report."""
    pairs = [(result, finding) for result in report.results for finding in result.findings]
    known = sum(report.is_known(*pair) for pair in pairs)
    open_ = Counter(pair[1].severity for pair in pairs if pair[1].accepted is None and not report.is_known(*pair))
    accepted = sum(finding.accepted is not None for _, finding in pairs)
    coverage = covered(report.results)
    return {
        "plants": len(report.results),
        "findings": {severity.value: open_.get(severity, 0) for severity in Severity},
        "accepted": accepted,
        **({} if report.known is None else {"known": known}),
        **coverage._asdict(),
        "problems": len(report.problems),
    }


def weakening_data(one: Weakening) -> Json:
    """Return what is weakened as JSON holds it."""
    return {
        "what": one.what,
        "name": one.name,
        "old": one.old,
        "new": one.new,
        "text": one.text,
        "silences": {severity.value: dict(one.silences).get(severity, 0) for severity in Severity},
        "site": one.site,
        "plant": one.plant,
        "file": one.file,
        "line": one.line,
        "column": one.column,
    }


def report_data(report: Report) -> Json:
    """Return a whole report as JSON holds it."""
    data: Json = {
        "format": 1,
        "tool": {"name": "settingslint", "version": __version__},
        "portfolio": report.portfolio.name,
        "as_of": report.portfolio.context.as_of.isoformat(),
        "frame": FRAME,
        "owner": [
            {
                "what": one.what,
                "name": one.name,
                "owner": one.own,
                "tool": one.tool,
                "text": one.text,
                "file": one.place.file,
                "line": one.place.line,
                "column": one.place.column,
            }
            for one in owner_words(report)
        ],
        "plants": [plant_data(result, report) for result in report.results],
        "problems": [
            {"file": one.file, "line": one.line, "column": one.column, "message": one.message}
            for one in report.problems
        ],
        "totals": {**totals(report), "questions": questions_data(questions(report.results))},
    }
    if report.history:
        data["history"] = report.history
    if report.known is not None:
        data["compared_with"] = report.known_from
        data["weakened"] = [weakening_data(one) for one in report.weakened]
        data["gone"] = [
            {"file": one.file, "site": one.site, "plant": one.plant, "findings": one.findings} for one in report.gone
        ]
    return data


def render(report: Report, look: Look) -> Plain:
    """Return the report as JSON text."""
    return json_text(report_data(report))
