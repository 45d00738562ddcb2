"""`check --form sarif`: SARIF 2.1.0 (OASIS standard) for code review tools."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from typing import Any, Final
from urllib.parse import quote

from settingslint import __version__
from settingslint.checking.audit import Result
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import TITLE as WEAKER
from settingslint.checking.weakening import WEAKENED
from settingslint.output import Look
from settingslint.output.first_view import related
from settingslint.output.owner import TITLE, accepted_words, owner_words
from settingslint.output.plain import json_text
from settingslint.plain import Plain, plain
from settingslint.rules.base import Finding, Severity
from settingslint.rules.rule import Rule
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

SCHEMA: Final = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS: Final = {
    Severity.DANGER: "error", Severity.DAMAGE: "error", Severity.OUTAGE: "error", Severity.WASTE: "warning",
    Severity.RECORD: "note",
}  # fmt: skip
OPEN: Final = {"kind": "open", "level": "none"}
"""What only an answer decides: SARIF 2.1.0, 3.27.9 and 3.27.10."""
_HALF: Final = re.compile("[\ud800-\udc7f\udd00-\udfff]")
"""Half characters that stand for no byte of a file's name."""
Json = dict[str, Any]


def fingerprint(result: Result, finding: Finding) -> str:
    """Return what identifies a finding when lines move: site, plant, rule and setting."""
    text = "\0".join((result.site, result.plant, finding.rule, finding.at))
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:32]


def _rule(rule: Rule) -> Json:
    cautions = "\n".join(f"{CAUTIONS[name].title}: {CAUTIONS[name].long}" for name in rule.cautions)
    return {
        "id": rule.name,
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": rule.doc},
        "help": {"text": f"{rule.doc}\n\n{cautions}\n\nSource: {'; '.join(rule.source)}"},
        "defaultConfiguration": {"level": LEVELS[rule.severity]},
        "properties": {"severity": rule.severity.value, "certainty": rule.certainty.value},
    }


def _uri(path: str) -> str:
    return quote(_HALF.sub("\ufffd", path).encode("utf-8", "surrogateescape"), safe="/")


def _message(*lines: str) -> Json:
    """Return a message of lines in which nothing is hidden, and nothing is taken for a link (SARIF 2.1.0, 3.11.6)."""
    return {"text": "\n".join(plain(line).replace("](", "] (") for line in lines)}


def _location(file: str, line: int, column: int) -> Json:
    return {
        "physicalLocation": {
            "artifactLocation": {"uri": _uri(file)},
            "region": {"startLine": line, "startColumn": column},
        }
    }


def _details(finding: Finding) -> Json:
    """Return what stands beside the headline, as far as there is any."""
    parts = {
        "fix": finding.remedy.text if finding.remedy is not None else "",
        "case": finding.case,
        "says": finding.says if finding.question else "",
        "assumption": "; ".join(finding.remarks),
    }
    return {name: plain(text) for name, text in parts.items() if text}


def _result(result: Result, finding: Finding, index: int, report: Report, others: Sequence[Finding]) -> Json:
    data: Json = {
        "ruleId": finding.rule,
        "ruleIndex": index,
        **(OPEN if finding.asks else {"level": LEVELS[finding.severity]}),
        "message": _message(finding.headline),
        "locations": [_location(finding.file, finding.line, finding.column)],
        "partialFingerprints": {"plantRuleSetting/v1": fingerprint(result, finding)},
        "properties": {
            "severity": finding.severity.value,
            **({} if finding.tool_severity is None else {"toolSeverity": finding.tool_severity.value}),
            "certainty": finding.certainty.value,
            **_details(finding),
            "cautions": [CAUTIONS[name].short for name in finding.cautions],
            "asks": list(finding.asks),
            "assumed": list(finding.assumed),
            "plant": result.plant,
            "site": result.site,
            "setting": finding.at,
        },
    }
    if others:
        data["relatedLocations"] = [
            {"id": number, **_location(one.file, one.line, one.column), "message": _message(f"{one.rule}: {one.says}")}
            for number, one in enumerate(others, 1)
        ]
    if report.known is not None:
        data["baselineState"] = "unchanged" if report.is_known(result, finding) else "new"
    if finding.accepted is not None:
        words = _message(accepted_words(finding.accepted))["text"]
        data["suppressions"] = [{"kind": "inSource", "status": "accepted", "justification": words}]
    return data


def render(report: Report, look: Look) -> Plain:
    """Return the report as a SARIF log."""
    rules = report.rules
    index = {rule.name: number for number, rule in enumerate(rules)}
    results = [
        _result(result, finding, index[finding.rule], report, others.get(id(finding), ()))
        for result in report.results
        for others in [related(result, report)]
        for finding in result.findings
    ]
    notes: list[Json] = [
        {
            "descriptor": {"id": WEAKENED},
            "level": "warning",
            "message": _message(one.said),
            "locations": [_location(one.file, one.line, one.column)],
        }
        for one in report.weakened
    ]
    notes += [
        {
            "descriptor": {"id": "owner"},
            "level": "warning",
            "message": _message(word.line),
            "locations": [_location(word.place.file, word.place.line, word.place.column)],
        }
        for word in owner_words(report)
    ]
    notes += [
        {
            "descriptor": {"id": "unreadable"},
            "level": "error",
            "message": _message(one.message),
            "locations": [_location(one.file, one.line, one.column)],
        }
        for one in report.problems
    ]
    if report.history:
        notes.append({"descriptor": {"id": "history"}, "level": "warning", "message": _message(report.history)})
    notes += [
        {
            "descriptor": {"id": "not-checked"},
            "level": "note",
            "message": _message(f"{result.plant}: {lack.rule} not checked: needs {', '.join(lack.needs)}"),
            "locations": [_location(result.path, 1, 1)],
            "associatedRule": {"id": lack.rule, "index": index[lack.rule]},
        }
        for result in report.results
        for lack in result.not_checked
    ]
    notes += [
        {
            "descriptor": {"id": "coverage"},
            "level": "note",
            "message": _message(f"{result.plant}: {covered([result]).words}"),
            "locations": [_location(result.path, 1, 1)],
            "properties": {**covered([result])._asdict(), "assumed_rules": list(result.assumed)},
        }
        for result in report.results
    ]
    run: Json = {
        "tool": {
            "driver": {
                "name": "settingslint",
                "version": __version__,
                "fullDescription": {"text": FRAME},
                "rules": [_rule(rule) for rule in rules],
                "notifications": [
                    {"id": WEAKENED, "shortDescription": {"text": f"{WEAKER}."}},
                    {"id": "owner", "shortDescription": {"text": f"{TITLE}."}},
                    {"id": "unreadable", "shortDescription": {"text": "A file could not be read or checked."}},
                    {"id": "history", "shortDescription": {"text": "Earlier states could not be read."}},
                    {"id": "not-checked", "shortDescription": {"text": "A rule lacked a fact and was not checked."}},
                    {"id": "coverage", "shortDescription": {"text": "How far a plant was checked."}},
                ],
            }
        },
        "columnKind": "unicodeCodePoints",
        "invocations": [{"executionSuccessful": not report.problems, "toolExecutionNotifications": notes}],
        "results": results,
    }
    return json_text({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})
