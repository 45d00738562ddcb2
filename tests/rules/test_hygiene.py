# ruff: noqa: E501
"""The scalding and hygiene group at its boundaries.

HSE HSG274 part 2 (2014): stored at 60 C (140 F), return of a loop at least 50 C (122 F; from memory). US CPSC document
5098: 120 F at outlets; 150 F burns in 2 s, 140 F in 6 s, 130 F in 30 s, 120 F in 5 min. HSE, scalding and burning in
health and social care: 44 C (111.2 F) where vulnerable people bathe. What is not named there is common practice, no
source.
"""

from __future__ import annotations

from datetime import date
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.hygiene import RULES
from settingslint.rules.past import Left, Past
from settingslint.rules.plant import Context
from settingslint.units import Celsius, celsius, kelvin
from tests.rules.kit import AS_OF, Answer, ask, finding, make_plant, rule_named

METRIC: Final[dict[str, Any]] = {"metric": True}
NO_VALVE: Final = {"hot_water.mixing_valve": False}
FRAIL: Final = {"site.occupants": "vulnerable"}
PLATE: Final = {"hot_water.kind": "plate"}
PLATE_BARE: Final = {**PLATE, **NO_VALVE}
COIL: Final[dict[str, Any]] = {"boiler.tankless_coil": True, "hot_water.kind": "separate", **NO_VALVE}
HEAT_UP: Final = {"settings.hygiene_cycle": True, "settings.hygiene_target": 150}
HEAT_UP_C: Final = {"settings.hygiene_cycle": True, "settings.hygiene_target": 65}
LONG: Final = {**HEAT_UP, "settings.hygiene_target": 152, "hot_water.tank_volume": 150}
NO_PLAN: Final = {"hot_water.safety_plan": False}
LOOP: Final = {"hot_water.circulation_loop": True}
TIMED: Final = {**LOOP, "settings.recirculation": "scheduled"}
ONE_TARGET: Final[dict[str, Any]] = {"control": {"control.shared_target": True}}


def after(*stores: float | None) -> dict[str, Any]:
    """Return a history in which the store stood at these temperatures, degrees Fahrenheit, oldest first."""
    states = [
        Left(date(2024, 10, 1 + at), "R. Holm", "left", {} if store is None else {"tank_setpoint": celsius(store)}, {})
        for at, store in enumerate(stores)
    ]
    return {"past": Past(tuple(states))}


def reading(read_on: str, set_on: str) -> dict[str, Any]:
    """Return a return of 100 F read on one day and a store of 145 F set on another."""
    return {
        "hot_water.return_measured": {"value": 100, "from": "measured", "on": read_on},
        "settings.tank_setpoint": {"value": 145, "on": set_on},
    }


SCALDED: Final = {"visit.why": "Tenant reports SCALD at basin", "visit.on": "2026-10-06"}
SAMPLED: Final = {"visit.why": "positive sample", "visit.on": "2026-10-06"}
LOWERED: Final = "store-lowered-after-scald-complaint"
RAISED: Final = "store-raised-without-valve-test"

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    # 60 C + 4 F
    ("store-below-hygiene-temperature", "clear", {"settings.tank_setpoint": 144}, {}),
    ("store-below-hygiene-temperature", "found", {"settings.tank_setpoint": 143.9}, {}),
    ("store-below-hygiene-temperature", "clear", {"settings.tank_differential": 5}, {}),
    ("store-below-hygiene-temperature", "found", {"settings.tank_differential": 5.1}, {}),
    ("store-below-hygiene-temperature", "does not apply", {**PLATE, "settings.tank_setpoint": 110}, {}),
    ("store-below-hygiene-temperature", "does not apply", {"hot_water.kind": "none", "settings.tank_setpoint": 110}, {}),
    ("store-below-hygiene-temperature", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("store-below-hygiene-temperature", "not checked", {}, {"drop": ["settings.tank_differential"]}),
    ("store-below-hygiene-temperature", "not checked", {}, {"drop": ["hot_water.kind"]}),
    ("store-below-hygiene-temperature", "clear", {"settings.tank_setpoint": 63, "settings.tank_differential": 3}, METRIC),
    ("store-below-hygiene-temperature", "found", {"settings.tank_setpoint": 63, "settings.tank_differential": 3.1}, METRIC),
    ("hot-store-without-mixing-valve", "clear", {**NO_VALVE, "settings.tank_setpoint": 120}, {}),
    ("hot-store-without-mixing-valve", "found", {**NO_VALVE, "settings.tank_setpoint": 120.1}, {}),
    ("hot-store-without-mixing-valve", "clear", {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 111.2}, {}),
    ("hot-store-without-mixing-valve", "found", {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 111.3}, {}),
    # 140 F behind a valve is nothing unusual
    ("hot-store-without-mixing-valve", "clear", {**FRAIL, "settings.tank_setpoint": 160}, {}),
    ("hot-store-without-mixing-valve", "does not apply", {**PLATE_BARE}, {}),
    ("hot-store-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["settings.tank_setpoint"]}),
    ("hot-store-without-mixing-valve", "not checked", {}, {"drop": ["hot_water.mixing_valve"]}),
    ("hot-store-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["site.occupants"]}),
    ("hot-store-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["hot_water.kind"]}),
    ("hot-store-without-mixing-valve", "clear", {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 44}, METRIC),
    ("hot-store-without-mixing-valve", "found", {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 44.1}, METRIC),
    ("hot-plate-without-mixing-valve", "clear", {**PLATE_BARE, "settings.outlet_setpoint": 120}, {}),
    ("hot-plate-without-mixing-valve", "found", {**PLATE_BARE, "settings.outlet_setpoint": 120.1}, {}),
    ("hot-plate-without-mixing-valve", "clear", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 111.2}, {}),
    ("hot-plate-without-mixing-valve", "found", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 111.3}, {}),
    ("hot-plate-without-mixing-valve", "clear", {**PLATE, "settings.outlet_setpoint": 140}, {}),
    ("hot-plate-without-mixing-valve", "does not apply", {**NO_VALVE, "settings.outlet_setpoint": 140}, {}),
    ("hot-plate-without-mixing-valve", "not checked", PLATE_BARE, {}),
    ("hot-plate-without-mixing-valve", "not checked", {**PLATE, "settings.outlet_setpoint": 140}, {"drop": ["hot_water.mixing_valve"]}),
    ("hot-plate-without-mixing-valve", "not checked", {**PLATE_BARE, "settings.outlet_setpoint": 140}, {"drop": ["site.occupants"]}),
    ("hot-plate-without-mixing-valve", "clear", {**PLATE_BARE, "settings.outlet_setpoint": 48.8}, METRIC),
    ("hot-plate-without-mixing-valve", "found", {**PLATE_BARE, "settings.outlet_setpoint": 48.9}, METRIC),
    ("coil-in-boiler-without-mixing-valve", "clear", {**COIL, "settings.heating_setpoint": 120}, {}),
    ("coil-in-boiler-without-mixing-valve", "found", {**COIL, "settings.heating_setpoint": 120.1}, {}),
    ("coil-in-boiler-without-mixing-valve", "found", {**COIL, **FRAIL, "settings.heating_setpoint": 111.3}, {}),
    ("coil-in-boiler-without-mixing-valve", "clear", {**COIL, "hot_water.mixing_valve": True}, {}),
    ("coil-in-boiler-without-mixing-valve", "does not apply", {**COIL, "boiler.tankless_coil": False}, {}),
    ("coil-in-boiler-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["boiler.tankless_coil"]}),
    ("coil-in-boiler-without-mixing-valve", "not checked", COIL, {"drop": ["settings.heating_setpoint"]}),
    ("coil-in-boiler-without-mixing-valve", "not checked", {"boiler.tankless_coil": True}, {"drop": ["hot_water.mixing_valve"]}),
    ("coil-in-boiler-without-mixing-valve", "not checked", COIL, {"drop": ["site.occupants"]}),
    ("coil-in-boiler-without-mixing-valve", "clear", {**COIL, **FRAIL, "settings.heating_setpoint": 44}, METRIC),
    ("coil-in-boiler-without-mixing-valve", "found", {**COIL, **FRAIL, "settings.heating_setpoint": 44.1}, METRIC),
    ("hygiene-heat-up-without-mixing-valve", "clear", {**NO_VALVE, **HEAT_UP, "settings.hygiene_target": 120}, {}),
    ("hygiene-heat-up-without-mixing-valve", "found", {**NO_VALVE, **HEAT_UP, "settings.hygiene_target": 120.1}, {}),
    ("hygiene-heat-up-without-mixing-valve", "clear", HEAT_UP, {}),
    ("hygiene-heat-up-without-mixing-valve", "does not apply", {**NO_VALVE, **HEAT_UP, "settings.hygiene_cycle": False}, {}),
    ("hygiene-heat-up-without-mixing-valve", "does not apply", {**PLATE_BARE, **HEAT_UP}, {}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["settings.hygiene_cycle"]}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", {**NO_VALVE, "settings.hygiene_cycle": True}, {}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", HEAT_UP, {"drop": ["hot_water.mixing_valve"]}),
    ("hygiene-heat-up-without-mixing-valve", "clear", {**NO_VALVE, **HEAT_UP_C, "settings.hygiene_target": 48.8}, METRIC),
    ("hygiene-heat-up-without-mixing-valve", "found", {**NO_VALVE, **HEAT_UP_C, "settings.hygiene_target": 48.9}, METRIC),
    # looked at on 2026-11-25; 366 days
    ("mixing-valve-test-overdue", "clear", {**FRAIL, "hot_water.mixing_valve_tested": "2025-11-24"}, {}),
    ("mixing-valve-test-overdue", "found", {**FRAIL, "hot_water.mixing_valve_tested": "2025-11-23"}, {}),
    ("mixing-valve-test-overdue", "found", FRAIL, {"drop": ["hot_water.mixing_valve_tested"]}),
    ("mixing-valve-test-overdue", "does not apply", {"hot_water.mixing_valve_tested": "2015-11-23"}, {}),
    ("mixing-valve-test-overdue", "does not apply", {**FRAIL, **NO_VALVE, "hot_water.mixing_valve_tested": "2015-11-23"}, {}),
    ("mixing-valve-test-overdue", "not checked", {}, {"drop": ["site.occupants"]}),
    ("mixing-valve-test-overdue", "not checked", FRAIL, {"drop": ["hot_water.mixing_valve"]}),
    ("tempering-valve-set-hot", "clear", {"hot_water.mixing_valve_setpoint": 120}, {}),
    ("tempering-valve-set-hot", "found", {"hot_water.mixing_valve_setpoint": 120.1}, {}),
    ("tempering-valve-set-hot", "clear", {**FRAIL, "hot_water.mixing_valve_setpoint": 111.2}, {}),
    ("tempering-valve-set-hot", "found", {**FRAIL, "hot_water.mixing_valve_setpoint": 111.3}, {}),
    ("tempering-valve-set-hot", "does not apply", {**NO_VALVE, "hot_water.mixing_valve_setpoint": 140}, {}),
    ("tempering-valve-set-hot", "not checked", {}, {"drop": ["hot_water.mixing_valve_setpoint"]}),
    ("tempering-valve-set-hot", "not checked", {}, {"drop": ["hot_water.mixing_valve"]}),
    ("tempering-valve-set-hot", "not checked", {}, {"drop": ["site.occupants"]}),
    ("tempering-valve-set-hot", "clear", {"hot_water.mixing_valve_setpoint": 48.8}, METRIC),
    ("tempering-valve-set-hot", "found", {"hot_water.mixing_valve_setpoint": 48.9}, METRIC),
    ("tap-too-hot", "clear", {"hot_water.outlet_measured": 120}, {}),
    ("tap-too-hot", "found", {"hot_water.outlet_measured": 120.1}, {}),
    ("tap-too-hot", "found", {**PLATE, "hot_water.outlet_measured": 120.1}, {}),
    ("tap-too-hot", "found", {"hot_water.kind": "separate", "hot_water.outlet_measured": 120.1}, {}),
    ("tap-too-hot", "clear", {**FRAIL, "hot_water.outlet_measured": 111.2}, {}),
    ("tap-too-hot", "found", {**FRAIL, "hot_water.outlet_measured": 111.3}, {}),
    ("tap-too-hot", "does not apply", {"hot_water.kind": "none", "hot_water.outlet_measured": 150}, {}),
    ("tap-too-hot", "not checked", {}, {}),
    ("tap-too-hot", "not checked", {"hot_water.outlet_measured": 115}, {"drop": ["site.occupants"]}),
    ("tap-too-hot", "clear", {**FRAIL, "hot_water.outlet_measured": 44}, METRIC),
    ("tap-too-hot", "found", {**FRAIL, "hot_water.outlet_measured": 44.1}, METRIC),
    # the store
    ("cool-store-without-hygiene-measure", "clear", {**NO_PLAN, "settings.tank_setpoint": 140}, {}),
    ("cool-store-without-hygiene-measure", "found", {**NO_PLAN, "settings.tank_setpoint": 139.9}, {}),
    ("cool-store-without-hygiene-measure", "clear", {"settings.tank_setpoint": 120}, {}),
    ("cool-store-without-hygiene-measure", "clear", {**NO_PLAN, **HEAT_UP, "settings.tank_setpoint": 120}, {}),
    ("cool-store-without-hygiene-measure", "does not apply", {**NO_PLAN, **PLATE, "settings.tank_setpoint": 120}, {}),
    ("cool-store-without-hygiene-measure", "not checked", NO_PLAN, {"drop": ["settings.tank_setpoint"]}),
    ("cool-store-without-hygiene-measure", "not checked", NO_PLAN, {"drop": ["settings.hygiene_cycle"]}),
    ("cool-store-without-hygiene-measure", "not checked", {}, {"drop": ["hot_water.safety_plan"]}),
    ("cool-store-without-hygiene-measure", "clear", {**NO_PLAN, "settings.tank_setpoint": 60}, METRIC),
    ("cool-store-without-hygiene-measure", "found", {**NO_PLAN, "settings.tank_setpoint": 59.9}, METRIC),
    # boiler 172 - 20 F; operating limit 190 - 20 F; the tank's own limit 185 F
    ("hygiene-target-out-of-reach", "clear", {**HEAT_UP, "settings.hygiene_target": 152}, {}),
    ("hygiene-target-out-of-reach", "found", {**HEAT_UP, "settings.hygiene_target": 152.1}, {}),
    ("hygiene-target-out-of-reach", "clear", {**HEAT_UP, "settings.operating_limit": 170}, {}),
    ("hygiene-target-out-of-reach", "found", {**HEAT_UP, "settings.operating_limit": 169.9}, {}),
    ("hygiene-target-out-of-reach", "clear", {**HEAT_UP, "settings.tank_high_limit": 150}, {}),
    ("hygiene-target-out-of-reach", "found", {**HEAT_UP, "settings.tank_high_limit": 149.9}, {}),
    ("hygiene-target-out-of-reach", "clear", HEAT_UP, {"drop": ["settings.operating_limit", "settings.tank_high_limit"]}),
    ("hygiene-target-out-of-reach", "does not apply", {**HEAT_UP, "settings.hygiene_cycle": False, "settings.hygiene_target": 180}, {}),
    ("hygiene-target-out-of-reach", "does not apply", {**HEAT_UP, **PLATE, "settings.hygiene_target": 180}, {}),
    ("hygiene-target-out-of-reach", "not checked", {"settings.hygiene_cycle": True}, {}),
    ("hygiene-target-out-of-reach", "not checked", HEAT_UP, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    ("hygiene-target-out-of-reach", "clear", {**HEAT_UP_C, "settings.hot_water_boiler_setpoint": 76.2}, METRIC),
    ("hygiene-target-out-of-reach", "found", {**HEAT_UP_C, "settings.hot_water_boiler_setpoint": 76.1}, METRIC),
    ("hygiene-target-too-cool", "clear", {**HEAT_UP, "settings.hygiene_target": 140}, {}),
    ("hygiene-target-too-cool", "found", {**HEAT_UP, "settings.hygiene_target": 139.9}, {}),
    ("hygiene-target-too-cool", "does not apply", {"settings.hygiene_cycle": False, "settings.hygiene_target": 120}, {}),
    ("hygiene-target-too-cool", "does not apply", {**HEAT_UP, **PLATE, "settings.hygiene_target": 120}, {}),
    ("hygiene-target-too-cool", "not checked", {"settings.hygiene_cycle": True}, {}),
    ("hygiene-target-too-cool", "not checked", {}, {"drop": ["settings.hygiene_cycle"]}),
    ("hygiene-target-too-cool", "clear", {**HEAT_UP_C, "settings.hygiene_target": 60}, METRIC),
    ("hygiene-target-too-cool", "found", {**HEAT_UP_C, "settings.hygiene_target": 59.9}, METRIC),
    # 150 gal x 8.27 x 11 F/90,000 Btu/h = 9.1 min
    ("hygiene-time-limit-too-short", "clear", {**LONG, "settings.hygiene_time_limit": 9.1}, {}),
    ("hygiene-time-limit-too-short", "found", {**LONG, "settings.hygiene_time_limit": 9}, {}),
    # from 145 - 12 F: 15.7 min
    ("hygiene-time-limit-too-short", "found", {**LONG, "settings.tank_differential": 12, "settings.hygiene_time_limit": 15.7}, {}),
    ("hygiene-time-limit-too-short", "clear", {**LONG, "settings.tank_differential": 12, "settings.hygiene_time_limit": 15.8}, {}),
    ("hygiene-time-limit-too-short", "clear",
     {**LONG, "settings.hygiene_target": 130, "settings.hygiene_time_limit": 5, "hot_water.tank_volume": 9000}, {}),
    ("hygiene-time-limit-too-short", "does not apply", {**LONG, "settings.hygiene_cycle": False, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "does not apply", {**LONG, **PLATE, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "not checked", LONG, {}),
    ("hygiene-time-limit-too-short", "not checked", {"settings.hygiene_cycle": True, "settings.hygiene_time_limit": 5}, {}),
    ("hygiene-time-limit-too-short", "not checked", {**HEAT_UP, "settings.hygiene_time_limit": 5}, {"drop": ["hot_water.tank_volume"]}),
    ("hygiene-time-limit-too-short", "not checked", {**LONG, "settings.hygiene_time_limit": 5}, {"drop": ["settings.tank_setpoint"]}),
    ("hygiene-time-limit-too-short", "not checked", {**LONG, "settings.hygiene_time_limit": 5}, {"drop": ["settings.tank_differential"]}),
    ("hygiene-time-limit-too-short", "not checked", {**LONG, "settings.hygiene_time_limit": 5}, {"drop": ["boiler.efficiency"]}),
    # 500 L x 1.152 Wh/(L K) x 5 K/26.38 kW = 6.55 min
    ("hygiene-time-limit-too-short", "found",
     {**HEAT_UP_C, "settings.tank_setpoint": 62, "settings.tank_differential": 2, "hot_water.tank_volume": 500, "settings.hygiene_time_limit": 6.5}, METRIC),
    ("hygiene-time-limit-too-short", "clear",
     {**HEAT_UP_C, "settings.tank_setpoint": 62, "settings.tank_differential": 2, "hot_water.tank_volume": 500, "settings.hygiene_time_limit": 6.6}, METRIC),
    # growth up to 45 C, 113 F (HSE HSG274 part 2)
    ("reduced-store-in-growth-range", "found", {"settings.hot_water_reduced": 113}, {}),
    ("reduced-store-in-growth-range", "clear", {"settings.hot_water_reduced": 113.1}, {}),
    ("reduced-store-in-growth-range", "clear", {"settings.hot_water_reduced": "off"}, {}),
    ("reduced-store-in-growth-range", "does not apply", {**PLATE, "settings.hot_water_reduced": 100}, {}),
    ("reduced-store-in-growth-range", "not checked", {}, {"drop": ["settings.hot_water_reduced"]}),
    ("reduced-store-in-growth-range", "not checked", {"settings.hot_water_reduced": 100}, {"drop": ["hot_water.kind"]}),
    ("reduced-store-in-growth-range", "found", {"settings.hot_water_reduced": 45}, METRIC),
    ("reduced-store-in-growth-range", "clear", {"settings.hot_water_reduced": 45.1}, METRIC),
    # 145 + 20 F
    ("shared-target-below-store", "clear", {"settings.heating_setpoint": 165}, ONE_TARGET),
    ("shared-target-below-store", "found", {"settings.heating_setpoint": 164.9}, ONE_TARGET),
    ("shared-target-below-store", "clear", {"settings.heating_setpoint": 131}, {}),
    ("shared-target-below-store", "does not apply", {**PLATE, "settings.heating_setpoint": 131}, ONE_TARGET),
    ("shared-target-below-store", "not checked", {}, {"drop_control": ["control.shared_target"]}),
    ("shared-target-below-store", "not checked", {}, {**ONE_TARGET, "drop": ["settings.heating_setpoint"]}),
    ("shared-target-below-store", "not checked", {}, {**ONE_TARGET, "drop": ["settings.tank_setpoint"]}),
    ("shared-target-below-store", "clear", {"settings.heating_setpoint": 73.9}, {**ONE_TARGET, **METRIC}),
    ("shared-target-below-store", "found", {"settings.heating_setpoint": 73.8}, {**ONE_TARGET, **METRIC}),
    ("outlet-temperature-typed-as-store", "found", {"settings.tank_setpoint": 125}, {}),
    ("outlet-temperature-typed-as-store", "clear", {"settings.tank_setpoint": 125.1}, {}),
    ("outlet-temperature-typed-as-store", "found", {"settings.tank_setpoint": 115}, {}),
    ("outlet-temperature-typed-as-store", "clear", {"settings.tank_setpoint": 114.9}, {}),
    ("outlet-temperature-typed-as-store", "does not apply", {**NO_VALVE, "settings.tank_setpoint": 120}, {}),
    ("outlet-temperature-typed-as-store", "does not apply", {**PLATE, "settings.tank_setpoint": 120}, {}),
    ("outlet-temperature-typed-as-store", "not checked", {}, {"drop": ["settings.tank_setpoint"]}),
    ("outlet-temperature-typed-as-store", "not checked", {"settings.tank_setpoint": 120}, {"drop": ["hot_water.mixing_valve"]}),
    ("outlet-temperature-typed-as-store", "found", {"settings.tank_setpoint": 51.6}, METRIC),
    ("outlet-temperature-typed-as-store", "clear", {"settings.tank_setpoint": 51.7}, METRIC),
    # the loop
    ("loop-return-too-cool", "clear", {**LOOP, "hot_water.return_measured": 122}, {}),
    ("loop-return-too-cool", "found", {**LOOP, "hot_water.return_measured": 121.9}, {}),
    ("loop-return-too-cool", "does not apply", {"hot_water.return_measured": 90}, {}),
    ("loop-return-too-cool", "not checked", LOOP, {}),
    ("loop-return-too-cool", "not checked", {"hot_water.return_measured": 90}, {"drop": ["hot_water.circulation_loop"]}),
    ("loop-return-too-cool", "clear", {**LOOP, "hot_water.return_measured": 50}, METRIC),
    ("loop-return-too-cool", "found", {**LOOP, "hot_water.return_measured": 49.9}, METRIC),
    # 145 F - 5 K
    ("loop-drops-too-far", "clear", {**LOOP, "hot_water.return_measured": 136}, {}),
    ("loop-drops-too-far", "found", {**LOOP, "hot_water.return_measured": 135.9}, {}),
    ("loop-drops-too-far", "does not apply", {"hot_water.return_measured": 100}, {}),
    ("loop-drops-too-far", "does not apply", {**LOOP, **PLATE, "hot_water.return_measured": 100}, {}),
    ("loop-drops-too-far", "not checked", LOOP, {}),
    ("loop-drops-too-far", "not checked", {**LOOP, "hot_water.return_measured": 100}, {"drop": ["settings.tank_setpoint"]}),
    ("loop-drops-too-far", "clear", {**LOOP, "settings.tank_setpoint": 60, "hot_water.return_measured": 55}, METRIC),
    ("loop-drops-too-far", "found", {**LOOP, "settings.tank_setpoint": 60, "hot_water.return_measured": 54.9}, METRIC),
    ("circulation-stopped-for-hours", "clear", {**TIMED, "settings.recirculation_off_hours": 8}, {}),
    ("circulation-stopped-for-hours", "found", {**TIMED, "settings.recirculation_off_hours": 8.05}, {}),
    ("circulation-stopped-for-hours", "found", LOOP, {}),
    ("circulation-stopped-for-hours", "clear", {**LOOP, "settings.recirculation": "continuous", "settings.recirculation_off_hours": 20}, {}),
    ("circulation-stopped-for-hours", "does not apply", {}, {}),
    ("circulation-stopped-for-hours", "not checked", TIMED, {}),
    ("circulation-stopped-for-hours", "not checked", LOOP, {"drop": ["settings.recirculation"]}),
    ("circulation-stopped-for-hours", "not checked", {}, {"drop": ["hot_water.circulation_loop"]}),
    ("circulation-stopped-for-hours", "found", {**TIMED, "settings.recirculation_off_hours": 8.05}, METRIC),
    # a reading from before the store was changed tells nothing about the drop
    ("loop-drops-too-far", "not checked", {**LOOP, **reading("2026-03-01", "2026-03-02")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, **reading("2026-03-01", "2026-03-01")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, **reading("2026-03-02", "2026-03-01")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, "hot_water.return_measured": {"value": 100, "from": "measured", "on": "2026-03-01"}},
     {"drop": ["settings.tank_setpoint"], "control": {"setting.tank_setpoint.access": "factory", "setting.tank_setpoint.default": 140,
                                                     "setting.tank_setpoint.needs": [{"accessory": "bus_module", "otherwise": "default"}]}}),
    # how the store came to be where it is; the valve was tested on 2026-09-20
    (LOWERED, "found", SCALDED, after(146)),
    (LOWERED, "found", {**SCALDED, "visit.why": "kitchen tap too hot"}, after(150)),
    (LOWERED, "found", {**SCALDED, "visit.why": "too hot at the shower"}, after(150)),
    (LOWERED, "found", {**SCALDED, "visit.why": "child burned"}, after(150)),
    (LOWERED, "clear", {**SCALDED, "visit.why": "burner cleaned; rooms too hot"}, after(150)),
    (LOWERED, "found", {**SCALDED, "settings.tank_setpoint": 62}, {**after(150), **METRIC}),
    (LOWERED, "clear", {**SCALDED, "visit.why": "autumn service"}, after(150)),
    (LOWERED, "clear", SCALDED, after(145)),
    (LOWERED, "clear", SCALDED, after(145.448)),
    (LOWERED, "found", SCALDED, after(145.452)),
    (LOWERED, "clear", SCALDED, after(140)),
    (LOWERED, "clear", SCALDED, after(150, 145)),
    (LOWERED, "found", SCALDED, after(140, 150)),
    (LOWERED, "clear", SCALDED, after(150, None)),
    (LOWERED, "does not apply", SCALDED, after()),
    (LOWERED, "clear", SCALDED, after(None)),
    (LOWERED, "clear", {**SCALDED, "hot_water.mixing_valve_tested": "2026-10-06"}, after(150)),
    (LOWERED, "found", {**SCALDED, "hot_water.mixing_valve_tested": "2026-10-05"}, after(150)),
    (LOWERED, "found", SCALDED, {**after(150), "drop": ["hot_water.mixing_valve_tested"]}),
    (LOWERED, "does not apply", {**SCALDED, **PLATE}, after(150)),
    (LOWERED, "not checked", SCALDED, {}),
    (LOWERED, "not checked", {}, {**after(150), "drop": ["visit.why"]}),
    (LOWERED, "not checked", {"visit.why": "scald"}, {**after(150), "drop": ["visit.on"]}),
    (LOWERED, "not checked", SCALDED, {**after(150), "drop": ["settings.tank_setpoint"]}),
    (RAISED, "found", SAMPLED, after(144)),
    (RAISED, "found", {**SAMPLED, "visit.why": "Legionella"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "samples: two came positive"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "a positive cold water sample"}, after(140)),
    (RAISED, "found", {**SAMPLED, "visit.why": "water sample was positive"}, after(140)),
    (RAISED, "clear", {**SAMPLED, "visit.why": "flue gas sample; positive pressure test"}, after(140)),
    (RAISED, "found", {**SAMPLED, "settings.tank_setpoint": 63}, {**after(140), **METRIC}),
    (RAISED, "clear", {**SAMPLED, "visit.why": "autumn service"}, after(140)),
    (RAISED, "clear", SAMPLED, after(145)),
    (RAISED, "clear", SAMPLED, after(144.552)),
    (RAISED, "found", SAMPLED, after(144.548)),
    (RAISED, "clear", SAMPLED, after(150)),
    (RAISED, "clear", SAMPLED, after(140, 145)),
    (RAISED, "clear", {**SAMPLED, "hot_water.mixing_valve_tested": "2026-10-06"}, after(140)),
    (RAISED, "found", {**SAMPLED, "hot_water.mixing_valve_tested": "2026-10-05"}, after(140)),
    (RAISED, "does not apply", {**SAMPLED, **PLATE}, after(140)),
    (RAISED, "not checked", SAMPLED, {}),
    (RAISED, "not checked", {}, {**after(140), "drop": ["visit.why"]}),
    (RAISED, "not checked", {"visit.why": "sample"}, {**after(140), "drop": ["visit.on"]}),
    (RAISED, "not checked", SAMPLED, {**after(140), "drop": ["settings.tank_setpoint"]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


def test_every_rule_ends_in_all_four_ways_somewhere() -> None:
    seen = {(rule, answer) for rule, answer, _, _ in CASES}
    assert seen == {
        (rule.name, answer) for rule in RULES for answer in ("found", "clear", "not checked", "does not apply")
    }


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_of_the_group_carries_both_cautions(rule: Any) -> None:
    assert {"scald", "hygiene"} <= set(rule.cautions)
    assert rule.severity is Severity.DANGER


def test_no_rule_at_all_names_scalding_or_hygiene_alone() -> None:
    alone = [rule.name for rule in all_rules() if ("scald" in rule.cautions) != ("hygiene" in rule.cautions)]
    assert alone == []


@pytest.mark.parametrize(
    ("rule", "changes", "proposed", "more"),
    [
        ("store-below-hygiene-temperature", {"settings.tank_setpoint": 130}, {"tank_setpoint": celsius(144)}, {}),
        ("store-below-hygiene-temperature", {"settings.tank_setpoint": 55, "settings.tank_differential": 3},
         {"tank_setpoint": 63.0}, METRIC),
        ("hot-plate-without-mixing-valve", {**PLATE_BARE, "settings.outlet_setpoint": 135},
         {"outlet_setpoint": celsius(120)}, {}),
        ("hot-plate-without-mixing-valve", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 48},
         {"outlet_setpoint": 44.0}, METRIC),
        ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5}, {"hygiene_time_limit": 600.0}, {}),
        ("reduced-store-in-growth-range", {"settings.hot_water_reduced": 100}, {"hot_water_reduced": "off"}, {}),
        ("shared-target-below-store", {"settings.heating_setpoint": 155}, {"heating_setpoint": celsius(165)},
         ONE_TARGET),
    ],
)  # fmt: skip
def test_remedies(rule: str, changes: dict[str, Any], proposed: dict[str, Any], more: dict[str, Any]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert set(remedy.set) == set(proposed)
    for name, value in proposed.items():
        assert remedy.set[name] == (pytest.approx(value) if isinstance(value, float) else value)


@pytest.mark.parametrize(
    ("rule", "changes", "row", "more"),
    [
        ("store-below-hygiene-temperature", {"settings.tank_setpoint": 130}, "tank_setpoint", (60, 140)),
        ("hot-plate-without-mixing-valve", {**PLATE_BARE, "settings.outlet_setpoint": 135}, "outlet_setpoint", (125, 140)),
        ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5}, "hygiene_time_limit", (5, 8)),
        ("shared-target-below-store", {"settings.heating_setpoint": 155}, "heating_setpoint", (80, 160)),
    ],
)  # fmt: skip
def test_what_the_control_can_t_take_is_not_proposed(
    rule: str, changes: dict[str, Any], row: str, more: tuple[float, float]
) -> None:
    low, high = more
    control = {
        f"setting.{row}.range": {"low": low, "high": high}, f"setting.{row}.default": low, "control.shared_target": True,
    }  # fmt: skip
    remedy = finding(rule, changes, control=control).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert remedy.verified is None


@pytest.mark.parametrize(
    ("rule", "changes"),
    [
        ("hot-store-without-mixing-valve", NO_VALVE),
        ("coil-in-boiler-without-mixing-valve", COIL),
        ("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP}),
        ("tap-too-hot", {"hot_water.outlet_measured": 130}),
    ],
)
def test_a_scalding_danger_is_never_answered_by_a_colder_store(rule: str, changes: dict[str, Any]) -> None:
    remedy = finding(rule, changes).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert "valve" in remedy.text


def test_the_store_is_raised_only_where_a_valve_tempers_it() -> None:
    for changes, drop in ((NO_VALVE, []), ({}, ["hot_water.mixing_valve"])):
        one = finding("store-below-hygiene-temperature", {**changes, "settings.tank_setpoint": 130}, drop=drop)
        assert one.remedy is not None
        assert one.remedy.set == {}
        # raised to 140 F: 6 s (US CPSC document 5098)
        assert "raised, at 140 F a serious burn of an adult takes about 6 s: tempering valve first" in one.message
    hot = {**NO_VALVE, "settings.tank_setpoint": 150, "settings.tank_differential": 15}
    assert (
        "raised, at 150 F a serious burn of an adult takes about 2 s"
        in finding("store-below-hygiene-temperature", hot).message
    )
    tempered = finding("store-below-hygiene-temperature", {"settings.tank_setpoint": 130})
    assert "burn" not in tempered.message


def test_the_text_says_where_the_store_stands_and_how_fast_it_burns() -> None:
    # growth 20 to 45 C (113 F): HSE HSG274 part 2
    assert "legionella grows" in finding("store-below-hygiene-temperature", {"settings.tank_setpoint": 117}).message
    assert "legionella" not in finding("store-below-hygiene-temperature", {"settings.tank_setpoint": 118}).message
    one = finding("store-below-hygiene-temperature", {"settings.tank_setpoint": 130})
    assert one.numbers["lowest store"].value == pytest.approx(celsius(126))
    assert one.numbers["hygiene value"].value == Celsius(60.0)
    # US CPSC document 5098
    for store, words in ((150, "about 2 s"), (140, "about 6 s"), (130, "about 30 s")):
        message = finding("hot-store-without-mixing-valve", {**NO_VALVE, "settings.tank_setpoint": store}).message
        assert words in message
        assert "120 F is the most at outlets" in message
    frail = finding("hot-store-without-mixing-valve", {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 60}, **METRIC)
    assert "44 C is the most where vulnerable people bathe" in frail.message
    assert "about 6 s" in frail.message


def test_what_holds_the_heat_up_back_is_named() -> None:
    far = {**HEAT_UP, "settings.hygiene_target": 180}
    boiler = finding("hygiene-target-out-of-reach", far)
    assert "a boiler at 172 F" in boiler.message
    assert boiler.numbers["within reach"].value == pytest.approx(celsius(152))
    operating = finding("hygiene-target-out-of-reach", {**far, "settings.operating_limit": 168})
    assert "operating limit stops at 168 F" in operating.message
    assert operating.numbers["within reach"].value == pytest.approx(celsius(148))
    own = finding("hygiene-target-out-of-reach", {**far, "settings.tank_high_limit": 147})
    assert "the tank's own limit" in own.message
    assert own.numbers["within reach"].value == pytest.approx(celsius(147))


def test_heating_time_of_a_heat_up_at_equality() -> None:
    one = finding("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 5})
    takes = one.numbers["heating"].value / 60
    # the trade's 8.33 x gal x F/(Btu/h), within 1 %
    assert takes == pytest.approx(60 * 8.33 * 150 * 11 / 90000, rel=0.01)
    assert one.numbers["limit"].value == 300.0
    assert ask("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": takes}) == "clear"


def test_a_valve_without_a_recorded_test_is_asked_for() -> None:
    never = finding("mixing-valve-test-overdue", FRAIL, drop=["hot_water.mixing_valve_tested"])
    assert never.at == "hot_water.mixing_valve"
    old = finding("mixing-valve-test-overdue", {**FRAIL, "hot_water.mixing_valve_tested": "2025-09-20"})
    assert old.at == "hot_water.mixing_valve_tested"
    assert "2025-09-20" in old.message
    assert old.numbers["days"].value == 431
    assert never.certainty is old.certainty is Certainty.ASK


def test_a_loop_that_is_off_and_one_that_pauses_are_found_at_their_own_setting() -> None:
    assert finding("circulation-stopped-for-hours", LOOP).at == "recirculation"
    paused = finding("circulation-stopped-for-hours", {**TIMED, "settings.recirculation_off_hours": 12})
    assert paused.at == "recirculation_off_hours"
    assert paused.numbers["standstill"].value == 12 * 3600.0
    early = make_plant({**LOOP, **reading("2026-03-01", "2026-03-02")})
    lacks = audit(early, [rule_named("loop-drops-too-far")]).not_checked
    assert [lack.needs for lack in lacks] == [("hot_water.return_measured",)]
    assert "before the tank set point was changed" in lacks[0].why
    drop = finding("loop-drops-too-far", {**LOOP, "hot_water.return_measured": 130})
    assert drop.numbers["drop"].value == pytest.approx(kelvin(15))


def test_a_control_file_that_does_not_say_whether_the_target_is_shared_is_named() -> None:
    rule = rule_named("shared-target-below-store")
    result = audit(make_plant(drop_control=["control.shared_target"]), [rule])
    assert [lack.needs for lack in result.not_checked] == [("heating_setpoint",)]
    assert "does not say whether" in result.not_checked[0].why


def test_a_moved_store_is_told_with_both_figures() -> None:
    one = finding(LOWERED, SCALDED, **after(155))
    assert "from 155 F to 145 F after a complaint about scalding" in one.message
    assert one.numbers["before"].value == pytest.approx(celsius(155))
    assert one.numbers["now"].value == pytest.approx(celsius(145))
    assert "from 140 F to 145 F after a sample" in finding(RAISED, SAMPLED, **after(140)).message
    # a last state that is the present one is passed over
    typed = {name: entry.typed for name, entry in make_plant().profile.settings.items() if entry.typed is not None}
    states = tuple(
        Left(date(2025, 1, 1), "R. Holm", "left", {**typed, **new}, {}) for new in ({"tank_setpoint": 70.0}, {})
    )
    assert ask(LOWERED, SCALDED, past=Past(states)) == "found"
    assert rule_named(LOWERED).certainty is rule_named(RAISED).certainty is Certainty.LIKELY


Said = tuple[Certainty, str, dict[str, float]]
DAY_OLD: Final = {**FRAIL, "hot_water.mixing_valve_tested": "2025-11-22"}
SAID: Final[list[tuple[str, dict[str, Any], dict[str, Any], Said]]] = [
    ("store-below-hygiene-temperature", {"settings.tank_setpoint": 130}, {},
     (Certainty.PROVEN, "tank_setpoint", {"lowest store": celsius(126), "hygiene value": 60.0})),
    ("hot-store-without-mixing-valve", NO_VALVE, {},
     (Certainty.PROVEN, "tank_setpoint", {"store": celsius(145), "most at outlets": celsius(120)})),
    ("hot-plate-without-mixing-valve", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 130}, {},
     (Certainty.PROVEN, "outlet_setpoint", {"outlet": celsius(130), "most at outlets": 44.0})),
    ("coil-in-boiler-without-mixing-valve", COIL, {},
     (Certainty.LIKELY, "heating_setpoint", {"boiler": celsius(164), "most at outlets": celsius(120)})),
    ("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP}, {},
     (Certainty.PROVEN, "hygiene_target", {"heat-up": celsius(150)})),
    ("mixing-valve-test-overdue", DAY_OLD, {}, (Certainty.ASK, "hot_water.mixing_valve_tested", {"days": 368.0})),
    ("tempering-valve-set-hot", {"hot_water.mixing_valve_setpoint": 130}, {},
     (Certainty.LIKELY, "hot_water.mixing_valve_setpoint", {"valve": celsius(130), "most at outlets": celsius(120)})),
    ("tap-too-hot", {"hot_water.outlet_measured": 140}, {},
     (Certainty.PROVEN, "hot_water.outlet_measured", {"tap": celsius(140), "most at outlets": celsius(120)})),
    ("cool-store-without-hygiene-measure", {**NO_PLAN, "settings.tank_setpoint": 120}, {},
     (Certainty.LIKELY, "hygiene_cycle", {"store": celsius(120)})),
    ("hygiene-target-out-of-reach", {**HEAT_UP, "settings.hygiene_target": 160}, {},
     (Certainty.PROVEN, "hygiene_target", {"heat-up": celsius(160), "within reach": celsius(152)})),
    ("hygiene-target-too-cool", {**HEAT_UP, "settings.hygiene_target": 130}, {},
     (Certainty.PROVEN, "hygiene_target", {"heat-up": celsius(130), "hygiene value": 60.0})),
    # 9.1 min
    ("hygiene-time-limit-too-short", {**LONG, "settings.hygiene_time_limit": 6}, {},
     (Certainty.LIKELY, "hygiene_time_limit", {"heating": 545.5, "limit": 360.0})),
    ("reduced-store-in-growth-range", {"settings.hot_water_reduced": 100}, {},
     (Certainty.LIKELY, "hot_water_reduced", {"reduced store": celsius(100)})),
    ("shared-target-below-store", {"settings.heating_setpoint": 131}, ONE_TARGET,
     (Certainty.PROVEN, "heating_setpoint", {"target": celsius(131), "store": celsius(145)})),
    ("outlet-temperature-typed-as-store", {"settings.tank_setpoint": 120}, {},
     (Certainty.ASK, "tank_setpoint", {"store": celsius(120)})),
    ("loop-return-too-cool", {**LOOP, "hot_water.return_measured": 110}, {},
     (Certainty.LIKELY, "hot_water.return_measured", {"return": celsius(110), "least": 50.0})),
    ("loop-drops-too-far", {**LOOP, "hot_water.return_measured": 125}, {},
     (Certainty.LIKELY, "hot_water.return_measured", {"drop": kelvin(20)})),
    ("circulation-stopped-for-hours", {**TIMED, "settings.recirculation_off_hours": 10}, {},
     (Certainty.LIKELY, "recirculation_off_hours", {"standstill": 36000.0})),
    (LOWERED, SCALDED, after(155), (Certainty.LIKELY, "tank_setpoint", {"before": celsius(155), "now": celsius(145)})),
    (RAISED, SAMPLED, after(135), (Certainty.LIKELY, "tank_setpoint", {"before": celsius(135), "now": celsius(145)})),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "changes", "more", "said"), SAID, ids=[row[0] for row in SAID])
def test_what_a_finding_says(rule: str, changes: dict[str, Any], more: dict[str, Any], said: Said) -> None:
    one = finding(rule, changes, **more)
    certainty, at, numbers = said
    assert (one.severity, one.certainty, one.at) == (Severity.DANGER, certainty, at)
    assert set(one.cautions) == {"scald", "hygiene"}
    assert {name: number.value for name, number in one.numbers.items()} == pytest.approx(numbers, rel=1e-3)
    assert ("(assumes " in one.message) == (certainty is Certainty.LIKELY)
    assert one.remedy is not None
    assert one.remedy.text


def test_what_a_finding_says_is_tested_for_every_rule() -> None:
    assert sorted(row[0] for row in SAID) == sorted(rule.name for rule in RULES)


@pytest.mark.parametrize(
    ("threshold", "value", "rule", "changes"),
    [
        ("store_least", celsius(142), "store-below-hygiene-temperature", {}),
        ("store_least", celsius(146), "cool-store-without-hygiene-measure", NO_PLAN),
        ("store_least", celsius(155), "hygiene-target-too-cool", HEAT_UP),
        ("outlet_most", celsius(115), "tempering-valve-set-hot", {}),
        ("outlet_most", celsius(110), "hygiene-heat-up-without-mixing-valve",
         {**NO_VALVE, **HEAT_UP, "settings.hygiene_target": 118}),
        ("outlet_most_vulnerable", celsius(105), "tap-too-hot", {**FRAIL, "hot_water.outlet_measured": 108}),
        ("valve_test_days", 60.0, "mixing-valve-test-overdue", FRAIL),
        ("boiler_over_tank", kelvin(25), "hygiene-target-out-of-reach", HEAT_UP),
        ("boiler_over_tank", kelvin(35), "shared-target-below-store", {"settings.heating_setpoint": 170}),
        ("tap_range_low", celsius(110), "outlet-temperature-typed-as-store", {"settings.tank_setpoint": 112}),
        ("tap_range_high", celsius(130), "outlet-temperature-typed-as-store", {"settings.tank_setpoint": 128}),
        ("loop_return_least", 55.0, "loop-return-too-cool", {**LOOP, "hot_water.return_measured": 125}),
        ("loop_drop_most", kelvin(5), "loop-drops-too-far", {**LOOP, "hot_water.return_measured": 138}),
        ("loop_standstill_most", 3600.0, "circulation-stopped-for-hours",
         {**TIMED, "settings.recirculation_off_hours": 2}),
    ],
)  # fmt: skip
def test_an_owner_sets_the_numbers_of_habit(threshold: str, value: float, rule: str, changes: dict[str, Any]) -> None:
    assert ask(rule, changes, **ONE_TARGET) == "clear"
    one = finding(rule, changes, context=Context(AS_OF, thresholds={threshold: value}), **ONE_TARGET)
    assert "owner's number: " in one.message
    assert threshold in one.message
