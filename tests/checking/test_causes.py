"""One cause, one finding: the worse speaks, the others stand beside it, and what is accepted stays apart."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any, Final

import pytest

from settingslint.checking.causes import CAUSES, headed
from settingslint.model.profile import Acceptance
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Finding, Severity

PLAIN: Final = Finding(
    rule="", severity=Severity.WASTE, certainty=Certainty.PROVEN, at="heating_setpoint", says="x", typed=None,
    effective=None, numbers={}, remedy=None, cautions=(), sources=(), file="a.toml", line=1, column=1,
)  # fmt: skip


def found(rule: str, severity: str = "waste", **more: Any) -> Finding:
    return replace(PLAIN, rule=rule, severity=Severity(severity), **more)


def spoken(*findings: Finding, accepted: tuple[Acceptance, ...] = ()) -> list[tuple[str, list[str]]]:
    return [(one.finding.rule, [other.rule for other in one.related]) for one in headed(findings, accepted)]


def test_every_rule_of_a_cause_is_a_rule_and_in_no_other() -> None:
    named = [name for cause in CAUSES for name in cause.rules]
    assert set(named) <= {rule.name for rule in all_rules()}
    assert len(named) == len(set(named))


def test_the_derate_its_missing_proof_and_who_typed_it_are_one() -> None:
    at = {"at": "heating_maximum_rate"}
    assert spoken(
        found("derate-in-ignored-band", "outage", **at),
        found("role-not-entitled", "danger", certainty=Certainty.LIKELY, **at),
        found("firing-change-without-combustion-proof", "danger", **at),
    ) == [("firing-change-without-combustion-proof", ["role-not-entitled", "derate-in-ignored-band"])]


def test_of_another_setting_it_is_another_cause() -> None:
    names = ["firing-change-without-combustion-proof", "role-not-entitled"]
    both = [found(name, "danger", at=at) for name, at in zip(names, ("maximum_fan_speed", "high_limit"), strict=True)]
    assert spoken(*both) == [(name, []) for name in names]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("tank-below-hygiene-temperature", "cool-tank-without-hygiene-measure"),
        ("typed-in-other-unit", "value-not-taken-by-control"),
        ("reset-off-unsaid", "hot-fixed-supply-on-condensing-boiler"),
    ],
)
def test_two_that_see_the_same(one: str, other: str) -> None:
    assert len(spoken(found(one, "danger"), found(other, "danger"))) == 1


def test_what_is_accepted_does_not_speak_for_what_is_open() -> None:
    accepted = {"because": "x", "by": "y", "until": "2027-01-01"}
    first = found("tank-below-hygiene-temperature", "danger", accepted=accepted)
    assert len(spoken(first, found("cool-tank-without-hygiene-measure", "danger"))) == 2


def test_an_acceptance_that_ended_stands_beside_what_it_had_covered() -> None:
    covers = Acceptance(0, "setpoint-below-emitter-need", None, "x", "y", date(2026, 1, 1))
    ended = found("acceptance-expired", "outage", at="accepted[0]")
    assert spoken(ended, found("setpoint-below-emitter-need", "outage"), accepted=(covers,)) == [
        ("setpoint-below-emitter-need", ["acceptance-expired"])
    ]
    assert spoken(ended, found("pump-exercise-off", "outage"), accepted=(covers,)) == [
        ("pump-exercise-off", []), ("acceptance-expired", []),
    ]  # fmt: skip


def test_what_one_answer_decides_is_one_question_and_that_on_record_speaks() -> None:
    asks = {"asks": ("hot_water.mixing_valve",), "certainty": Certainty.ASK}
    assert spoken(
        found("mixing-valve-test-overdue", "danger", at="hot_water.mixing_valve_tested", **asks),
        found("hot-tank-without-mixing-valve", "danger", at="tank_setpoint", typed=66.0, **asks),
    ) == [("hot-tank-without-mixing-valve", ["mixing-valve-test-overdue"])]


def test_nothing_is_dropped() -> None:
    every = [found(rule.name, rule.severity.value, line=place) for place, rule in enumerate(all_rules(), 1)]
    told = [one.rule for head in headed(every) for one in (head.finding, *head.related)]
    assert sorted(told) == sorted(one.rule for one in every)
