# ruff: noqa: E501
"""The numbers group at its boundaries. Unit factors from NIST SP 811, appendix B.8; ranges are common practice, no source."""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from settingslint.vocabulary.settings import FIRING, LIMITS
from tests.rules.kit import Answer, ask, finding, make_plant

METRIC: Final[dict[str, Any]] = {"metric": True}
TWO: Final[dict[str, Any]] = {"style": "two points"}
COLD: Final = {"site.design_outdoor": -10, "site.coldest": -20}
NARROW: Final[dict[str, Any]] = {"control": {"setting.heating_setpoint.range": {"low": 90, "high": 190}}}

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    # plausible from 60 to 210 F
    ("typed-in-other-unit", "found", {"settings.heating_setpoint": 71}, {}),
    ("typed-in-other-unit", "found", {"settings.heating_setpoint": 74.9}, {}),
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 75}, {}),
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 210}, {}),
    # 14 C is 57 F: plausible in neither
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 14}, {}),
    # the control's own range, 90 to 190 F: 87 C is 188.6 F, 88 C is 190.4 F
    ("typed-in-other-unit", "found", {"settings.heating_setpoint": 87}, NARROW),
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 88}, NARROW),
    # 210 F is 98.9 C; 99 F is 37.2 C
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 98.8}, METRIC),
    ("typed-in-other-unit", "found", {"settings.heating_setpoint": 99}, METRIC),
    ("typed-in-other-unit", "found", {"settings.tank_setpoint": 140}, METRIC),
    ("typed-in-other-unit", "found", {"settings.holiday_room": 20}, {}),
    # 60 F of difference is 33.3 K
    ("typed-in-other-unit", "clear", {"settings.heating_differential": 33.3}, METRIC),
    ("typed-in-other-unit", "found", {"settings.heating_differential": 34}, METRIC),
    # facts
    ("typed-in-other-unit", "found", {"building.balance_point": 17}, {}),
    ("typed-in-other-unit", "found", {"building.balance_point": 63}, METRIC),
    ("typed-in-other-unit", "found", {"emitter.0.design_supply": 70}, {}),
    ("typed-in-other-unit", "clear", {"emitter.0.design_supply": 75}, {}),
    ("typed-in-other-unit", "clear", {"settings.pump_overrun": 300}, {}),
    # 20 K: 36 F, and 68 F with the 32; the differential is plausible up to 60 F
    ("difference-converted-with-32", "found", {"settings.heating_differential": 68}, {}),
    ("difference-converted-with-32", "clear", {"settings.heating_differential": 60}, {}),
    ("difference-converted-with-32", "found", {"settings.heating_differential": 60.1}, {}),
    ("difference-converted-with-32", "clear", {"settings.heating_differential": 92.1}, {}),
    ("difference-converted-with-32", "found", {"settings.heating_differential": 92}, {}),
    # 20 F: 11.1 K, and -6.7 C with the 32
    ("difference-converted-with-32", "found", {"settings.heating_differential": -6.7}, METRIC),
    ("difference-converted-with-32", "clear", {"settings.heating_differential": 34}, METRIC),
    ("difference-converted-with-32", "found", {"boiler.maximum_difference": 121}, {}),
    ("difference-converted-with-32", "clear", {"settings.outdoor_correction": -6.7}, METRIC),
    # pump overrun: up to 60 min
    ("time-in-other-unit", "clear", {"settings.pump_overrun": 60}, {}),
    ("time-in-other-unit", "found", {"settings.pump_overrun": 61}, {}),
    ("time-in-other-unit", "clear", {"settings.pump_overrun": 3601}, {}),
    ("time-in-other-unit", "found", {"settings.priority_time_limit": 2}, {}),
    ("time-in-other-unit", "found", {"settings.keep_warm": 240}, {}),
    ("time-in-other-unit", "found", {"building.setback_warm_up": 180}, {}),
    ("time-in-other-unit", "found", {"settings.pump_overrun": 180}, METRIC),
    ("raw-bus-value-recorded", "found", {"settings.hot_water_maximum_rate": 950}, {}),
    ("raw-bus-value-recorded", "clear", {"settings.hot_water_maximum_rate": 100}, {}),
    ("raw-bus-value-recorded", "found", {"settings.tank_setpoint": 620}, METRIC),
    # 140 F explains it
    ("raw-bus-value-recorded", "clear", {"settings.tank_setpoint": 140}, METRIC),
    ("raw-bus-value-recorded", "clear", {"settings.pump_overrun": 180}, {}),
    # 65,436 is -100: no time is negative
    ("raw-bus-value-recorded", "clear", {"settings.low_fire_hold": 65436}, {}),
    ("rounding-through-other-unit", "found", {"settings.heating_setpoint": {"value": 62, "read_back": 62.2}}, METRIC),
    ("rounding-through-other-unit", "clear", {"settings.heating_setpoint": {"value": 62, "read_back": 62.4}}, METRIC),
    ("rounding-through-other-unit", "clear", {"settings.heating_setpoint": {"value": 62, "read_back": 62}}, METRIC),
    ("rounding-through-other-unit", "found", {"settings.heating_setpoint": {"value": 163, "read_back": 163.4}}, {}),
    ("rounding-through-other-unit", "clear", {"settings.heating_setpoint": {"value": 163, "read_back": 164}}, {}),
    ("percent-of-what", "clear", {}, {}),
    ("percent-of-what", "found", {}, {"control": {"setting.heating_maximum_rate.unit": "%"}}),
    ("percent-of-what", "found", {}, {"drop_control": ["setting.hot_water_maximum_rate.unit"]}),
    ("percent-of-what", "not checked", {}, {"drop_control": ["setting.hot_water_maximum_rate"]}),
    ("percent-of-what", "does not apply", {}, {"drop": ["settings.heating_maximum_rate", "settings.hot_water_maximum_rate"]}),
    # 118,000 Btu/h in thousands, in kW (34.6) and in boiler horsepower (3.5)
    ("power-in-other-unit", "found", {"boiler.input_maximum": 118}, {}),
    ("power-in-other-unit", "found", {"boiler.input_maximum": 34.6}, {}),
    ("power-in-other-unit", "found", {"boiler.input_maximum": 3.5}, {}),
    ("power-in-other-unit", "clear", {"boiler.input_maximum": 94000}, {}),
    ("power-in-other-unit", "found", {"boiler.output_maximum": 108}, METRIC),
    ("power-in-other-unit", "found", {"building.design_load": 88}, {}),
    ("power-in-other-unit", "clear", {"building.design_load": 40000}, {}),
    ("power-in-other-unit", "found", {"gas.clocked_input": 34.3}, {}),
    ("power-in-other-unit", "not checked", {}, {"drop": ["plant.size", "boiler.input_maximum", "boiler.output_maximum"]}),
    # 0.98 x 118,000 = 115,640
    ("input-called-output", "found", {"boiler.input_maximum": 115640}, {}),
    ("input-called-output", "clear", {"boiler.input_maximum": 115641}, {}),
    ("input-called-output", "clear", {"boiler.input_maximum": 94300, "boiler.output_maximum": 86000}, {}),
    ("input-called-output", "found", {"boiler.input_maximum": 94401, "boiler.output_maximum": 86000}, {}),
    ("input-called-output", "clear", {"boiler.input_maximum": 108000, "boiler.output_maximum": 99000, "site.elevation": 2500}, {}),
    ("input-called-output", "not checked", {"boiler.input_maximum": 108000}, {"drop": ["site.elevation"]}),
    ("input-called-output", "found", {"boiler.output_maximum": 118001}, {}),
    ("input-called-output", "clear", {"boiler.output_maximum": 118000}, {}),
    ("input-called-output", "clear", {"boiler.output_maximum": 119000, "gas.heating_value_basis": "net"}, {}),
    ("input-called-output", "not checked", {}, {"drop": ["boiler.input_maximum"]}),
    ("input-called-output", "not checked", {}, {"drop": ["plant.size", "boiler.output_maximum"]}),
    ("heating-value-basis-unsaid", "found", {"boiler.efficiency": 1.01}, {}),
    ("heating-value-basis-unsaid", "clear", {"boiler.efficiency": 1.0}, {}),
    ("heating-value-basis-unsaid", "clear", {"boiler.efficiency": 1.04, "gas.heating_value_basis": "net"}, {}),
    ("heating-value-basis-unsaid", "found", {}, {"drop": ["gas.heating_value_basis"]}),
    ("heating-value-basis-unsaid", "clear", {}, {"drop": ["gas.heating_value_basis", "gas.clocked_input"]}),
    ("heating-value-basis-unsaid", "does not apply", {}, {"drop": ["boiler.efficiency", "gas.clocked_input"]}),
    # relief from 12 to 160 psi: 11 bar is 159.5 psi; 300 kPa is 3 bar
    ("pressure-in-other-unit", "found", {"water.relief_pressure": 3}, {}),
    ("pressure-in-other-unit", "found", {"water.relief_pressure": 11}, {}),
    ("pressure-in-other-unit", "clear", {"water.relief_pressure": 11.9}, {}),
    ("pressure-in-other-unit", "clear", {"water.relief_pressure": 12}, {}),
    ("pressure-in-other-unit", "found", {"water.relief_pressure": 300}, METRIC),
    ("pressure-in-other-unit", "clear", {"water.relief_pressure": 3}, METRIC),
    ("pressure-in-other-unit", "found", {"settings.low_pressure_cutout": 0.6}, {}),
    ("pressure-in-other-unit", "clear", {"settings.low_pressure_cutout": 1}, {}),
    ("pressure-in-other-unit", "found", {"settings.high_pressure_alarm": 26}, METRIC),
    ("pressure-in-other-unit", "does not apply", {},
     {"drop": ["settings.low_pressure_cutout", "settings.high_pressure_alarm", "water.relief_pressure"]}),
    # 108,000 Btu/h at 44 F: 108,000/(8.2 x 60 x 44) = 5.0 gpm of water at 60 C
    ("flow-in-other-unit", "found", {"boiler.minimum_flow": 0.2}, {}),
    ("flow-in-other-unit", "clear", {"boiler.minimum_flow": 0.9}, {}),
    ("flow-in-other-unit", "found", {"boiler.minimum_flow": 0.8}, {}),
    ("flow-in-other-unit", "found", {"boiler.minimum_flow": 3.2}, METRIC),
    ("flow-in-other-unit", "clear", {"boiler.minimum_flow": 0.2}, METRIC),
    ("flow-in-other-unit", "not checked", {}, {"drop": ["boiler.maximum_difference"]}),
    # 600 ft is 183 m
    ("length-in-other-unit", "found", {"settings.elevation_setting": 183}, {}),
    ("length-in-other-unit", "found", {"settings.elevation_setting": 1968}, {}),
    ("length-in-other-unit", "clear", {"settings.elevation_setting": 600}, {}),
    ("length-in-other-unit", "found", {"settings.vent_length_setting": 12}, {}),
    # 5 % off the ratio
    ("length-in-other-unit", "found", {"settings.elevation_setting": 192}, {}),
    ("length-in-other-unit", "clear", {"settings.elevation_setting": 193}, {}),
    ("length-in-other-unit", "found", {"settings.elevation_setting": 600}, METRIC),
    ("length-in-other-unit", "not checked", {"settings.elevation_setting": 183}, {"drop": ["site.elevation"]}),
    ("length-in-other-unit", "does not apply", {}, {"drop": ["settings.elevation_setting", "settings.vent_length_setting"]}),
    ("minus-lost", "found", {**COLD, "settings.reset_cold_outdoor": 10}, TWO),
    ("minus-lost", "found", {**COLD, "settings.reset_cold_outdoor": 10.5}, TWO),
    ("minus-lost", "clear", {**COLD, "settings.reset_cold_outdoor": 10.6}, TWO),
    ("minus-lost", "clear", {**COLD, "settings.reset_cold_outdoor": -10}, TWO),
    ("minus-lost", "clear", {"site.design_outdoor": -3, "settings.reset_cold_outdoor": 3}, TWO),
    ("minus-lost", "found", {"site.design_outdoor": -3.1, "settings.reset_cold_outdoor": 3.1}, TWO),
    ("minus-lost", "found", {"site.design_outdoor": -12, "site.coldest": -20, "settings.reset_cold_outdoor": 12}, {**TWO, **METRIC}),
    # 8 F is warmer than the design day of 4 F, -8 F would be colder
    ("minus-lost", "found", {"site.coldest": 8}, {}),
    ("minus-lost", "clear", {"site.coldest": 4}, {}),
    ("minus-lost", "clear", {"site.coldest": -8}, {}),
    ("minus-lost", "clear", {}, {"drop": ["site.coldest"]}),
    ("minus-lost", "not checked", {}, {"drop": ["site.design_outdoor"]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("typed-in-other-unit", {"settings.heating_setpoint": 58}, {}, {"heating_setpoint": 58.0}),
        ("typed-in-other-unit", {"settings.tank_setpoint": 140}, METRIC, {"tank_setpoint": 60.0}),
        ("typed-in-other-unit", {"settings.heating_differential": 36}, METRIC, {"heating_differential": 20.0}),
        ("difference-converted-with-32", {"settings.heating_differential": 68}, {}, {"heating_differential": 20.0}),
        (
            "difference-converted-with-32",
            {"settings.tank_differential": -12.2222},
            METRIC,
            {"tank_differential": kelvin(10)},
        ),
        ("time-in-other-unit", {"settings.pump_overrun": 180}, {}, {"pump_overrun": 180.0}),
        ("time-in-other-unit", {"settings.keep_warm": 240}, {}, {"keep_warm": 4 * 3600.0}),
        ("raw-bus-value-recorded", {"settings.tank_setpoint": 620}, METRIC, {"tank_setpoint": 62.0}),
        ("minus-lost", {**COLD, "settings.reset_cold_outdoor": 10}, TWO, {"reset_cold_outdoor": celsius(-10)}),
    ],
)
def test_remedies(rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, float]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx(proposed, abs=1e-3)
    assert remedy.verified is not None


def test_the_remedy_of_a_mixed_up_unit_clears_it() -> None:
    remedy = finding("typed-in-other-unit", {"settings.tank_setpoint": 140}, metric=True).remedy
    assert remedy is not None
    assert remedy.verified is True


@pytest.mark.parametrize(
    ("rule", "changes", "more"),
    [
        ("typed-in-other-unit", {"settings.high_limit": 205}, METRIC),
        ("typed-in-other-unit", {"settings.flue_limit": 96}, {}),
        ("typed-in-other-unit", {"settings.difference_limit": 60}, METRIC),
        ("difference-converted-with-32", {"settings.difference_limit": 120}, {}),
        ("raw-bus-value-recorded", {"settings.heating_maximum_rate": 900}, {}),
        ("time-in-other-unit", {"settings.pre_purge": 900}, {}),
        ("length-in-other-unit", {"settings.elevation_setting": 183}, {}),
        ("pressure-in-other-unit", {"settings.low_pressure_cutout": 0.6}, {}),
    ],
)
def test_firing_and_limits_get_no_number(rule: str, changes: dict[str, Any], more: dict[str, Any]) -> None:
    one = finding(rule, changes, **more)
    assert one.at in FIRING | LIMITS
    assert one.severity is Severity.DANGER
    assert one.remedy is not None
    assert one.remedy.set == {}
    assert not any(character.isdigit() for character in one.remedy.text)
    assert "meant" not in one.numbers


@pytest.mark.parametrize(
    ("changes", "severity"),
    [
        ({"settings.tank_setpoint": 50}, Severity.DANGER),
        ({"settings.freeze_pump_on": 7}, Severity.DAMAGE),
        ({"settings.heating_setpoint": 58}, Severity.OUTAGE),
        ({"building.indoor_design": 21}, Severity.RECORD),
    ],
)
def test_as_bad_as_the_setting_it_stands_in(changes: dict[str, Any], severity: Severity) -> None:
    assert finding("typed-in-other-unit", changes).severity is severity


def test_only_the_control_s_range_makes_it_likely_and_not_proven() -> None:
    changes = {"settings.heating_setpoint": 70}
    assert finding("typed-in-other-unit", changes, **NARROW).certainty is Certainty.LIKELY
    assert finding("typed-in-other-unit", {"settings.heating_setpoint": 58}).certainty is Certainty.PROVEN


def test_guessed_facts_elsewhere_do_not_weaken_a_mixed_up_unit() -> None:
    changes = {"settings.heating_setpoint": 58, "building.indoor_design": {"value": 70, "from": "guessed"}}
    assert finding("typed-in-other-unit", changes).certainty is Certainty.PROVEN


def test_every_emitter_is_looked_at() -> None:
    plant = make_plant()
    second = {"kind": "panel radiator", "design_supply": 60, "mixed": False}
    changed = make_plant({"emitter": [plant.profile.source.data["emitter"][0], second]})
    found = audit(changed, [rule for rule in all_rules() if rule.name == "typed-in-other-unit"]).findings
    assert [one.at for one in found] == ["emitter[1].design_supply"]


def test_figures_can_be_checked_by_hand() -> None:
    # 143.6 F kept as 144 F is 62.2 C
    one = finding(
        "rounding-through-other-unit", {"settings.heating_setpoint": {"value": 62, "read_back": 62.2}}, metric=True
    )
    assert "144 F" in one.message
    # 108,000 Btu/h / (983.2 kg/m3 x 4.185 kJ/kg K x 24.44 K) = 0.3147 L/s (IAPWS density, specific heat of CoolProp)
    flow = finding("flow-in-other-unit", {"boiler.minimum_flow": 0.2})
    assert flow.numbers["expected"].value == pytest.approx(0.3147, rel=1e-3)
