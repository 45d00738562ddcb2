"""One plant in, findings and coverage out.

Every rule ends in one of four ways: it found something, it was checked and found nothing, it was not checked because
something is not known, or it does not apply. Silence is never a pass.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from settingslint.checking.acceptances import acceptance_of, with_owner_severity
from settingslint.checking.assuming import MORE_TO_ASK, drafted, questions_put
from settingslint.checking.look import Outcome, run
from settingslint.checking.trials import Trials, Verdict
from settingslint.model.effect import same
from settingslint.model.profile import toml_path
from settingslint.model.values import Problem
from settingslint.rules.base import (
    RESTORE_FIRING,
    RESTORE_LIMIT,
    WITHOUT_WEATHER,
    Certainty,
    Draft,
    Finding,
    NotChecked,
    Remedy,
    Severity,
)
from settingslint.rules.past import HISTORY
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule
from settingslint.rules.summary import Summary, summary_of
from settingslint.vocabulary.settings import FIRING, LICENSED

CHECKED: Final = 1
DOES_NOT_APPLY: Final = 2
ASSUMED: Final = 3
ABOUT_WHAT_IS_RECORDED: Final = frozenset({"numbers"})
"""Groups of rules about numbers as somebody wrote them: there is nothing to assume."""


@dataclass(frozen=True, slots=True)
class Coverage:
    """Which rules had something to look at: one byte for each rule that was asked, `CHECKED`, `DOES_NOT_APPLY`,
    `ASSUMED` where something was assumed for what is not recorded, or 0."""

    rules: tuple[str, ...]
    codes: bytes

    def named(self, code: int) -> tuple[str, ...]:
        """Return the rules of which a code is true."""
        return tuple([name for name, own in zip(self.rules, self.codes, strict=True) if own == code])

    def count(self, code: int) -> int:
        """Return how many rules that are."""
        return self.codes.count(code)

    def marked(self, code: int, names: Iterable[str], index: Mapping[str, int]) -> Coverage:
        """Return this with a code for some more rules; `index` is that of `index_of(self.rules)`."""
        codes = bytearray(self.codes)
        for name in names:
            codes[index[name]] = code
        return Coverage(self.rules, bytes(codes))


def index_of(rules: Iterable[str]) -> dict[str, int]:
    """Return the places of rules in a coverage."""
    return {name: place for place, name in enumerate(rules)}


@dataclass(frozen=True, slots=True)
class Result:
    """What the rules say of one plant."""

    path: str
    plant: str
    site: str
    findings: tuple[Finding, ...]
    not_checked: tuple[NotChecked, ...]
    coverage: Coverage
    owner_numbers: tuple[str, ...]
    summary: Summary
    history: str = ""
    """Why earlier states of this plant can't be read, in a few words, where a rule needed them."""
    faults: tuple[Problem, ...] = ()
    """Rules in which this program itself failed."""

    @property
    def checked(self) -> tuple[str, ...]:
        """The rules that ran to their end, with or without a finding."""
        return self.coverage.named(CHECKED)

    @property
    def assumed(self) -> tuple[str, ...]:
        """The rules that ran to their end with something assumed for what is not recorded."""
        return self.coverage.named(ASSUMED)

    @property
    def not_applicable(self) -> tuple[str, ...]:
        """The rules that have nothing to say about this plant, and that is known."""
        return self.coverage.named(DOES_NOT_APPLY)

    def worst(self) -> Severity | None:
        """Return the worst severity that nobody has accepted, or None."""
        return min((f.severity for f in self.findings if f.accepted is None), key=lambda s: s.rank, default=None)


def unread_history(results: Iterable[Result]) -> str:
    """Return one line about plants whose earlier states can't be read, or an empty string."""
    lost = [one for one in results if one.history]
    if not lost:
        return ""
    rules = {lack.rule for one in lost for lack in one.not_checked if HISTORY in lack.needs}
    plants = f"{len(lost)} plants have" if len(lost) > 1 else "1 plant has"
    checked = f"{len(rules)} rules" if len(rules) > 1 else "1 rule"
    why = ", ".join(sorted({one.history for one in lost}))
    return f"history: {plants} earlier states that can't be read ({why}): {checked} not checked there"


def audit(
    plant: Plant, rules: Sequence[Rule], severities: Mapping[str, Severity] | None = None, *, assume: bool = True
) -> Result:
    """Return what the rules of scope `plant` find.

    Args:
        plant: the plant, resolved.
        rules: all rules that are asked; those about several plants are passed over.
        severities: the owner's severities by rule name.
        assume: whether a rule that lacks something is tried on the plausible values of it.
    """
    asked = _asked(rules)
    outcomes = {rule.name: run(rule, plant) for _, rule in asked.own}
    plant.asked.anew()  # what is asked from here on belongs to no rule
    silenced = _silenced(plant, asked.own, outcomes)
    findings: list[Finding] = []
    not_checked: list[NotChecked] = []
    codes = bytearray(len(rules))
    trying = _Trying(plant)
    verdicts = {
        rule.name: verdict
        for _, rule in asked.own
        if assume and (verdict := trying.of(rule, outcomes[rule.name])) is not None
    }
    before = _Before(asked.own, outcomes, verdicts, assume)
    put = questions_put(verdicts, asked.own)
    for place, rule in asked.own:
        outcome = outcomes[rule.name]
        verdict = verdicts.get(rule.name)
        unput = [one.question for one in verdict.tripped if one.question not in put] if verdict else []
        if verdict is not None:
            for tripped in verdict.tripped:
                if tripped.question in unput:
                    continue
                draft = drafted(tripped, plant.system)
                if draft.remedy is not None and draft.remedy.set:
                    draft = replace(draft, remedy=_verified(draft, rule, tripped.plant, before))
                findings.append(_complete(rule, draft, plant, tripped.outcome, severities or {}))
        if unput:
            not_checked.append(NotChecked(rule.name, tuple(dict.fromkeys(unput)), MORE_TO_ASK))
        elif missing := outcome.missing if verdict is None else verdict.partly:
            needs = tuple(dict.fromkeys(lack.name for lack in missing))
            first = next((lack for lack in missing if lack.why), missing[0])
            not_checked.append(NotChecked(rule.name, needs, first.why, first.kind))
        if verdict is not None:
            codes[place] = 0 if unput and not outcome.drafts else ASSUMED
        elif outcome.drafts or (outcome.applies and not outcome.missing):
            codes[place] = CHECKED
        elif not outcome.missing and outcome.fault is None:
            codes[place] = DOES_NOT_APPLY
        for draft in (_as_bad(one, rule, silenced) for one in outcome.drafts):
            remedy = _verified(draft, rule, plant, before)
            findings.append(_complete(rule, replace(draft, remedy=remedy), plant, outcome, severities or {}))
    findings.sort(key=lambda f: (f.severity.rank, f.line, f.column, f.rule))
    owner = sorted({name for outcome in outcomes.values() for name in outcome.owner_numbers})
    return Result(
        plant.profile.path, plant.profile.name, plant.profile.site, tuple(findings), tuple(not_checked),
        Coverage(asked.names, bytes(codes)), tuple(owner), summary_of(plant),
        plant.past.lost if any(HISTORY in one.touched for one in outcomes.values()) and plant.past is not None else "",
        tuple(one.fault for one in outcomes.values() if one.fault is not None),
    )  # fmt: skip


class _Trying:
    """What trying rules that lack something on plausible values of it comes to, for one plant."""

    def __init__(self, plant: Plant) -> None:
        usual = plant.context.usual
        self._trials = Trials(plant, usual)
        self._tools = Trials(plant, {}) if usual else self._trials

    def of(self, rule: Rule, first: Outcome) -> Verdict | None:
        """Return what a rule comes to, None where it lacks nothing, or what nobody can assume.

        Where people are in danger, what an owner says is usual takes nothing away.

        Args:
            rule: the rule.
            first: what it says of the plant as recorded.
        """
        if not first.missing or first.fault is not None or rule.group in ABOUT_WHAT_IS_RECORDED:
            return None
        verdict = self._trials.of(rule, first)
        if self._tools is self._trials or rule.severity is not Severity.DANGER:
            return verdict
        other = self._tools.of(rule, first)
        if verdict is None or other is None:
            return other if verdict is None else verdict if verdict.tripped else None
        there = {one.draft.at for one in verdict.tripped}
        more = tuple(one for one in other.tripped if one.draft.at not in there)
        names = tuple(dict.fromkeys((*verdict.assumed, *other.assumed)))
        partly = (*verdict.partly, *other.partly)
        return Verdict((*verdict.tripped, *more), names, verdict.applies or other.applies, partly)


@dataclass(frozen=True, slots=True)
class _Before:
    """What the rules say of a plant before a remedy is applied to it."""

    rules: tuple[tuple[int, Rule], ...]
    outcomes: Mapping[str, Outcome]
    verdicts: Mapping[str, Verdict]
    assume: bool

    def places(self, rule: Rule) -> set[str]:
        """Return where a rule found something, for certain or on what is assumed."""
        verdict = self.verdicts.get(rule.name)
        tripped = verdict.tripped if verdict is not None else ()
        return {*(one.at for one in self.outcomes[rule.name].drafts), *(one.draft.at for one in tripped)}


def _silenced(
    plant: Plant, rules: Iterable[tuple[int, Rule]], outcomes: Mapping[str, Outcome]
) -> Mapping[str, Severity]:
    """Return the worst that the rules look for which each value that is not plausible has stopped, by its name."""
    worst: dict[str, Severity] = {}
    for _, rule in rules if plant.doubts else ():
        for lack in outcomes[rule.name].missing:
            if lack.name in plant.doubts and rule.severity.at_least(worst.get(lack.name, rule.severity)):
                worst[lack.name] = rule.severity
    return worst


def _as_bad(draft: Draft, rule: Rule, silenced: Mapping[str, Severity]) -> Draft:
    """Return what was found at a value that is not plausible as no less bad than what that value has silenced."""
    worst = silenced.get(draft.at)
    if worst is None or (draft.severity or rule.severity).at_least(worst):
        return draft
    return replace(draft, severity=worst)


@dataclass(frozen=True, slots=True)
class _Asked:
    """Rules that are asked, their names, and those about one plant with their places."""

    rules: Sequence[Rule]
    names: tuple[str, ...]
    own: tuple[tuple[int, Rule], ...]


_LAST: Final[list[_Asked]] = []


def _asked(rules: Sequence[Rule]) -> _Asked:
    """Return what there is to know of rules; from one plant to the next they mostly are the same."""
    if not _LAST or _LAST[0].rules is not rules:
        own = tuple((place, rule) for place, rule in enumerate(rules) if rule.scope == "plant")
        _LAST[:] = [_Asked(rules, tuple(rule.name for rule in rules), own)]
    return _LAST[0]


_LOWER: Final = {Certainty.PROVEN: Certainty.LIKELY, Certainty.LIKELY: Certainty.LIKELY, Certainty.ASK: Certainty.ASK}


def _complete(rule: Rule, draft: Draft, plant: Plant, outcome: Outcome, severities: Mapping[str, Severity]) -> Finding:
    certainty = draft.certainty or rule.certainty
    assumes = list(rule.assumes) if certainty is Certainty.LIKELY else []
    if plant.hours is not None and WITHOUT_WEATHER in assumes:
        assumes.remove(WITHOUT_WEATHER)
    if outcome.weak:
        certainty = _LOWER[certainty]
        assumes.append("what was guessed or only told: " + ", ".join(outcome.weak))
    remarks = (*draft.remarks, f"assumes {'; '.join(assumes)}") if assumes else draft.remarks
    full = with_owner_severity(replace(draft, remarks=remarks, certainty=certainty), rule, severities)
    return finding_at(rule, with_owner_numbers(full, outcome.owner_numbers), plant)


def with_owner_numbers(draft: Draft, names: Iterable[str]) -> Draft:
    """Return a draft that names the owner's numbers that it rests on."""
    own = ", ".join(sorted(names))
    return replace(draft, remarks=(*draft.remarks, f"owner's number: {own}")) if own else draft


def finding_at(rule: Rule, draft: Draft, plant: Plant) -> Finding:
    """Return a draft as a finding: with typed and effective value, place and acceptance."""
    effect = plant.effects.get(draft.at)
    place = plant.profile.source.place(toml_path(draft.at))
    fact = plant.facts[draft.at].value if draft.at in plant.facts else None
    accepted, why_not = acceptance_of(draft, rule, plant)
    return Finding(
        rule=rule.name,
        severity=draft.severity or rule.severity,
        certainty=draft.certainty or rule.certainty,
        at=draft.at,
        says=draft.message,
        typed=effect.typed if effect else fact,
        effective=effect.effective if effect else fact,
        numbers=draft.numbers,
        remedy=_without_figure(draft.remedy, draft.at),
        cautions=tuple(dict.fromkeys((*rule.cautions, *draft.cautions))),
        sources=rule.source,
        file=plant.profile.path,
        line=place.line,
        column=place.column,
        accepted=accepted,
        tool_severity=draft.tool_severity,
        remarks=(*draft.remarks, f"its acceptance {why_not}: it does not hold") if why_not else draft.remarks,
        question=draft.question,
        case=draft.case,
        asks=draft.asks,
        assumed=draft.assumed,
    )


def _without_figure(remedy: Remedy | None, at: str) -> Remedy | None:
    """Return a remedy; about firing and limits one that carries a figure becomes the words for that class."""
    if remedy is None:
        return None
    figures = LICENSED.intersection(remedy.set)
    if at in LICENSED and (remedy.set or any(map(str.isdigit, remedy.text))):
        figures |= {at}
    if not figures:
        return remedy
    return Remedy(RESTORE_FIRING if figures & FIRING else RESTORE_LIMIT)


def _verified(draft: Draft, rule: Rule, plant: Plant, before: _Before) -> Remedy | None:
    """Apply a remedy to a copy of the plant and look again: the finding must be gone, and nothing worse be new.

    An outage, damage or danger in place of another is worse too; waste in place of waste is not. What is new only on
    what is assumed, or as a question, counts as what is certain does.
    """
    remedy = _without_figure(draft.remedy, draft.at)
    if remedy is None or not remedy.set:
        return remedy
    changed = plant.instead(remedy.set)
    moved = {*remedy.set, *(name for name in changed.effects if not _alike(plant, name, changed))}
    severity = draft.severity or rule.severity
    trying: _Trying | None = None
    for _, other in before.rules:
        if other is not rule and not (before.outcomes[other.name].touched & moved):
            continue
        now = run(other, changed)
        if other is rule:
            if now.missing or any(one.at == draft.at for one in now.drafts):
                return Remedy(remedy.text, verified=False)
            continue
        drafts = list(now.drafts)
        if before.assume and now.missing and other.severity.forbids(severity):
            trying = trying or _Trying(changed)
            verdict = trying.of(other, now)
            drafts += [one.draft for one in verdict.tripped] if verdict is not None else []
        was = before.places(other)
        for one in drafts:
            doubted = one.at in changed.doubts  # then it is as bad as what that value silences
            if one.at not in was and (doubted or (one.severity or other.severity).forbids(severity)):
                return Remedy(remedy.text, verified=False)
    return replace(remedy, verified=True)


def _alike(plant: Plant, name: str, changed: Plant) -> bool:
    old, new = plant.effects.get(name), changed.effects.get(name)
    return old is new or same(old.effective if old else None, new.effective if new else None)
