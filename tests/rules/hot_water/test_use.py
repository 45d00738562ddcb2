# ruff: noqa: E501
"""How hot water is used, at its boundaries: keep-warm, plates, schedules, overrun.

A plate: 108,560/(60 x 8.27 x 72 F) = 3.04 gpm (40 C: IAPWS density x specific heat). Thresholds are common practice, no
source.
"""

from __future__ import annotations

from typing import Any, Final

from settingslint.physics.keep_warm import STANDING_LOSS_W
from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from tests.rules.hot_water.givens import PLATE, flow_at_set_point
from tests.rules.kit import METRIC, ask, finding
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

PLATE_C: Final[dict[str, Any]] = {**PLATE, "settings.outlet_setpoint": 48}
CLOCK: Final = {"settings.hot_water_schedule": True, "visit.clock_checked": False}
HARD: Final = {"hot_water.hardness": "hard"}

CASES: Final[Cases] = [
    # use
    *edge("keep-warm-with-tank", {}, "settings.keep_warm", "off", 1),
    ("keep-warm-with-tank", "clear", {**PLATE, "settings.keep_warm": 24}, {}),
    ("keep-warm-with-tank", "found", {"hot_water.kind": "separate", "settings.keep_warm": 1}, {}),
    ("keep-warm-with-tank", "found", {"hot_water.kind": "none", "settings.keep_warm": 1}, {}),
    ("keep-warm-with-tank", "found", {"settings.keep_warm": 1}, METRIC),
    ("keep-warm-with-tank", "does not apply", {"settings.keep_warm": {"left": "not applicable"}}, {}),
    ("keep-warm-with-tank", "not checked", {"settings.keep_warm": 1}, {"drop": ["hot_water.kind"]}),
    ("keep-warm-with-tank", "not checked", {}, {"drop": ["settings.keep_warm"]}),
    *edge("keep-warm-at-low-use", PLATE, "settings.keep_warm", 4, 4.01),
    ("keep-warm-at-low-use", "clear", {**PLATE, "settings.keep_warm": "off"}, {}),
    ("keep-warm-at-low-use", "clear", {**PLATE, "hot_water.low_use": False, "settings.keep_warm": 24}, {}),
    ("keep-warm-at-low-use", "does not apply", {"hot_water.low_use": True, "settings.keep_warm": 24}, {}),
    ("keep-warm-at-low-use", "not checked", {"settings.keep_warm": 5}, {"drop": ["hot_water.kind"]}),
    ("keep-warm-at-low-use", "found", {**PLATE, "settings.keep_warm": 5}, METRIC),
    *lacking("keep-warm-at-low-use", {"hot_water.kind": "plate"}, "settings.keep_warm", "hot_water.low_use"),
    *edge("plate-set-point-out-of-reach", PLATE, "hot_water.peak_flow", 3.04, 3.05),
    # the tank's coil has no say here, the rate limit has: 80 % of 3.04 gpm
    *edge("plate-set-point-out-of-reach", {**PLATE, "settings.hot_water_maximum_rate": 80},
          "hot_water.peak_flow", 2.43, 2.44),
    ("plate-set-point-out-of-reach", "clear", {**PLATE, "settings.outlet_setpoint": 80, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 99}, {}),
    ("plate-set-point-out-of-reach", "found", {**PLATE, "settings.outlet_setpoint": 81, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 300}, {}),
    ("plate-set-point-out-of-reach", "does not apply", {"hot_water.peak_flow": 9}, {}),
    ("plate-set-point-out-of-reach", "not checked", {"hot_water.kind": "plate"}, {}),
    *lacking("plate-set-point-out-of-reach", PLATE, "hot_water.peak_flow", "hot_water.cold_inlet", "boiler.efficiency"),
    # 31.816 kW/(4.147 kJ/(L K) x 40 K) = 0.1918 L/s
    *edge("plate-set-point-out-of-reach", {**PLATE_C, "hot_water.cold_inlet": 8},
          "hot_water.peak_flow", 0.191, 0.192, **METRIC),
    ("clock-not-checked-with-schedule", "found", CLOCK, {}),
    ("clock-not-checked-with-schedule", "found", {**CLOCK, **PLATE}, {}),
    ("clock-not-checked-with-schedule", "clear", {**CLOCK, "visit.clock_checked": True}, {}),
    ("clock-not-checked-with-schedule", "clear", {**CLOCK, "settings.hot_water_schedule": False}, {}),
    ("clock-not-checked-with-schedule", "does not apply", {**CLOCK, "hot_water.kind": "separate"}, {}),
    ("clock-not-checked-with-schedule", "not checked", {"settings.hot_water_schedule": True}, {"drop": ["visit.clock_checked"]}),
    ("clock-not-checked-with-schedule", "not checked", {}, {"drop": ["settings.hot_water_schedule"]}),
    *edge("hot-tank-with-hard-water", HARD, "settings.tank_setpoint", 140, 140.1),
    ("hot-tank-with-hard-water", "clear", {"hot_water.hardness": "moderate", "settings.tank_setpoint": 150}, {}),
    *edge("hot-tank-with-hard-water", {**HARD, **PLATE}, "settings.outlet_setpoint", 140, 140.1),
    ("hot-tank-with-hard-water", "does not apply", {**HARD, "hot_water.kind": "none"}, {}),
    ("hot-tank-with-hard-water", "not checked", {}, {"drop": ["hot_water.hardness"]}),
    ("hot-tank-with-hard-water", "not checked", HARD, {"drop": ["settings.tank_setpoint"]}),
    ("hot-tank-with-hard-water", "not checked", {**HARD, "hot_water.kind": "plate"}, {}),
    *edge("hot-tank-with-hard-water", HARD, "settings.tank_setpoint", 60, 60.1, **METRIC),
    # ten minutes are nothing unusual
    *edge("hot-water-overrun-too-long", {}, "settings.hot_water_overrun", 10, 10.1),
    ("hot-water-overrun-too-long", "found", {"settings.hot_water_overrun": 10.1}, METRIC),
    ("hot-water-overrun-too-long", "does not apply", {**PLATE, "settings.hot_water_overrun": 20}, {}),
    ("hot-water-overrun-too-long", "not checked", {}, {"drop": ["settings.hot_water_overrun"]}),
    *edge("tank-differential-wide", {}, "settings.tank_differential", 15, 15.1),
    ("tank-differential-wide", "does not apply", {**PLATE, "settings.tank_differential": 20}, {}),
    ("tank-differential-wide", "not checked", {}, {"drop": ["settings.tank_differential"]}),
    *edge("tank-differential-wide", {}, "settings.tank_differential", 8.3, 8.4, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("keep-warm-with-tank", {"settings.keep_warm": 3}, {}, {"keep_warm": "off"}),
    ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 25}, {}, {"hot_water_overrun": 600.0}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 25}, narrow("hot_water_overrun", 12, 30),
     "shorten it"),
])  # fmt: skip
SAID: Final[Said] = [
    ("keep-warm-with-tank", {"settings.keep_warm": 3}, {},
     (Severity.WASTE, Certainty.PROVEN, "keep_warm", {"hot-water"}, {"keep-warm": 3 * 3600.0})),
    ("keep-warm-at-low-use", {**PLATE, "settings.keep_warm": 9}, {},
     (Severity.WASTE, Certainty.LIKELY, "keep_warm", {"hot-water"}, {"keep-warm": 9 * 3600.0})),
    ("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": 4}, {},
     (Severity.WASTE, Certainty.LIKELY, "outlet_setpoint", {"hot-water", "scald", "hygiene"}, {"flow at the set point": 0.1918, "peak use": 4 * 3.785411784 / 60})),
    ("clock-not-checked-with-schedule", CLOCK, {},
     (Severity.OUTAGE, Certainty.LIKELY, "hot_water_schedule", {"scald", "hygiene"}, {})),
    ("hot-tank-with-hard-water", HARD, {},
     (Severity.WASTE, Certainty.LIKELY, "tank_setpoint", {"scald", "hygiene"}, {"hot water": celsius(145)})),
    ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 12}, {},
     (Severity.WASTE, Certainty.LIKELY, "hot_water_overrun", {"hot-water"}, {"overrun": 720.0})),
    ("tank-differential-wide", {"settings.tank_differential": 18}, {},
     (Severity.WASTE, Certainty.ASK, "tank_differential", {"scald", "hygiene"}, {"differential": kelvin(18)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)
test_an_owner_sets_the_numbers_of_habit = owners_numbers([
    ("keep-warm-at-low-use", {**PLATE, "settings.keep_warm": 2}, {}, "keep_warm_worth", 3600.0),
    ("hot-tank-with-hard-water", {**HARD, "settings.tank_setpoint": 135}, {}, "scaling_temperature", celsius(130)),
    ("hot-water-overrun-too-long", {}, {}, "hot_water_overrun_maximum", 60.0),
    ("tank-differential-wide", {}, {}, "tank_differential_maximum", kelvin(3)),
])  # fmt: skip


def test_what_a_plate_kept_warm_loses_in_a_year() -> None:
    # UK SAP table 3a: 600 to 900 kWh a year (second-hand)
    one = finding("keep-warm-at-low-use", {**PLATE, "settings.keep_warm": 6})
    assert 600 <= STANDING_LOSS_W * 8.76 <= 900
    assert "876 kWh" in one.message
    assert one.certainty is Certainty.LIKELY


def test_a_shorter_overrun_is_named_where_the_control_takes_it() -> None:
    long = {"settings.hot_water_overrun": 25}
    shorter = finding("hot-water-overrun-too-long", long).remedy
    assert shorter is not None
    assert shorter.text == "shorten it to 10 min"
    row = {"setting.hot_water_overrun.range": {"low": 12, "high": 30}, "setting.hot_water_overrun.default": 12}
    none = finding("hot-water-overrun-too-long", long, control=row).remedy
    assert none is not None
    assert none.text == "shorten it"


def test_a_plate_draws_at_equality() -> None:
    gpm = flow_at_set_point({**PLATE, "hot_water.peak_flow": 9})
    assert ask("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": gpm}) == "clear"
    assert ask("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": gpm + 1e-4}) == "found"


def test_where_and_how_the_text_speaks() -> None:
    assert (
        "a separate heater"
        in finding("keep-warm-with-tank", {"hot_water.kind": "separate", "settings.keep_warm": 2}).message
    )
    assert (
        finding("hot-tank-with-hard-water", {**HARD, **PLATE, "settings.outlet_setpoint": 150}).at == "outlet_setpoint"
    )
    assert finding("hot-tank-with-hard-water", HARD).at == "tank_setpoint"
