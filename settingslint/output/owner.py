"""What stands first in every form of `check`: the owner's numbers, severities that were lowered, what is accepted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final, NamedTuple

from settingslint.checking.audit import Result
from settingslint.checking.report import Report
from settingslint.files.usual import Place
from settingslint.output.plain import plural
from settingslint.rules.base import Finding, Severity, worse
from settingslint.units import written

TITLE: Final = "What the owner sets and accepts"
NUMBER: Final = "owner's number"
USUAL: Final = "assumed where nobody recorded it"
LOWERED: Final = "severity lowered"
DANGER: Final = "accepted danger"
ACCEPTED: Final = "accepted"


class Word(NamedTuple):
    """One thing that the owner sets or accepts; `name` is of a number or a rule, `own` and `tool` what each has."""

    what: str
    name: str
    own: str
    tool: str
    text: str
    place: Place
    found: tuple[Result, Finding] | None = None
    """The one finding that it is about, where it is about one."""

    @property
    def line(self) -> str:
        """The one line that says it."""
        return f"{self.what}: {self.text}"


def owner_words(report: Report) -> list[Word]:
    """Return what the owner sets in place of the tool's and what is accepted, dangers one by one and the rest by rule.

    It is of the whole report, whatever an earlier revision had already.
    """
    accepted = [
        (result, finding)
        for result in report.results
        for finding in result.findings
        if finding.accepted is not None
    ]  # fmt: skip
    dangers = [pair for pair in accepted if pair[1].gravest is Severity.DANGER]
    others = [pair for pair in accepted if pair[1].gravest is not Severity.DANGER]
    return [
        *_numbers(report),
        *_usual(report),
        *_lowered(report),
        *(_danger(*pair) for pair in dangers),
        *_others(others),
    ]


def accepted_words(accepted: Mapping[str, str]) -> str:
    """Return who accepted a finding, until when and why, and what of it is not recorded.

    >>> accepted_words({"by": "R. Holm", "until": "", "because": ""}), accepted_words({})
    ('accepted by R. Holm (no end, no reason recorded)', 'accepted (no name, no end, no reason recorded)')
    """
    by, until, because = (accepted.get(key, "") for key in ("by", "until", "because"))
    lacking = [f"no {what}" for what, text in (("name", by), ("end", until), ("reason", because)) if not text]
    text = "accepted" + (f" by {by}" if by else "") + (f" until {until}" if until else "")
    text += f" ({', '.join(lacking)} recorded)" if lacking else ""
    return f"{text}: {because}" if because else text


def _numbers(report: Report) -> Iterator[Word]:
    for one in report.portfolio.owner.numbers:
        if one.differs:
            name, kind = one.threshold.name, one.threshold.kind
            own, tool = (written(value, kind, one.system) for value in (one.value, one.threshold.value))
            yield Word(NUMBER, name, own, tool, f"{name} {own}, the tool has {tool}", one.place)


def _usual(report: Report) -> Iterator[Word]:
    for one in report.portfolio.owner.usual:
        yield Word(USUAL, one.row.name, one.text, "", one.text, one.place)


def _lowered(report: Report) -> Iterator[Word]:
    owner = report.portfolio.owner
    if not owner.severities:
        return
    tool = {rule.name: rule.severity for rule in report.rules if rule.name in owner.severities}
    for result in report.results:
        for finding in result.findings:
            if finding.rule in tool and finding.tool_severity is not None:
                tool[finding.rule] = worse(tool[finding.rule], finding.tool_severity)
    for name, own in owner.severities.items():
        if name in tool and not own.at_least(tool[name]):
            yield Word(LOWERED, name, own, tool[name], f"{name} {tool[name]} -> {own}", owner.places[name])


def _danger(result: Result, finding: Finding) -> Word:
    by, until, because = ((finding.accepted or {})[key] for key in ("by", "until", "because"))
    text = f"{result.site}, {result.plant}: {finding.rule} ({finding.at}) by {by} until {until}: {because}"
    return Word(DANGER, finding.rule, "", "", text, _place(finding), (result, finding))


def _others(pairs: list[tuple[Result, Finding]]) -> Iterator[Word]:
    by_rule: dict[str, list[tuple[Result, Finding]]] = {}
    for pair in pairs:
        by_rule.setdefault(pair[1].rule, []).append(pair)
    for name, own in by_rule.items():
        first = own[0][1]
        plants = plural(len({result.path for result, _ in own}), "plant")
        yield Word(ACCEPTED, name, "", "", f"{name} ({first.severity}) at {plants}", _place(first))


def _place(finding: Finding) -> Place:
    return Place(finding.file, finding.line, finding.column)
