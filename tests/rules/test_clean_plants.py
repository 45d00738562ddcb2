"""Believable, correctly set plants of every kind: no rule finds anything on them. False alarms kill trust."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Missing
from settingslint.rules.summary import Plants, summary_of
from settingslint.vocabulary.facts import EMITTER_KINDS
from tests.rules.kit import Style, make_plant

PLANT_RULES: Final = [rule for rule in all_rules() if rule.scope == "plant"]


def emitter(kind: str, supply: float, back: float, exponent: float, most: float, **more: Any) -> dict[str, Any]:
    return {
        "name": kind, "kind": kind, "design_supply": supply, "design_return": back, "load": 88000,
        "exponent": exponent, "oversize": 1.0, "maximum_supply": most, "mixed": False, **more,
    }  # fmt: skip


NO_HOT_WATER: Final[dict[str, Any]] = {
    "hot_water": {"kind": "none"}, "settings.hot_water_method": "none", "settings.hot_water_priority": False,
    "settings.tank_setpoint": 120, "settings.hot_water_boiler_setpoint": 160,
}  # fmt: skip
PLATE: Final[dict[str, Any]] = {
    "hot_water": {
        "kind": "plate", "cold_inlet": 46, "hardness": "soft", "low_use": False, "peak_flow": 2.2, "piped_here": True,
        "mixing_valve": True, "mixing_valve_tested": "2026-09-20", "mixing_valve_setpoint": 114,
        "circulation_loop": False,
    },
    "settings.hot_water_method": "plate", "settings.outlet_setpoint": 118, "settings.keep_warm": 6,
    "settings.hot_water_boiler_setpoint": 150, "settings.low_fire_hold": "off",
}  # fmt: skip
FLOOR: Final = emitter("heated floor", 102, 88, 1.1, 115)
FLOOR_LINE: Final[dict[str, Any]] = {
    "settings.heating_setpoint": 104, "settings.maximum_supply": 112, "settings.heating_differential": 10,
    "settings.heating_overshoot": 4, "building.mass": "heavy", "settings.outdoor_averaging": 12,
    "settings.room_influence": "off", "piping.smallest_zone": 26000,
}  # fmt: skip

Case = tuple[str, Mapping[str, Any], Style, bool]
CLEAN: Final[dict[str, Case]] = {
    "cast-iron radiators, tank": ("cast-iron radiator", {}, "one number", False),
    "cast-iron radiators, tank, two points": ("cast-iron radiator", {}, "two points", False),
    "cast-iron radiators, tank, slope and shift, metric": ("cast-iron radiator", {}, "slope and shift", True),
    "panel radiators, plate": (
        "panel radiator",
        {"emitter": [emitter("panel radiator", 156, 136, 1.3, 185)], **PLATE}, "two points", False,
    ),
    "baseboard, no hot water": (
        "finned tube",
        {
            "emitter": [emitter("finned tube", 168, 150, 1.4, 190)], **NO_HOT_WATER,
            "settings.heating_setpoint": 172, "settings.reset_endpoint": 84,
        },
        "one number", False,
    ),
    "convectors, tank": (
        "convector",
        {"emitter": [emitter("convector", 160, 140, 1.35, 190)], "settings.reset_hot_supply": 163}, "two points",
        False,
    ),
    "fan coils, no hot water": (
        "fan coil",
        {
            "emitter": [emitter("fan coil", 150, 130, 1.05, 180)], **NO_HOT_WATER,
            "settings.heating_setpoint": 154, "settings.reset_endpoint": 74,
        },
        "one number", False,
    ),
    "heated floor, plate": (
        "heated floor",
        {
            "emitter": [FLOOR], **PLATE, **FLOOR_LINE, "settings.reset_hot_supply": 103,
            "settings.reset_cool_supply": 78,
        },
        "two points", False,
    ),
    "heated floor, no hot water, one number": (
        "heated floor",
        {"emitter": [FLOOR], **NO_HOT_WATER, **FLOOR_LINE, "settings.reset_endpoint": 72}, "one number", False,
    ),
    "mixed floor beside radiators, tank": (
        "heated floor",
        {
            "emitter": [
                emitter("cast-iron radiator", 158, 138, 1.3, 190, load=60000), {**FLOOR, "load": 28000, "mixed": True},
            ],
        },
        "one number", False,
    ),
    "air coil without reset, tank": (
        "air coil",
        {
            "emitter": [emitter("air coil", 160, 140, 1.0, 190)], "settings.reset": False,
            "settings.heating_setpoint": {"value": 162, "why": "air coil needs it in all weathers"},
        },
        "one number", False,
    ),
    "pool without reset": (
        "pool",
        {
            "emitter": [emitter("pool", 150, 130, 1.0, 180)], **NO_HOT_WATER, "settings.reset": False,
            "settings.heating_setpoint": 152,
        },
        "one number", False,
    ),
    "snow melting with antifreeze": (
        "snow melting",
        {
            "emitter": [emitter("snow melting", 120, 95, 1.0, 140)], **NO_HOT_WATER, "settings.reset": False,
            "settings.heating_setpoint": 121, "settings.maximum_supply": 130, "water.fluid": "propylene glycol",
            "water.glycol_percent": 45, "water.glycol_by": "volume", "water.tested": "2026-09-20",
            "settings.heating_differential": 12, "settings.warm_weather_shutdown": "off",
        },
        "one number", False,
    ),
    "hot store behind a tested tempering valve": (
        "cast-iron radiator", {"settings.tank_setpoint": 150, "settings.hot_water_boiler_setpoint": 178},
        "one number", False,
    ),
    "vulnerable people": (
        "cast-iron radiator",
        {"site.occupants": "vulnerable", "hot_water.mixing_valve_setpoint": 109, "hot_water.outlet_measured": 107},
        "two points", False,
    ),
    "leader of a group": (
        "cast-iron radiator",
        {
            "plant.group": "plant room", "settings.cascade_role": "leader", "settings.cascade_address": 1,
            "settings.stage_order": "most", "settings.stage_on_delay": 12, "settings.rotation_interval": 96,
            "settings.stage_on_rate": 70, "settings.stage_off_rate": 30, "building.design_load": 176000,
        },
        "two points", False,
    ),
    "follower of a group": (
        "cast-iron radiator",
        {
            "plant.group": "plant room", "plant.name": "Boiler 2", "plant.serial": "K-2", "settings.cascade_role":
            "follower", "settings.cascade_address": 2, "settings.leader_loss": "local set point",
            "building.design_load": 176000, "boiler.serial_on_plate": "K-2",
        },
        "two points", False,
    ),
    "led by a building automation": (
        "cast-iron radiator",
        {
            "settings.external_signal": "temperature", "settings.external_low": 80, "settings.external_high": 172,
            "accessories.signal_low": 80, "accessories.signal_high": 172, "settings.external_loss": "local set point",
            "settings.call_source": "external signal", "accessories.bus_module": True, "settings.reset": False,
        },
        "one number", False,
    ),
    "high in the mountains": (
        "cast-iron radiator", {"site.elevation": 5200, "settings.elevation_setting": 5200}, "one number", False,
    ),
    "metric baseboard": (
        "finned tube",
        {
            "emitter": [
                {**emitter("finned tube", 74, 64, 1.4, 88), "load": 25.8},
            ],
            "settings.heating_setpoint": 76, "settings.reset_hot_supply": 75,
        },
        "two points", True,
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CLEAN)
def test_no_rule_finds_anything(name: str) -> None:
    _, changes, style, metric = CLEAN[name]
    result = audit(make_plant(changes, style=style, metric=metric), PLANT_RULES)
    assert [(one.rule, one.message) for one in result.findings] == []
    assert len(result.checked) > 60


def test_the_set_holds_every_kind_of_emitter_and_both_unit_systems() -> None:
    assert {case[0] for case in CLEAN.values()} == set(EMITTER_KINDS)
    assert {case[3] for case in CLEAN.values()} == {True, False}
    assert len(CLEAN) >= 15


def test_a_group_of_two_is_clean_together() -> None:
    plants = [
        make_plant(CLEAN[name][1], style=CLEAN[name][2], path=f"{name}.toml")
        for name in ("leader of a group", "follower of a group")
    ]
    summaries = [summary_of(plant) for plant in plants]
    for rule in all_rules():
        if rule.scope in ("group", "site", "portfolio"):
            said = [item for _, item in rule.check(Plants.of(summaries, {})) if not isinstance(item, Missing)]
            assert said == [], rule.name
