# ruff: noqa: E501
"""The tank and its heat-up at their boundaries.

HSE HSG274 part 2 (2014): a tank at 60 C (140 F). What is not named there is common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.physics.scald import describe
from settingslint.rules.base import Certainty, Severity
from settingslint.units import Celsius, celsius, kelvin
from tests.rules.hygiene.givens import BOTH, HEAT_UP, HEAT_UP_C, NO_VALVE, PLATE
from tests.rules.kit import METRIC, ask, finding, make_plant, rule_named
from tests.rules.tables import (
    Cases,
    Said,
    boundaries,
    edge,
    lacking,
    narrow,
    owners_numbers,
    remedies,
    sayings,
    unable,
)

LONG: Final = {**HEAT_UP, "settings.hygiene_target": 152, "hot_water.tank_volume": 150}
NO_PLAN: Final = {"hot_water.safety_plan": False}
ONE_TARGET: Final[dict[str, Any]] = {"control": {"control.shared_target": True}}

CASES: Final[Cases] = [
    # 60 C + 4 F
    *edge("tank-below-hygiene-temperature", {}, "settings.tank_setpoint", 144, 143.9),
    *edge("tank-below-hygiene-temperature", {}, "settings.tank_differential", 5, 5.1),
    ("tank-below-hygiene-temperature", "does not apply", {**PLATE, "settings.tank_setpoint": 110}, {}),
    ("tank-below-hygiene-temperature", "does not apply", {"hot_water.kind": "none", "settings.tank_setpoint": 110}, {}),
    *lacking("tank-below-hygiene-temperature", {}, "settings.tank_setpoint", "settings.tank_differential",
              "hot_water.kind"),
    *edge("tank-below-hygiene-temperature", {"settings.tank_setpoint": 63},
          "settings.tank_differential", 3, 3.1, **METRIC),
    # the store
    *edge("cool-tank-without-hygiene-measure", NO_PLAN, "settings.tank_setpoint", 140, 139.9),
    ("cool-tank-without-hygiene-measure", "clear", {"settings.tank_setpoint": 120}, {}),
    ("cool-tank-without-hygiene-measure", "clear", {**NO_PLAN, **HEAT_UP, "settings.tank_setpoint": 120}, {}),
    ("cool-tank-without-hygiene-measure", "does not apply", {**NO_PLAN, **PLATE, "settings.tank_setpoint": 120}, {}),
    *lacking("cool-tank-without-hygiene-measure", NO_PLAN, "settings.tank_setpoint", "settings.hygiene_cycle"),
    ("cool-tank-without-hygiene-measure", "not checked", {}, {"drop": ["hot_water.safety_plan"]}),
    *edge("cool-tank-without-hygiene-measure", NO_PLAN, "settings.tank_setpoint", 60, 59.9, **METRIC),
    # boiler 172 - 20 F; operating limit 190 - 20 F; the tank's own limit 185 F
    *edge("hygiene-target-out-of-reach", HEAT_UP, "settings.hygiene_target", 152, 152.1),
    *edge("hygiene-target-out-of-reach", HEAT_UP, "settings.operating_limit", 170, 169.9),
    *edge("hygiene-target-out-of-reach", HEAT_UP, "settings.tank_high_limit", 150, 149.9),
    ("hygiene-target-out-of-reach", "clear", HEAT_UP, {"drop": ["settings.operating_limit", "settings.tank_high_limit"]}),
    ("hygiene-target-out-of-reach", "does not apply", {**HEAT_UP, "settings.hygiene_cycle": False, "settings.hygiene_target": 180}, {}),
    ("hygiene-target-out-of-reach", "does not apply", {**HEAT_UP, **PLATE, "settings.hygiene_target": 180}, {}),
    ("hygiene-target-out-of-reach", "not checked", {"settings.hygiene_cycle": True}, {}),
    ("hygiene-target-out-of-reach", "not checked", HEAT_UP, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    *edge("hygiene-target-out-of-reach", HEAT_UP_C, "settings.hot_water_boiler_setpoint", 76.2, 76.1, **METRIC),
    *edge("hygiene-target-too-cool", HEAT_UP, "settings.hygiene_target", 140, 139.9),
    ("hygiene-target-too-cool", "does not apply", {"settings.hygiene_cycle": False, "settings.hygiene_target": 120}, {}),
    ("hygiene-target-too-cool", "does not apply", {**HEAT_UP, **PLATE, "settings.hygiene_target": 120}, {}),
    ("hygiene-target-too-cool", "not checked", {"settings.hygiene_cycle": True}, {}),
    ("hygiene-target-too-cool", "not checked", {}, {"drop": ["settings.hygiene_cycle"]}),
    *edge("hygiene-target-too-cool", HEAT_UP_C, "settings.hygiene_target", 60, 59.9, **METRIC),
    # 150 gal x 8.27 x 11 F/90,000 Btu/h = 9.1 min
    *edge("hygiene-time-limit-too-short", LONG, "settings.hygiene_time_limit", 9.1, 9),
    # from 145 - 12 F: 15.7 min
    *edge("hygiene-time-limit-too-short", {**LONG, "settings.tank_differential": 12},
          "settings.hygiene_time_limit", 15.8, 15.7),
    ("hygiene-time-limit-too-short", "clear",
     {**LONG, "settings.hygiene_target": 130, "settings.hygiene_time_limit": 5, "hot_water.tank_volume": 9000}, {}),
    ("hygiene-time-limit-too-short", "does not apply", {**LONG, "settings.hygiene_cycle": False, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "does not apply", {**LONG, **PLATE, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "not checked", LONG, {}),
    ("hygiene-time-limit-too-short", "not checked", {"settings.hygiene_cycle": True, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "not checked", {**HEAT_UP, "settings.hygiene_time_limit": 5}, {"drop": ["hot_water.tank_volume"]}),
    *lacking("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5}, "settings.tank_setpoint", "settings.tank_differential",
              "boiler.efficiency"),
    # 500 L x 1.152 Wh/(L K) x 5 K/26.38 kW = 6.55 min
    *edge("hygiene-time-limit-too-short", {**HEAT_UP_C, "settings.tank_setpoint": 62, "settings.tank_differential": 2, "hot_water.tank_volume": 500},
          "settings.hygiene_time_limit", 6.6, 6.5, **METRIC),
    # growth up to 45 C, 113 F (HSE HSG274 part 2)
    *edge("reduced-tank-in-growth-range", {}, "settings.hot_water_reduced", 113.1, 113),
    ("reduced-tank-in-growth-range", "clear", {"settings.hot_water_reduced": "off"}, {}),
    ("reduced-tank-in-growth-range", "does not apply", {**PLATE, "settings.hot_water_reduced": 100}, {}),
    ("reduced-tank-in-growth-range", "not checked", {}, {"drop": ["settings.hot_water_reduced"]}),
    ("reduced-tank-in-growth-range", "not checked", {"settings.hot_water_reduced": 100}, {"drop": ["hot_water.kind"]}),
    *edge("reduced-tank-in-growth-range", {}, "settings.hot_water_reduced", 45.1, 45, **METRIC),
    # 145 + 20 F
    *edge("shared-target-below-tank", {}, "settings.heating_setpoint", 165, 164.9, **ONE_TARGET),
    ("shared-target-below-tank", "clear", {"settings.heating_setpoint": 131}, {}),
    ("shared-target-below-tank", "does not apply", {**PLATE, "settings.heating_setpoint": 131}, ONE_TARGET),
    ("shared-target-below-tank", "not checked", {}, {"drop_control": ["control.shared_target"]}),
    *lacking("shared-target-below-tank", {}, "settings.heating_setpoint", "settings.tank_setpoint", **ONE_TARGET),
    *edge("shared-target-below-tank", {}, "settings.heating_setpoint", 73.9, 73.8, **ONE_TARGET, **METRIC),
    *edge("tap-temperature-typed-as-tank", {}, "settings.tank_setpoint", 125.1, 125),
    *edge("tap-temperature-typed-as-tank", {}, "settings.tank_setpoint", 114.9, 115),
    ("tap-temperature-typed-as-tank", "does not apply", {**NO_VALVE, "settings.tank_setpoint": 120}, {}),
    ("tap-temperature-typed-as-tank", "does not apply", {**PLATE, "settings.tank_setpoint": 120}, {}),
    ("tap-temperature-typed-as-tank", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("tap-temperature-typed-as-tank", "not checked", {"settings.tank_setpoint": 120}, {"drop": ["hot_water.mixing_valve"]}),
    *edge("tap-temperature-typed-as-tank", {}, "settings.tank_setpoint", 51.7, 51.6, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("tank-below-hygiene-temperature", {"settings.tank_setpoint": 130}, {}, {"tank_setpoint": celsius(144)}),
    ("tank-below-hygiene-temperature", {"settings.tank_setpoint": 55, "settings.tank_differential": 3}, METRIC,
     {"tank_setpoint": 63.0}),
    ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5}, {}, {"hygiene_time_limit": 600.0}),
    ("reduced-tank-in-growth-range", {"settings.hot_water_reduced": 100}, {}, {"hot_water_reduced": "off"}),
    ("shared-target-below-tank", {"settings.heating_setpoint": 155}, ONE_TARGET, {"heating_setpoint": celsius(165)}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("tank-below-hygiene-temperature", {"settings.tank_setpoint": 130}, narrow("tank_setpoint", 60, 140),
     "raise the tank; the person responsible"),
    ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5}, narrow("hygiene_time_limit", 5, 8),
     "how long it must run"),
    ("shared-target-below-tank", {"settings.heating_setpoint": 155},
     {**narrow("heating_setpoint", 80, 160), "control.shared_target": True}, "raise the shared target"),
])  # fmt: skip
SAID: Final[Said] = [
    ("tank-below-hygiene-temperature", {"settings.tank_setpoint": 130}, {},
     (Severity.DANGER, Certainty.PROVEN, "tank_setpoint", BOTH, {"tank at its coolest": celsius(126), "minimum": 60.0})),
    ("cool-tank-without-hygiene-measure", {**NO_PLAN, "settings.tank_setpoint": 120}, {},
     (Severity.DANGER, Certainty.LIKELY, "hygiene_cycle", BOTH, {"tank": celsius(120)})),
    ("hygiene-target-out-of-reach", {**HEAT_UP, "settings.hygiene_target": 160}, {},
     (Severity.DANGER, Certainty.PROVEN, "hygiene_target", BOTH, {"heat-up": celsius(160), "within reach": celsius(152)})),
    ("hygiene-target-too-cool", {**HEAT_UP, "settings.hygiene_target": 130}, {},
     (Severity.DANGER, Certainty.PROVEN, "hygiene_target", BOTH, {"heat-up": celsius(130), "minimum": 60.0})),
    # 9.1 min
    ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 6}, {},
     (Severity.DANGER, Certainty.LIKELY, "hygiene_time_limit", BOTH, {"heating": 545.5, "limit": 360.0})),
    ("reduced-tank-in-growth-range", {"settings.hot_water_reduced": 100}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water_reduced", BOTH, {"reduced tank": celsius(100), "growth up to": 45.0})),
    ("shared-target-below-tank", {"settings.heating_setpoint": 131}, ONE_TARGET,
     (Severity.DANGER, Certainty.PROVEN, "heating_setpoint", BOTH, {"target": celsius(131), "tank": celsius(145)})),
    ("tap-temperature-typed-as-tank", {"settings.tank_setpoint": 120}, {},
     (Severity.DANGER, Certainty.ASK, "tank_setpoint", BOTH, {"tank": celsius(120)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)
test_an_owner_sets_the_numbers_of_habit = owners_numbers([
    ("tank-below-hygiene-temperature", {}, {}, "tank_minimum", celsius(142)),
    ("cool-tank-without-hygiene-measure", NO_PLAN, {}, "tank_minimum", celsius(146)),
    ("hygiene-target-out-of-reach", HEAT_UP, {}, "boiler_over_tank", kelvin(25)),
    ("hygiene-target-too-cool", HEAT_UP, {}, "tank_minimum", celsius(155)),
    ("shared-target-below-tank", {"settings.heating_setpoint": 170}, ONE_TARGET, "boiler_over_tank", kelvin(35)),
    ("tap-temperature-typed-as-tank", {"settings.tank_setpoint": 112}, {}, "tap_range_low", celsius(110)),
    ("tap-temperature-typed-as-tank", {"settings.tank_setpoint": 128}, {}, "tap_range_high", celsius(130)),
])  # fmt: skip


def test_the_tank_is_raised_only_behind_a_mixing_valve() -> None:
    for changes, drop in ((NO_VALVE, []), ({}, ["hot_water.mixing_valve"])):
        one = finding("tank-below-hygiene-temperature", {**changes, "settings.tank_setpoint": 130}, drop=drop)
        assert one.remedy is not None
        assert one.remedy.set == {}
        assert one.remedy.text.startswith("fit and test a mixing valve; then")
    behind = finding("tank-below-hygiene-temperature", {"settings.tank_setpoint": 130}).remedy
    assert behind is not None
    assert behind.text == "raise the tank to 144 F; the person responsible for water safety decides"


def test_without_a_valve_a_hotter_tank_scalds_as_fast_as_the_rule_says() -> None:
    assert describe(Celsius(60.0)) in rule_named("tank-below-hygiene-temperature").doc  # US CPSC document 5098


def test_what_holds_the_heat_up_back_is_named() -> None:
    far = {**HEAT_UP, "settings.hygiene_target": 180}
    boiler = finding("hygiene-target-out-of-reach", far)
    assert boiler.headline == "heat-up to 180 F, but the tank reaches about 152 F: boiler target 172 F"
    assert boiler.numbers["within reach"].value == pytest.approx(celsius(152))
    operating = finding("hygiene-target-out-of-reach", {**far, "settings.operating_limit": 168})
    assert "operating limit 168 F" in operating.headline
    assert operating.numbers["within reach"].value == pytest.approx(celsius(148))
    own = finding("hygiene-target-out-of-reach", {**far, "settings.tank_high_limit": 147})
    assert "tank limit 147 F" in own.headline
    assert own.numbers["within reach"].value == pytest.approx(celsius(147))


def test_heating_time_of_a_heat_up_at_equality() -> None:
    one = finding("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5})
    takes = one.numbers["heating"].value / 60
    # the trade's 8.33 x gal x F/(Btu/h), within 1 %
    assert takes == pytest.approx(60 * 8.33 * 150 * 11 / 90000, rel=0.01)
    assert one.numbers["limit"].value == 300.0
    assert ask("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": takes}) == "clear"


def test_a_control_file_that_does_not_say_whether_the_target_is_shared_is_named() -> None:
    rule = rule_named("shared-target-below-tank")
    result = audit(make_plant(drop_control=["control.shared_target"]), [rule])
    assert [lack.needs for lack in result.not_checked] == [("heating_setpoint",)]
    assert "does not say whether" in result.not_checked[0].why


def test_the_text_says_where_legionella_grows() -> None:
    # growth 20 to 45 C (113 F): HSE HSG274 part 2
    assert "legionella grows" in finding("tank-below-hygiene-temperature", {"settings.tank_setpoint": 117}).message
    assert "legionella" not in finding("tank-below-hygiene-temperature", {"settings.tank_setpoint": 118}).message
    one = finding("tank-below-hygiene-temperature", {"settings.tank_setpoint": 130})
    assert one.numbers["tank at its coolest"].value == pytest.approx(celsius(126))
    assert one.numbers["minimum"].value == Celsius(60.0)
