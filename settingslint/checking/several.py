"""Rules about several plants, and the last ones about what profiles accept: what they add to the single results."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from settingslint.checking.acceptances import with_owner_severity
from settingslint.checking.audit import CHECKED, DOES_NOT_APPLY, Result, index_of, with_owner_numbers
from settingslint.rules.base import Draft, Finding, Missing, NotChecked, Severity
from settingslint.rules.record.acceptance import ACCEPTANCE, LONGEST, Accepted
from settingslint.rules.rule import Rule
from settingslint.rules.summary import Plants, Summary

Place = Callable[[Result, Rule, Draft], Finding]
"""Makes a finding of a draft about the plant of a result: with its typed value, its place and its acceptance."""


@dataclass(slots=True)
class _More:
    """What is added to one plant's result."""

    findings: list[Finding] = field(default_factory=list)
    not_checked: list[NotChecked] = field(default_factory=list)
    checked: list[str] = field(default_factory=list)
    not_applicable: list[str] = field(default_factory=list)
    owner_numbers: frozenset[str] = frozenset()

    def take(
        self, result: Result, rule: Rule, drafts: Iterable[Draft], missing: Sequence[Missing], place: Place
    ) -> None:
        """Add what one rule says of the plant."""
        found = [place(result, rule, draft) for draft in drafts]
        self.findings += found
        if missing:
            needs = tuple(dict.fromkeys(lack.name for lack in missing))
            self.not_checked.append(NotChecked(rule.name, needs, missing[0].why))
        if found or not missing:
            self.checked.append(rule.name)


def together(
    results: Sequence[Result],
    rules: Sequence[Rule],
    as_of: date,
    severities: Mapping[str, Severity],
    place: Place,
    thresholds: Mapping[str, float] | None = None,
) -> list[Result]:
    """Return the results with what the rules about several plants, and those about acceptances, add to them.

    Args:
        results: of single plants, one for each path.
        rules: all rules that are asked; those about single plants are passed over.
        as_of: the date on which acceptances are judged.
        severities: the owner's severities by rule name.
        place: makes a finding of a draft.
        thresholds: the owner's numbers, SI.
    """
    mores = {result.path: _More() for result in results}
    by_path = {result.path: result for result in results}
    summaries = [result.summary for result in results]
    for rule in rules:
        if rule.scope in ("plant", ACCEPTANCE):
            continue
        alone = set(by_path)
        for members in _groups(rule.scope, summaries):
            found: dict[str, list[Draft]] = {}
            missing: dict[str, list[Missing]] = {}
            plants = Plants.of(members, thresholds or {})
            for summary, item in rule.check(plants):
                if isinstance(item, Missing):
                    missing.setdefault(summary.path, []).append(item)
                else:
                    own = with_owner_numbers(item, plants.owner_numbers)
                    found.setdefault(summary.path, []).append(with_owner_severity(own, rule, severities))
            for member in members:
                path = member.path
                alone.discard(path)
                mores[path].take(by_path[path], rule, found.get(path, ()), missing.get(path, ()), place)
                mores[path].owner_numbers |= plants.owner_numbers
        for path in alone:
            mores[path].not_applicable.append(rule.name)
    last = [rule for rule in rules if rule.scope == ACCEPTANCE]
    names = frozenset(rule.name for rule in rules)
    index = index_of(rule.name for rule in rules)
    out = []
    for result in results:
        more = mores.pop(result.path)
        if result.summary.accepted:
            open_ = frozenset(one.rule for one in (*result.not_checked, *more.not_checked))
            findings = (*result.findings, *more.findings)
            longest = (thresholds or {}).get(LONGEST.name)
            case = Accepted(result.summary.accepted, findings, as_of, names, open_, longest)
            for rule in last:
                more.take(
                    result, rule, [with_owner_severity(one, rule, severities) for one in rule.check(case)], (), place
                )
        else:
            more.not_applicable += [rule.name for rule in last]
        out.append(_joined(result, more, index))
    return out


def _joined(result: Result, more: _More, index: Mapping[str, int]) -> Result:
    """Return a result with more."""
    coverage = result.coverage.marked(CHECKED, more.checked, index)
    coverage = coverage.marked(DOES_NOT_APPLY, more.not_applicable, index)
    findings = result.findings
    if more.findings:
        findings = tuple(sorted((*findings, *more.findings), key=lambda f: (f.severity.rank, f.line, f.column, f.rule)))
    return Result(
        result.path, result.plant, result.site, findings, (*result.not_checked, *more.not_checked),
        coverage, tuple(sorted({*result.owner_numbers, *more.owner_numbers})), result.summary,
    )  # fmt: skip


def _groups(scope: str, summaries: Sequence[Summary]) -> list[Sequence[Summary]]:
    if scope == "portfolio":
        return [summaries] if summaries else []
    groups: dict[tuple[str, str], list[Summary]] = {}
    for summary in summaries:
        if scope == "site":
            groups.setdefault((summary.site, ""), []).append(summary)
        elif summary.group is not None:
            groups.setdefault((summary.site, summary.group), []).append(summary)
    return list(groups.values())
