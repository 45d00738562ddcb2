"""`check --form junit`: JUnit XML for CI systems, a suite for each plant.

A finding is a failure, its message the headline; a rule that was not checked, and a question, is skipped.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Final
from xml.etree import ElementTree

from settingslint.checking.audit import Result
from settingslint.checking.report import Report, covered
from settingslint.checking.weakening import TITLE as WEAKER
from settingslint.output import Look
from settingslint.output.first_view import related
from settingslint.output.owner import TITLE, accepted_words, owner_words
from settingslint.plain import Plain, as_laid_out, plain
from settingslint.rules.base import Certainty, Finding
from settingslint.vocabulary.cautions import CAUTIONS, FRAME

_NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

ASSUMED: Final = "checked with assumptions, no finding: something is assumed that nobody recorded"


def _text(text: str) -> str:
    return _NOT_XML.sub("?", plain(text))


def _case(suite: ElementTree.Element, result: Result, name: str) -> ElementTree.Element:
    return ElementTree.SubElement(suite, "testcase", classname=_text(result.path), name=_text(name), time="0")


def _certain(finding: Finding) -> str:
    """Return the headline of a finding behind its severity, and its certainty where that is less than proven."""
    certainty = "" if finding.certainty is Certainty.PROVEN else f" ({finding.certainty.value})"
    return f"{finding.severity.value}{certainty}: {finding.headline}"


def _asked(finding: Finding) -> str:
    """Return a question with what it would mean."""
    return f"{_certain(finding)} {finding.case}: {finding.says}" if finding.question else _certain(finding)


def _says(finding: Finding, others: Sequence[Finding] = ()) -> str:
    lines = [f"{finding.file}:{finding.line}:{finding.column}: {_certain(finding)}"]
    if finding.question:
        lines.append(f"{finding.case}: {finding.says}")
    lines += finding.remarks
    if finding.remedy is not None:
        lines.append(f"fix: {finding.remedy.text}")
    lines += [f"same cause: {one.rule}: {one.says}" for one in others]
    if finding.accepted is not None:
        lines.append(accepted_words(finding.accepted))
    lines += [f"caution: {CAUTIONS[name].short}" for name in finding.cautions]
    return "\n".join(map(_text, lines))


def _suite(suites: ElementTree.Element, result: Result, report: Report) -> None:
    others = related(result, report)
    found: dict[str, list[Finding]] = {}
    asked: dict[str, Finding] = {}
    for finding in result.findings:
        if finding.accepted is None and not report.is_known(result, finding):
            if finding.asks:  # no finding yet, as for the exit status
                asked.setdefault(finding.rule, finding)
            else:
                found.setdefault(finding.rule, []).append(finding)
    clear = [name for name in result.checked if name not in found and name not in asked]
    assumed = {name: ASSUMED for name in result.assumed if name not in found}
    assumed |= {name: _asked(one) for name, one in asked.items() if name not in found}
    partly = [lack for lack in result.not_checked if lack.rule in {*found, *clear, *assumed}]
    skipped = [lack for lack in result.not_checked if lack not in partly]
    silent = len(skipped) + len(partly) + len(assumed)
    suite = ElementTree.SubElement(
        suites, "testsuite", name=_text(f"{result.site}: {result.plant}"),
        tests=str(len(found) + len(clear) + silent), failures=str(len(found)), errors="0",
        skipped=str(silent), time="0", timestamp="1970-01-01T00:00:00", hostname="none",
    )  # fmt: skip
    properties = ElementTree.SubElement(suite, "properties")
    for name, count in covered([result])._asdict().items():
        ElementTree.SubElement(properties, "property", name=name, value=str(count))
    for rule, findings in found.items():
        case = _case(suite, result, rule)
        failure = ElementTree.SubElement(
            case, "failure", type=findings[0].severity.value, message=_text(findings[0].headline)
        )
        failure.text = "\n".join(_says(finding, others.get(id(finding), ())) for finding in findings)
        _accepted(case, result, rule)
    for name in clear:
        _accepted(_case(suite, result, name), result, name)
    for name, why in assumed.items():
        case = _case(suite, result, name)
        ElementTree.SubElement(case, "skipped", message=_text(why))
        _accepted(case, result, name)
    for lack in [*skipped, *partly]:
        extra = " (partly)" if lack in partly else ""
        case = _case(suite, result, lack.rule + extra)
        ElementTree.SubElement(case, "skipped", message=_text(f"not checked: needs {', '.join(lack.needs)}"))


def _accepted(case: ElementTree.Element, result: Result, rule: str) -> None:
    """Add what a rule found and somebody has accepted to its test case."""
    accepted = [one for one in result.findings if one.rule == rule and one.accepted is not None]
    if accepted:
        ElementTree.SubElement(case, "system-out").text = "accepted risk:\n" + "\n".join(map(_says, accepted))


def _noted(suites: ElementTree.Element, name: str, count: int) -> ElementTree.Element:
    """Return a suite for what is told and is no failure: each of its cases is skipped, with a message."""
    return ElementTree.SubElement(
        suites, "testsuite", name=name, tests=str(count), failures="0", errors="0", skipped=str(count), time="0",
        timestamp="1970-01-01T00:00:00", hostname="none",
    )  # fmt: skip


def render(report: Report, look: Look) -> Plain:
    """Return the report as JUnit XML."""
    suites = ElementTree.Element("testsuites", name="settingslint")
    weakened = [(one.file, one.said) for one in report.weakened]
    words = [(word.place.file, word.line) for word in owner_words(report)]
    for title, pairs in ((WEAKER, weakened), (TITLE, words)):
        suite = _noted(suites, title, len(pairs)) if pairs else suites
        for file, line in pairs:
            case = ElementTree.SubElement(suite, "testcase", classname=_text(file), name=_text(line), time="0")
            ElementTree.SubElement(case, "skipped", message=_text(line))
    for result in report.results:
        _suite(suites, result, report)
    if report.history:
        suite = ElementTree.SubElement(
            suites, "testsuite", name="history", tests="1", failures="0", errors="0", skipped="1", time="0",
            timestamp="1970-01-01T00:00:00", hostname="none",
        )  # fmt: skip
        case = ElementTree.SubElement(suite, "testcase", classname="history", name="earlier states", time="0")
        ElementTree.SubElement(case, "skipped", message=_text(report.history))
    if report.problems:
        count = str(len(report.problems))
        suite = ElementTree.SubElement(
            suites, "testsuite", name="unreadable", tests=count, failures="0", errors=count, skipped="0", time="0",
            timestamp="1970-01-01T00:00:00", hostname="none",
        )  # fmt: skip
        for one in report.problems:
            case = ElementTree.SubElement(
                suite, "testcase", classname=_text(one.file), name=f"line {one.line} column {one.column}", time="0"
            )
            ElementTree.SubElement(case, "error", type="unreadable", message=_text(one.message))
    suites.append(ElementTree.Comment(" " + FRAME.replace("--", "-") + " "))
    ElementTree.indent(suites, " ")
    body = ElementTree.tostring(suites, encoding="unicode")
    return as_laid_out(f'<?xml version="1.0" encoding="utf-8"?>\n{body}\n')
