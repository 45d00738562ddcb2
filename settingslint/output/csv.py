"""`check --form csv`: a row for each finding, in columns that stay the same; what the owner sets and coverage too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from settingslint.checking.audit import Result
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import ACCEPTANCE, SEVERITY, WEAKENED
from settingslint.output import Look
from settingslint.output.owner import NUMBER, USUAL, owner_words
from settingslint.plain import Plain
from settingslint.sheets.cells import table

COLUMNS: Final = (
    "headline", "fix", "severity", "certainty", "site", "plant", "setting", "rule", "since", "accepted until",
)  # fmt: skip

ASSUMED: Final = "checked with assumptions"
NOT_CHECKED: Final = "not checked"
Row = Mapping[str, object]


def _rows(result: Result, look: Look) -> Iterator[Row]:
    for finding in result.findings:
        case = f" {finding.case[:1].upper()}{finding.case[1:]}: {finding.says}" if finding.question else ""
        yield {
            "headline": f"{finding.headline}{case}", "fix": finding.remedy.text if finding.remedy else None,
            "severity": finding.severity.value, "certainty": finding.certainty.value, "setting": finding.at,
            "rule": finding.rule, "since": result.summary.changed.get(finding.at),
            "accepted until": (finding.accepted or {}).get("until"),
        }  # fmt: skip
    if look.every:
        found = {finding.rule for finding in result.findings}
        yield from ({"severity": ASSUMED, "rule": name} for name in result.assumed if name not in found)
        for lack in result.not_checked:
            yield {"headline": f"needs {', '.join(lack.needs)}", "severity": NOT_CHECKED, "rule": lack.rule}
    yield {"headline": covered([result]).words, "severity": "coverage"}


def _owner_rows(report: Report) -> Iterator[Row]:
    """Yield what the owner sets and accepts; `severity` says what it is."""
    for word in owner_words(report):
        row: dict[str, object] = {"headline": word.text, "severity": word.what}
        row["setting" if word.what in (NUMBER, USUAL) else "rule"] = word.name
        if word.found is not None:
            result, finding = word.found
            until = (finding.accepted or {}).get("until")
            row |= {"site": result.site, "plant": result.plant, "setting": finding.at, "accepted until": until}
        yield row


def _weakened_rows(report: Report) -> Iterator[Row]:
    """Yield what the change since the earlier revision weakens."""
    for one in report.weakened:
        of = "rule" if one.what in (SEVERITY, ACCEPTANCE) else "setting"
        yield {"headline": one.said, "severity": WEAKENED, "site": one.site, "plant": one.plant, of: one.name}


def _problem_rows(report: Report) -> Iterator[Row]:
    """Yield what could not be read; `setting` is its place."""
    for one in report.problems:
        yield {"headline": one.message, "severity": "unreadable", "setting": f"{one.file}:{one.line}:{one.column}"}


def render(report: Report, look: Look) -> Plain:
    """Return the report as CSV text, UTF-8 with commas; rules that were not checked where `look` asks for every one."""
    own = [*_weakened_rows(report), *_owner_rows(report), *_problem_rows(report)]
    rows = (
        {"site": result.site, "plant": result.plant, **row}
        for result in report.results
        for row in _rows(result, look)
    )  # fmt: skip
    return table(COLUMNS, ([row.get(name) for name in COLUMNS] for row in (*own, *rows)))
