# ruff: noqa: E501
"""How near working values come to the limits, at its boundaries. Margins are common practice, no source."""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from tests.rules.kit import AS_OF, METRIC, SLOPE, TWO, ask, finding, make_plant
from tests.rules.tables import (
    Cases,
    Declared,
    boundaries,
    declared,
    edge,
    lacking,
    narrow,
    remedies,
    unable,
)

NO_OPERATING: Final[dict[str, Any]] = {
    "drop": ["settings.operating_limit"],
    "drop_control": ["setting.operating_limit"],
}
NO_HIGH: Final[dict[str, Any]] = {"drop": ["settings.high_limit"], "drop_control": ["setting.high_limit"]}
NO_HOT_WATER: Final = {"hot_water.kind": "none"}
SIGNAL: Final = {"settings.external_signal": "temperature"}


def both(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    return {key: [*one[key], *other[key]] for key in one}


CASES: Final[Cases] = [
    # 190 F operating limit - 6 F overshoot - 10 F margin = 174 F
    *edge("high-limit-too-near", {}, "settings.heating_setpoint", 174, 174.1),
    *edge("high-limit-too-near", {"settings.heating_setpoint": 190}, "settings.maximum_supply", 174, 174.1),
    *edge("high-limit-too-near", {}, "settings.heating_overshoot", 16, 16.1),
    ("high-limit-too-near", "found", {"settings.operating_limit": 230, "settings.high_limit": 181.9}, {}),
    # 172 F boiler target during hot water + 10 F = 182 F
    ("high-limit-too-near", "clear", {"settings.operating_limit": 230, "settings.high_limit": 182}, {}),
    *edge("high-limit-too-near", NO_HOT_WATER, "settings.operating_limit", 180, 179.9),
    # hot water: 190 F - 10 F
    *edge("high-limit-too-near", {}, "settings.hot_water_boiler_setpoint", 180, 180.1),
    ("high-limit-too-near", "found", {"settings.hot_water_boiler_setpoint": 181, "hot_water.kind": "plate"}, {}),
    ("high-limit-too-near", "clear", {"settings.hot_water_boiler_setpoint": 185, "hot_water.kind": "separate"}, {}),
    ("high-limit-too-near", "found", {"settings.hot_water_boiler_setpoint": 181}, {"drop": ["settings.heating_setpoint"]}),
    ("high-limit-too-near", "clear", {},
     {"drop": ["settings.hot_water_boiler_setpoint"], "drop_control": ["setting.hot_water_boiler_setpoint"]}),
    # heating is set from outside: only hot water is looked at, or a signal's upper end
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 188, "settings.cascade_role": "follower"}, {}),
    ("high-limit-too-near", "found", {"settings.hot_water_boiler_setpoint": 181, "settings.cascade_role": "follower"}, {}),
    ("high-limit-too-near", "does not apply", {**NO_HOT_WATER, "settings.cascade_role": "follower"}, {}),
    ("high-limit-too-near", "clear", {**SIGNAL, "settings.external_high": 174, "settings.heating_setpoint": 188}, {}),
    ("high-limit-too-near", "found", {**SIGNAL, "settings.external_high": 174.1}, {}),
    # the line counts where it is lower than the set point: 70 + 6 + 1.25 x 78 = 173.5 F, 1.26: 174.3 F
    *edge("high-limit-too-near", {"settings.heating_setpoint": 190, "settings.maximum_supply": "off"},
          "settings.reset_slope", 1.25, 1.26, **SLOPE),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 190}, TWO),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 190, "settings.boost_step": 5}, TWO),
    ("high-limit-too-near", "found", {"settings.high_limit": 175}, NO_OPERATING),
    ("high-limit-too-near", "clear", {"settings.operating_limit": 182}, NO_HIGH),
    ("high-limit-too-near", "does not apply", {}, both(NO_OPERATING, NO_HIGH)),
    # a limit that is not known does not hide one that is too near, and one that is far enough is no pass
    ("high-limit-too-near", "found", {"settings.high_limit": 175}, {"drop": ["settings.operating_limit"]}),
    ("high-limit-too-near", "found", {"settings.operating_limit": 175}, {"drop": ["settings.high_limit"]}),
    *lacking("high-limit-too-near", {}, "settings.operating_limit", "settings.high_limit", "settings.heating_setpoint",
              "settings.heating_overshoot", "settings.hot_water_boiler_setpoint", "hot_water.kind"),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.operating_limit", "settings.high_limit"]}),
    ("high-limit-too-near", "not checked", {}, {"drop_control": ["setting.heating_overshoot"]}),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 170},
     {"drop_control": ["setting.heating_overshoot"], "control": {"control.overshoot": 10.1}}),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 170},
     {"drop_control": ["setting.heating_overshoot"], "control": {"control.overshoot": 10}}),
    *edge("high-limit-too-near", {}, "settings.heating_setpoint", 78.8, 79, **METRIC),
    *edge("operating-limit-below-hot-water-target", {}, "settings.hot_water_boiler_setpoint", 190, 190.1),
    ("operating-limit-below-hot-water-target", "found", {"settings.hot_water_boiler_setpoint": 191, "hot_water.kind": "plate"}, {}),
    ("operating-limit-below-hot-water-target", "does not apply", {"settings.hot_water_boiler_setpoint": 199, **NO_HOT_WATER}, {}),
    ("operating-limit-below-hot-water-target", "does not apply", {"settings.hot_water_boiler_setpoint": 199, "hot_water.kind": "separate"}, {}),
    *[("operating-limit-below-hot-water-target", "not checked", {}, {"drop": [name]})
      for name in ("settings.operating_limit", "settings.hot_water_boiler_setpoint", "hot_water.kind")],
    *edge("operating-limit-below-hot-water-target", {"settings.operating_limit": 85},
          "settings.hot_water_boiler_setpoint", 85, 85.1, **METRIC),
    # the radiators need 158 F on the design day; 10 F more
    *edge("operating-limit-below-emitter-need", {}, "settings.operating_limit", 168, 167.9),
    ("operating-limit-below-emitter-need", "clear", {"settings.operating_limit": 168, "settings.heating_setpoint": 188}, {}),
    ("operating-limit-below-emitter-need", "does not apply", {"settings.operating_limit": 130, "emitter.0.mixed": True}, {}),
    *[("operating-limit-below-emitter-need", "not checked", {}, {"drop": [name]})
      for name in ("settings.operating_limit", "emitter", "building.indoor_design", "site.design_outdoor", "emitter.0.mixed")],
    # 158 F are 70 C, 10 F are 5.56 K
    *edge("operating-limit-below-emitter-need", {}, "settings.operating_limit", 75.6, 75.5, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("high-limit-too-near", {"settings.heating_setpoint": 185, "settings.maximum_supply": "off"}, {},
     {"heating_setpoint": celsius(174)}),
    ("high-limit-too-near", {"settings.heating_setpoint": 185}, {}, {"maximum_supply": celsius(174)}),
    ("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 188}, {},
     {"hot_water_boiler_setpoint": celsius(180)}),
    ("high-limit-too-near", {**SIGNAL, "settings.external_high": 188}, {}, {"external_high": celsius(174)}),
    ("high-limit-too-near", {"settings.reset_hot_supply": 176, "settings.heating_setpoint": 180}, TWO,
     {"reset_hot_supply": celsius(174)}),
    # a slope is not touched; the set point caps its line
    ("high-limit-too-near",
     {"settings.reset_slope": 1.3, "settings.heating_setpoint": 190, "settings.maximum_supply": "off"}, SLOPE, {"heating_setpoint": celsius(174)}),
    ("high-limit-too-near", {"settings.heating_setpoint": 84, "settings.maximum_supply": "off"}, METRIC,
     {"heating_setpoint": 78.0}),
    ("operating-limit-below-hot-water-target", {"settings.hot_water_boiler_setpoint": 195}, {},
     {"hot_water_boiler_setpoint": celsius(180)}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("high-limit-too-near", {"settings.heating_setpoint": 185, "settings.maximum_supply": "off"},
     narrow("heating_setpoint", 180, 200), "lower"),
    ("operating-limit-below-hot-water-target", {"settings.hot_water_boiler_setpoint": 199},
     narrow("hot_water_boiler_setpoint", 191, 200), "lower"),
])  # fmt: skip
DECLARED: Final[Declared] = [
    ("high-limit-too-near", Severity.OUTAGE, Certainty.PROVEN, {"limit", "heating", "hot-water"}),
    ("operating-limit-below-hot-water-target", Severity.OUTAGE, Certainty.PROVEN, {"limit", "scald", "hygiene"}),
    ("operating-limit-below-emitter-need", Severity.OUTAGE, Certainty.LIKELY, {"limit", "heating"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


def test_margins_can_be_checked_by_hand() -> None:
    one = finding("high-limit-too-near", {"settings.heating_setpoint": 176})
    # 190 - 176 - 6 = 8 F
    assert one.at == "heating_setpoint"
    assert one.message == "heating set point 176 F + 6 F overshoot: 8 F below operating limit 190 F"
    assert one.numbers["margin"].value == pytest.approx(kelvin(8))
    past = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 193})
    assert past.message == "boiler target during hot water 193 F: 3 F above operating limit 190 F"
    at_it = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 190})
    assert "190 F: 0 F below operating limit" in at_it.message
    little = finding("high-limit-too-near", {"settings.heating_setpoint": 180, "settings.heating_overshoot": 1})
    assert "180 F + 1 F overshoot: 9 F below" in little.message
    high = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 184, "settings.high_limit": 189})
    assert high.message == "boiler target during hot water 184 F: 5 F below high limit 189 F"
    both_near = audit(
        make_plant({"settings.heating_setpoint": 176, "settings.hot_water_boiler_setpoint": 184}), by_group()["limits"]
    ).findings
    near = [one.at for one in both_near if one.rule == "high-limit-too-near"]
    assert sorted(near) == ["heating_setpoint", "hot_water_boiler_setpoint"]
    need = finding("operating-limit-below-emitter-need", {"settings.operating_limit": 160})
    assert "operating limit 160 F too near the emitters' need of 158 F on the design day" in need.message


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    owner = Context(AS_OF, thresholds={"limit_margin": kelvin(5)})
    assert ask("high-limit-too-near", {"settings.heating_setpoint": 179}, context=owner) == "clear"
    assert ask("operating-limit-below-emitter-need", {"settings.operating_limit": 163}, context=owner) == "clear"
