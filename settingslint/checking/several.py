"""Rules about several plants, and the last ones about what profiles accept: what they add to the single results."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from settingslint.checking.acceptances import with_owner_severity
from settingslint.checking.audit import CHECKED, DOES_NOT_APPLY, Result, index_of, with_owner_numbers
from settingslint.checking.beside import ALONE, Beside
from settingslint.checking.faults import fault
from settingslint.model.values import Problem
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
    faults: list[Problem] = field(default_factory=list)

    def take(
        self, result: Result, rule: Rule, drafts: Iterable[Draft], missing: Sequence[Missing], place: Place
    ) -> None:
        """Add what one rule says of the plant."""
        found = [place(result, rule, draft) for draft in drafts]
        self.findings += found
        if missing:
            needs = tuple(dict.fromkeys(lack.name for lack in missing))
            self.not_checked.append(NotChecked(rule.name, needs, missing[0].why, missing[0].kind))
        if found or not missing:
            self.checked.append(rule.name)


def together(
    results: Sequence[Result],
    rules: Sequence[Rule],
    as_of: date,
    severities: Mapping[str, Severity],
    place: Place,
    thresholds: Mapping[str, float] | None = None,
    near: Beside = ALONE,
) -> list[Result]:
    """Return the results with what the rules about several plants, and those about acceptances, add to them.

    Args:
        results: of single plants, one for each path.
        rules: all rules that are asked; those about single plants are passed over.
        as_of: the date on which acceptances are judged.
        severities: the owner's severities by rule name.
        place: makes a finding of a draft.
        thresholds: the owner's numbers, SI.
        near: what lies beside the plants of the results.
    """
    mores = {result.path: _More() for result in results}
    by_path = {result.path: result for result in results}
    summaries = sorted([*(result.summary for result in results), *near.summaries], key=lambda one: one.path)
    for rule in rules:
        if rule.scope in ("plant", ACCEPTANCE):
            continue
        alone = set(by_path)
        for members in _groups(rule.scope, summaries):
            own = [member.path for member in members if member.path in by_path]
            alone.difference_update(own)
            if not own:
                continue
            plants = Plants.of(members, thresholds or {})
            found, missing, failed = _asked(rule, plants, near)
            if failed is not None:
                mores[own[0]].faults.append(fault(own[0], f"in the rule {rule.name}", failed))
                continue
            for path in own:
                drafts = [
                    with_owner_severity(with_owner_numbers(one, plants.owner_numbers), rule, severities)
                    for one in found[path]
                ]
                mores[path].take(by_path[path], rule, drafts, missing[path], place)
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
        result.history,
        (*result.faults, *more.faults),
    )  # fmt: skip


def _asked(
    rule: Rule, plants: Plants, near: Beside
) -> tuple[Mapping[str, list[Draft]], Mapping[str, list[Missing]], Exception | None]:
    """Return what a rule finds and lacks of each plant, by path; an error that no number explains ends it."""
    found: dict[str, list[Draft]] = defaultdict(list)
    missing: dict[str, list[Missing]] = defaultdict(list)
    lack = _not_whole(rule, plants, near)
    try:
        for summary, item in rule.check(plants) if lack is None else ():
            if isinstance(item, Missing):
                missing[summary.path].append(item)
            else:
                found[summary.path].append(item)
    except (ArithmeticError, ValueError) as error:  # absurd numbers: said, and never a pass
        lack = Missing(rule.name, f"can't be calculated from what is recorded: {error}")
    except Exception as error:
        return found, missing, error
    if lack is not None:
        for summary in plants:
            missing[summary.path].append(lack)
    return found, missing, None


def _not_whole(rule: Rule, members: Sequence[Summary], near: Beside) -> Missing | None:
    """Return what a rule about several plants lacks where not all of them were read."""
    if rule.scope == "portfolio":
        return None if near.whole else Missing("portfolio", "it needs the whole portfolio, and only a part was checked")
    unread = (near.unread or {}).get(members[0].site)
    return None if unread is None else Missing("site", f"{unread} can't be read")


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
