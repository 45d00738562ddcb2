"""The kit's plant is correctly set: no rule finds anything, in any of its styles. Invented facts."""

from __future__ import annotations

import pytest

from settingslint.audit import audit
from settingslint.model.values import Value
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from tests.rules.kit import Style, make_plant


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
    same: dict[str, Value | None] = {name: fact.value for name, fact in us._facts.items()}
    same |= {name: effect.effective for name, effect in us.effects.items()}
    for name, value in same.items():
        other = metric._facts[name].value if name in metric._facts else metric.effects[name].effective
        assert other == (pytest.approx(value, rel=1e-3, abs=1e-3) if isinstance(value, float) else value), name


@pytest.mark.parametrize("new", Severity)
@pytest.mark.parametrize("gone", Severity)
def test_what_a_remedy_may_cost(new: Severity, gone: Severity) -> None:
    """Waste for waste is a fair exchange; one danger, damage or outage for another of its kind is none."""
    order = list(Severity)
    worse = order.index(new) < order.index(gone)
    assert new.forbids(gone) is (worse or (new is gone and new in (Severity.DANGER, Severity.DAMAGE, Severity.OUTAGE)))
