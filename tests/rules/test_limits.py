# ruff: noqa: E501
"""The limits group at its boundaries.

Boiling points: CoolProp. The water column: 1 psi for 2.31 ft (from memory), 22 ft are 9.5 psi. Automatic against manual
reset: ASME CSD-1 (from memory). Other margins are common practice, no source. No rule of this group ever gives a limit
a figure.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any, Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.checking.audit import audit
from settingslint.model.values import Value
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Finding, Severity
from settingslint.rules.past import Left, Past
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from settingslint.vocabulary.settings import FIRING, LIMITS
from tests.rules.declared import undeclared
from tests.rules.kit import AS_OF, PROFILE, Answer, ask, finding, make_plant

METRIC: Final[dict[str, Any]] = {"metric": True}
TWO: Final[dict[str, Any]] = {"style": "two points"}
SLOPE: Final[dict[str, Any]] = {"style": "slope and shift"}
NO_OPERATING: Final[dict[str, Any]] = {
    "drop": ["settings.operating_limit"],
    "drop_control": ["setting.operating_limit"],
}
NO_HIGH: Final[dict[str, Any]] = {"drop": ["settings.high_limit"], "drop_control": ["setting.high_limit"]}
NO_HOT_WATER: Final = {"hot_water.kind": "none"}
SIGNAL: Final = {"settings.external_signal": "temperature"}
NO_CUTOUT: Final[dict[str, Any]] = {
    "drop": ["settings.low_pressure_cutout"],
    "drop_control": ["setting.low_pressure_cutout"],
}
FAULT: Final = {"visit.kind": "fault", "visit.why": "no heat in the night"}
TEST: Final = {"visit.why": "test of the limits"}


def both(one: dict[str, Any], other: dict[str, Any]) -> dict[str, Any]:
    return {key: [*one[key], *other[key]] for key in one}


def before(**typed: Value) -> dict[str, Any]:
    """Return a history in which the last state had these values, SI, and one before it others."""
    older = Left(date(2024, 10, 1), "somebody", "service", dict.fromkeys(typed, "older"), {})
    return {"past": Past((older, Left(date(2025, 10, 1), "somebody", "service", typed, {})))}


LOWER: Final = before(high_limit=celsius(200))
UNMOVED: Final = before(high_limit=celsius(206), ignition_trials=3.0)

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    # 190 F operating limit - 6 F overshoot - 10 F margin = 174 F
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 174}, {}),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 174.1}, {}),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 190, "settings.maximum_supply": 174}, {}),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 190, "settings.maximum_supply": 174.1}, {}),
    ("high-limit-too-near", "found", {"settings.heating_overshoot": 16.1}, {}),
    ("high-limit-too-near", "clear", {"settings.heating_overshoot": 16}, {}),
    ("high-limit-too-near", "found", {"settings.operating_limit": 230, "settings.high_limit": 181.9}, {}),
    # 172 F boiler target during hot water + 10 F = 182 F
    ("high-limit-too-near", "clear", {"settings.operating_limit": 230, "settings.high_limit": 182}, {}),
    ("high-limit-too-near", "clear", {**NO_HOT_WATER, "settings.operating_limit": 180}, {}),
    ("high-limit-too-near", "found", {**NO_HOT_WATER, "settings.operating_limit": 179.9}, {}),
    # hot water: 190 F - 10 F
    ("high-limit-too-near", "clear", {"settings.hot_water_boiler_setpoint": 180}, {}),
    ("high-limit-too-near", "found", {"settings.hot_water_boiler_setpoint": 180.1}, {}),
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
    ("high-limit-too-near", "clear", {"settings.reset_slope": 1.25, "settings.heating_setpoint": 190, "settings.maximum_supply": "off"}, SLOPE),
    ("high-limit-too-near", "found", {"settings.reset_slope": 1.26, "settings.heating_setpoint": 190, "settings.maximum_supply": "off"}, SLOPE),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 190}, TWO),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 190, "settings.boost_step": 5}, TWO),
    ("high-limit-too-near", "found", {"settings.high_limit": 175}, NO_OPERATING),
    ("high-limit-too-near", "clear", {"settings.operating_limit": 182}, NO_HIGH),
    ("high-limit-too-near", "does not apply", {}, both(NO_OPERATING, NO_HIGH)),
    # a limit that is not known does not hide one that is too near, and one that is far enough is no pass
    ("high-limit-too-near", "found", {"settings.high_limit": 175}, {"drop": ["settings.operating_limit"]}),
    ("high-limit-too-near", "found", {"settings.operating_limit": 175}, {"drop": ["settings.high_limit"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.operating_limit"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.high_limit"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.operating_limit", "settings.high_limit"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.heating_setpoint"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.heating_overshoot"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["settings.hot_water_boiler_setpoint"]}),
    ("high-limit-too-near", "not checked", {}, {"drop": ["hot_water.kind"]}),
    ("high-limit-too-near", "not checked", {}, {"drop_control": ["setting.heating_overshoot"]}),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 170},
     {"drop_control": ["setting.heating_overshoot"], "control": {"control.overshoot": 10.1}}),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 170},
     {"drop_control": ["setting.heating_overshoot"], "control": {"control.overshoot": 10}}),
    ("high-limit-too-near", "found", {"settings.heating_setpoint": 79}, METRIC),
    ("high-limit-too-near", "clear", {"settings.heating_setpoint": 78.8}, METRIC),
    ("operating-limit-below-hot-water-target", "clear", {"settings.hot_water_boiler_setpoint": 190}, {}),
    ("operating-limit-below-hot-water-target", "found", {"settings.hot_water_boiler_setpoint": 190.1}, {}),
    ("operating-limit-below-hot-water-target", "found", {"settings.hot_water_boiler_setpoint": 191, "hot_water.kind": "plate"}, {}),
    ("operating-limit-below-hot-water-target", "does not apply", {"settings.hot_water_boiler_setpoint": 199, **NO_HOT_WATER}, {}),
    ("operating-limit-below-hot-water-target", "does not apply", {"settings.hot_water_boiler_setpoint": 199, "hot_water.kind": "separate"}, {}),
    *[("operating-limit-below-hot-water-target", "not checked", {}, {"drop": [name]})
      for name in ("settings.operating_limit", "settings.hot_water_boiler_setpoint", "hot_water.kind")],
    ("operating-limit-below-hot-water-target", "clear", {"settings.operating_limit": 85, "settings.hot_water_boiler_setpoint": 85}, METRIC),
    ("operating-limit-below-hot-water-target", "found", {"settings.operating_limit": 85, "settings.hot_water_boiler_setpoint": 85.1}, METRIC),
    # the radiators need 158 F on the design day; 10 F more
    ("operating-limit-below-emitter-need", "clear", {"settings.operating_limit": 168}, {}),
    ("operating-limit-below-emitter-need", "found", {"settings.operating_limit": 167.9}, {}),
    ("operating-limit-below-emitter-need", "clear", {"settings.operating_limit": 168, "settings.heating_setpoint": 188}, {}),
    ("operating-limit-below-emitter-need", "does not apply", {"settings.operating_limit": 130, "emitter.0.mixed": True}, {}),
    *[("operating-limit-below-emitter-need", "not checked", {}, {"drop": [name]})
      for name in ("settings.operating_limit", "emitter", "building.indoor_design", "site.design_outdoor", "emitter.0.mixed")],
    # 158 F are 70 C, 10 F are 5.56 K
    ("operating-limit-below-emitter-need", "clear", {"settings.operating_limit": 75.6}, METRIC),
    ("operating-limit-below-emitter-need", "found", {"settings.operating_limit": 75.5}, METRIC),
    ("high-limit-above-rating", "clear", {"boiler.lowest_rated_part": 206}, {}),
    ("high-limit-above-rating", "found", {"boiler.lowest_rated_part": 205.9}, {}),
    ("high-limit-above-rating", "not checked", {}, {"drop": ["boiler.lowest_rated_part"]}),
    ("high-limit-above-rating", "not checked", {"boiler.lowest_rated_part": 180}, {"drop": ["settings.high_limit"]}),
    ("high-limit-above-rating", "clear", {"settings.high_limit": 95, "boiler.lowest_rated_part": 95}, METRIC),
    ("high-limit-above-rating", "found", {"settings.high_limit": 95.1, "boiler.lowest_rated_part": 95}, METRIC),
    # 10 psi + the air at 600 ft: water boils at 238.6 F, and 10 F less are 228.6 F
    ("high-limit-near-boiling", "clear", {"settings.high_limit": 228}, {}),
    ("high-limit-near-boiling", "found", {"settings.high_limit": 229}, {}),
    # sea level, 0 psi: 211.95 F (CoolProp)
    ("high-limit-near-boiling", "clear", {"settings.low_pressure_cutout": "off", "site.elevation": 0, "settings.high_limit": 201.9}, {}),
    ("high-limit-near-boiling", "found", {"settings.low_pressure_cutout": "off", "site.elevation": 0, "settings.high_limit": 202}, {}),
    ("high-limit-near-boiling", "does not apply", {}, NO_CUTOUT),
    *[("high-limit-near-boiling", "not checked", {}, {"drop": [name]})
      for name in ("settings.high_limit", "settings.low_pressure_cutout", "site.elevation")],
    # 1 bar at sea level: 120.42 C, less 5.56 K
    ("high-limit-near-boiling", "clear", {"settings.low_pressure_cutout": 1, "site.elevation": 0, "settings.high_limit": 114.8}, METRIC),
    ("high-limit-near-boiling", "found", {"settings.low_pressure_cutout": 1, "site.elevation": 0, "settings.high_limit": 114.9}, METRIC),
    ("high-limit-resets-by-itself", "found", {"settings.high_limit_reset": "automatic"}, {}),
    ("high-limit-resets-by-itself", "clear", {}, {}),
    ("high-limit-resets-by-itself", "does not apply", {"settings.high_limit_reset": "automatic", "site.manual_reset_required": False}, {}),
    ("high-limit-resets-by-itself", "not checked", {"settings.high_limit_reset": "automatic"}, {"drop": ["site.manual_reset_required"]}),
    ("high-limit-resets-by-itself", "not checked", {}, {"drop": ["settings.high_limit_reset"]}),
    ("flue-limit-above-vent-rating", "clear", {"vent.rating": 205}, {}),
    ("flue-limit-above-vent-rating", "found", {"vent.rating": 204.9}, {}),
    # the listing governs, not what the material usually is listed for
    ("flue-limit-above-vent-rating", "clear", {"vent.rating": 205, "vent.material": "pvc"}, {}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 149.1, "vent.material": "pvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 149, "vent.material": "pvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 194.1, "vent.material": "cpvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 194, "vent.material": "cpvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 230.1}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 230}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 400, "vent.material": "stainless steel"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 400}, {"drop": ["vent.rating", "vent.material"]}),
    ("flue-limit-above-vent-rating", "not checked", {}, {"drop": ["settings.flue_limit"]}),
    ("flue-limit-above-vent-rating", "clear", {"settings.flue_limit": 90, "vent.rating": 90}, METRIC),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 90.1, "vent.rating": 90}, METRIC),
    ("difference-limit-off-or-wide", "clear", {"settings.difference_limit": 44}, {}),
    ("difference-limit-off-or-wide", "found", {"settings.difference_limit": 44.1}, {}),
    ("difference-limit-off-or-wide", "found", {"settings.difference_limit": "off"}, {}),
    ("difference-limit-off-or-wide", "not checked", {}, {"drop": ["settings.difference_limit"]}),
    ("difference-limit-off-or-wide", "not checked", {"settings.difference_limit": 90}, {"drop": ["boiler.maximum_difference"]}),
    ("difference-limit-off-or-wide", "clear", {"settings.difference_limit": 25, "boiler.maximum_difference": 25}, METRIC),
    ("difference-limit-off-or-wide", "found", {"settings.difference_limit": 25.1, "boiler.maximum_difference": 25}, METRIC),
    # 22 ft of water: 9.54 psi
    ("low-pressure-cut-out-too-low", "clear", {"settings.low_pressure_cutout": 9.54}, {}),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": 9.53}, {}),
    ("low-pressure-cut-out-too-low", "clear", {"settings.low_pressure_cutout": 5, "water.static_height": 8}, {}),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": 4.99, "water.static_height": 8}, {}),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": 4.99}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": "off"}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "not checked", {"settings.low_pressure_cutout": 5}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "not checked", {}, {"drop": ["settings.low_pressure_cutout"]}),
    ("low-pressure-cut-out-too-low", "does not apply", {}, NO_CUTOUT),
    # 8 m of water: 0.784532 bar
    ("low-pressure-cut-out-too-low", "clear", {"settings.low_pressure_cutout": 0.784532, "water.static_height": 8}, METRIC),
    ("low-pressure-cut-out-too-low", "clear", {"settings.low_pressure_cutout": 0.79, "water.static_height": 8}, METRIC),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": 0.78, "water.static_height": 8}, METRIC),
    # 0.9 x 30 psi; at it the alarm is late already
    ("pressure-alarm-near-relief", "found", {"settings.high_pressure_alarm": 27}, {}),
    ("pressure-alarm-near-relief", "clear", {"settings.high_pressure_alarm": 26.99}, {}),
    ("pressure-alarm-near-relief", "found", {"settings.high_pressure_alarm": 31}, {}),
    ("pressure-alarm-near-relief", "not checked", {}, {"drop": ["settings.high_pressure_alarm"]}),
    ("pressure-alarm-near-relief", "not checked", {"settings.high_pressure_alarm": 31}, {"drop": ["water.relief_pressure"]}),
    ("pressure-alarm-near-relief", "found", {"settings.high_pressure_alarm": 2.7, "water.relief_pressure": 3}, METRIC),
    ("pressure-alarm-near-relief", "clear", {"settings.high_pressure_alarm": 2.69, "water.relief_pressure": 3}, METRIC),
    ("more-lockout-tries-allowed", "clear", {"settings.ignition_trials": 3}, {}),
    ("more-lockout-tries-allowed", "clear", {"settings.ignition_trials": 2}, {}),
    ("more-lockout-tries-allowed", "found", {"settings.ignition_trials": 4}, {}),
    ("more-lockout-tries-allowed", "found", {"settings.resets_per_hour": 4}, {}),
    ("more-lockout-tries-allowed", "clear", {"settings.resets_per_hour": 2}, {}),
    ("more-lockout-tries-allowed", "found", {"settings.remote_reset": True}, {}),
    ("more-lockout-tries-allowed", "found", {"settings.ignition_trials": 4, "boiler.manufacturer_retries": 5}, {}),
    # the maker's trials stand in the boiler's papers where the control file does not state them
    ("more-lockout-tries-allowed", "found", {"settings.ignition_trials": 4}, {"drop_control": ["setting.ignition_trials.default"]}),
    ("more-lockout-tries-allowed", "clear", {}, {"drop_control": ["setting.ignition_trials.default"]}),
    ("more-lockout-tries-allowed", "not checked", {},
     {"drop_control": ["setting.ignition_trials.default"], "drop": ["boiler.manufacturer_retries"]}),
    ("more-lockout-tries-allowed", "not checked", {}, {"drop_control": ["setting.resets_per_hour.default"]}),
    *[("more-lockout-tries-allowed", "not checked", {}, {"drop": [f"settings.{name}"]})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    *[("more-lockout-tries-allowed", "clear", {}, {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"]})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    *[("more-lockout-tries-allowed", "not checked", {},
       {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"], "control": {"control.complete": False}})
      for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
    ("more-lockout-tries-allowed", "found", {"settings.remote_reset": True}, {"drop": ["settings.ignition_trials", "settings.resets_per_hour"]}),
    ("more-lockout-tries-allowed", "does not apply", {},
     {"drop": [f"settings.{name}" for name in ("ignition_trials", "resets_per_hour", "remote_reset")],
      "drop_control": [f"setting.{name}" for name in ("ignition_trials", "resets_per_hour", "remote_reset")]}),
    ("limit-not-put-back-after-test", "found", TEST, LOWER),
    ("limit-not-put-back-after-test", "found", {"visit.why": "Tested the high limit"}, LOWER),
    ("limit-not-put-back-after-test", "found", TEST, before(high_limit=celsius(210))),
    ("limit-not-put-back-after-test", "found", TEST, before(high_limit_reset="automatic")),
    ("limit-not-put-back-after-test", "clear", TEST, UNMOVED),
    ("limit-not-put-back-after-test", "clear", TEST, before(heating_setpoint=celsius(140))),
    ("limit-not-put-back-after-test", "clear", TEST, before(maximum_fan_speed=6000.0)),
    ("limit-not-put-back-after-test", "clear", {}, LOWER),
    ("limit-not-put-back-after-test", "clear", {"visit.why": "the latest update of the control"}, LOWER),
    ("limit-not-put-back-after-test", "not checked", {}, {}),
    ("limit-not-put-back-after-test", "does not apply", TEST, {"past": Past(())}),
    ("limit-not-put-back-after-test", "not checked", TEST, {}),
    ("limit-not-put-back-after-test", "not checked", {}, {"drop": ["visit.why"], **LOWER}),
    ("limit-not-put-back-after-test", "clear", TEST, {"drop": ["settings.high_limit"], **LOWER}),
    ("limit-widened-after-fault", "found", FAULT, LOWER),
    ("limit-widened-after-fault", "clear", {**FAULT, "visit.fault_cause": "blocked filter, cleaned"}, LOWER),
    ("limit-widened-after-fault", "found", {"visit.why": "Lockout in the night"}, LOWER),
    *[("limit-widened-after-fault", "found", {"visit.why": why}, LOWER)
      for why in ("fault call", "it tripped", "alarm from the desk", "error on the display", "locked out", "lock-out again")],
    ("limit-widened-after-fault", "clear", {"visit.why": "new strip lights, default values"}, LOWER),
    ("limit-widened-after-fault", "found", FAULT, {"drop": ["visit.why"], **LOWER}),
    ("limit-widened-after-fault", "clear", FAULT, before(high_limit=celsius(210))),
    ("limit-widened-after-fault", "clear", FAULT, UNMOVED),
    ("limit-widened-after-fault", "clear", FAULT, before(heating_setpoint=celsius(140))),
    # wider: off, lower where it guards from below, automatic, on; narrower is no finding
    ("limit-widened-after-fault", "found", {**FAULT, "settings.difference_limit": "off"}, before(difference_limit=kelvin(42))),
    ("limit-widened-after-fault", "clear", FAULT, before(difference_limit="off")),
    ("limit-widened-after-fault", "found", FAULT, before(difference_limit=kelvin(41))),
    ("limit-widened-after-fault", "found", FAULT, before(low_pressure_cutout=80000.0)),
    ("limit-widened-after-fault", "clear", FAULT, before(low_pressure_cutout=50000.0)),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.low_pressure_cutout": "off"}, before(low_pressure_cutout=50000.0)),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.high_limit_reset": "automatic"}, before(high_limit_reset="manual")),
    ("limit-widened-after-fault", "clear", FAULT, before(high_limit_reset="automatic")),
    ("limit-widened-after-fault", "found", {**FAULT, "settings.remote_reset": True}, before(remote_reset=False)),
    ("limit-widened-after-fault", "clear", FAULT, before(remote_reset=True)),
    ("limit-widened-after-fault", "found", FAULT, before(resets_per_hour=2.0)),
    ("limit-widened-after-fault", "clear", FAULT, before(resets_per_hour=4.0)),
    # firing: any change
    ("limit-widened-after-fault", "found", FAULT, before(maximum_fan_speed=6000.0)),
    ("limit-widened-after-fault", "found", FAULT, before(maximum_fan_speed=6200.0)),
    ("limit-widened-after-fault", "found", FAULT, before(fuel_setting="propane")),
    ("limit-widened-after-fault", "clear", {}, LOWER),
    ("limit-widened-after-fault", "not checked", {}, {}),
    ("limit-widened-after-fault", "does not apply", FAULT, {"past": Past(())}),
    ("limit-widened-after-fault", "not checked", FAULT, {}),
    ("limit-widened-after-fault", "not checked", {}, {"drop": ["visit.why"], **LOWER}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


def test_every_rule_of_the_group_stands_in_the_table() -> None:
    found = {(rule, answer) for rule, answer, *_ in CASES}
    for rule in by_group()["limits"]:
        assert {(rule.name, "found"), (rule.name, "clear"), (rule.name, "not checked")} <= found


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("high-limit-too-near", {"settings.heating_setpoint": 185, "settings.maximum_supply": "off"}, {}, {"heating_setpoint": celsius(174)}),
        ("high-limit-too-near", {"settings.heating_setpoint": 185}, {}, {"maximum_supply": celsius(174)}),
        ("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 188}, {}, {"hot_water_boiler_setpoint": celsius(180)}),
        ("high-limit-too-near", {**SIGNAL, "settings.external_high": 188}, {}, {"external_high": celsius(174)}),
        ("high-limit-too-near", {"settings.reset_hot_supply": 176, "settings.heating_setpoint": 180}, TWO, {"reset_hot_supply": celsius(174)}),
        # a slope is not touched; the set point caps its line
        ("high-limit-too-near", {"settings.reset_slope": 1.3, "settings.heating_setpoint": 190, "settings.maximum_supply": "off"}, SLOPE,
         {"heating_setpoint": celsius(174)}),
        ("high-limit-too-near", {"settings.heating_setpoint": 84, "settings.maximum_supply": "off"}, METRIC, {"heating_setpoint": 78.0}),
        ("operating-limit-below-hot-water-target", {"settings.hot_water_boiler_setpoint": 195}, {}, {"hot_water_boiler_setpoint": celsius(180)}),
    ],
)  # fmt: skip
def test_working_values_come_down(
    rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, float]
) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx(proposed)
    assert remedy.verified is True


@pytest.mark.parametrize(
    ("rule", "changes", "name"),
    [
        ("high-limit-too-near", {"settings.heating_setpoint": 185, "settings.maximum_supply": "off"}, "heating_setpoint"),
        ("operating-limit-below-hot-water-target", {"settings.hot_water_boiler_setpoint": 199}, "hot_water_boiler_setpoint"),
    ],
)  # fmt: skip
def test_nothing_is_proposed_where_the_control_goes_no_lower(rule: str, changes: dict[str, Any], name: str) -> None:
    control = {f"setting.{name}.range": {"low": 191, "high": 200}, f"setting.{name}.default": 195}
    if name == "heating_setpoint":
        control = {f"setting.{name}.range": {"low": 180, "high": 200}, f"setting.{name}.default": 195}
    remedy = finding(rule, changes, control=control).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert remedy.verified is None
    assert "lower" in remedy.text


def every_finding_on_a_limit() -> list[Finding]:
    """Return the findings of the whole table, for what holds of all of them."""
    rules = by_group()["limits"]
    findings: list[Finding] = []
    for _, answer, changes, more in CASES:
        if answer == "found":
            findings += audit(make_plant(changes, **more), rules).findings
    return findings


def test_a_limit_or_a_firing_setting_never_gets_a_figure() -> None:
    looked_at = set()
    for one in every_finding_on_a_limit():
        assert one.remedy is not None
        assert not set(one.remedy.set) & (LIMITS | FIRING)
        if one.at in LIMITS | FIRING:
            looked_at.add(one.rule)
            assert one.remedy.set == {}
            assert not re.search(r"\d", one.remedy.text)
            assert "recommend" not in one.message
    assert len(looked_at) == 11


@pytest.mark.parametrize("name", ["ignition_trials", "resets_per_hour"])
def test_the_maker_s_number_of_tries_is_not_told(name: str) -> None:
    one = finding("more-lockout-tries-allowed", {f"settings.{name}": 7})
    assert re.findall(r"\d+", one.message) == ["7"]
    assert one.at == name


@pytest.mark.parametrize(
    ("elevation", "cutout", "changes"),
    [
        (0.0, 0.0, {"site.elevation": 0, "settings.low_pressure_cutout": "off", "settings.high_limit": 220}),
        (1609.344, 68947.57, {"site.elevation": 5280, "settings.high_limit": 230}),
    ],
)
def test_boiling_points_are_coolprops(elevation: float, cutout: float, changes: dict[str, Any]) -> None:
    air = 101325 * (1 - 2.25577e-5 * elevation) ** 5.25588  # ISO 2533
    boils = PropsSI("T", "P", air + cutout, "Q", 0, "Water") - 273.15
    one = finding("high-limit-near-boiling", changes)
    assert one.numbers["boils at"].value == pytest.approx(boils, abs=0.02)
    assert one.certainty is Certainty.LIKELY
    assert one.severity is Severity.DANGER


def test_just_the_margin_to_boiling_will_do() -> None:
    boils = finding("high-limit-near-boiling", {"settings.high_limit": 125}, metric=True).numbers["boils at"].value
    assert ask("high-limit-near-boiling", {"settings.high_limit": boils - kelvin(10)}, metric=True) == "clear"


def test_a_water_column_is_the_height_in_feet_by_2_31() -> None:
    one = finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": 6, "water.static_height": 25})
    assert one.numbers["water column"].value / 6894.757 == pytest.approx(25 / 2.31, rel=0.002)
    assert "cuts out at 6 psi; the water column alone is 10.8 psi" in one.message
    low = finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": 4})
    assert "guards nothing" in low.message
    dry = audit(make_plant({"settings.low_pressure_cutout": 4}), by_group()["limits"]).findings
    assert [one.rule for one in dry] == ["low-pressure-cut-out-too-low"]
    assert "fire dry" in finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": "off"}).message


def test_the_listing_proves_and_the_material_makes_likely() -> None:
    listed = finding("flue-limit-above-vent-rating", {"vent.rating": 190})
    assert listed.certainty is Certainty.PROVEN
    assert "flue limit 205 F; the vent is listed for 190 F" in listed.message
    usual = finding("flue-limit-above-vent-rating", {"vent.material": "pvc"}, drop=["vent.rating"])
    assert usual.certainty is Certainty.LIKELY
    assert "a vent of pvc is usually listed for 149 F" in usual.message
    assert "assumes the vent is listed as its material usually is" in usual.message
    assert usual.numbers["vent rating"].value == pytest.approx(celsius(149))


def test_margins_can_be_checked_by_hand() -> None:
    one = finding("high-limit-too-near", {"settings.heating_setpoint": 176})
    # 190 - 176 - 6 = 8 F
    assert one.at == "heating_setpoint"
    assert one.message == "heating set point: 176 F and 6 F above it come within 8 F of the operating limit, 190 F"
    assert one.numbers["margin"].value == pytest.approx(kelvin(8))
    past = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 193})
    assert past.message == "boiler target during hot water: 193 F go 3 F past the operating limit, 190 F"
    at_it = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 190})
    assert "190 F come within 0 F of the operating limit" in at_it.message
    little = finding("high-limit-too-near", {"settings.heating_setpoint": 180, "settings.heating_overshoot": 1})
    assert "180 F and 1 F above it come within 9 F" in little.message
    high = finding("high-limit-too-near", {"settings.hot_water_boiler_setpoint": 184, "settings.high_limit": 189})
    assert high.message == "boiler target during hot water: 184 F come within 5 F of the high limit, 189 F"
    both_near = audit(
        make_plant({"settings.heating_setpoint": 176, "settings.hot_water_boiler_setpoint": 184}), by_group()["limits"]
    ).findings
    near = [one.at for one in both_near if one.rule == "high-limit-too-near"]
    assert sorted(near) == ["heating_setpoint", "hot_water_boiler_setpoint"]
    need = finding("operating-limit-below-emitter-need", {"settings.operating_limit": 160})
    assert "operating limit 160 F; the emitters need 158 F at 4 F outdoors" in need.message


def test_what_moved_is_named_and_how() -> None:
    high = finding("limit-widened-after-fault", FAULT, **LOWER)
    assert high.at == "high_limit"
    assert "high limit was widened" in high.message
    fan = finding("limit-widened-after-fault", FAULT, **before(maximum_fan_speed=6000.0))
    assert "maximum fan speed was changed" in fan.message
    flue = finding("limit-widened-after-fault", FAULT, **before(flue_limit=celsius(200)))
    assert "flue temperature limit was widened" in flue.message
    put_back = finding("limit-not-put-back-after-test", TEST, **LOWER)
    assert put_back.at == "high_limit"


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    owner = Context(
        AS_OF, thresholds={"limit_margin": kelvin(5), "boiling_margin": kelvin(40), "low_pressure_least": 70000.0}
    )
    assert ask("high-limit-too-near", {"settings.heating_setpoint": 179}, context=owner) == "clear"
    assert ask("high-limit-near-boiling", {}, context=owner) == "found"
    assert ask("low-pressure-cut-out-too-low", {}, context=owner) == "found"
    assert ask("operating-limit-below-emitter-need", {"settings.operating_limit": 163}, context=owner) == "clear"


def test_numbers_of_habit_are_declared() -> None:
    assert undeclared(by_group()["limits"], CASES) == {}


@pytest.mark.parametrize(
    ("name", "severity", "certainty", "cautions"),
    [
        ("high-limit-too-near", Severity.OUTAGE, Certainty.PROVEN, {"limit", "heating", "hot-water"}),
        ("operating-limit-below-hot-water-target", Severity.OUTAGE, Certainty.PROVEN, {"limit", "scald", "hygiene"}),
        ("operating-limit-below-emitter-need", Severity.OUTAGE, Certainty.LIKELY, {"limit", "heating"}),
        ("high-limit-above-rating", Severity.DANGER, Certainty.PROVEN, {"limit"}),
        ("high-limit-near-boiling", Severity.DANGER, Certainty.LIKELY, {"limit"}),
        ("high-limit-resets-by-itself", Severity.DANGER, Certainty.PROVEN, {"limit", "law"}),
        ("flue-limit-above-vent-rating", Severity.DANGER, Certainty.PROVEN, {"limit", "firing"}),
        ("difference-limit-off-or-wide", Severity.DAMAGE, Certainty.LIKELY, {"limit", "pump"}),
        ("low-pressure-cut-out-too-low", Severity.DAMAGE, Certainty.PROVEN, {"limit"}),
        ("pressure-alarm-near-relief", Severity.OUTAGE, Certainty.PROVEN, {"limit"}),
        ("more-lockout-tries-allowed", Severity.DANGER, Certainty.PROVEN, {"limit", "firing", "mask"}),
        ("limit-not-put-back-after-test", Severity.DANGER, Certainty.LIKELY, {"limit"}),
        ("limit-widened-after-fault", Severity.DANGER, Certainty.LIKELY, {"limit", "firing", "mask"}),
    ],
)
def test_how_bad_and_how_sure(name: str, severity: Severity, certainty: Certainty, cautions: set[str]) -> None:
    rules = {rule.name: rule for rule in by_group()["limits"]}
    rule = rules[name]
    assert (rule.severity, rule.certainty, set(rule.cautions)) == (severity, certainty, cautions)
    assert rule.assumes or certainty is not Certainty.LIKELY
    assert len(rules) == 13


def test_the_kit_stands_clear_of_every_limit() -> None:
    assert PROFILE["boiler"]["lowest_rated_part"] == 240
    assert audit(make_plant(), by_group()["limits"]).findings == ()
