"""Acceptances: what they cover, when they end, and that nothing accepted disappears. Common practice, no source."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import pytest

from settingslint.checking.audit import Result, audit, finding_at
from settingslint.checking.report import Report
from settingslint.checking.several import together
from settingslint.files.portfolio import Portfolio
from settingslint.output import FORMS, Look, render
from settingslint.rules import all_rules
from settingslint.rules.base import Draft, Finding, Severity
from settingslint.rules.plant import Context
from settingslint.rules.record.acceptance import LONGEST
from settingslint.rules.rule import Rule
from tests.rules.kit import AS_OF, Answer, answer, make_plant, rule_named

WASTE: Final = {"settings.minimum_fan_speed": 1400}
"""Trips low-fire-raised, which is waste, at one setting."""
DANGER: Final = {"gas.fuel": "propane"}
"""Trips fuel-setting-unlike-gas, which is danger."""
RAISED: Final = {"rule": "low-fire-raised"}
FUEL: Final = {"rule": "fuel-setting-unlike-gas", "setting": "fuel_setting"}
FULL: Final = {"because": "conversion is booked", "by": "M. Okoro", "until": "2026-12-20"}
TRIPPED: Final = ("low-fire-raised", "fuel-setting-unlike-gas")
OWN: Final = ("acceptance-expired", "acceptance-unused", "acceptance-of-danger-incomplete", "acceptance-too-long")


def look(
    changes: Mapping[str, Any],
    *accepted: Mapping[str, str],
    longest: int | None = None,
    severities: Mapping[str, Severity] | None = None,
    drop: Sequence[str] = (),
    rules: Sequence[Rule] | None = None,
) -> Result:
    """Return what the two rules and those about acceptances say of the kit's plant that accepts something."""
    plant = make_plant({**changes, "accepted": [dict(one) for one in accepted]}, drop=drop)
    asked = [rule_named(name) for name in (*TRIPPED, *OWN)] if rules is None else list(rules)

    def place(result: Result, rule: Rule, draft: Draft) -> Finding:
        return finding_at(rule, draft, plant)

    results = [audit(plant, asked, severities)]
    thresholds = {} if longest is None else {LONGEST.name: float(longest)}
    return together(results, asked, AS_OF, severities or {}, place, thresholds)[0]


def told(result: Result) -> list[tuple[str, bool]]:
    """Return each finding's rule and whether it is accepted."""
    return [(one.rule, one.accepted is not None) for one in result.findings]


EXPIRED, UNUSED, INCOMPLETE, TOO_LONG = OWN
CASES: Final[list[tuple[str, Answer, Mapping[str, Any], list[Mapping[str, str]], int | None]]] = [
    (EXPIRED, "found", DANGER, [{**FUEL, **FULL, "until": "2026-11-24"}], None),
    (EXPIRED, "clear", DANGER, [{**FUEL, **FULL, "until": "2026-11-25"}], None),
    (EXPIRED, "clear", {}, [{**RAISED, **FULL, "until": "2026-06-30"}], None),
    (EXPIRED, "does not apply", DANGER, [], None),
    (UNUSED, "found", {}, [{**RAISED, **FULL}], None),
    (UNUSED, "clear", WASTE, [{**RAISED, **FULL}], None),
    (UNUSED, "does not apply", WASTE, [], None),
    (INCOMPLETE, "found", DANGER, [FUEL], None),
    (INCOMPLETE, "clear", DANGER, [{**FUEL, **FULL}], None),
    (INCOMPLETE, "clear", WASTE, [RAISED], None),
    (INCOMPLETE, "does not apply", DANGER, [], None),
    (TOO_LONG, "found", WASTE, [{**RAISED, "until": "2026-12-26"}], 30),
    (TOO_LONG, "clear", WASTE, [{**RAISED, "until": "2026-12-25"}], 30),
    (TOO_LONG, "clear", WASTE, [{**RAISED, "until": "2036-01-01"}], None),
    (TOO_LONG, "does not apply", WASTE, [], 30),
]


@pytest.mark.parametrize(("rule", "expected", "changes", "accepted", "longest"), CASES)
def test_boundaries(
    rule: str,
    expected: Answer,
    changes: Mapping[str, Any],
    accepted: list[Mapping[str, str]],
    longest: int | None,
) -> None:
    assert answer(look(changes, *accepted, longest=longest), rule) == expected


def test_an_acceptance_covers_its_finding_and_keeps_it_listed() -> None:
    result = look(WASTE, {**RAISED, **FULL})
    assert told(result) == [("low-fire-raised", True)]
    assert result.findings[0].accepted == FULL
    assert result.worst() is None
    assert all(name in result.checked for name in OWN)


def test_without_acceptances_their_rules_do_not_apply() -> None:
    result = look(WASTE)
    assert told(result) == [("low-fire-raised", False)]
    assert all(name in result.not_applicable for name in OWN)


def test_less_than_danger_needs_no_more_than_the_rule() -> None:
    assert told(look(WASTE, RAISED)) == [("low-fire-raised", True)]


@pytest.mark.parametrize(
    ("setting", "covered"), [("minimum_fan_speed", True), ("maximum_fan_speed", False), (None, True)]
)
def test_an_acceptance_may_name_a_setting(setting: str | None, covered: bool) -> None:
    accepted = {**RAISED, **({"setting": setting} if setting else {})}
    result = look(WASTE, accepted)
    assert ("low-fire-raised", covered) in told(result)
    assert ("acceptance-unused", False) in told(result) or covered


@pytest.mark.parametrize("lacking", ["because", "by", "until"])
def test_a_danger_needs_reason_name_and_end(lacking: str) -> None:
    accepted = {**FUEL, **{name: text for name, text in FULL.items() if name != lacking}}
    result = look(DANGER, accepted)
    assert sorted(told(result)) == [("acceptance-of-danger-incomplete", False), ("fuel-setting-unlike-gas", False)]
    incomplete = next(one for one in result.findings if one.rule == "acceptance-of-danger-incomplete")
    assert incomplete.severity is Severity.DANGER
    assert incomplete.message == f"acceptance of fuel-setting-unlike-gas lacks {lacking}"
    assert incomplete.at == "accepted[0]"
    assert result.worst() is Severity.DANGER


def test_a_danger_with_all_five_is_accepted() -> None:
    assert told(look(DANGER, {**FUEL, **FULL})) == [("fuel-setting-unlike-gas", True)]


def test_what_lacks_everything_is_told_so() -> None:
    result = look(DANGER, FUEL)
    assert "lacks because and by and until" in result.findings[0].message


def test_an_incomplete_acceptance_of_less_than_danger_is_none_of_danger() -> None:
    assert "acceptance-of-danger-incomplete" not in {one.rule for one in look(WASTE, RAISED).findings}
    # where the owner takes it for a danger it is one
    raised = look(WASTE, RAISED, severities={"low-fire-raised": Severity.DANGER})
    assert sorted(told(raised)) == [("acceptance-of-danger-incomplete", False), ("low-fire-raised", False)]


@pytest.mark.parametrize(("until", "ended"), [("2026-11-24", True), ("2026-11-25", False)])
def test_an_acceptance_ends_the_day_after_its_end(until: str, ended: bool) -> None:
    result = look(DANGER, {**FUEL, **FULL, "until": until})
    expected = [("acceptance-expired", False), ("fuel-setting-unlike-gas", False)]
    assert sorted(told(result)) == (expected if ended else [("fuel-setting-unlike-gas", True)])


def test_an_expired_acceptance_says_so_and_is_as_bad_as_what_comes_back() -> None:
    for changes, accepted, severity in ((DANGER, FUEL, Severity.DANGER), (WASTE, RAISED, Severity.WASTE)):
        result = look(changes, {**accepted, **FULL, "until": "2026-06-30"})
        one = next(one for one in result.findings if one.rule == "acceptance-expired")
        assert one.severity is severity
        assert one.message == f"acceptance of {accepted['rule']} by M. Okoro ended on 2026-06-30"
    nobody = look(WASTE, {**RAISED, "until": "2026-06-30"})
    assert "(no name recorded)" in next(one for one in nobody.findings if one.rule == "acceptance-expired").message


def test_the_worst_of_what_comes_back_counts() -> None:
    over = {"until": "2026-11-01", "then": 140}
    changes = {
        "settings.heating_setpoint": {"value": 164, **over},
        "settings.tank_setpoint": {"value": 145, **over},
        "settings.pump_overrun": {"value": 4, "until": "2026-11-01"},
    }
    rules = [rule_named(name) for name in ("temporary-change-overdue", *OWN)]
    result = look(changes, {"rule": "temporary-change-overdue", **FULL, "until": "2026-06-30"}, rules=rules)
    severities = [one.severity for one in result.findings if one.rule == "temporary-change-overdue"]
    assert severities == [Severity.DANGER, Severity.WASTE, Severity.WASTE]
    assert [one.severity for one in result.findings if one.rule == "acceptance-expired"] == [Severity.DANGER]


def test_an_expired_acceptance_of_nothing_is_only_unused() -> None:
    assert told(look({}, {**RAISED, **FULL, "until": "2026-06-30"})) == [("acceptance-unused", False)]


def test_what_covers_nothing_is_told() -> None:
    unused = look({}, {**RAISED, **FULL}).findings
    assert [(one.rule, one.severity, one.at) for one in unused] == [
        ("acceptance-unused", Severity.RECORD, "accepted[0]")
    ]
    assert "covers nothing" in unused[0].message
    unknown = look({}, {"rule": "no-such-rule", **FULL}).findings
    assert "there is no rule no-such-rule" in unknown[0].message


def test_a_rule_that_was_not_checked_may_still_find_it() -> None:
    result = look({}, {**RAISED, **FULL}, drop=["settings.minimum_fan_speed"])
    assert told(result) == []
    assert [lack.rule for lack in result.not_checked] == ["low-fire-raised"]


def test_the_second_of_two_acceptances_counts_where_the_first_has_ended() -> None:
    result = look(WASTE, {**RAISED, **FULL, "until": "2026-06-30"}, {**RAISED, **FULL})
    assert ("low-fire-raised", True) in told(result)
    assert next(one for one in result.findings if one.rule == "acceptance-expired").at == "accepted[0]"


@pytest.mark.parametrize(
    ("until", "longest", "long"),
    [
        ("2026-12-25", 30, False),
        ("2026-12-26", 30, True),
        (None, 30, True),
        (None, None, False),
        ("2036-01-01", None, False),
    ],
)
def test_the_owner_says_how_long_an_acceptance_lasts(until: str | None, longest: int | None, long: bool) -> None:
    accepted = {**RAISED, **({"until": until} if until else {})}
    result = look(WASTE, accepted, longest=longest)
    assert ("acceptance-too-long" in {one.rule for one in result.findings}) is long
    if long:
        one = next(one for one in result.findings if one.rule == "acceptance-too-long")
        assert (f"ends on {until}" if until else "has no end") in one.message
        assert "30 days" in one.message


def test_an_acceptance_of_an_acceptance_is_no_way_out() -> None:
    result = look(DANGER, FUEL, {"rule": "acceptance-of-danger-incomplete", **FULL})
    assert ("fuel-setting-unlike-gas", False) in told(result)
    assert result.worst() is Severity.DANGER


@pytest.mark.parametrize("form", FORMS)
def test_an_accepted_danger_stands_in_every_output(form: str) -> None:
    result = look(DANGER, {**FUEL, **FULL})
    portfolio = Portfolio(Path(), "P", Context(AS_OF))
    text = render(form, Report(portfolio, (result,), (), all_rules()), Look(200))
    assert "fuel-setting-unlike-gas" in text
    for words in ("conversion is booked", "M. Okoro", "2026-12-20"):
        assert words in text, (form, words)


def test_accepted_and_open_findings_of_one_rule_stand_together_in_junit() -> None:
    changes = {"plant.size": "large", "settings.size_setting": "huge"}
    rules = [rule_named(name) for name in ("size-code-unlike-plate", *OWN)]
    result = look(changes, {"rule": "size-code-unlike-plate", "setting": "plant.size", **FULL}, rules=rules)
    assert told(result) == [("size-code-unlike-plate", True), ("size-code-unlike-plate", False)]
    report = Report(Portfolio(Path(), "P", Context(AS_OF)), (result,), (), all_rules())
    text = render("junit", report, Look(200))
    assert "record says size large" in text
    assert "control is set to size huge" in text
