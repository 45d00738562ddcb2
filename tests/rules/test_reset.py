# ruff: noqa: E501
"""The reset group at its boundaries, with lines and shortfalls recomputed by hand in degrees Fahrenheit.

The kit's radiators need 158 F at 4 F, 120.8 F at 33 F and 70 F at 62 F: room 70 F, mean excess 78 F x share^(1/1.3)
(EN 442), drop 20 F x share. Margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.model.values import Value
from settingslint.physics.weather import Hours
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import Kelvin, celsius, kelvin
from tests.rules.kit import AS_OF, Answer, Style, ask, finding

TWO: Final[dict[str, Any]] = {"style": "two points"}
SLOPE: Final[dict[str, Any]] = {"style": "slope and shift"}
FLOOR: Final[dict[str, Any]] = {
    "name": "slab", "kind": "heated floor", "design_supply": 104, "design_return": 90, "maximum_supply": 120,
    "mixed": False,
}  # fmt: skip
OFF_WHEN_EQUAL: Final[dict[str, Any]] = {
    "control": {"setting.reset_endpoint.treatments": [{"does": "off when", "by": "heating_setpoint"}]}
}
END_CAPPED: dict[str, Any] = {
    "control": {
        "setting.reset_endpoint.treatments": [
            {"does": "cap", "by": "heating_setpoint"}, {"does": "off when", "by": "heating_setpoint"},
        ],
    }
}  # fmt: skip
CAPPED: Final[dict[str, Any]] = {
    "control": {"setting.reset_hot_supply.treatments": [{"does": "cap", "by": "heating_setpoint"}]},
    **TWO,
}
BOOST: Final = {"settings.boost_step": 5, "settings.boost_interval": 90}
LOSS: Final = {"settings.outdoor_sensor_loss": "set point", "emitter": [FLOOR]}
GENTLE: Final[dict[str, Any]] = {**FLOOR, "design_supply": 86, "design_return": 80}
FOREIGN: Final = {"settings.reset_slope": 1.2, "settings.reset_shift": 9}

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 164}, {}),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 180}, {}),
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_endpoint": 163.9}, {}),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164}, OFF_WHEN_EQUAL),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 164.1}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_endpoint": 163.9}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164, "settings.reset": False}, {}),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["settings.reset_endpoint"]}),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_hot_supply": 164.1}, TWO),
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_hot_supply": 164}, TWO),
    ("reset-endpoint-above-setpoint", "found", {"settings.maximum_supply": 161.9}, TWO),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_hot_supply": 164.1}, CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_hot_supply": 175, "settings.cascade_role": "follower"}, TWO),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["settings.reset_warm_outdoor"], **TWO}),
    # 70 + 6 + 1.33 x 66 = 163.8 F; 1.34: 164.4 F
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_slope": 1.33}, SLOPE),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_slope": 1.34}, SLOPE),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["site.design_outdoor"], **SLOPE}),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.heating_setpoint": 100}, {"style": "none"}),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 74}, {"metric": True}),
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_endpoint": 73}, {"metric": True}),
    ("reset-off-unsaid", "found", {"settings.reset_endpoint": 164}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "clear", {"settings.reset_endpoint": 163}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "clear", {"settings.reset_endpoint": {"value": 164, "why": "air heater"}}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "found",
     {"settings.reset_endpoint": 164, "settings.heating_setpoint": {"value": 164, "why": "the radiators"}}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "does not apply", {"settings.reset_endpoint": 164, "settings.reset": False}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "clear", {"settings.reset_endpoint": 164}, {}),
    ("reset-off-unsaid", "not checked", {}, {"drop": ["settings.reset_endpoint"], **OFF_WHEN_EQUAL}),
    ("reset-off-unsaid", "found", {"settings.reset_cool_supply": 162}, TWO),
    ("reset-off-unsaid", "clear", {"settings.reset_cool_supply": 161.9}, TWO),
    ("reset-off-unsaid", "clear", {"settings.reset_cool_supply": {"value": 162, "why": "pool"}}, TWO),
    ("reset-off-unsaid", "found", {"settings.reset_slope": 0}, SLOPE),
    ("reset-off-unsaid", "clear", {"settings.reset_slope": 0.1}, SLOPE),
    ("reset-off-unsaid", "found", {"settings.reset_cool_supply": 70, "settings.reset_hot_supply": 70}, {"metric": True, **TWO}),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_cool_supply": 152.1}, TWO),
    ("reset-line-flat-or-upside-down", "clear", {"settings.reset_cool_supply": 152}, TWO),
    ("reset-line-flat-or-upside-down", "clear", {"settings.reset_cool_supply": 162}, TWO),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_cool_supply": 163}, TWO),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_endpoint": 154.1}, {}),
    ("reset-line-flat-or-upside-down", "clear", {"settings.reset_endpoint": 154}, {}),
    # 0.15 x 66 F = 9.9 F; 0.16 x 66 F = 10.6 F
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_slope": 0.15}, SLOPE),
    ("reset-line-flat-or-upside-down", "clear", {"settings.reset_slope": 0.16}, SLOPE),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_slope": -0.1}, SLOPE),
    # a floor that needs 86 F on the design day in a room of 70 F: 16 F of need, so a fall of 8 F is gentle and no finding
    ("reset-line-flat-or-upside-down", "clear",
     {"emitter": [GENTLE], "settings.reset_hot_supply": 88, "settings.reset_cool_supply": 80}, TWO),
    ("reset-line-flat-or-upside-down", "found",
     {"emitter": [GENTLE], "settings.reset_hot_supply": 88, "settings.reset_cool_supply": 80.1}, TWO),
    ("reset-line-flat-or-upside-down", "does not apply", {"settings.reset": False}, TWO),
    ("reset-line-flat-or-upside-down", "not checked", {}, {"drop": ["settings.reset_cool_supply"], **TWO}),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_cool_supply": 67}, {"metric": True, **TWO}),
    ("reset-anchors-equal-or-swapped", "found", {"settings.reset_cold_outdoor": 62}, TWO),
    ("reset-anchors-equal-or-swapped", "not checked", {"settings.reset_cold_outdoor": 61.9}, TWO),
    ("reset-anchors-equal-or-swapped", "not checked", {}, {"drop": ["settings.reset_cold_outdoor"], **TWO}),
    ("reset-anchors-equal-or-swapped", "does not apply", {"settings.reset": False, "settings.reset_cold_outdoor": 62}, TWO),
    ("reset-anchors-equal-or-swapped", "does not apply", {}, SLOPE),
    ("reset-anchors-equal-or-swapped", "found", {}, {"control": {"control.cold_anchor": 76}, "drop_control": ["setting.reset_cold_outdoor"]}),
    ("reset-anchors-equal-or-swapped", "clear", {}, {"control": {"control.cold_anchor": 75}, "drop_control": ["setting.reset_cold_outdoor"]}),
    ("reset-anchors-equal-or-swapped", "found", {"settings.reset_warm_outdoor": -16}, {"metric": True, **TWO}),
    # -6 F is 10 F colder than 4 F: the line then gives 98 + 64 x 58/68 = 152.6 F against 158 F
    ("reset-anchor-far-from-design", "clear", {"settings.reset_cold_outdoor": -6}, TWO),
    ("reset-anchor-far-from-design", "found", {"settings.reset_cold_outdoor": -6.1}, TWO),
    ("reset-anchor-far-from-design", "clear", {"settings.reset_cold_outdoor": 14}, TWO),
    ("reset-anchor-far-from-design", "found", {"settings.reset_cold_outdoor": 14.1}, TWO),
    # colder, and hot enough all the same: 98 + 76 x 58/72 = 159.2 F
    ("reset-anchor-far-from-design", "clear",
     {"settings.reset_cold_outdoor": -10, "settings.reset_hot_supply": 174, "settings.heating_setpoint": 175}, TWO),
    ("reset-anchor-far-from-design", "does not apply", {"settings.reset": False, "settings.reset_cold_outdoor": -20}, TWO),
    ("reset-anchor-far-from-design", "not checked", {}, {"drop": ["site.design_outdoor"], **TWO}),
    ("reset-anchor-far-from-design", "does not apply", {}, SLOPE),
    ("reset-anchor-far-from-design", "found", {"settings.reset_cold_outdoor": -25}, {"metric": True, **TWO}),
    ("reset-line-below-emitter-need", "found", {"settings.reset_endpoint": 67}, {}),
    ("reset-line-below-emitter-need", "clear", {"settings.reset_endpoint": 68}, {}),
    # 155.1 F with 3 F more covers the need of 158 F on the design day; the mild half is far above
    ("reset-line-below-emitter-need", "clear", {"settings.reset_hot_supply": 155.1, "settings.reset_cool_supply": 110}, TWO),
    ("reset-line-below-emitter-need", "found", {"settings.reset_hot_supply": 154.9, "settings.reset_cool_supply": 110}, TWO),
    # what the set point can't give is left to the set point's rule
    ("reset-line-below-emitter-need", "clear",
     {"settings.reset_hot_supply": 150, "settings.heating_setpoint": 150, "settings.reset_cool_supply": 130}, TWO),
    ("reset-line-below-emitter-need", "found", {"settings.reset_shift": 0}, SLOPE),
    ("reset-line-below-emitter-need", "does not apply", {"settings.reset": False}, {}),
    ("reset-line-below-emitter-need", "does not apply", {"settings.external_signal": "temperature"}, {}),
    ("reset-line-below-emitter-need", "does not apply", {"emitter.0.mixed": True}, {}),
    ("reset-line-below-emitter-need", "not checked", {}, {"drop": ["building.balance_point"]}),
    ("reset-line-below-emitter-need", "not checked", {"building.balance_point": 3}, {}),
    ("reset-line-below-emitter-need", "not checked", {"settings.reset_cold_outdoor": 70}, TWO),
    ("reset-line-below-emitter-need", "found", {"settings.reset_hot_supply": 66, "settings.reset_cool_supply": 45}, {"metric": True, **TWO}),
    ("reset-line-below-emitter-need", "clear", {"settings.reset_hot_supply": 69, "settings.reset_cool_supply": 45}, {"metric": True, **TWO}),
    ("reset-line-far-above-need", "found", {"settings.reset_cool_supply": 108}, TWO),
    ("reset-line-far-above-need", "clear", {"settings.reset_cool_supply": 106}, TWO),
    ("reset-line-far-above-need", "does not apply", {"settings.reset_cool_supply": 125, "boiler.condensing": False}, TWO),
    ("reset-line-far-above-need", "does not apply", {"settings.reset": False}, {}),
    ("reset-line-far-above-need", "not checked", {"settings.reset_cool_supply": 125}, {"drop": ["gas.fuel"], **TWO}),
    # the floor's own surplus belongs to the rule about the floor
    ("reset-line-far-above-need", "clear", {"settings.minimum_supply": 160}, TWO),
    ("reset-line-far-above-need", "found", {"settings.reset_cool_supply": 52}, {"metric": True, **TWO}),
    ("reset-line-far-above-need", "clear", {"settings.reset_cool_supply": 40}, {"metric": True, **TWO}),
    ("minimum-supply-above-cool-end", "found", {"settings.minimum_supply": 98.1}, TWO),
    ("minimum-supply-above-cool-end", "clear", {"settings.minimum_supply": 98}, TWO),
    ("minimum-supply-above-cool-end", "does not apply", {}, TWO),
    ("minimum-supply-above-cool-end", "does not apply", {"settings.minimum_supply": 120}, {}),
    ("minimum-supply-above-cool-end", "not checked", {"settings.minimum_supply": 120}, {"drop": ["settings.reset_cool_supply"], **TWO}),
    ("minimum-supply-above-cool-end", "found", {"settings.minimum_supply": 37}, {"metric": True, **TWO}),
    ("minimum-supply-above-cool-end", "clear", {"settings.minimum_supply": 36}, {"metric": True, **TWO}),
    # 70 + 9 + 1.2 x 66 = 158.2 F against 161.6 F; at 33 F 123.4 against 127.1 F; at 62 F 88.6 against 92.65 F
    ("two-reset-lines-recorded", "clear", FOREIGN, {}),
    ("two-reset-lines-recorded", "found", {**FOREIGN, "settings.reset_shift": 8.0}, {}),
    ("two-reset-lines-recorded", "clear", {**FOREIGN, "settings.reset_shift": 8.1}, {}),
    ("two-reset-lines-recorded", "found", {"settings.reset_endpoint": 120}, SLOPE),
    ("two-reset-lines-recorded", "found",
     {"settings.reset_hot_supply": 140, "settings.reset_cool_supply": 90, "settings.reset_warm_outdoor": 60, "settings.reset_cold_outdoor": 4}, SLOPE),
    ("two-reset-lines-recorded", "does not apply", {}, {}),
    ("two-reset-lines-recorded", "not checked", FOREIGN, {"drop": ["site.design_outdoor"]}),
    ("two-reset-lines-recorded", "found", {"settings.reset_slope": 0.8}, {"metric": True}),
    ("several-shifts-at-once", "found", {**BOOST, "settings.outdoor_correction": 1}, {}),
    ("several-shifts-at-once", "clear", BOOST, {}),
    ("several-shifts-at-once", "found", {**BOOST, "settings.room_influence": 20, "accessories.room_unit": True}, {}),
    ("several-shifts-at-once", "clear", {**BOOST, "settings.room_influence": 20}, {}),
    ("several-shifts-at-once", "does not apply", {**BOOST, "settings.outdoor_correction": 1, "settings.reset": False}, {}),
    ("several-shifts-at-once", "not checked", BOOST, {"drop": ["settings.heating_setpoint"]}),
    # line at 33 F: 127.1 F; 36.9 F to the set point: 3 steps of 15 F, 4 of 12 F
    ("boost-defeats-reset", "found", {"settings.boost_step": 15, "settings.boost_interval": 20}, {}),
    ("boost-defeats-reset", "clear", {"settings.boost_step": 15, "settings.boost_interval": 21}, {}),
    ("boost-defeats-reset", "clear", {"settings.boost_step": 12, "settings.boost_interval": 20}, {}),
    ("boost-defeats-reset", "does not apply", {}, {"drop": ["emitter"]}),
    ("boost-defeats-reset", "not checked", {"settings.boost_step": 15}, {}),
    ("boost-defeats-reset", "found", {"settings.boost_step": 8, "settings.boost_interval": 20}, {"metric": True}),
    ("warm-weather-shutdown-below-balance-point", "clear", {"settings.warm_weather_shutdown": 59}, {}),
    ("warm-weather-shutdown-below-balance-point", "found", {"settings.warm_weather_shutdown": 58.9}, {}),
    ("warm-weather-shutdown-below-balance-point", "found", {"settings.warm_weather_shutdown": 0}, {"metric": True}),
    ("warm-weather-shutdown-below-balance-point", "does not apply", {"settings.warm_weather_shutdown": "off"}, {}),
    ("warm-weather-shutdown-below-balance-point", "not checked", {}, {"drop": ["building.balance_point"]}),
    ("warm-weather-shutdown-below-balance-point", "found", {"settings.warm_weather_shutdown": 15, "building.balance_point": 17}, {"metric": True}),
    ("warm-weather-shutdown-below-balance-point", "clear", {"settings.warm_weather_shutdown": 15, "building.balance_point": 16.6}, {"metric": True}),
    ("warm-weather-shutdown-far-above-balance-point", "clear", {"settings.warm_weather_shutdown": 67}, {}),
    ("warm-weather-shutdown-far-above-balance-point", "found", {"settings.warm_weather_shutdown": 67.1}, {}),
    ("warm-weather-shutdown-far-above-balance-point", "does not apply",
     {"settings.warm_weather_shutdown": 80, "emitter": [{"kind": "pool", "mixed": False}]}, {}),
    ("warm-weather-shutdown-far-above-balance-point", "not checked", {"settings.warm_weather_shutdown": 80}, {"drop": ["emitter"]}),
    # 98 + 64 x (72 - 63)/(72 - 4) = 106.5 F in use; with 74 F: 108.06 F, just above 98 + 10
    ("mild-end-never-used", "clear", {"settings.reset_warm_outdoor": 72}, TWO),
    ("mild-end-never-used", "found", {"settings.reset_warm_outdoor": 74}, TWO),
    ("mild-end-never-used", "clear", {}, TWO),
    ("mild-end-never-used", "not checked", {}, {"drop": ["settings.warm_weather_shutdown"], **TWO}),
    ("mild-end-never-used", "does not apply", {"settings.reset": False, "settings.reset_warm_outdoor": 80}, TWO),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False}, {}),
    ("reset-without-outdoor-sensor", "clear", {}, {}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False, "settings.reset": False}, {}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False},
     {"drop": ["settings.reset"], "drop_control": ["setting.reset"], **TWO}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False, "settings.reset": {"left": "default"}},
     {"control": {"setting.reset.default": True}}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False, "settings.reset": {"left": "default"}},
     {"control": {"setting.reset.default": False}}),
    ("reset-without-outdoor-sensor", "found", {"accessories.outdoor_sensor": False},
     {"control": {"setting.reset.needs": [{"accessory": "outdoor_sensor", "otherwise": "ignored"}]}}),
    ("reset-without-outdoor-sensor", "not checked", {}, {"drop": ["accessories.outdoor_sensor"]}),
    ("reset-without-outdoor-sensor", "does not apply", {"accessories.outdoor_sensor": False}, {"style": "none"}),
    ("outdoor-sensor-unused", "found", {"settings.reset": False}, {}),
    ("outdoor-sensor-unused", "clear", {}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": {"value": False, "why": "process load"}}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": False, "emitter": [{"kind": "air coil"}]}, {}),
    ("outdoor-sensor-unused", "clear", {"settings.reset": False, "boiler.tankless_coil": True}, {}),
    ("outdoor-sensor-unused", "does not apply", {"settings.reset": False, "accessories.outdoor_sensor": False}, {}),
    ("outdoor-sensor-unused", "does not apply", {}, {"style": "none"}),
    ("outdoor-sensor-unused", "not checked", {"settings.reset": False}, {"drop": ["emitter"]}),
    ("sensor-loss-stops-heat", "found", {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vulnerable"}, {}),
    ("sensor-loss-stops-heat", "found", {"settings.outdoor_sensor_loss": "minimum", "site.occupants": "vacant"}, {}),
    ("sensor-loss-stops-heat", "clear", {"settings.outdoor_sensor_loss": "set point", "site.occupants": "vacant"}, {}),
    ("sensor-loss-stops-heat", "clear", {"settings.outdoor_sensor_loss": "stop"}, {}),
    ("sensor-loss-stops-heat", "does not apply", {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vacant", "settings.reset": False}, {}),
    ("sensor-loss-stops-heat", "not checked", {}, {"drop": ["settings.outdoor_sensor_loss"]}),
    ("sensor-loss-overheats-emitter", "found", {**LOSS, "settings.heating_setpoint": 120.1}, {}),
    ("sensor-loss-overheats-emitter", "clear", {**LOSS, "settings.heating_setpoint": 120}, {}),
    ("sensor-loss-overheats-emitter", "clear", {**LOSS, "settings.outdoor_sensor_loss": "minimum"}, {}),
    ("sensor-loss-overheats-emitter", "does not apply", {**LOSS, "emitter": [{**FLOOR, "mixed": True}]}, {}),
    ("sensor-loss-overheats-emitter", "does not apply", {**LOSS, "settings.reset": False}, {}),
    ("sensor-loss-overheats-emitter", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.outdoor_sensor_loss"]}),
    ("outdoor-correction-large", "clear", {"settings.outdoor_correction": 3}, {}),
    ("outdoor-correction-large", "found", {"settings.outdoor_correction": 3.1}, {}),
    ("outdoor-correction-large", "found", {"settings.outdoor_correction": -3.1}, {}),
    ("outdoor-correction-large", "not checked", {}, {"drop": ["settings.outdoor_correction"]}),
    ("outdoor-correction-large", "found", {"settings.outdoor_correction": 2}, {"metric": True}),
    ("outdoor-correction-large", "clear", {"settings.outdoor_correction": 1.5}, {"metric": True}),
    ("outdoor-averaging-unlike-building", "clear", {"building.mass": "light", "settings.outdoor_averaging": 6}, {}),
    ("outdoor-averaging-unlike-building", "found", {"building.mass": "light", "settings.outdoor_averaging": 6.1}, {}),
    ("outdoor-averaging-unlike-building", "clear", {"building.mass": "heavy", "settings.outdoor_averaging": 12}, {}),
    ("outdoor-averaging-unlike-building", "found", {"building.mass": "heavy", "settings.outdoor_averaging": 11}, {}),
    ("outdoor-averaging-unlike-building", "clear", {"settings.outdoor_averaging": 45}, {}),
    ("outdoor-averaging-unlike-building", "found", {"settings.outdoor_averaging": 46}, {}),
    ("outdoor-averaging-unlike-building", "does not apply", {"settings.outdoor_averaging": 46, "settings.reset": False}, {}),
    ("outdoor-averaging-unlike-building", "not checked", {}, {"drop": ["building.mass"]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, TWO, {"reset_hot_supply": celsius(164)}),
        (
            "reset-endpoint-above-setpoint",
            {"settings.reset_hot_supply": 175, "settings.heating_setpoint": 150},
            TWO,
            {"heating_setpoint": celsius(175)},
        ),
        ("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 164}, {}, {"reset_endpoint": celsius(70)}),
        ("reset-off-unsaid", {"settings.reset_endpoint": 164}, OFF_WHEN_EQUAL, {"reset_endpoint": celsius(70)}),
        (
            "reset-off-unsaid",
            {"settings.reset_cool_supply": 162},
            TWO,
            {"reset_hot_supply": celsius(158), "reset_cool_supply": celsius(88)},
        ),
        (
            "reset-line-flat-or-upside-down",
            {"settings.reset_hot_supply": 98, "settings.reset_cool_supply": 162},
            TWO,
            {"reset_hot_supply": celsius(162), "reset_cool_supply": celsius(98)},
        ),
        (
            "reset-line-flat-or-upside-down",
            {"settings.reset_cool_supply": 163},
            TWO,
            {"reset_hot_supply": celsius(158), "reset_cool_supply": celsius(88)},
        ),
        (
            "reset-anchors-equal-or-swapped",
            {"settings.reset_cold_outdoor": 62, "settings.reset_warm_outdoor": 4},
            TWO,
            {"reset_cold_outdoor": celsius(4), "reset_warm_outdoor": celsius(62)},
        ),
        (
            "reset-anchor-far-from-design",
            {"settings.reset_cold_outdoor": -20},
            TWO,
            {"reset_cold_outdoor": celsius(4)},
        ),
        ("reset-line-below-emitter-need", {"settings.reset_shift": 0}, SLOPE, {"reset_shift": kelvin(4)}),
        ("reset-line-below-emitter-need", {"settings.reset_endpoint": 66}, {}, {"reset_endpoint": celsius(70)}),
        (
            "reset-line-far-above-need",
            {"settings.reset_shift": 20, "settings.heating_setpoint": 180},
            SLOPE,
            {"reset_shift": kelvin(4)},
        ),
        ("minimum-supply-above-cool-end", {"settings.minimum_supply": 110}, TWO, {"minimum_supply": celsius(98)}),
        (
            "minimum-supply-above-cool-end",
            {"settings.minimum_supply": 110, "boiler.condensing": False},
            TWO,
            {"reset_cool_supply": celsius(110)},
        ),
        (
            "boost-defeats-reset",
            {"settings.boost_step": 15, "settings.boost_interval": 20},
            {},
            {"boost_interval": 25 * 60.0},
        ),
        (
            "warm-weather-shutdown-below-balance-point",
            {"settings.warm_weather_shutdown": 55},
            {},
            {"warm_weather_shutdown": celsius(62)},
        ),
        (
            "warm-weather-shutdown-far-above-balance-point",
            {"settings.warm_weather_shutdown": 70},
            {},
            {"warm_weather_shutdown": celsius(62)},
        ),
        (
            "outdoor-averaging-unlike-building",
            {"building.mass": "heavy"},
            {},
            {"outdoor_averaging": 12 * 3600.0},
        ),
    ],
)
def test_remedies(rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, float]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set == pytest.approx(proposed)


@pytest.mark.parametrize(
    ("rule", "changes", "setting", "value"),
    [
        ("outdoor-sensor-unused", {"settings.reset": False}, "reset", True),
        (
            "sensor-loss-stops-heat",
            {"settings.outdoor_sensor_loss": "stop", "site.occupants": "vulnerable"},
            "outdoor_sensor_loss",
            "fixed outdoor temperature",
        ),
        ("sensor-loss-overheats-emitter", LOSS, "outdoor_sensor_loss", "fixed outdoor temperature"),
    ],
)
def test_switches_as_remedies(rule: str, changes: dict[str, Any], setting: str, value: Value) -> None:
    remedy = finding(rule, changes).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set == {setting: value}


def test_the_line_flattens_where_it_meets_the_cap() -> None:
    # 4 + (175 - 164)/(175 - 98) x (62 - 4) = 12.29 F; slope: 70 - (164 - 76)/1.5 = 11.33 F
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, **TWO)
    assert one.numbers["flat below"].value == pytest.approx(celsius(12.2857), abs=1e-3)
    other = finding("reset-endpoint-above-setpoint", {"settings.reset_slope": 1.5}, **SLOPE)
    assert other.numbers["flat below"].value == pytest.approx(celsius(11.3333), abs=1e-3)


@pytest.mark.parametrize(
    ("changes", "more", "severity"),
    [
        # the need is 158 F: a cap of 155 F covers it within 3 F
        ({"settings.reset_hot_supply": 175, "settings.heating_setpoint": 155}, TWO, Severity.WASTE),
        ({"settings.reset_hot_supply": 175, "settings.heating_setpoint": 154.9}, TWO, Severity.OUTAGE),
        ({"settings.reset_endpoint": 164}, {}, Severity.WASTE),
        ({"settings.reset_endpoint": 164.1}, {}, Severity.OUTAGE),
    ],
)
def test_an_end_above_the_set_point_is_an_outage_where_water_is_lacking(
    changes: dict[str, Any], more: dict[str, Any], severity: Severity
) -> None:
    assert finding("reset-endpoint-above-setpoint", changes, **more).severity is severity


def test_without_a_known_need_a_cut_line_counts_as_an_outage() -> None:
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, drop=["emitter"], **TWO)
    assert one.severity is Severity.OUTAGE


@pytest.mark.parametrize(
    ("rule", "changes", "style", "severity", "at"),
    [
        ("reset-line-flat-or-upside-down", {"settings.reset_cool_supply": 155}, "two points", "waste", "reset_cool_supply"),
        ("reset-line-flat-or-upside-down", {"settings.reset_cool_supply": 170}, "two points", "outage", "reset_cool_supply"),
        ("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": 20}, "two points", "waste", "reset_cold_outdoor"),
        ("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, "two points", "outage", "reset_cold_outdoor"),
        ("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, "two points", "outage", "reset_hot_supply"),
        ("reset-line-below-emitter-need", {"settings.reset_cool_supply": 70}, "two points", "waste", "reset_cool_supply"),
        ("reset-line-below-emitter-need", {"settings.reset_shift": 0}, "slope and shift", "waste", "reset_shift"),
    ],
)  # fmt: skip
def test_how_bad_and_where(rule: str, changes: dict[str, Any], style: Style, severity: str, at: str) -> None:
    one = finding(rule, changes, style=style)
    assert (one.severity, one.at) == (severity, at)


def test_shortfall_and_load_can_be_checked_by_hand() -> None:
    # at 4 F: 98 + (140 - 98) = 140 F against 158 F
    short = finding("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, **TWO)
    assert short.numbers["short"].value == pytest.approx(kelvin(18))
    assert short.numbers["at outdoors"].value == pytest.approx(celsius(4))
    # 88,000 Btu/h x (62 - 55)/(62 - 4) = 10,621 Btu/h
    shut = finding("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 55})
    assert shut.numbers["load"].value / 0.29307107 == pytest.approx(10621, abs=1)
    # 88 F over 74 F: 1.189 F per F, times -6 F
    moved = finding("outdoor-correction-large", {"settings.outdoor_correction": 6})
    assert Kelvin(moved.numbers["supply moves"].value) == pytest.approx(kelvin(-7.135), abs=1e-3)


def test_hours_of_a_weather_file_count() -> None:
    warm_year = Context(AS_OF, hours=Hours(((-5.0, 10), (14.0, 5000))))
    cold_year = Context(AS_OF, hours=Hours(((-15.0, 5000), (14.0, 10))))
    changes = {"settings.reset_cool_supply": 106}
    assert ask("reset-line-far-above-need", changes, context=warm_year, **TWO) == "found"
    assert ask("reset-line-far-above-need", changes, context=cold_year, **TWO) == "clear"
    short = finding("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, context=cold_year, **TWO)
    assert "5,000 h a year" in short.message


def test_an_owner_can_set_the_margin_and_the_finding_says_so() -> None:
    owner = Context(AS_OF, thresholds={"shutdown_below_balance": kelvin(5)})
    assert (
        ask("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 57}, context=owner)
        == "clear"
    )
    one = finding("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 56}, context=owner)
    assert "owner's number: shutdown_below_balance" in one.message


def test_a_heavy_slab_is_only_asked_about_a_low_shutdown() -> None:
    changes = {"settings.warm_weather_shutdown": 55, "building.mass": "heavy"}
    assert finding("warm-weather-shutdown-below-balance-point", changes).certainty is Certainty.ASK


def test_where_a_minimum_begins_to_hold_the_line_up() -> None:
    # 4 + (162 - 110)/(162 - 98) x 58 = 51.125 F; a minimum above the hot end holds it up from the cold end on
    one = finding("minimum-supply-above-cool-end", {"settings.minimum_supply": 110}, **TWO)
    assert one.numbers["flat from"].value == pytest.approx(celsius(51.125), abs=1e-3)
    whole = finding("minimum-supply-above-cool-end", {"settings.minimum_supply": 163}, **TWO)
    assert whole.numbers["flat from"].value == pytest.approx(celsius(4))


def test_what_boost_makes_of_the_line() -> None:
    # 76 + 88 x (76 - 33)/74 = 127.1 F; three steps of 15 F, 20 min each
    one = finding("boost-defeats-reset", {"settings.boost_step": 15, "settings.boost_interval": 20})
    assert one.numbers["supply"].value == pytest.approx(celsius(127.135), abs=1e-3)
    assert one.numbers["after"].value == 3600.0


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        # 48 F: 125 + 37 x 14/58 = 133.9 F, less 20 x 0.241 = 129.1 F; 20 F: need 138.1 F + 5 F - 14.5 F = 128.6 F
        ({"settings.reset_cool_supply": 125}, "condenses only from 48 F outdoors, with need plus 5 F from 20 F"),
        ({"settings.reset_hot_supply": 163, "settings.reset_cool_supply": 140}, "condenses never, with need plus 5 F from 20 F"),
    ],
)  # fmt: skip
def test_what_a_line_above_the_need_costs_in_condensing(changes: dict[str, Any], text: str) -> None:
    assert text in finding("reset-line-far-above-need", changes, **TWO).message


def test_no_gain_is_promised_where_none_is() -> None:
    floor = {**FLOOR, "design_supply": 104, "design_return": 90, "maximum_supply": 140}
    changes = {"emitter": [floor], "settings.reset_hot_supply": 125, "settings.reset_cool_supply": 110}
    assert "condenses" not in finding("reset-line-far-above-need", changes, **TWO).message


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"settings.reset_hot_supply": 140}, "cold only in hard weather"),
        ({"settings.reset_cool_supply": 70}, "cold only in mild weather"),
        ({"settings.reset_hot_supply": 140, "settings.reset_cool_supply": 60}, "raise the whole line"),
    ],
)
def test_the_advice_follows_where_it_is_cold(changes: dict[str, Any], text: str) -> None:
    remedy = finding("reset-line-below-emitter-need", changes, **TWO).remedy
    assert remedy is not None
    assert text in remedy.text


def test_hours_are_those_whose_middle_lies_in_the_band() -> None:
    # short from 4 F (-15.6 C) to 30 F (-1.1 C)
    hours = Hours(((-17.0, 1), (-16.0, 20), (-2.0, 300), (-1.0, 4000)))
    one = finding(
        "reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, context=Context(AS_OF, hours=hours), **TWO
    )
    assert "320 h a year" in one.message


def test_two_lines_are_compared_half_way_too() -> None:
    # at 4 F both are held at the cap, at 62 F both give 92.6 F; at 33 F 70 + 6.65 + 2 x 37 = 150.7 F against 127.1 F
    one = finding("two-reset-lines-recorded", {"settings.reset_slope": 2.0, "settings.reset_shift": 6.65})
    assert one.numbers["outdoors"].value == pytest.approx(celsius(33))
    assert one.numbers["other line"].value == pytest.approx(celsius(150.65))


def test_an_end_point_that_means_off_by_itself_was_said() -> None:
    control = {"setting.reset_endpoint.treatments": [{"does": "off when", "equals": 50}]}
    assert ask("reset-off-unsaid", {"settings.reset_endpoint": 50}, control=control) == "clear"


def test_messages_say_which_side() -> None:
    warm = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": 20}, **TWO).message
    cold = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, **TWO).message
    assert "16 F warmer" in warm
    assert "24 F colder" in cold
    assert "the emitters need 158 F" in cold
    blind = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, drop=["emitter"], **TWO)
    assert "need" not in blind.message
    assert blind.severity is Severity.WASTE
    lost = {"accessories.outdoor_sensor": False}
    assert "goes to: fixed outdoor temperature" in finding("reset-without-outdoor-sensor", lost).message
    unknown = finding("reset-without-outdoor-sensor", lost, drop=["settings.outdoor_sensor_loss"])
    assert "not recorded" in unknown.message


def test_a_one_number_line_of_the_wrong_order_gets_words_only() -> None:
    one = finding("reset-anchors-equal-or-swapped", {"settings.reset_endpoint": 40}, control={"control.cold_anchor": 76},
                  drop_control=["setting.reset_cold_outdoor"])  # fmt: skip
    assert one.remedy is not None
    assert one.remedy.set == {}


def test_the_line_s_remedy_moves_a_cold_end_that_stands_far_off() -> None:
    changes = {"settings.reset_cold_outdoor": 20, "settings.reset_cool_supply": 125}
    remedy = finding("reset-line-far-above-need", changes, **TWO).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set["reset_cold_outdoor"] == pytest.approx(celsius(4))


def test_no_line_is_proposed_that_the_control_can_t_take() -> None:
    control = {"setting.reset_cool_supply.range": {"low": 60, "high": 80}}
    remedy = finding("reset-line-below-emitter-need", {"settings.reset_cool_supply": 70}, control=control, **TWO).remedy
    assert remedy is not None
    assert remedy.set == {}


def test_an_end_point_that_the_control_caps_at_the_set_point_says_so() -> None:
    """The control keeps the line level: waste, not the cold house of a line that rises towards mild weather."""
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 170}, **END_CAPPED)
    assert one.severity is Severity.WASTE
    assert "170 F is above the heating set point 164 F: the same supply in all weathers" in one.message
    assert one.message.endswith("on this control that means off")
    cold = {"settings.reset_endpoint": 130, "settings.heating_setpoint": 120}
    remedy = finding("reset-endpoint-above-setpoint", cold, **END_CAPPED).remedy
    assert remedy is not None
    assert remedy.set == {}  # no end below 120 F would do
    assert finding("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 170}).severity is Severity.OUTAGE
