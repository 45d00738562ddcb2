"""Numbers that are not plausible in any unit, at their boundaries. Ranges are common practice, no source."""

from __future__ import annotations

from typing import Final

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from tests.rules.kit import METRIC, finding, make_plant
from tests.rules.tables import Cases, boundaries, edge

RULE: Final = "number-not-plausible"
CASES: Final[Cases] = [
    *edge(RULE, {}, "boiler.efficiency", 0.5, 0.499),
    *edge(RULE, {}, "boiler.efficiency", 0.5, 0.499, **METRIC),
    (RULE, "clear", {}, {"drop": ["boiler.efficiency"]}),
    (RULE, "clear", {}, {"drop": ["settings.tank_setpoint"]}),
]
test_boundaries = boundaries(CASES)


def test_a_fact_is_as_bad_as_what_it_silences() -> None:
    alone = finding(RULE, {"boiler.efficiency": 0.4})
    assert (alone.at, alone.certainty, alone.severity) == ("boiler.efficiency", Certainty.PROVEN, Severity.RECORD)
    assert "0.4 is not plausible" in alone.message
    with_all = audit(make_plant({"boiler.efficiency": 0.4}), all_rules())
    (one,) = [each for each in with_all.findings if each.rule == RULE]
    silenced = {lack.rule for lack in with_all.not_checked if "boiler.efficiency" in lack.needs}
    bad = [rule.severity for rule in all_rules() if rule.name in silenced]
    assert one.severity is min(bad, key=lambda each: each.rank)
