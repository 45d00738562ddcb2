# ruff: noqa: E501
"""The tank, its method, sensors and limits at their boundaries. Thresholds are common practice, no source."""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from tests.rules.hot_water.givens import PLATE
from tests.rules.kit import METRIC, finding
from tests.rules.tables import (
    Cases,
    Said,
    boundaries,
    edge,
    lacking,
    narrow,
    no_figure,
    owners_numbers,
    remedies,
    sayings,
    unable,
)

THERMOSTAT: Final = {"settings.hot_water_method": "tank thermostat"}

CASES: Final[Cases] = [
    ("hot-water-method-unlike-piping", "clear", {"settings.hot_water_method": "tank sensor"}, {}),
    ("hot-water-method-unlike-piping", "clear", THERMOSTAT, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "separate"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "plate", "settings.hot_water_method": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "plate", "hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    *edge("hot-water-method-unlike-piping", {"hot_water.kind": "none"},
          "settings.hot_water_method", "none", "separate"),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "separate", "settings.hot_water_method": "none"}, {}),
    *edge("hot-water-method-unlike-piping", {"hot_water.kind": "separate"},
          "settings.hot_water_method", "separate", "plate"),
    # the tank is another boiler's
    ("hot-water-method-unlike-piping", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    *edge("hot-water-method-unlike-piping", {"hot_water.piped_here": False},
          "settings.hot_water_method", "separate", "plate"),
    ("hot-water-method-unlike-piping", "not checked", {"settings.hot_water_method": "none"}, {"drop": ["hot_water.piped_here"]}),
    *lacking("hot-water-method-unlike-piping", {}, "hot_water.kind", "settings.hot_water_method"),
    ("hot-water-method-unlike-piping", "does not apply", {}, {"drop": ["settings.hot_water_method"], "drop_control": ["setting.hot_water_method"]}),
    *edge("hot-water-from-boiler-not-piped-to-tank", {}, "hot_water.piped_here", True, False),
    ("hot-water-from-boiler-not-piped-to-tank", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "separate"}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "does not apply", {"hot_water.piped_here": False, "hot_water.kind": "plate"}, {}),
    *lacking("hot-water-from-boiler-not-piped-to-tank", {}, "hot_water.piped_here", "settings.hot_water_method"),
    *edge("sensor-for-tank-not-fitted", {}, "accessories.tank_sensor", True, False),
    ("sensor-for-tank-not-fitted", "does not apply", {**THERMOSTAT, "accessories.tank_sensor": False}, {}),
    *lacking("sensor-for-tank-not-fitted", {}, "accessories.tank_sensor", "settings.hot_water_method"),
    ("heat-up-without-tank-sensor", "found", {**THERMOSTAT, "settings.hygiene_cycle": True}, {}),
    ("heat-up-without-tank-sensor", "clear", THERMOSTAT, {}),
    ("heat-up-without-tank-sensor", "does not apply", {"settings.hygiene_cycle": True}, {}),
    ("heat-up-without-tank-sensor", "does not apply", {**THERMOSTAT, "hot_water.kind": "none", "settings.hygiene_cycle": True}, {}),
    ("heat-up-without-tank-sensor", "not checked", THERMOSTAT, {"drop": ["settings.hygiene_cycle"]}),
    ("heat-up-without-tank-sensor", "not checked", {"settings.hygiene_cycle": True}, {"drop": ["settings.hot_water_method"]}),
    # left at a default that is on
    ("heat-up-without-tank-sensor", "found", {**THERMOSTAT, "settings.hygiene_cycle": {"left": "default"}},
     {"control": {"setting.hygiene_cycle.default": True}}),
    ("heat-up-without-tank-sensor", "clear", {**THERMOSTAT, "settings.hygiene_cycle": {"left": "default"}},
     {"control": {"setting.hygiene_cycle.default": False}}),
    # a control that ignores it does not make it run
    ("heat-up-without-tank-sensor", "found", {**THERMOSTAT, "settings.hygiene_cycle": True},
     {"control": {"setting.hygiene_cycle.needs": [{"setting": "hot_water_method", "is": ["tank sensor"], "otherwise": "ignored"}]}}),
    ("set-point-without-tank-sensor", "found", THERMOSTAT, {}),
    ("set-point-without-tank-sensor", "found", {**THERMOSTAT, "settings.tank_setpoint": 62}, METRIC),
    ("set-point-without-tank-sensor", "clear", {**THERMOSTAT, "settings.tank_setpoint": {"left": "not applicable"}}, {}),
    ("set-point-without-tank-sensor", "clear", THERMOSTAT, {"drop": ["settings.tank_setpoint"]}),
    ("set-point-without-tank-sensor", "does not apply", {}, {}),
    ("set-point-without-tank-sensor", "does not apply", {**THERMOSTAT, "hot_water.kind": "plate"}, {}),
    ("set-point-without-tank-sensor", "not checked", THERMOSTAT, {"drop": ["hot_water.kind"]}),
    # 145 + 20 F
    *edge("boiler-target-near-tank-target", {}, "settings.hot_water_boiler_setpoint", 165, 164.9),
    *edge("boiler-target-near-tank-target", {}, "settings.tank_setpoint", 152, 152.1),
    ("boiler-target-near-tank-target", "does not apply", {**PLATE, "settings.hot_water_boiler_setpoint": 150}, {}),
    *lacking("boiler-target-near-tank-target", {}, "settings.hot_water_boiler_setpoint", "settings.tank_setpoint",
              "hot_water.kind"),
    *edge("boiler-target-near-tank-target", {"settings.tank_setpoint": 60},
          "settings.hot_water_boiler_setpoint", 71.2, 71.1, **METRIC),
    *edge("boiler-target-above-tank-rating", {}, "hot_water.tank_rating", 172, 171.9),
    ("boiler-target-above-tank-rating", "does not apply", {**PLATE, "hot_water.tank_rating": 150}, {}),
    *lacking("boiler-target-above-tank-rating", {}, "hot_water.tank_rating", "settings.hot_water_boiler_setpoint"),
    *edge("boiler-target-above-tank-rating", {"hot_water.tank_rating": 75},
          "settings.hot_water_boiler_setpoint", 75, 76, **METRIC),
    *edge("tank-high-limit-above-rating", {}, "hot_water.tank_rating", 185, 184.9),
    ("tank-high-limit-above-rating", "does not apply", {**PLATE, "hot_water.tank_rating": 150}, {}),
    *lacking("tank-high-limit-above-rating", {}, "hot_water.tank_rating", "settings.tank_high_limit"),
    *edge("tank-high-limit-above-rating", {}, "settings.tank_high_limit", 93, 94, **METRIC),
    *edge("tank-high-limit-below-set-point", {}, "settings.tank_high_limit", 145, 144.9),
    ("tank-high-limit-below-set-point", "does not apply", {**PLATE, "settings.tank_high_limit": 130}, {}),
    *lacking("tank-high-limit-below-set-point", {}, "settings.tank_high_limit", "settings.tank_setpoint"),
    *edge("tank-high-limit-below-set-point", {}, "settings.tank_high_limit", 63, 62, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 150}, {},
     {"hot_water_boiler_setpoint": celsius(165)}),
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 66}, METRIC,
     {"hot_water_boiler_setpoint": 74.0}),  # 62.78 + 11.11 C
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 150},
     narrow("hot_water_boiler_setpoint", 80, 160), "can't go higher"),
])  # fmt: skip
SAID: Final[Said] = [
    ("hot-water-method-unlike-piping", {"settings.hot_water_method": "plate"}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "hot_water_method", {"scald", "hygiene"}, {})),
    ("hot-water-from-boiler-not-piped-to-tank", {"hot_water.piped_here": False}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "hot_water_method", {"cascade"}, {})),
    ("sensor-for-tank-not-fitted", {"accessories.tank_sensor": False}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "hot_water_method", {"scald", "hygiene"}, {})),
    ("heat-up-without-tank-sensor", {**THERMOSTAT, "settings.hygiene_cycle": True}, {},
     (Severity.DANGER, Certainty.PROVEN, "hygiene_cycle", {"scald", "hygiene"}, {})),
    ("set-point-without-tank-sensor", THERMOSTAT, {},
     (Severity.RECORD, Certainty.ASK, "tank_setpoint", {"scald", "hygiene"}, {})),
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 163}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "hot_water_boiler_setpoint", {"scald", "hygiene"}, {"approach": kelvin(18), "usual approach": kelvin(20)})),
    ("boiler-target-above-tank-rating", {"hot_water.tank_rating": 160}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water_boiler_setpoint", {"scald", "hygiene", "limit"}, {"boiler target": celsius(172), "tank rating": celsius(160)})),
    ("tank-high-limit-above-rating", {"hot_water.tank_rating": 160}, {},
     (Severity.DANGER, Certainty.PROVEN, "tank_high_limit", {"scald", "hygiene", "limit"}, {"limit": celsius(185), "tank rating": celsius(160)})),
    ("tank-high-limit-below-set-point", {"settings.tank_high_limit": 140}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "tank_high_limit", {"scald", "hygiene", "limit"}, {"limit": celsius(140), "tank set point": celsius(145)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)
test_an_owner_sets_the_numbers_of_habit = owners_numbers([
    ("boiler-target-near-tank-target", {}, {}, "boiler_over_tank", kelvin(28)),
])  # fmt: skip


def test_an_approach_of_zero_never_gets_there() -> None:
    for target, never in ((145, True), (140, True), (145.1, False)):
        one = finding("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": target})
        assert ("never" in one.message) == never
        assert one.numbers["approach"].value == pytest.approx(kelvin(target - 145))
    assert one.numbers["usual approach"].value == pytest.approx(kelvin(20))


test_firing_and_limits_get_no_figure = no_figure([
    ("tank-high-limit-above-rating", {"hot_water.tank_rating": 150}, {}, Severity.DANGER, "tank_high_limit"),
    ("tank-high-limit-below-set-point", {"settings.tank_high_limit": 130}, {}, Severity.OUTAGE, "tank_high_limit"),
])  # fmt: skip


def test_a_set_point_that_nobody_reads_is_told_in_the_files_unit() -> None:
    metric = finding("set-point-without-tank-sensor", {**THERMOSTAT, "settings.tank_setpoint": 62}, **METRIC)
    assert "62 C" in metric.message
    assert metric.severity is Severity.RECORD
