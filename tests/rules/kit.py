"""A complete, correctly set plant of invented facts, and the means to change one thing about it and ask one rule.

`ask("rule-name", {"settings.keep_warm": 4}, drop=["hot_water.kind"])` answers `found`, `clear`, `not checked` or
`does not apply`. Values are written as in a file, in the units of the base; with `metric=True` the base is a metric
file, and so are the changes. The control keeps its US units.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any, Final, Literal

from settingslint.checking.audit import Result, audit
from settingslint.model.control import Control
from settingslint.model.control_file import control_from
from settingslint.model.profile import profile_from
from settingslint.model.source import Source
from settingslint.model.validate import check_schema
from settingslint.model.values import NUMERIC, kind_of
from settingslint.rules import all_rules
from settingslint.rules.base import Finding
from settingslint.rules.past import Past
from settingslint.rules.plant import Context, Plant
from settingslint.rules.rule import Rule
from settingslint.units import Kind, from_si, to_si
from settingslint.vocabulary.settings import SETTINGS

AS_OF: Final = date(2026, 11, 25)
Style = Literal["one number", "two points", "slope and shift", "none"]
Answer = Literal["found", "clear", "not checked", "does not apply"]
METRIC: Final[dict[str, Any]] = {"metric": True}
TWO: Final[dict[str, Any]] = {"style": "two points"}
SLOPE: Final[dict[str, Any]] = {"style": "slope and shift"}

PROFILE: Final[dict[str, Any]] = {
    "format": 1,
    "units": "us",
    "plant": {
        "name": "Boiler 1", "site": "Mill Lane Hall", "control": "kit", "size": "middle", "serial": "K-1",
        "revision": "5", "first_fired": "2024-09-03",
    },
    "building": {
        "design_load": 88000, "balance_point": 62, "indoor_design": 70, "cooldown_time_constant": 45, "mass": "medium",
        "new_system": False, "setback_warm_up": 3, "reference_room_disturbed": False,
    },
    "site": {
        "design_outdoor": 4, "coldest": -8, "hottest": 95, "elevation": 600, "occupants": "general",
        "alarm_path": True, "insurer_minimum": 50, "manual_reset_required": True,
        "heating_months_first": 10, "heating_months_last": 4,
    },
    "boiler": {
        "input_maximum": 118000, "input_minimum": 15000, "output_maximum": 108000, "efficiency": 0.92,
        "condensing": True, "heat_exchanger": "high mass", "minimum_flow": 3.2, "maximum_difference": 44,
        "location": "heated", "tankless_coil": False, "size_on_plate": "middle", "serial_on_plate": "K-1",
        "lowest_rated_part": 240, "manufacturer_retries": 3,
    },
    "gas": {"fuel": "natural gas", "heating_value_basis": "gross", "clocked_input": 117000},
    "vent": {
        "material": "polypropylene", "rating": 230, "equivalent_length": 40, "common": False, "outdoor_air": False,
    },
    "hot_water": {
        "kind": "tank", "tank_volume": 58, "tank_rating": 200, "coil_output": 90000, "mixing_valve": True,
        "mixing_valve_tested": "2026-09-20", "mixing_valve_setpoint": 116, "circulation_loop": False,
        "cold_inlet": 46, "hardness": "soft", "low_use": False, "safety_plan": True, "piped_here": True,
        "peak_flow": 2.0,
    },
    "water": {
        "system_volume": 95, "fluid": "water", "static_height": 22, "relief_pressure": 30,
    },
    "piping": {
        "topology": "primary-secondary", "smallest_zone": 26000, "zone_valves": False, "bypass": True,
        "outside_walls": False, "boiler_drives_zones": True, "flow_at_minimum_speed": 6.0, "system_flow": 9.0,
        "system_pump_interlocked": True, "calls_have_end_switches": True,
    },
    "accessories": {
        "outdoor_sensor": True, "system_sensor": True, "tank_sensor": True, "room_unit": False, "bus_module": False,
        "remote_writer": False,
    },
    "counters": {"starts": 3100, "burner_hours": 1500, "idle_months": 0, "faults_before": 1, "faults_now": 1},
    "emitter": [
        {
            "name": "hall radiators", "kind": "cast-iron radiator", "design_supply": 158, "design_return": 138,
            "load": 88000, "exponent": 1.3, "oversize": 1.0, "maximum_supply": 190, "mixed": False,
        },
    ],
    "settings": {},
    "visit": {
        "on": "2026-10-06", "by": "R. Holm", "role": "gas-licensed technician", "why": "autumn service",
        "kind": "service", "occasion": "routine", "read_back": True, "work_order": "W-118", "clock_checked": True,
        "service_code_default": False,
    },
    "combustion": {
        "high": {"on": "2026-10-06", "o2": 5.0, "co2": 8.9, "co": 42, "fuel": "natural gas",
                 "analyser_calibrated": "2026-02-11"},
        "low": {"on": "2026-10-06", "o2": 5.6, "co2": 8.6, "co": 18, "fuel": "natural gas",
                "analyser_calibrated": "2026-02-11"},
    },
}  # fmt: skip

RADIATOR: Final[dict[str, Any]] = PROFILE["emitter"][0]
FLOOR: Final[dict[str, Any]] = {
    "name": "slab", "kind": "heated floor", "design_supply": 104, "design_return": 90, "maximum_supply": 120,
    "mixed": False,
}  # fmt: skip

SETTINGS_OF: Final[dict[Style, dict[str, Any]]] = {
    "one number": {"reset": True, "reset_endpoint": 76},
    "two points": {
        "reset": True, "reset_hot_supply": 162, "reset_cold_outdoor": 4, "reset_cool_supply": 98,
        "reset_warm_outdoor": 62,
    },
    "slope and shift": {"reset": True, "reset_slope": 1.3, "reset_shift": 6},
    "none": {},
}  # fmt: skip
COMMON_SETTINGS: Final[dict[str, Any]] = {
    "heating_enabled": True, "operating_mode": "normal", "call_source": "room thermostat", "heating_setpoint": 164,
    "heating_differential": 18, "heating_overshoot": 6, "control_sensor": "supply", "warm_weather_shutdown": 63,
    "boost_step": "off", "room_influence": "off", "night_setback": "off", "floor_drying": False,
    "outdoor_correction": 0, "outdoor_averaging": 3, "outdoor_sensor_loss": "fixed outdoor temperature",
    "fuel_setting": "natural gas", "size_setting": "middle", "elevation_setting": 600, "vent_length_setting": 40,
    "ignition_fan_speed": 2900, "maximum_fan_speed": 6100, "minimum_fan_speed": 1300, "heating_maximum_rate": 90,
    "hot_water_maximum_rate": 100, "ignition_trials": 3, "pre_purge": 15, "post_purge": 20, "low_fire_hold": 2,
    "control_gain": 10, "service_mode": False, "service_mode_limit": 15, "hot_water_method": "tank sensor",
    "hot_water_boiler_setpoint": 172, "tank_setpoint": 145, "tank_differential": 4, "hot_water_priority": True,
    "priority_time_limit": 60, "keep_warm": "off", "hot_water_reduced": "off", "hot_water_schedule": False,
    "hot_water_overrun": 2, "hygiene_cycle": False, "recirculation": "off", "tank_high_limit": 185,
    "boiler_pump_mode": "with call", "system_pump_mode": "with call", "pump_overrun": 4, "pump_minimum_speed": 45,
    "pump_control": "constant speed", "pump_exercise": True, "purge_program": False, "operating_limit": 190,
    "high_limit": 206, "high_limit_reset": "manual", "flue_limit": 205, "difference_limit": 42,
    "low_pressure_cutout": 10, "high_pressure_alarm": 26, "resets_per_hour": 3, "remote_reset": False,
    "freeze_protection": True, "freeze_pump_on": 45, "freeze_burner_on": 41, "freeze_outdoor_start": 34,
    "minimum_off_time": 4, "cascade_role": "alone", "external_signal": "off", "remote_writing": False,
    "heating_target_difference": 20, "holiday_room": 58, "maximum_supply": 180, "minimum_supply": "off",
}  # fmt: skip

DEFAULTS: Final[dict[str, Any]] = {
    "ignition_fan_speed": 2900, "maximum_fan_speed": 6100, "minimum_fan_speed": 1300, "ignition_trials": 3,
    "heating_setpoint": 150, "heating_differential": 12, "tank_setpoint": 125, "hot_water_boiler_setpoint": 165,
    "reset_endpoint": 72, "control_gain": 10, "pre_purge": 15, "post_purge": 20, "resets_per_hour": 3,
    "heating_maximum_rate": 100, "high_limit": 206, "flue_limit": 205, "keep_warm": 3, "priority_time_limit": 45,
    "tank_differential": 7, "warm_weather_shutdown": 66, "pump_overrun": 3, "size_setting": "middle",
}  # fmt: skip
CONTROL: Final[dict[str, Any]] = {
    "format": 1,
    "units": "us",
    "control": {
        "name": "kit", "reset_style": "one number", "cold_anchor": 2, "complete": True, "revisions": ["4", "5"],
        "freeze_active_in": ["normal", "summer", "standby", "holiday"], "freeze_overrides_priority": True,
        "shared_target": False, "rate_limits_hot_water": False, "compensates_elevation": False, "save": ["Keep"],
    },
    "size": {"middle": {"input_minimum": 15000, "input_maximum": 118000, "fan_at_minimum": 1300,
                        "fan_at_maximum": 6100}},
    "setting": {},
}  # fmt: skip


def control_data(style: Style = "one number") -> dict[str, Any]:
    """Return the kit's control as a file holds it: every setting taken as typed, with some defaults."""
    data = copy.deepcopy(CONTROL)
    data["control"]["reset_style"] = style
    reset_rows = {name for name in SETTINGS if SETTINGS[name].group == "reset" and name.startswith("reset")}
    for name, row in SETTINGS.items():
        if name in reset_rows and name not in SETTINGS_OF[style]:
            continue
        data["setting"][name] = {"treatments": [], "label": row.title}
        if row.kind in (Kind.FAN_SPEED, Kind.PERCENT):
            data["setting"][name]["unit"] = "rpm" if row.kind is Kind.FAN_SPEED else "% of input"
        if name in DEFAULTS:
            data["setting"][name]["default"] = DEFAULTS[name]
    return data


def profile_data(style: Style = "one number", metric: bool = False) -> dict[str, Any]:
    """Return the kit's profile as a file holds it, in US or in metric units."""
    data = copy.deepcopy(PROFILE)
    data["settings"] = {**copy.deepcopy(SETTINGS_OF[style]), **copy.deepcopy(COMMON_SETTINGS)}
    return to_metric(data) if metric else data


def to_metric(data: Mapping[str, Any], digits: int = 4) -> dict[str, Any]:
    """Return a profile in US units as a metric file holds it, each number by its kind, to some decimals."""

    def convert(node: Any, name: str) -> Any:
        if isinstance(node, dict):
            return {key: convert(value, f"{name}.{key}" if name else key) for key, value in node.items()}
        if isinstance(node, list):
            return [convert(value, name) for value in node]
        name = name.removeprefix("settings.")
        if isinstance(node, bool | str) or name == "format" or name.startswith("plant."):
            return node
        kind = kind_of(name)
        if kind not in NUMERIC or kind is Kind.FAN_SPEED:
            return node
        return round(from_si(to_si(node, kind, "us"), kind, "metric"), digits)

    return {**convert(data, ""), "units": "metric"}


def put(data: dict[str, Any], changes: Mapping[str, Any]) -> None:
    """Put values at dotted paths: `settings.keep_warm`, `emitter.0.mixed`, `accepted`."""
    for path, value in changes.items():
        *way, last = path.split(".")
        node: Any = data
        for part in way:
            node = node[int(part)] if isinstance(node, list) else node.setdefault(part, {})
        if isinstance(node, list):
            node[int(last)] = value
        else:
            node[last] = value


def take(data: dict[str, Any], paths: Sequence[str]) -> None:
    """Take away what stands at dotted paths."""
    for path in paths:
        *way, last = path.split(".")
        node: Any = data
        for part in way:
            node = node[int(part)] if isinstance(node, list) else node.get(part, {})
        if isinstance(node, list):
            del node[int(last)]
        else:
            node.pop(last, None)


def make_control(
    changes: Mapping[str, Any] | None = None, drop: Sequence[str] = (), style: Style = "one number"
) -> Control:
    """Return the kit's control with changes at dotted paths."""
    data = control_data(style)
    take(data, drop)
    put(data, changes or {})
    source = Source("control.toml", "", data)
    check_schema(source, "control")
    return control_from(source)


def make_plant(
    changes: Mapping[str, Any] | None = None,
    *,
    drop: Sequence[str] = (),
    control: Mapping[str, Any] | None = None,
    drop_control: Sequence[str] = (),
    style: Style = "one number",
    metric: bool = False,
    context: Context | None = None,
    past: Past | None = None,
    path: str = "plant.toml",
) -> Plant:
    """Return the kit's plant with changes and without what is dropped, both at dotted paths."""
    data = profile_data(style, metric)
    take(data, drop)
    put(data, changes or {})
    source = Source(path, "", data)
    check_schema(source, "profile")
    return Plant(profile_from(source), make_control(control, drop_control, style), context or Context(AS_OF), past)


def rule_named(name: str) -> Rule:
    """Return a rule by its name."""
    return next(rule for rule in all_rules() if rule.name == name)


def answer(result: Result, rule: str) -> Answer:
    """Return in which of the four ways a rule ended."""
    if any(finding.rule == rule for finding in result.findings):
        return "found"
    if any(lack.rule == rule for lack in result.not_checked):
        return "not checked"
    return "clear" if rule in result.checked else "does not apply"


def ask(
    rule: str,
    changes: Mapping[str, Any] | None = None,
    *,
    drop: Sequence[str] = (),
    control: Mapping[str, Any] | None = None,
    drop_control: Sequence[str] = (),
    style: Style = "one number",
    metric: bool = False,
    context: Context | None = None,
    past: Past | None = None,
) -> Answer:
    """Return how a rule of scope `plant` ends on the kit's plant with changes, nothing assumed for what is missing."""
    plant = make_plant(
        changes, drop=drop, control=control, drop_control=drop_control, style=style, metric=metric, context=context,
        past=past,
    )  # fmt: skip
    return answer(audit(plant, [rule_named(rule)], assume=False), rule)


def finding(rule: str, changes: Mapping[str, Any] | None = None, **more: Any) -> Finding:
    """Return the first finding of a rule on the kit's plant with changes."""
    result = audit(make_plant(changes, **more), [rule_named(rule)], assume=False)
    return next(one for one in result.findings if one.rule == rule)
