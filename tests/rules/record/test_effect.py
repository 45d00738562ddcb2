# ruff: noqa: E501
"""Values written down and not in force. What a control takes: the control file; proposals: common practice."""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.model.effect import UNKNOWN
from settingslint.model.profile import PROPOSED
from settingslint.rules import all_rules
from settingslint.rules.base import Severity
from settingslint.units import Kind, to_si
from tests.rules.kit import finding, make_plant
from tests.rules.record.givens import CLASSES, as_bad_as_its_setting
from tests.rules.tables import Cases, boundaries, edge

REFUSES: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180, "outside": "refused"}}}
SILENT: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180}}}
MOVES: Final = {"control": {"setting.heating_setpoint.range": {"low": 80, "high": 180, "outside": "moved to the end"}}}
NOT_TAKEN: Final = "value-not-taken-by-control"
PROPOSAL: Final = "calculated-not-set"
LEFT_OUT: Final = "said-not-to-apply"
CONTRADICTS: Final = "read-back-contradicts-control-file"
FACTORY: Final[dict[str, Any]] = {
    "control": {"setting.high_limit": {"treatments": [], "access": "factory", "default": 206, "read_back": "exact"}}
}
PUMP: Final[dict[str, Any]] = {
    "control": {
        "setting.pump_overrun": {"treatments": [], "range": {"low": 2, "high": 15}, "step": 0.5, "read_back": "exact"}
    }
}


def back(name: str, typed: float, read_back: float) -> dict[str, object]:
    return {f"settings.{name}": {"value": typed, "read_back": read_back}}


def no(*names: str) -> dict[str, Any]:
    return {f"settings.{name}": {"left": "not applicable"} for name in names}


CASES: Final[Cases] = [
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 180, 180.1, **REFUSES),
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 80, 79.9, **REFUSES),
    (NOT_TAKEN, "found", {"settings.heating_setpoint": 181}, SILENT),
    (NOT_TAKEN, "clear", {"settings.heating_setpoint": 181}, MOVES),
    (NOT_TAKEN, "clear", {"settings.heating_setpoint": 181}, {}),
    (NOT_TAKEN, "not checked", {}, {"drop_control": ["setting.heating_setpoint.treatments"]}),
    *edge(NOT_TAKEN, {}, "settings.heating_setpoint", 82.2, 82.3, **REFUSES, metric=True),
    (PROPOSAL, "found", {"settings.heating_setpoint": {"value": 165, "why": PROPOSED}}, {}),
    (PROPOSAL, "clear", {"settings.heating_setpoint": {"value": 165, "read_back": 165, "why": PROPOSED}}, {}),
    (PROPOSAL, "does not apply", {"settings.heating_setpoint": {"value": 165, "why": "set at the visit"}}, {}),
    (PROPOSAL, "does not apply", {}, {}),
    (CONTRADICTS, "clear", back("high_limit", 206, 206), FACTORY),
    (CONTRADICTS, "found", back("high_limit", 206, 207), FACTORY),
    (CONTRADICTS, "found", back("high_limit", 207, 207), FACTORY),
    (CONTRADICTS, "found", {"settings.high_limit": {"left": "default", "read_back": 215}}, FACTORY),
    (CONTRADICTS, "clear", back("high_limit", 206, 207), {"control": {"setting.high_limit": {"treatments": [], "access": "factory", "default": 206, "read_back": "as typed"}}}),
    (CONTRADICTS, "clear", back("pump_overrun", 4, 15), PUMP),
    (CONTRADICTS, "found", back("pump_overrun", 4, 15.5), PUMP),
    (CONTRADICTS, "clear", back("pump_overrun", 4, 2), PUMP),
    (CONTRADICTS, "found", back("pump_overrun", 4, 1.5), PUMP),
    (CONTRADICTS, "found", back("pump_overrun", 4, 4.3), PUMP),
    (CONTRADICTS, "clear", back("pump_overrun", 4, 4.5), PUMP),
    (CONTRADICTS, "found", back("high_limit", 96.7, 97.2), {**FACTORY, "metric": True}),
    (CONTRADICTS, "not checked", back("pump_overrun", 4, 5), {"drop_control": ["setting.pump_overrun.treatments"]}),
    (CONTRADICTS, "not checked", back("pump_overrun", 4, 5), {"drop_control": ["setting.pump_overrun"]}),
    (CONTRADICTS, "does not apply", {}, FACTORY),
    (LEFT_OUT, "found", no("tank_setpoint"), {}),
    (LEFT_OUT, "found", no("hot_water_method"), {}),
    (LEFT_OUT, "not checked", no("tank_setpoint", "hot_water_method"), {"drop": ["hot_water.kind"]}),
    (LEFT_OUT, "not checked", no("tank_setpoint"), {"drop": ["settings.hot_water_method"]}),
    (LEFT_OUT, "clear", {**no("tank_setpoint"), "settings.hot_water_method": "tank thermostat"}, {}),
    (LEFT_OUT, "clear", no("keep_warm"), {}),
    (LEFT_OUT, "found", {**no("keep_warm"), "hot_water.kind": "plate"}, {}),
    (LEFT_OUT, "clear", {**no("tank_setpoint"), "hot_water.kind": "plate"}, {}),
    (LEFT_OUT, "found", no("high_limit"), {}),
    (LEFT_OUT, "clear", no("high_limit"), {"control": {"setting.high_limit.needs": [{"accessory": "bus_module", "otherwise": "not applicable"}]}}),
    (LEFT_OUT, "clear", no("high_limit"), {"drop_control": ["setting.high_limit"]}),
    (LEFT_OUT, "does not apply", {}, {}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_a_refused_value_says_what_the_control_takes() -> None:
    one = finding(NOT_TAKEN, {"settings.heating_setpoint": 181}, **REFUSES)
    assert one.message == "heating set point typed 181 F, control takes at most 180 F: refused"
    hot = {"control": {"setting.tank_setpoint.range": {"low": 80, "high": 150, "outside": "refused"}}}
    assert finding(NOT_TAKEN, {"settings.tank_setpoint": 160}, **hot).severity is Severity.DANGER
    assert finding(NOT_TAKEN, {"settings.heating_setpoint": 500}, **SILENT).severity is Severity.OUTAGE


def test_a_refused_fan_speed_shows_no_figure_of_the_makers() -> None:
    fan = {"control": {"setting.maximum_fan_speed.range": {"low": 2000, "high": 6200, "outside": "refused"}}}
    one = finding(NOT_TAKEN, {"settings.maximum_fan_speed": 6500}, **fan)
    assert one.message == "maximum fan speed typed 6,500 rpm, out of range: refused"


def test_a_proposal_names_what_is_to_be_set() -> None:
    values = {f"settings.{name}": {"value": value, "why": PROPOSED} for name, value in (
        ("heating_setpoint", 165), ("tank_setpoint", 146), ("reset_endpoint", 75), ("pump_overrun", 5),
        ("tank_differential", 5),
    )}  # fmt: skip
    one = finding(PROPOSAL, values)
    assert one.severity is Severity.OUTAGE
    assert one.message.endswith(", heating set point and 3 more")


def test_a_limit_that_only_the_factory_sets_is_a_danger_where_the_boiler_shows_another() -> None:
    one = finding(CONTRADICTS, back("high_limit", 206, 215), **FACTORY)
    assert (one.severity, one.at) == (Severity.DANGER, "high_limit") and "limit" in one.cautions
    assert one.message == "high limit reads back 215 F: only the factory sets it, and it comes with another value"
    assert one.remedy is not None and not any(letter.isdigit() for letter in one.remedy.text)
    assert one.remedy.text.endswith("have a qualified person restore and test it")
    fan = {"setting.maximum_fan_speed": {"treatments": [], "unit": "rpm", "access": "factory", "default": 6100}}
    firing = finding(CONTRADICTS, back("maximum_fan_speed", 6100, 6300), control=fan)
    assert (
        firing.remedy is not None
        and firing.remedy.text.endswith("restore and prove it")
        and "6,100" not in firing.message
    )


def test_rules_about_limits_see_what_the_boiler_shows() -> None:
    """The rated part bears 210 F: by the control file the limit stays below, by the boiler it does not."""
    part = {"boiler.lowest_rated_part": 210}
    file = audit(make_plant({**part, "settings.high_limit": 206}, **FACTORY), all_rules())
    boiler = audit(make_plant({**part, **back("high_limit", 206, 215)}, **FACTORY), all_rules())
    new = {one.rule for one in boiler.findings} - {one.rule for one in file.findings}
    assert new >= {CONTRADICTS, "high-limit-above-rating"}
    assert "typed-differs-from-read-back" not in new, "one cause, one finding"


def test_where_neither_is_known_rules_can_be_asked_at_either() -> None:
    silent: dict[str, Any] = {
        "control": {"setting.high_limit": {"treatments": [], "access": "factory", "default": 206}}
    }
    plant = make_plant({"boiler.lowest_rated_part": 210, **back("high_limit", 215, 215)}, **silent)
    effect = plant.effects["high_limit"]
    assert effect.state == UNKNOWN and len(effect.candidates) == 2
    assert "high-limit-above-rating" not in {one.rule for one in audit(plant, all_rules(), assume=False).findings}
    (asked,) = [one for one in audit(plant, all_rules()).findings if one.rule == "high-limit-above-rating"]
    assert asked.case == "if 215 F"
    low, high = (audit(plant.running({"high_limit": one}), all_rules()).findings for one in effect.candidates)
    assert {one.rule for one in high} - {one.rule for one in low} >= {"high-limit-above-rating"}
    for found in (low, high, audit(plant, all_rules()).findings):
        assert CONTRADICTS in {one.rule for one in found}
    assert plant.running({"high_limit": to_si(215, Kind.POINT, "us")}).entries["high_limit"].read_back is not None


@CLASSES
def test_a_value_that_can_not_be_is_as_bad_as_its_setting(
    name: str, value: float, severity: Severity, caution: str
) -> None:
    own: dict[str, Any] = {"treatments": [], "access": "factory", "default": value}
    own |= {"unit": "rpm"} if name == "maximum_fan_speed" else {}
    one = finding(CONTRADICTS, back(name, value, value - 1), control={f"setting.{name}": own})
    as_bad_as_its_setting(one, name, severity, caution)


@pytest.mark.parametrize("name", ["resets_per_hour", "high_pressure_alarm"])
def test_every_limit_is_a_danger(name: str) -> None:
    own = {"treatments": [], "access": "factory", "default": 20}
    assert finding(CONTRADICTS, back(name, 20, 25), control={f"setting.{name}": own}).severity is Severity.DANGER


@pytest.mark.parametrize("rule", ["hot-tank-without-mixing-valve", "loop-drops-too-far"])
@pytest.mark.parametrize("method", ["tank sensor", "tank thermostat"])
def test_what_is_said_not_to_apply_silences_nothing(rule: str, method: str) -> None:
    """A tank is there, so how hot it is matters: whoever says that it does not apply makes nothing clear."""
    changes = {
        "settings.hot_water_method": method, "hot_water.mixing_valve": False, "hot_water.circulation_loop": True,
    }  # fmt: skip
    result = audit(make_plant({**changes, **no("tank_setpoint")}), all_rules(), assume=False)
    assert rule in {one.rule for one in result.not_checked} | {one.rule for one in result.findings}
    assert rule not in result.not_applicable and rule not in result.checked


def test_a_danger_that_is_said_not_to_apply_is_asked() -> None:
    result = audit(make_plant(no("tank_setpoint")), all_rules())
    (one,) = (one for one in result.findings if one.rule == LEFT_OUT)
    assert (one.severity, one.certainty.value, one.at) == (Severity.DANGER, "ask", "tank_setpoint")
    assert one.remedy is not None and not one.remedy.set
    assert finding(LEFT_OUT, no("pump_overrun")).severity is Severity.WASTE
