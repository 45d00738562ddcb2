"""The kit's plant is correctly set: no rule finds anything, in any of its styles. Invented facts."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import Value
from settingslint.rules import all_rules
from settingslint.rules.base import Draft, Severity
from settingslint.rules.plant import Plant
from settingslint.rules.rule import rule
from tests.rules.kit import Style, ask, make_plant


@pytest.mark.parametrize("metric", [False, True])
@pytest.mark.parametrize("style", ["one number", "two points", "slope and shift", "none"])
def test_no_rule_finds_anything_on_a_correctly_set_plant(style: Style, metric: bool) -> None:
    changes = {"boiler.condensing": False, "settings.minimum_return": 61 if metric else 142} if style == "none" else {}
    result = audit(make_plant(changes, style=style, metric=metric), all_rules())
    assert [(one.rule, one.message) for one in result.findings] == []


@pytest.mark.parametrize("style", ["one number", "two points", "slope and shift", "none"])
def test_the_metric_file_describes_the_same_plant(style: Style) -> None:
    us, metric = make_plant(style=style), make_plant(style=style, metric=True)
    assert metric.system == "metric"
    same: dict[str, Value | None] = {name: fact.value for name, fact in us.facts.items()}
    same |= {name: effect.effective for name, effect in us.effects.items()}
    for name, value in same.items():
        other = metric.facts[name].value if name in metric.facts else metric.effects[name].effective
        assert other == (pytest.approx(value, rel=1e-3, abs=1e-3) if isinstance(value, float) else value), name


@pytest.mark.parametrize("new", Severity)
@pytest.mark.parametrize("gone", Severity)
def test_what_a_remedy_may_cost(new: Severity, gone: Severity) -> None:
    """Waste for waste is a fair exchange; one danger, damage or outage for another of its kind is none."""
    order = list(Severity)
    worse = order.index(new) < order.index(gone)
    assert new.forbids(gone) is (worse or (new is gone and new in (Severity.DANGER, Severity.DAMAGE, Severity.OUTAGE)))


@pytest.mark.parametrize("error", [ZeroDivisionError("float division by zero"), ValueError("math domain error")])
def test_a_rule_that_stumbles_over_numbers_is_not_checked(error: Exception) -> None:
    """Absurd facts that no rule thought of: never a fault of the program, and never a pass."""

    def stumbles(plant: Plant) -> Iterator[Draft]:
        plant.value("building.design_load")
        raise error
        yield

    one = rule("stumbles", severity=Severity.WASTE, cautions=("record",), source="made up")(stumbles)
    result = audit(make_plant(), [one])
    assert result.checked == ()
    assert [(lack.rule, lack.needs) for lack in result.not_checked] == [("stumbles", ("building.design_load",))]
    assert str(error) in result.not_checked[0].why


def test_no_flow_can_be_expected_of_a_difference_of_nothing() -> None:
    """Found by the fuzzer."""
    assert ask("flow-in-other-unit", {"boiler.maximum_difference": 0}) == "not checked"
    assert ask("flow-in-other-unit", {"boiler.output_maximum": 0}) in ("not checked", "does not apply")
