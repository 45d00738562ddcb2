# ruff: noqa: E501
"""Facts typed in another unit, at their boundaries.

Unit factors from NIST SP 811, appendix B.8; ranges are common practice, no source.
"""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.rules.base import Severity
from settingslint.units import celsius
from tests.rules.kit import METRIC, TWO, finding
from tests.rules.tables import Cases, boundaries, edge, no_figure, remedies

COLD: Final = {"site.design_outdoor": -10, "site.coldest": -20}

CASES: Final[Cases] = [
    # 118,000 Btu/h in thousands, in kW (34.6) and in boiler horsepower (3.5)
    ("power-in-other-unit", "found", {"boiler.input_maximum": 118}, {}),
    ("power-in-other-unit", "found", {"boiler.input_maximum": 34.6}, {}),
    *edge("power-in-other-unit", {}, "boiler.input_maximum", 94000, 3.5),
    ("power-in-other-unit", "found", {"boiler.output_maximum": 108}, METRIC),
    *edge("power-in-other-unit", {}, "building.design_load", 40000, 88),
    ("power-in-other-unit", "found", {"gas.clocked_input": 34.3}, {}),
    ("power-in-other-unit", "not checked", {}, {"drop": ["plant.size", "boiler.input_maximum", "boiler.output_maximum"]}),
    # 0.98 x 118,000 = 115,640
    *edge("input-called-output", {}, "boiler.input_maximum", 115641, 115640),
    *edge("input-called-output", {"boiler.output_maximum": 86000}, "boiler.input_maximum", 94300, 94401),
    ("input-called-output", "clear", {"boiler.input_maximum": 108000, "boiler.output_maximum": 99000, "site.elevation": 2500}, {}),
    ("input-called-output", "not checked", {"boiler.input_maximum": 108000}, {"drop": ["site.elevation"]}),
    *edge("input-called-output", {}, "boiler.output_maximum", 118000, 118001),
    ("input-called-output", "clear", {"boiler.output_maximum": 119000, "gas.heating_value_basis": "net"}, {}),
    ("input-called-output", "not checked", {}, {"drop": ["boiler.input_maximum"]}),
    ("input-called-output", "not checked", {}, {"drop": ["plant.size", "boiler.output_maximum"]}),
    *edge("heating-value-basis-unsaid", {}, "boiler.efficiency", 1.0, 1.01),
    ("heating-value-basis-unsaid", "clear", {"boiler.efficiency": 1.04, "gas.heating_value_basis": "net"}, {}),
    ("heating-value-basis-unsaid", "found", {}, {"drop": ["gas.heating_value_basis"]}),
    ("heating-value-basis-unsaid", "clear", {}, {"drop": ["gas.heating_value_basis", "gas.clocked_input"]}),
    ("heating-value-basis-unsaid", "does not apply", {}, {"drop": ["boiler.efficiency", "gas.clocked_input"]}),
    # relief from 12 to 160 psi: 11 bar is 159.5 psi; 300 kPa is 3 bar
    ("pressure-in-other-unit", "found", {"water.relief_pressure": 3}, {}),
    *edge("pressure-in-other-unit", {}, "water.relief_pressure", 11.9, 11),
    ("pressure-in-other-unit", "clear", {"water.relief_pressure": 12}, {}),
    *edge("pressure-in-other-unit", {}, "water.relief_pressure", 3, 300, **METRIC),
    *edge("pressure-in-other-unit", {}, "settings.low_pressure_cutout", 1, 0.6),
    ("pressure-in-other-unit", "found", {"settings.high_pressure_alarm": 26}, METRIC),
    ("pressure-in-other-unit", "does not apply", {},
     {"drop": ["settings.low_pressure_cutout", "settings.high_pressure_alarm", "water.relief_pressure"]}),
    # 108,000 Btu/h at 44 F: 108,000/(8.2 x 60 x 44) = 5.0 gpm of water at 60 C
    *edge("flow-in-other-unit", {}, "boiler.minimum_flow", 0.9, 0.2),
    ("flow-in-other-unit", "found", {"boiler.minimum_flow": 0.8}, {}),
    *edge("flow-in-other-unit", {}, "boiler.minimum_flow", 0.2, 3.2, **METRIC),
    ("flow-in-other-unit", "not checked", {}, {"drop": ["boiler.maximum_difference"]}),
    # 600 ft is 183 m
    ("length-in-other-unit", "found", {"settings.elevation_setting": 183}, {}),
    *edge("length-in-other-unit", {}, "settings.elevation_setting", 600, 1968),
    ("length-in-other-unit", "found", {"settings.vent_length_setting": 12}, {}),
    # 5 % off the ratio
    *edge("length-in-other-unit", {}, "settings.elevation_setting", 193, 192),
    ("length-in-other-unit", "found", {"settings.elevation_setting": 600}, METRIC),
    ("length-in-other-unit", "not checked", {"settings.elevation_setting": 183}, {"drop": ["site.elevation"]}),
    ("length-in-other-unit", "does not apply", {}, {"drop": ["settings.elevation_setting", "settings.vent_length_setting"]}),
    ("minus-lost", "found", {**COLD, "settings.reset_cold_outdoor": 10}, TWO),
    *edge("minus-lost", COLD, "settings.reset_cold_outdoor", 10.6, 10.5, **TWO),
    ("minus-lost", "clear", {**COLD, "settings.reset_cold_outdoor": -10}, TWO),
    ("minus-lost", "clear", {"site.design_outdoor": -3, "settings.reset_cold_outdoor": 3}, TWO),
    ("minus-lost", "found", {"site.design_outdoor": -3.1, "settings.reset_cold_outdoor": 3.1}, TWO),
    ("minus-lost", "found", {"site.design_outdoor": -12, "site.coldest": -20, "settings.reset_cold_outdoor": 12}, {**TWO, **METRIC}),
    # 8 F is warmer than the design day of 4 F, -8 F would be colder
    *edge("minus-lost", {}, "site.coldest", 4, 8),
    ("minus-lost", "clear", {"site.coldest": -8}, {}),
    ("minus-lost", "clear", {}, {"drop": ["site.coldest"]}),
    ("minus-lost", "not checked", {}, {"drop": ["site.design_outdoor"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("minus-lost", {**COLD, "settings.reset_cold_outdoor": 10}, TWO, {"reset_cold_outdoor": celsius(-10)}),
])  # fmt: skip
test_firing_and_limits_get_no_figure = no_figure([
    ("pressure-in-other-unit", {"settings.low_pressure_cutout": 0.6}, {}, Severity.DANGER, "low_pressure_cutout"),
    ("length-in-other-unit", {"settings.elevation_setting": 183}, {}, Severity.DANGER, "elevation_setting"),
])  # fmt: skip


def test_the_flow_that_is_expected_can_be_checked_by_hand() -> None:
    # 108,000 Btu/h / (983.2 kg/m3 x 4.185 kJ/kg K x 24.44 K) = 0.3147 L/s (IAPWS density, specific heat of CoolProp)
    flow = finding("flow-in-other-unit", {"boiler.minimum_flow": 0.2})
    assert flow.numbers["expected"].value == pytest.approx(0.3147, rel=1e-3)
