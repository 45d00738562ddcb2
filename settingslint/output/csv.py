"""`check --form csv`: findings, what was not checked, and every recorded setting, in columns that stay the same."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import ACCEPTANCE, SEVERITY, WEAKENED
from settingslint.model.values import Value, kind_of
from settingslint.output import Look
from settingslint.output.data import value_of
from settingslint.output.owner import NUMBER, owner_words
from settingslint.plain import Plain
from settingslint.sheets.cells import table
from settingslint.units import System, unit_name

COLUMNS: Final = (
    "site", "boiler", "rule", "severity", "certainty", "setting", "value", "unit", "effective", "expected", "needs",
    "since", "commit", "owner", "due", "waiver",
)  # fmt: skip

ASSUMED: Final = "checked with assumptions"


def _cell(value: Value | None, name: str, system: System) -> object:
    try:
        return value_of(value, name, system)
    except KeyError:
        return value


def _unit(name: str, system: System) -> str:
    try:
        return unit_name(kind_of(name), system)
    except KeyError:
        return ""


def _rows(result: Result) -> list[dict[str, object]]:
    system, changed = result.summary.system, result.summary.changed
    rows: list[dict[str, object]] = []
    spoken = set()
    for finding in result.findings:
        spoken.add(finding.at)
        expected = finding.remedy.set.get(finding.at) if finding.remedy else None
        accepted = finding.accepted or {}
        rows.append(
            {
                "rule": finding.rule, "severity": finding.severity.value, "certainty": finding.certainty.value,
                "setting": finding.at, "value": _cell(finding.typed, finding.at, system),
                "unit": _unit(finding.at, system), "effective": _cell(finding.effective, finding.at, system),
                "expected": _cell(expected, finding.at, system), "owner": accepted.get("by"),
                "due": accepted.get("until"), "waiver": accepted.get("because"), "since": changed.get(finding.at),
                "needs": " ".join((*finding.asks, *finding.assumed)),
            }
        )  # fmt: skip
    found = {finding.rule for finding in result.findings}
    rows += [{"rule": name, "severity": ASSUMED} for name in result.assumed if name not in found]
    rows += [
        {"rule": lack.rule, "severity": "not checked", "needs": " ".join(lack.needs)} for lack in result.not_checked
    ]
    rows += [
        {
            "setting": name,
            "unit": _unit(name, system),
            "effective": _cell(value, name, system),
            "since": changed.get(name),
        }
        for name, value in result.summary.settings.items()
        if name not in spoken
    ]
    return [*rows, {"severity": "coverage", "needs": covered([result]).words}]


def _owner_rows(report: Report) -> Iterator[dict[str, object]]:
    """Yield what the owner sets and accepts; `severity` says what it is."""
    for word in owner_words(report):
        if word.found is None:
            of = "setting" if word.what == NUMBER else "rule"
            yield {"severity": word.what, of: word.name, "value": word.own, "expected": word.tool, "waiver": word.text}
        else:
            result, finding = word.found
            accepted = finding.accepted or {}
            yield {
                "site": result.site, "boiler": result.plant, "rule": finding.rule, "severity": word.what,
                "setting": finding.at, "owner": accepted.get("by"), "due": accepted.get("until"),
                "waiver": accepted.get("because"),
            }  # fmt: skip


def _weakened_rows(report: Report) -> Iterator[dict[str, object]]:
    """Yield what the change since the earlier revision weakens; `waiver` says all of it."""
    for one in report.weakened:
        of = "rule" if one.what in (SEVERITY, ACCEPTANCE) else "setting"
        yield {
            "site": one.site, "boiler": one.plant, "severity": WEAKENED, of: one.name, "value": one.new,
            "expected": one.old, "waiver": one.said,
        }  # fmt: skip


def _problem_rows(report: Report) -> Iterator[dict[str, object]]:
    """Yield what could not be read; `setting` is its place and `needs` what is wrong."""
    for one in report.problems:
        place = f"{one.file}:{one.line}:{one.column}"
        yield {"severity": "unreadable", "setting": place, "needs": one.message}


def render(report: Report, look: Look) -> Plain:
    """Return the report as CSV text, UTF-8 with commas."""
    own = [*_weakened_rows(report), *_owner_rows(report), *_problem_rows(report)]
    rows = ({"site": result.site, "boiler": result.plant, **row} for result in report.results for row in _rows(result))
    return table(COLUMNS, ([row.get(name) for name in COLUMNS] for row in (*own, *rows)))
