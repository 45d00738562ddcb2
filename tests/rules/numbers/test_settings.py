# ruff: noqa: E501
"""Settings typed in another unit, at their boundaries.

Unit factors from NIST SP 811, appendix B.8; ranges are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

from settingslint.checking.audit import audit
from settingslint.rules import all_rules
from settingslint.rules.base import Certainty, Severity
from settingslint.units import kelvin
from tests.rules.kit import METRIC, finding, make_plant
from tests.rules.tables import Cases, boundaries, edge, no_figure, places, remedies

NARROW: Final[dict[str, Any]] = {"control": {"setting.heating_setpoint.range": {"low": 90, "high": 190}}}

CASES: Final[Cases] = [
    # plausible from 75 to 210 F
    *edge("typed-in-other-unit", {}, "settings.heating_setpoint", 75, 74.9),
    ("typed-in-other-unit", "found", {"settings.heating_setpoint": 71}, {}),
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 210}, {}),
    # 14 C is 57 F: plausible in neither
    ("typed-in-other-unit", "clear", {"settings.heating_setpoint": 14}, {}),
    # the control's own range, 90 to 190 F: 87 C is 188.6 F, 88 C is 190.4 F
    *edge("typed-in-other-unit", {}, "settings.heating_setpoint", 88, 87, **NARROW),
    # 210 F is 98.9 C; 99 F is 37.2 C
    *edge("typed-in-other-unit", {}, "settings.heating_setpoint", 98.8, 99, **METRIC),
    ("typed-in-other-unit", "found", {"settings.tank_setpoint": 140}, METRIC),
    ("typed-in-other-unit", "found", {"settings.holiday_room": 20}, {}),
    # 60 F of difference is 33.3 K
    *edge("typed-in-other-unit", {}, "settings.heating_differential", 33.3, 34, **METRIC),
    # facts
    ("typed-in-other-unit", "found", {"building.balance_point": 17}, {}),
    ("typed-in-other-unit", "found", {"building.balance_point": 63}, METRIC),
    *edge("typed-in-other-unit", {}, "emitter.0.design_supply", 75, 70),
    ("typed-in-other-unit", "clear", {"settings.pump_overrun": 300}, {}),
    # 20 K: 36 F, and 68 F with the 32; the differential is plausible up to 60 F
    ("difference-converted-with-32", "found", {"settings.heating_differential": 68}, {}),
    *edge("difference-converted-with-32", {}, "settings.heating_differential", 60, 60.1),
    *edge("difference-converted-with-32", {}, "settings.heating_differential", 92.1, 92),
    # 20 F: 11.1 K, and -6.7 C with the 32
    *edge("difference-converted-with-32", {}, "settings.heating_differential", 34, -6.7, **METRIC),
    ("difference-converted-with-32", "found", {"boiler.maximum_difference": 121}, {}),
    ("difference-converted-with-32", "clear", {"settings.outdoor_correction": -6.7}, METRIC),
    ("percent-of-what", "clear", {}, {}),
    ("percent-of-what", "found", {}, {"control": {"setting.heating_maximum_rate.unit": "%"}}),
    ("percent-of-what", "found", {}, {"drop_control": ["setting.hot_water_maximum_rate.unit"]}),
    ("percent-of-what", "not checked", {}, {"drop_control": ["setting.hot_water_maximum_rate"]}),
    ("percent-of-what", "does not apply", {}, {"drop": ["settings.heating_maximum_rate", "settings.hot_water_maximum_rate"]}),
    # pump overrun: up to 60 min
    *edge("time-in-other-unit", {}, "settings.pump_overrun", 60, 61),
    ("time-in-other-unit", "clear", {"settings.pump_overrun": 3601}, {}),
    ("time-in-other-unit", "found", {"settings.priority_time_limit": 2}, {}),
    ("time-in-other-unit", "found", {"settings.keep_warm": 240}, {}),
    ("time-in-other-unit", "found", {"building.setback_warm_up": 180}, {}),
    ("time-in-other-unit", "found", {"settings.pump_overrun": 180}, METRIC),
    *edge("raw-bus-value-recorded", {}, "settings.hot_water_maximum_rate", 100, 950),
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
]  # fmt: skip
test_boundaries = boundaries(CASES)
test_as_bad_as_the_setting_it_stands_in = places([
    ("typed-in-other-unit", {"settings.tank_setpoint": 50}, {}, Severity.DANGER, "tank_setpoint"),
    ("typed-in-other-unit", {"settings.freeze_pump_on": 7}, {}, Severity.DAMAGE, "freeze_pump_on"),
    ("typed-in-other-unit", {"settings.heating_setpoint": 58}, {}, Severity.OUTAGE, "heating_setpoint"),
    ("typed-in-other-unit", {"building.indoor_design": 21}, {}, Severity.RECORD, "building.indoor_design"),
])  # fmt: skip

test_remedies = remedies([
    ("typed-in-other-unit", {"settings.heating_setpoint": 58}, {}, {"heating_setpoint": 58.0}),
    ("typed-in-other-unit", {"settings.tank_setpoint": 140}, METRIC, {"tank_setpoint": 60.0}),
    ("typed-in-other-unit", {"settings.heating_differential": 36}, METRIC, {"heating_differential": 20.0}),
    ("difference-converted-with-32", {"settings.heating_differential": 68}, {}, {"heating_differential": 20.0}),
    ("difference-converted-with-32", {"settings.tank_differential": -12.2222}, METRIC,
     {"tank_differential": kelvin(10)}),
    ("time-in-other-unit", {"settings.pump_overrun": 180}, {}, {"pump_overrun": 180.0}),
    ("time-in-other-unit", {"settings.keep_warm": 240}, {}, {"keep_warm": 4 * 3600.0}),
    ("raw-bus-value-recorded", {"settings.tank_setpoint": 620}, METRIC, {"tank_setpoint": 62.0}),
])  # fmt: skip
test_firing_and_limits_get_no_figure = no_figure([
    ("typed-in-other-unit", {"settings.high_limit": 205}, METRIC, Severity.DANGER, "high_limit"),
    ("typed-in-other-unit", {"settings.flue_limit": 96}, {}, Severity.DANGER, "flue_limit"),
    ("typed-in-other-unit", {"settings.difference_limit": 60}, METRIC, Severity.DANGER, "difference_limit"),
    ("difference-converted-with-32", {"settings.difference_limit": 120}, {}, Severity.DANGER, "difference_limit"),
    ("time-in-other-unit", {"settings.pre_purge": 900}, {}, Severity.DANGER, "pre_purge"),
    ("raw-bus-value-recorded", {"settings.heating_maximum_rate": 900}, {}, Severity.DANGER, "heating_maximum_rate"),
])  # fmt: skip


def test_only_the_control_s_range_makes_it_likely_and_not_proven() -> None:
    changes = {"settings.heating_setpoint": 80}
    assert finding("typed-in-other-unit", changes, **NARROW).certainty is Certainty.LIKELY
    assert finding("typed-in-other-unit", {"settings.heating_setpoint": 58}).certainty is Certainty.PROVEN


def test_a_measured_fact_in_the_other_unit_is_likely() -> None:
    """Nobody can say what was measured: a control shows its unit, a thermometer that is gone does not."""
    assert finding("typed-in-other-unit", {"hot_water.outlet_measured": 60}).certainty is Certainty.LIKELY


def test_guessed_facts_elsewhere_do_not_weaken_a_mixed_up_unit() -> None:
    changes = {"settings.heating_setpoint": 58, "building.indoor_design": {"value": 70, "from": "guessed"}}
    assert finding("typed-in-other-unit", changes).certainty is Certainty.PROVEN


def test_every_emitter_is_looked_at() -> None:
    plant = make_plant()
    second = {"kind": "panel radiator", "design_supply": 60, "mixed": False}
    changed = make_plant({"emitter": [plant.profile.source.data["emitter"][0], second]})
    found = audit(changed, [rule for rule in all_rules() if rule.name == "typed-in-other-unit"]).findings
    assert [one.at for one in found] == ["emitter[1].design_supply"]


def test_a_read_back_rounded_through_the_other_unit_can_be_checked_by_hand() -> None:
    # 143.6 F kept as 144 F is 62.2 C
    one = finding(
        "rounding-through-other-unit", {"settings.heating_setpoint": {"value": 62, "read_back": 62.2}}, metric=True
    )
    assert one.message.startswith("heating set point typed 62 C, reads back 62.2 C: rounding")
    assert one.remedy is not None and "144 F" in one.remedy.text
