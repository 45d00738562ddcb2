# ruff: noqa: E501
"""The hot-water group at its boundaries.

The kit's boiler gives 118,000 x 0.92 = 108,560 Btu/h, its tank's coil takes 90,000; 58 gal from 46 to 145 F at 8.27
Btu/(gal F) (40 C: IAPWS density x specific heat) are 47,480 Btu: 31.65 min. A plate: 108,560/(60 x 8.27 x 72 F) = 3.04
gpm. Thresholds are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.values import Value
from settingslint.physics.keep_warm import STANDING_LOSS_W
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.hot_water import RULES
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from tests.rules.kit import AS_OF, Answer, ask, finding, make_plant, rule_named

METRIC: Final[dict[str, Any]] = {"metric": True}
PLATE: Final[dict[str, Any]] = {"hot_water.kind": "plate", "hot_water.low_use": True, "settings.outlet_setpoint": 118}
PLATE_C: Final[dict[str, Any]] = {**PLATE, "settings.outlet_setpoint": 48}
THERMOSTAT: Final = {"settings.hot_water_method": "tank thermostat"}
NO_LIMIT: Final = {"settings.priority_time_limit": "off"}
PARALLEL: Final = {"settings.hot_water_priority": False}
SHARED: Final[dict[str, Any]] = {"control": {"control.rate_limits_hot_water": True}}
CLOCK: Final = {"settings.hot_water_schedule": True, "visit.clock_checked": False}
HARD: Final = {"hot_water.hardness": "hard"}
FLOOR: Final[dict[str, Any]] = {"kind": "heated floor", "design_supply": 104, "design_return": 90, "mixed": False}

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    ("hot-water-method-unlike-piping", "clear", {"settings.hot_water_method": "tank sensor"}, {}),
    ("hot-water-method-unlike-piping", "clear", THERMOSTAT, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "found", {"settings.hot_water_method": "separate"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "plate", "settings.hot_water_method": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "plate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "plate", "hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "none", "settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "none", "settings.hot_water_method": "separate"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "separate", "settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.kind": "separate", "settings.hot_water_method": "separate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.kind": "separate", "settings.hot_water_method": "plate"}, {}),
    # the tank is another boiler's
    ("hot-water-method-unlike-piping", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    ("hot-water-method-unlike-piping", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "separate"}, {}),
    ("hot-water-method-unlike-piping", "found", {"hot_water.piped_here": False, "settings.hot_water_method": "plate"}, {}),
    ("hot-water-method-unlike-piping", "not checked", {"settings.hot_water_method": "none"}, {"drop": ["hot_water.piped_here"]}),
    ("hot-water-method-unlike-piping", "not checked", {}, {"drop": ["hot_water.kind"]}),
    ("hot-water-method-unlike-piping", "not checked", {}, {"drop": ["settings.hot_water_method"]}),
    ("hot-water-method-unlike-piping", "does not apply", {}, {"drop": ["settings.hot_water_method"], "drop_control": ["setting.hot_water_method"]}),
    ("hot-water-from-boiler-not-piped-to-tank", "found", {"hot_water.piped_here": False}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "clear", {"hot_water.piped_here": True}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "none"}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "clear", {"hot_water.piped_here": False, "settings.hot_water_method": "separate"}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "does not apply", {"hot_water.piped_here": False, "hot_water.kind": "plate"}, {}),
    ("hot-water-from-boiler-not-piped-to-tank", "not checked", {}, {"drop": ["hot_water.piped_here"]}),
    ("hot-water-from-boiler-not-piped-to-tank", "not checked", {}, {"drop": ["settings.hot_water_method"]}),
    ("sensor-for-tank-not-fitted", "found", {"accessories.tank_sensor": False}, {}),
    ("sensor-for-tank-not-fitted", "clear", {"accessories.tank_sensor": True}, {}),
    ("sensor-for-tank-not-fitted", "does not apply", {**THERMOSTAT, "accessories.tank_sensor": False}, {}),
    ("sensor-for-tank-not-fitted", "not checked", {}, {"drop": ["accessories.tank_sensor"]}),
    ("sensor-for-tank-not-fitted", "not checked", {}, {"drop": ["settings.hot_water_method"]}),
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
    ("boiler-target-near-tank-target", "clear", {"settings.hot_water_boiler_setpoint": 165}, {}),
    ("boiler-target-near-tank-target", "found", {"settings.hot_water_boiler_setpoint": 164.9}, {}),
    ("boiler-target-near-tank-target", "found", {"settings.tank_setpoint": 152.1}, {}),
    ("boiler-target-near-tank-target", "clear", {"settings.tank_setpoint": 152}, {}),
    ("boiler-target-near-tank-target", "does not apply", {**PLATE, "settings.hot_water_boiler_setpoint": 150}, {}),
    ("boiler-target-near-tank-target", "not checked", {}, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    ("boiler-target-near-tank-target", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("boiler-target-near-tank-target", "not checked", {}, {"drop": ["hot_water.kind"]}),
    ("boiler-target-near-tank-target", "clear", {"settings.tank_setpoint": 60, "settings.hot_water_boiler_setpoint": 71.2}, METRIC),
    ("boiler-target-near-tank-target", "found", {"settings.tank_setpoint": 60, "settings.hot_water_boiler_setpoint": 71.1}, METRIC),
    ("boiler-target-above-tank-rating", "clear", {"hot_water.tank_rating": 172}, {}),
    ("boiler-target-above-tank-rating", "found", {"hot_water.tank_rating": 171.9}, {}),
    ("boiler-target-above-tank-rating", "does not apply", {**PLATE, "hot_water.tank_rating": 150}, {}),
    ("boiler-target-above-tank-rating", "not checked", {}, {"drop": ["hot_water.tank_rating"]}),
    ("boiler-target-above-tank-rating", "not checked", {}, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    ("boiler-target-above-tank-rating", "found", {"hot_water.tank_rating": 75, "settings.hot_water_boiler_setpoint": 76}, METRIC),
    ("boiler-target-above-tank-rating", "clear", {"hot_water.tank_rating": 75, "settings.hot_water_boiler_setpoint": 75}, METRIC),
    ("tank-high-limit-above-rating", "clear", {"hot_water.tank_rating": 185}, {}),
    ("tank-high-limit-above-rating", "found", {"hot_water.tank_rating": 184.9}, {}),
    ("tank-high-limit-above-rating", "does not apply", {**PLATE, "hot_water.tank_rating": 150}, {}),
    ("tank-high-limit-above-rating", "not checked", {}, {"drop": ["hot_water.tank_rating"]}),
    ("tank-high-limit-above-rating", "not checked", {}, {"drop": ["settings.tank_high_limit"]}),
    ("tank-high-limit-above-rating", "found", {"settings.tank_high_limit": 94}, METRIC),
    ("tank-high-limit-above-rating", "clear", {"settings.tank_high_limit": 93}, METRIC),
    ("tank-high-limit-below-store", "clear", {"settings.tank_high_limit": 145}, {}),
    ("tank-high-limit-below-store", "found", {"settings.tank_high_limit": 144.9}, {}),
    ("tank-high-limit-below-store", "does not apply", {**PLATE, "settings.tank_high_limit": 130}, {}),
    ("tank-high-limit-below-store", "not checked", {}, {"drop": ["settings.tank_high_limit"]}),
    ("tank-high-limit-below-store", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("tank-high-limit-below-store", "found", {"settings.tank_high_limit": 62}, METRIC),
    ("tank-high-limit-below-store", "clear", {"settings.tank_high_limit": 63}, METRIC),
    # priority
    ("priority-without-time-limit", "found", NO_LIMIT, {}),
    ("priority-without-time-limit", "clear", {"settings.priority_time_limit": 600}, {}),
    ("priority-without-time-limit", "clear", {**NO_LIMIT, **PARALLEL}, {}),
    ("priority-without-time-limit", "found", {**NO_LIMIT, **PLATE}, {}),
    ("priority-without-time-limit", "found", NO_LIMIT, METRIC),
    ("priority-without-time-limit", "does not apply", {**NO_LIMIT, "hot_water.kind": "separate"}, {}),
    ("priority-without-time-limit", "does not apply", {**NO_LIMIT, "hot_water.kind": "none"}, {}),
    ("priority-without-time-limit", "not checked", {}, {"drop": ["settings.priority_time_limit"]}),
    ("priority-without-time-limit", "not checked", NO_LIMIT, {"drop": ["settings.hot_water_priority"]}),
    ("priority-without-time-limit", "not checked", NO_LIMIT, {"drop": ["hot_water.kind"]}),
    # 31.65 min
    ("priority-limit-below-recovery", "found", {"settings.priority_time_limit": 31.6}, {}),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 31.7}, {}),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 5, **PARALLEL}, {}),
    ("priority-limit-below-recovery", "clear", NO_LIMIT, {}),
    # without a coil's figure the boiler's 108,560 Btu/h: 26.2 min
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 26.3}, {"drop": ["hot_water.coil_output"]}),
    ("priority-limit-below-recovery", "found", {"settings.priority_time_limit": 26.2}, {"drop": ["hot_water.coil_output"]}),
    # 80 %: 32.8 min
    ("priority-limit-below-recovery", "found", {"settings.priority_time_limit": 32.7, "settings.hot_water_maximum_rate": 80}, {}),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 32.9, "settings.hot_water_maximum_rate": 80}, {}),
    # mains assumed at 50 F: 30.4 min
    ("priority-limit-below-recovery", "found", {"settings.priority_time_limit": 30.3}, {"drop": ["hot_water.cold_inlet"]}),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 30.4}, {"drop": ["hot_water.cold_inlet"]}),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 5, "settings.tank_setpoint": 80, "hot_water.cold_inlet": 82, "hot_water.tank_volume": 9000}, {}),
    ("priority-limit-below-recovery", "does not apply", {**PLATE, "settings.priority_time_limit": 5}, {}),
    ("priority-limit-below-recovery", "not checked", {}, {"drop": ["hot_water.tank_volume"]}),
    ("priority-limit-below-recovery", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("priority-limit-below-recovery", "not checked", {}, {"drop": ["settings.priority_time_limit"]}),
    ("priority-limit-below-recovery", "not checked", {}, {"drop": ["settings.hot_water_priority"]}),
    ("priority-limit-below-recovery", "not checked", {}, {"drop": ["boiler.efficiency"]}),
    # 200 L by 50 K at 26.38 kW, 1.152 Wh/(L K): 26.2 min
    ("priority-limit-below-recovery", "found", {"hot_water.tank_volume": 200, "settings.tank_setpoint": 60, "hot_water.cold_inlet": 10, "settings.priority_time_limit": 26.2}, METRIC),
    ("priority-limit-below-recovery", "clear", {"hot_water.tank_volume": 200, "settings.tank_setpoint": 60, "hot_water.cold_inlet": 10, "settings.priority_time_limit": 26.3}, METRIC),
    # the radiators may have 190 F
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "settings.hot_water_boiler_setpoint": 190}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "settings.hot_water_boiler_setpoint": 190.1}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, **PLATE, "settings.hot_water_boiler_setpoint": 190.1}, {}),
    ("hot-water-heats-the-floor", "clear", {"settings.hot_water_boiler_setpoint": 200}, {}),
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "emitter": [{**FLOOR, "maximum_supply": 120, "mixed": True}]}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "emitter": [{**FLOOR, "maximum_supply": 171.9}]}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "emitter": [FLOOR, {**FLOOR, "maximum_supply": 120}]}, {}),
    ("hot-water-heats-the-floor", "not checked", {**PARALLEL, "emitter": [FLOOR]}, {}),
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200}, {"drop": ["emitter.0.maximum_supply"]}),
    ("hot-water-heats-the-floor", "not checked", PARALLEL, {"drop": ["emitter.0.mixed"]}),
    ("hot-water-heats-the-floor", "not checked", PARALLEL, {"drop": ["emitter"]}),
    ("hot-water-heats-the-floor", "not checked", {}, {"drop": ["settings.hot_water_priority"]}),
    ("hot-water-heats-the-floor", "not checked", PARALLEL, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    ("hot-water-heats-the-floor", "does not apply", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200, "hot_water.kind": "separate"}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "emitter.0.maximum_supply": 70, "settings.hot_water_boiler_setpoint": 71}, METRIC),
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "emitter.0.maximum_supply": 70, "settings.hot_water_boiler_setpoint": 70}, METRIC),
    # the coil takes 90,000 of 108,560 Btu/h: 82.9 %
    ("heating-rate-limits-hot-water", "found", {"settings.heating_maximum_rate": 82.9}, SHARED),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 83}, SHARED),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 50}, {}),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 50, "settings.hot_water_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "found", {"settings.heating_maximum_rate": 99}, {**SHARED, "drop": ["hot_water.coil_output"]}),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 100}, {**SHARED, "drop": ["hot_water.coil_output"]}),
    # the plate: 3.04 gpm x rate
    ("heating-rate-limits-hot-water", "clear", {**PLATE, "hot_water.peak_flow": 2.1, "settings.heating_maximum_rate": 70}, SHARED),
    ("heating-rate-limits-hot-water", "found", {**PLATE, "hot_water.peak_flow": 2.2, "settings.heating_maximum_rate": 70}, SHARED),
    ("heating-rate-limits-hot-water", "clear", {**PLATE, "hot_water.peak_flow": 9, "settings.heating_maximum_rate": 100}, SHARED),
    ("heating-rate-limits-hot-water", "clear", {**PLATE, "settings.outlet_setpoint": 80, "hot_water.cold_inlet": 80, "settings.heating_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "found",
     {**PLATE, "settings.outlet_setpoint": 81, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 300, "settings.heating_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "not checked", {**PLATE, "settings.heating_maximum_rate": 50}, {**SHARED, "drop": ["hot_water.peak_flow"]}),
    ("heating-rate-limits-hot-water", "not checked", {**PLATE, "settings.heating_maximum_rate": 50}, {**SHARED, "drop": ["hot_water.cold_inlet"]}),
    ("heating-rate-limits-hot-water", "not checked", {"hot_water.kind": "plate", "settings.heating_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "not checked", {}, {**SHARED, "drop": ["boiler.efficiency"]}),
    ("heating-rate-limits-hot-water", "not checked", {}, {**SHARED, "drop": ["settings.heating_maximum_rate"]}),
    ("heating-rate-limits-hot-water", "not checked", {}, {"drop_control": ["control.rate_limits_hot_water"]}),
    ("heating-rate-limits-hot-water", "does not apply", {"hot_water.kind": "none", "settings.heating_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "found", {"settings.heating_maximum_rate": 82}, {**SHARED, **METRIC}),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 83}, {**SHARED, **METRIC}),
    # use
    ("keep-warm-with-tank", "found", {"settings.keep_warm": 1}, {}),
    ("keep-warm-with-tank", "clear", {"settings.keep_warm": "off"}, {}),
    ("keep-warm-with-tank", "clear", {**PLATE, "settings.keep_warm": 24}, {}),
    ("keep-warm-with-tank", "found", {"hot_water.kind": "separate", "settings.keep_warm": 1}, {}),
    ("keep-warm-with-tank", "found", {"hot_water.kind": "none", "settings.keep_warm": 1}, {}),
    ("keep-warm-with-tank", "found", {"settings.keep_warm": 1}, METRIC),
    ("keep-warm-with-tank", "does not apply", {"settings.keep_warm": {"left": "not applicable"}}, {}),
    ("keep-warm-with-tank", "not checked", {"settings.keep_warm": 1}, {"drop": ["hot_water.kind"]}),
    ("keep-warm-with-tank", "not checked", {}, {"drop": ["settings.keep_warm"]}),
    ("keep-warm-at-low-use", "clear", {**PLATE, "settings.keep_warm": 4}, {}),
    ("keep-warm-at-low-use", "found", {**PLATE, "settings.keep_warm": 4.01}, {}),
    ("keep-warm-at-low-use", "clear", {**PLATE, "settings.keep_warm": "off"}, {}),
    ("keep-warm-at-low-use", "clear", {**PLATE, "hot_water.low_use": False, "settings.keep_warm": 24}, {}),
    ("keep-warm-at-low-use", "does not apply", {"hot_water.low_use": True, "settings.keep_warm": 24}, {}),
    ("keep-warm-at-low-use", "not checked", {"settings.keep_warm": 5}, {"drop": ["hot_water.kind"]}),
    ("keep-warm-at-low-use", "found", {**PLATE, "settings.keep_warm": 5}, METRIC),
    ("keep-warm-at-low-use", "not checked", {"hot_water.kind": "plate"}, {"drop": ["settings.keep_warm"]}),
    ("keep-warm-at-low-use", "not checked", {"hot_water.kind": "plate"}, {"drop": ["hot_water.low_use"]}),
    ("plate-set-point-out-of-reach", "clear", {**PLATE, "hot_water.peak_flow": 3.04}, {}),
    ("plate-set-point-out-of-reach", "found", {**PLATE, "hot_water.peak_flow": 3.05}, {}),
    # the tank's coil has no say here, the rate limit has: 80 % of 3.04 gpm
    ("plate-set-point-out-of-reach", "clear", {**PLATE, "hot_water.peak_flow": 2.43, "settings.hot_water_maximum_rate": 80}, {}),
    ("plate-set-point-out-of-reach", "found", {**PLATE, "hot_water.peak_flow": 2.44, "settings.hot_water_maximum_rate": 80}, {}),
    ("plate-set-point-out-of-reach", "clear", {**PLATE, "settings.outlet_setpoint": 80, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 99}, {}),
    ("plate-set-point-out-of-reach", "found", {**PLATE, "settings.outlet_setpoint": 81, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 300}, {}),
    ("plate-set-point-out-of-reach", "does not apply", {"hot_water.peak_flow": 9}, {}),
    ("plate-set-point-out-of-reach", "not checked", {"hot_water.kind": "plate"}, {}),
    ("plate-set-point-out-of-reach", "not checked", PLATE, {"drop": ["hot_water.peak_flow"]}),
    ("plate-set-point-out-of-reach", "not checked", PLATE, {"drop": ["hot_water.cold_inlet"]}),
    ("plate-set-point-out-of-reach", "not checked", PLATE, {"drop": ["boiler.efficiency"]}),
    # 31.816 kW/(4.147 kJ/(L K) x 40 K) = 0.1918 L/s
    ("plate-set-point-out-of-reach", "clear", {**PLATE_C, "hot_water.cold_inlet": 8, "hot_water.peak_flow": 0.191}, METRIC),
    ("plate-set-point-out-of-reach", "found", {**PLATE_C, "hot_water.cold_inlet": 8, "hot_water.peak_flow": 0.192}, METRIC),
    ("clock-not-checked-with-schedule", "found", CLOCK, {}),
    ("clock-not-checked-with-schedule", "found", {**CLOCK, **PLATE}, {}),
    ("clock-not-checked-with-schedule", "clear", {**CLOCK, "visit.clock_checked": True}, {}),
    ("clock-not-checked-with-schedule", "clear", {**CLOCK, "settings.hot_water_schedule": False}, {}),
    ("clock-not-checked-with-schedule", "does not apply", {**CLOCK, "hot_water.kind": "separate"}, {}),
    ("clock-not-checked-with-schedule", "not checked", {"settings.hot_water_schedule": True}, {"drop": ["visit.clock_checked"]}),
    ("clock-not-checked-with-schedule", "not checked", {}, {"drop": ["settings.hot_water_schedule"]}),
    ("hot-store-with-hard-water", "clear", {**HARD, "settings.tank_setpoint": 140}, {}),
    ("hot-store-with-hard-water", "found", {**HARD, "settings.tank_setpoint": 140.1}, {}),
    ("hot-store-with-hard-water", "clear", {"hot_water.hardness": "moderate", "settings.tank_setpoint": 150}, {}),
    ("hot-store-with-hard-water", "clear", {**HARD, **PLATE, "settings.outlet_setpoint": 140}, {}),
    ("hot-store-with-hard-water", "found", {**HARD, **PLATE, "settings.outlet_setpoint": 140.1}, {}),
    ("hot-store-with-hard-water", "does not apply", {**HARD, "hot_water.kind": "none"}, {}),
    ("hot-store-with-hard-water", "not checked", {}, {"drop": ["hot_water.hardness"]}),
    ("hot-store-with-hard-water", "not checked", HARD, {"drop": ["settings.tank_setpoint"]}),
    ("hot-store-with-hard-water", "not checked", {**HARD, "hot_water.kind": "plate"}, {}),
    ("hot-store-with-hard-water", "clear", {**HARD, "settings.tank_setpoint": 60}, METRIC),
    ("hot-store-with-hard-water", "found", {**HARD, "settings.tank_setpoint": 60.1}, METRIC),
    # ten minutes are nothing unusual
    ("hot-water-overrun-too-long", "clear", {"settings.hot_water_overrun": 10}, {}),
    ("hot-water-overrun-too-long", "found", {"settings.hot_water_overrun": 10.1}, {}),
    ("hot-water-overrun-too-long", "found", {"settings.hot_water_overrun": 10.1}, METRIC),
    ("hot-water-overrun-too-long", "does not apply", {**PLATE, "settings.hot_water_overrun": 20}, {}),
    ("hot-water-overrun-too-long", "not checked", {}, {"drop": ["settings.hot_water_overrun"]}),
    ("tank-differential-wide", "clear", {"settings.tank_differential": 15}, {}),
    ("tank-differential-wide", "found", {"settings.tank_differential": 15.1}, {}),
    ("tank-differential-wide", "does not apply", {**PLATE, "settings.tank_differential": 20}, {}),
    ("tank-differential-wide", "not checked", {}, {"drop": ["settings.tank_differential"]}),
    ("tank-differential-wide", "clear", {"settings.tank_differential": 8.3}, METRIC),
    ("tank-differential-wide", "found", {"settings.tank_differential": 8.4}, METRIC),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


def test_every_rule_is_found_clear_and_not_checked_somewhere() -> None:
    seen = {(rule, answer) for rule, answer, _, _ in CASES}
    assert seen >= {(rule.name, answer) for rule in RULES for answer in ("found", "clear", "not checked")}
    assert {rule for rule, answer in seen if answer == "does not apply"} == {rule.name for rule in RULES}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_scalding_and_hygiene_are_never_named_alone(rule: Any) -> None:
    assert ("scald" in rule.cautions) == ("hygiene" in rule.cautions)
    assert rule.cautions


REMEDIES: Final[list[tuple[str, dict[str, Any], dict[str, Value], dict[str, Any]]]] = [
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 150},
     {"hot_water_boiler_setpoint": celsius(165)}, {}),
    ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 66},
     {"hot_water_boiler_setpoint": 74.0}, METRIC),  # 62.78 + 11.11 C
    ("keep-warm-with-tank", {"settings.keep_warm": 3}, {"keep_warm": "off"}, {}),
    ("priority-without-time-limit", NO_LIMIT, {"priority_time_limit": 3600.0}, {}),
    ("priority-without-time-limit", {**NO_LIMIT, **PLATE}, {"priority_time_limit": 3600.0}, {}),
    ("priority-without-time-limit", {**NO_LIMIT, **PLATE}, {"priority_time_limit": 3600.0},
     {"drop": ["hot_water.tank_volume", "settings.tank_setpoint"]}),
    # 120 gal take 65.5 min
    ("priority-without-time-limit", {**NO_LIMIT, "hot_water.tank_volume": 120}, {"priority_time_limit": 4200.0}, {}),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, {"priority_time_limit": 2100.0}, {}),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, {"priority_time_limit": 2100.0}, METRIC),
    ("hot-water-heats-the-floor", {**PARALLEL, "settings.hot_water_boiler_setpoint": 195},
     {"hot_water_priority": True}, {}),
    ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 25}, {"hot_water_overrun": 600.0}, {}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "changes", "proposed", "more"), REMEDIES)
def test_remedies(rule: str, changes: dict[str, Any], proposed: dict[str, Any], more: dict[str, Any]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert set(remedy.set) == set(proposed)
    for name, value in proposed.items():
        assert remedy.set[name] == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("rule", "changes", "row", "words"),
    [
        ("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": 150},
         {"setting.hot_water_boiler_setpoint.range": {"low": 80, "high": 160}}, "can't make the boiler hot enough"),
        ("priority-limit-below-recovery", {"settings.priority_time_limit": 20},
         {"setting.priority_time_limit.range": {"low": 5, "high": 30}}, "can't wait that long"),
        ("priority-without-time-limit", NO_LIMIT,
         {"setting.priority_time_limit.range": {"low": 5, "high": 30}}, "longer than the recovery"),
        ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 25},
         {"setting.hot_water_overrun.range": {"low": 12, "high": 30}}, "shorten it"),
    ],
)  # fmt: skip
def test_what_the_control_can_t_take_is_not_proposed(
    rule: str, changes: dict[str, Any], row: dict[str, Any], words: str
) -> None:
    control = {**row, **{key.replace(".range", ".default"): value["low"] for key, value in row.items()}}
    remedy = finding(rule, changes, control=control).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert remedy.verified is None
    assert words in remedy.text


def test_a_time_limit_is_proposed_only_where_the_recovery_is_known() -> None:
    remedy = finding("priority-without-time-limit", NO_LIMIT, drop=["hot_water.tank_volume"]).remedy
    assert remedy is not None
    assert remedy.set == {}


def test_firing_and_limits_get_no_figure() -> None:
    for rule, changes, more in (
        ("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 60}, SHARED),
        ("tank-high-limit-above-rating", {"hot_water.tank_rating": 150}, {}),
        ("tank-high-limit-below-store", {"settings.tank_high_limit": 130}, {}),
    ):
        remedy = finding(rule, changes, **more).remedy
        assert remedy is not None
        assert remedy.set == {}
        assert not any(sign.isdigit() for sign in remedy.text)


@pytest.mark.parametrize(
    ("changes", "drop", "severity", "hours"),
    [
        # 45 h x ln(78/40) = 30.05 h; 36 h: 24.04 h; 35.9 h: 23.98 h
        ({}, [], Severity.OUTAGE, 30.05),
        ({"building.cooldown_time_constant": 36}, [], Severity.OUTAGE, 24.04),
        ({"building.cooldown_time_constant": 35.9}, [], Severity.DAMAGE, 23.98),
        ({"site.coldest": 32}, [], Severity.OUTAGE, None),
        ({}, ["building.cooldown_time_constant"], Severity.DAMAGE, None),
        ({}, ["building.indoor_design"], Severity.DAMAGE, None),
        ({}, ["site.coldest"], Severity.DAMAGE, None),
    ],
)
def test_endless_priority_is_damage_where_the_house_freezes_within_a_day(
    changes: dict[str, Any], drop: list[str], severity: Severity, hours: float | None
) -> None:
    one = finding("priority-without-time-limit", {**NO_LIMIT, **changes}, drop=drop)
    assert one.severity is severity
    assert one.certainty is Certainty.LIKELY
    if hours is None:
        assert one.numbers == {}
    else:
        assert one.numbers["time to freezing"].value / 3600 == pytest.approx(hours, abs=0.01)
    assert ("not known" in one.message) == bool(drop)


def test_exactly_a_day_is_not_within_a_day() -> None:
    time = finding("priority-without-time-limit", NO_LIMIT).numbers["time to freezing"].value
    owner = Context(AS_OF, thresholds={"priority_freezes_within": time})
    assert finding("priority-without-time-limit", NO_LIMIT, context=owner).severity is Severity.OUTAGE
    owner = Context(AS_OF, thresholds={"priority_freezes_within": 30.1 * 3600})
    assert finding("priority-without-time-limit", NO_LIMIT, context=owner).severity is Severity.DAMAGE


def test_a_shared_rate_limit_is_an_outage_at_a_plate_and_costs_time_at_a_tank() -> None:
    tank = finding("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 60}, **SHARED)
    assert tank.severity is Severity.WASTE
    # 0.6 x 108,560 Btu/h = 65,136; the coil's 90,000
    assert tank.numbers["output with the limit"].value / 0.29307107 == pytest.approx(65136)
    assert tank.numbers["output without"].value / 0.29307107 == pytest.approx(90000)
    assert set(tank.numbers) == {"output with the limit", "output without"}
    plate = finding("heating-rate-limits-hot-water", {**PLATE, "settings.heating_maximum_rate": 60}, **SHARED)
    assert plate.severity is Severity.OUTAGE
    # 65,136 Btu/h/(500 x 72 F) = 1.81 gpm; 500 is 60 x 8.33, water of 40 C has 8.27
    assert plate.numbers["flow at the set point"].value * 60 / 3.785411784 == pytest.approx(1.81, abs=0.02)
    assert plate.numbers["largest draw"].value * 60 / 3.785411784 == pytest.approx(2.0)
    assert plate.numbers["output without"].value / 0.29307107 == pytest.approx(108560)

    result = audit(
        make_plant(drop_control=["control.rate_limits_hot_water"]), [rule_named("heating-rate-limits-hot-water")]
    )
    assert [lack.needs for lack in result.not_checked] == [("heating_maximum_rate",)]
    assert "does not say whether" in result.not_checked[0].why


def test_a_plate_draws_at_equality() -> None:
    able = finding("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": 9}).numbers["flow at the set point"]
    gpm = able.value * 60 / 3.785411784
    assert ask("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": gpm}) == "clear"
    assert ask("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": gpm + 1e-4}) == "found"
    changes = {**PLATE, "settings.heating_maximum_rate": 99.9999, "hot_water.peak_flow": gpm * 0.999999}
    assert ask("heating-rate-limits-hot-water", changes, **SHARED) == "clear"


def test_recovery_at_equality_and_its_figures() -> None:
    one = finding("priority-limit-below-recovery", {"settings.priority_time_limit": 20})
    recovery = one.numbers["recovery"].value
    # 8.33 x 58 x 99/90,000 h = 31.9 min by the trade's rule, within 1 %
    assert recovery / 60 == pytest.approx(60 * 8.33 * 58 * 99 / 90000, rel=0.01)
    assert one.numbers["limit"].value == 1200.0
    assert ask("priority-limit-below-recovery", {"settings.priority_time_limit": recovery / 60}) == "clear"
    assert "mains water" not in one.message
    assert "()" not in one.message
    unknown = finding(
        "priority-limit-below-recovery", {"settings.priority_time_limit": 20}, drop=["hot_water.cold_inlet"]
    )
    assert "(mains water of 50 F)" in unknown.message


def test_an_approach_of_nought_never_gets_there() -> None:
    for target, never in ((145, True), (140, True), (145.1, False)):
        one = finding("boiler-target-near-tank-target", {"settings.hot_water_boiler_setpoint": target})
        assert ("never" in one.message) == never
        assert one.numbers["approach"].value == pytest.approx(kelvin(target - 145))
    assert one.numbers["usual approach"].value == pytest.approx(kelvin(20))


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


def test_where_and_how_the_text_speaks() -> None:
    assert (
        "a separate heater"
        in finding("keep-warm-with-tank", {"hot_water.kind": "separate", "settings.keep_warm": 2}).message
    )
    assert (
        finding("hot-store-with-hard-water", {**HARD, **PLATE, "settings.outlet_setpoint": 150}).at == "outlet_setpoint"
    )
    assert finding("hot-store-with-hard-water", HARD).at == "tank_setpoint"
    floor = {"emitter": [FLOOR | {"maximum_supply": 180}, FLOOR | {"maximum_supply": 120}]}
    assert "emitter 2, which may have 120 F" in finding("hot-water-heats-the-floor", {**PARALLEL, **floor}).message
    metric = finding("set-point-without-tank-sensor", {**THERMOSTAT, "settings.tank_setpoint": 62}, **METRIC)
    assert "62 C" in metric.message
    assert metric.severity is Severity.RECORD


Said = tuple[Severity, Certainty, str, set[str], dict[str, float]]
SAID: Final[list[tuple[str, dict[str, Any], dict[str, Any], Said]]] = [
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
     (Severity.OUTAGE, Certainty.PROVEN, "hot_water_boiler_setpoint", {"scald", "hygiene"},
      {"approach": kelvin(18), "usual approach": kelvin(20)})),
    ("boiler-target-above-tank-rating", {"hot_water.tank_rating": 160}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water_boiler_setpoint", {"scald", "hygiene", "limit"},
      {"boiler target": celsius(172), "tank rating": celsius(160)})),
    ("tank-high-limit-above-rating", {"hot_water.tank_rating": 160}, {},
     (Severity.DANGER, Certainty.PROVEN, "tank_high_limit", {"scald", "hygiene", "limit"},
      {"limit": celsius(185), "tank rating": celsius(160)})),
    ("tank-high-limit-below-store", {"settings.tank_high_limit": 140}, {},
     (Severity.OUTAGE, Certainty.PROVEN, "tank_high_limit", {"scald", "hygiene", "limit"},
      {"limit": celsius(140), "store": celsius(145)})),
    ("priority-without-time-limit", {**NO_LIMIT, "site.coldest": 40}, {},
     (Severity.OUTAGE, Certainty.LIKELY, "priority_time_limit", {"freeze"}, {})),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, {"drop": ["hot_water.coil_output"]},
     # 60 x 8.27 x 58 x 99/108,560 min
     (Severity.WASTE, Certainty.LIKELY, "priority_time_limit", {"hot-water", "scald", "hygiene"},
      {"limit": 1200.0, "recovery": 1574.0})),
    ("hot-water-heats-the-floor", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200}, {},
     (Severity.DAMAGE, Certainty.PROVEN, "hot_water_priority", {"heating", "scald", "hygiene"},
      {"boiler target": celsius(200), "most at the emitter": celsius(190)})),
    ("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 50}, SHARED,
     (Severity.WASTE, Certainty.PROVEN, "heating_maximum_rate", {"firing", "hot-water"},
      {"output with the limit": 54280 * 0.29307107, "output without": 90000 * 0.29307107})),
    ("keep-warm-with-tank", {"settings.keep_warm": 3}, {},
     (Severity.WASTE, Certainty.PROVEN, "keep_warm", {"hot-water"}, {"keep-warm": 3 * 3600.0})),
    ("keep-warm-at-low-use", {**PLATE, "settings.keep_warm": 9}, {},
     (Severity.WASTE, Certainty.LIKELY, "keep_warm", {"hot-water"}, {"keep-warm": 9 * 3600.0})),
    ("plate-set-point-out-of-reach", {**PLATE, "hot_water.peak_flow": 4}, {},
     # 3.04 gpm
     (Severity.WASTE, Certainty.LIKELY, "outlet_setpoint", {"hot-water", "scald", "hygiene"},
      {"flow at the set point": 0.1918, "largest draw": 4 * 3.785411784 / 60})),
    ("clock-not-checked-with-schedule", CLOCK, {},
     (Severity.OUTAGE, Certainty.LIKELY, "hot_water_schedule", {"scald", "hygiene"}, {})),
    ("hot-store-with-hard-water", HARD, {},
     (Severity.WASTE, Certainty.LIKELY, "tank_setpoint", {"scald", "hygiene"}, {"hot water": celsius(145)})),
    ("hot-water-overrun-too-long", {"settings.hot_water_overrun": 12}, {},
     (Severity.WASTE, Certainty.LIKELY, "hot_water_overrun", {"hot-water"}, {"overrun": 720.0})),
    ("tank-differential-wide", {"settings.tank_differential": 18}, {},
     (Severity.WASTE, Certainty.ASK, "tank_differential", {"scald", "hygiene"}, {"differential": kelvin(18)})),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "changes", "more", "said"), SAID, ids=[row[0] for row in SAID])
def test_what_a_finding_says(rule: str, changes: dict[str, Any], more: dict[str, Any], said: Said) -> None:
    one = finding(rule, changes, **more)
    severity, certainty, at, cautions, numbers = said
    assert (one.severity, one.certainty, one.at) == (severity, certainty, at)
    assert set(one.cautions) == cautions
    assert {name: number.value for name, number in one.numbers.items()} == pytest.approx(numbers, rel=1e-3)
    assert ("(assumes " in one.message) == (certainty is Certainty.LIKELY)
    assert one.remedy is not None
    assert one.remedy.text


def test_what_a_finding_says_is_tested_for_every_rule() -> None:
    assert sorted(row[0] for row in SAID) == sorted(rule.name for rule in RULES)


@pytest.mark.parametrize(
    ("threshold", "value", "rule", "changes"),
    [
        ("boiler_over_tank", kelvin(28), "boiler-target-near-tank-target", {}),
        ("keep_warm_worth", 3600.0, "keep-warm-at-low-use", {**PLATE, "settings.keep_warm": 2}),
        ("scaling_store", celsius(130), "hot-store-with-hard-water", {**HARD, "settings.tank_setpoint": 135}),
        ("hot_water_overrun_most", 60.0, "hot-water-overrun-too-long", {}),
        ("tank_differential_most", kelvin(3), "tank-differential-wide", {}),
    ],
)
def test_an_owner_sets_the_numbers_of_habit(threshold: str, value: float, rule: str, changes: dict[str, Any]) -> None:
    assert ask(rule, changes) == "clear"
    one = finding(rule, changes, context=Context(AS_OF, thresholds={threshold: value}))
    assert f"owner's number: {threshold}" in one.message


def test_an_owner_sets_the_time_limit_that_is_proposed() -> None:
    owner = Context(AS_OF, thresholds={"priority_limit_usual": 5400.0})
    remedy = finding("priority-without-time-limit", NO_LIMIT, context=owner).remedy
    assert remedy is not None
    assert remedy.set == {"priority_time_limit": 5400.0}
