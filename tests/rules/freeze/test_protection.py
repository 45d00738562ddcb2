# ruff: noqa: E501
"""Freeze protection at its boundaries.

It gets as cold as -8 F at the kit's site. Temperatures at which protection starts, and the 35 F above which nothing
freezes, are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.freeze.givens import BY_MASS
from tests.rules.kit import AS_OF, METRIC, RADIATOR, ask, finding, make_plant, rule_named
from tests.rules.tables import Cases, Declared, boundaries, declared, edge, lacking, remedies, unable

OFF: Final = {"settings.freeze_protection": False}
GARAGE: Final = {"boiler.location": "garage"}
OUTSIDE: Final = {"piping.outside_walls": True}
FAR: Final = {**OUTSIDE, "piping.boiler_drives_zones": False}
NOT_AWAY: Final[dict[str, Any]] = {"control": {"control.freeze_active_in": ["normal", "summer"]}}
HOT_WATER_FIRST: Final[dict[str, Any]] = {"control": {"control.freeze_overrides_priority": False}}
NO_SENSOR: Final = {"accessories.outdoor_sensor": False}
COIL: Final = {"emitter": [{**RADIATOR, "kind": "air coil"}]}
SNOW: Final = {"emitter": [RADIATOR, {"kind": "snow melting"}]}
DEFAULT_40: Final[dict[str, Any]] = {"control": {"setting.freeze_pump_on.default": 40}}

CASES: Final[Cases] = [
    ("freeze-protection-off", "found", {**OFF, "site.coldest": 35}, {}),
    ("freeze-protection-off", "does not apply", {**OFF, "site.coldest": 35.1}, {}),
    ("freeze-protection-off", "clear", {}, {}),
    ("freeze-protection-off", "not checked", OFF, {"drop": ["site.coldest"]}),
    ("freeze-protection-off", "not checked", {}, {"drop": ["settings.freeze_protection"]}),
    ("freeze-protection-off", "does not apply", {}, {"drop": ["settings.freeze_protection"], "drop_control": ["setting.freeze_protection"]}),
    ("freeze-protection-off", "found", {**OFF, "site.coldest": 1.6}, METRIC),
    ("freeze-protection-off", "does not apply", {**OFF, "site.coldest": 1.7}, METRIC),
    # 41 F for the pump, 37 F for the burner
    *edge("freeze-protection-starts-late", GARAGE, "settings.freeze_pump_on", 41, 40.9),
    *edge("freeze-protection-starts-late", GARAGE, "settings.freeze_burner_on", 37, 36.9),
    ("freeze-protection-starts-late", "found", {**OUTSIDE, "settings.freeze_pump_on": 40.9}, {}),
    ("freeze-protection-starts-late", "found", {**OUTSIDE, "settings.freeze_pump_on": 40.9}, {"drop": ["boiler.location"]}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_pump_on": 40.9}, {"drop": ["piping.outside_walls"]}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "unheated", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "outdoor", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "roof", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "does not apply", {"settings.freeze_pump_on": 40.9}, {}),
    ("freeze-protection-starts-late", "does not apply", {**GARAGE, **OFF, "settings.freeze_pump_on": 33}, {}),
    ("freeze-protection-starts-late", "does not apply", {**GARAGE, "site.coldest": 40, "settings.freeze_pump_on": 33}, {}),
    *lacking("freeze-protection-starts-late", {"settings.freeze_pump_on": 40}, "boiler.location", "piping.outside_walls"),
    *lacking("freeze-protection-starts-late", GARAGE, "site.coldest", "settings.freeze_pump_on", "settings.freeze_burner_on",
              "settings.freeze_protection"),
    # a pump that nothing is known of does not hide a burner that starts late, nor does one that the control lacks
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_burner_on": 36}, {"drop": ["settings.freeze_pump_on"]}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_burner_on": 36},
     {"drop": ["settings.freeze_pump_on"], "drop_control": ["setting.freeze_pump_on"]}),
    # what the control came with is not questioned
    *edge("freeze-protection-starts-late", GARAGE, "settings.freeze_pump_on", 40, 39, **DEFAULT_40),
    *edge("freeze-protection-starts-late", GARAGE, "settings.freeze_pump_on", 5, 4.9, **METRIC),
    ("freeze-protection-asleep-in-mode", "found", {"settings.operating_mode": "holiday"}, NOT_AWAY),
    *edge("freeze-protection-asleep-in-mode", {}, "settings.operating_mode", "summer", "standby", **NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "clear", {"settings.operating_mode": "holiday"}, {}),
    ("freeze-protection-asleep-in-mode", "does not apply", {**OFF, "settings.operating_mode": "holiday"}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "does not apply", {"settings.operating_mode": "holiday", "site.coldest": 36}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "not checked", {"settings.operating_mode": "holiday"}, {"drop_control": ["control.freeze_active_in"]}),
    *lacking("freeze-protection-asleep-in-mode", {}, "settings.operating_mode", "settings.freeze_protection",
              "site.coldest"),
    ("freeze-protection-misses-far-pipes", "found", FAR, {}),
    ("freeze-protection-misses-far-pipes", "clear", OUTSIDE, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {"piping.boiler_drives_zones": False}, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {**FAR, **BY_MASS}, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {**FAR, "site.coldest": 36}, {}),
    ("freeze-protection-misses-far-pipes", "not checked", OUTSIDE, {"drop": ["piping.boiler_drives_zones"]}),
    *lacking("freeze-protection-misses-far-pipes", FAR, "water.fluid", "site.coldest"),
    ("freeze-protection-misses-far-pipes", "not checked", {}, {"drop": ["piping.outside_walls"]}),
    ("freeze-start-without-outdoor-sensor", "found", NO_SENSOR, {}),
    ("freeze-start-without-outdoor-sensor", "clear", {}, {}),
    ("freeze-start-without-outdoor-sensor", "does not apply", {**NO_SENSOR, "settings.freeze_outdoor_start": "off"}, {}),
    ("freeze-start-without-outdoor-sensor", "does not apply", {**NO_SENSOR, "site.coldest": 36}, {}),
    *lacking("freeze-start-without-outdoor-sensor", NO_SENSOR, "settings.freeze_outdoor_start", "site.coldest"),
    ("freeze-start-without-outdoor-sensor", "not checked", {}, {"drop": ["accessories.outdoor_sensor"]}),
    ("freeze-start-without-outdoor-sensor", "found", NO_SENSOR, METRIC),
    *edge("shutdown-blocks-cold-loads", COIL, "settings.warm_weather_shutdown", 50.1, 50),
    ("shutdown-blocks-cold-loads", "found", {**SNOW, "settings.warm_weather_shutdown": 50}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {"settings.warm_weather_shutdown": 40}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {**COIL, "settings.warm_weather_shutdown": "off"}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {"settings.warm_weather_shutdown": "off"}, {"drop": ["emitter"]}),
    ("shutdown-blocks-cold-loads", "does not apply", {**COIL, "settings.warm_weather_shutdown": 40, "site.coldest": 36}, {}),
    ("shutdown-blocks-cold-loads", "not checked", {"settings.warm_weather_shutdown": 40}, {"drop": ["emitter"]}),
    *lacking("shutdown-blocks-cold-loads", COIL, "settings.warm_weather_shutdown", "site.coldest"),
    *edge("shutdown-blocks-cold-loads", {"emitter.0.kind": "air coil"},
          "settings.warm_weather_shutdown", 10.1, 10, **METRIC),
    ("priority-outranks-freeze-protection", "found", {}, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "found", {"hot_water.kind": "plate"}, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "clear", {}, {}),
    ("priority-outranks-freeze-protection", "clear", {"settings.hot_water_priority": False}, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "clear", {"settings.hot_water_priority": False},
     {"drop_control": ["control.freeze_overrides_priority"]}),
    ("priority-outranks-freeze-protection", "does not apply", OFF, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "does not apply", {"hot_water.kind": "none"}, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "does not apply", {"site.coldest": 36}, HOT_WATER_FIRST),
    ("priority-outranks-freeze-protection", "not checked", {}, {"drop_control": ["control.freeze_overrides_priority"]}),
    *lacking("priority-outranks-freeze-protection", {}, "settings.hot_water_priority", "settings.freeze_protection",
              "hot_water.kind", "site.coldest", **HOT_WATER_FIRST),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("freeze-protection-off", OFF, {}, {"freeze_protection": True}),
    ("freeze-protection-off", OFF, METRIC, {"freeze_protection": True}),
    ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_pump_on": 38}, {}, {"freeze_pump_on": celsius(41)}),
    ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_burner_on": 34}, {},
     {"freeze_burner_on": celsius(37)}),
    ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_pump_on": 3}, METRIC, {"freeze_pump_on": 5.0}),
    ("freeze-protection-asleep-in-mode", {"settings.operating_mode": "holiday"}, NOT_AWAY,
     {"operating_mode": "summer"}),
    ("freeze-protection-asleep-in-mode", {"settings.operating_mode": "holiday"},
     {"control": {"control.freeze_active_in": ["normal"]}}, {"operating_mode": "normal"}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_pump_on": 38},
     {"setting.freeze_pump_on.range": {"low": 34, "high": 40}}, "can't start it sooner"),
    ("freeze-protection-asleep-in-mode", {"settings.operating_mode": "holiday"},
     {"control.freeze_active_in": ["standby"]}, "by other means"),
])  # fmt: skip
DECLARED: Final[Declared] = [
    ("freeze-protection-off", Severity.DAMAGE, Certainty.PROVEN, {"freeze"}),
    ("freeze-protection-starts-late", Severity.DAMAGE, Certainty.LIKELY, {"freeze"}),
    ("freeze-protection-asleep-in-mode", Severity.DAMAGE, Certainty.PROVEN, {"freeze"}),
    ("freeze-protection-misses-far-pipes", Severity.DAMAGE, Certainty.ASK, {"freeze"}),
    ("freeze-start-without-outdoor-sensor", Severity.DAMAGE, Certainty.PROVEN, {"freeze"}),
    ("shutdown-blocks-cold-loads", Severity.DAMAGE, Certainty.LIKELY, {"freeze"}),
    ("priority-outranks-freeze-protection", Severity.DAMAGE, Certainty.PROVEN, {"freeze"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


def test_both_starts_are_found_one_by_one() -> None:
    changes = {**GARAGE, "settings.freeze_pump_on": 36, "settings.freeze_burner_on": 36}
    result = audit(make_plant(changes), by_group()["freeze"])
    late = {one.at: one for one in result.findings if one.rule == "freeze-protection-starts-late"}
    assert set(late) == {"freeze_pump_on", "freeze_burner_on"}
    assert late["freeze_pump_on"].headline == "freeze protection starts the pump at 36 F; minimum in the cold 41 F"
    assert late["freeze_burner_on"].headline == "freeze protection starts the burner at 36 F; minimum in the cold 37 F"
    assert late["freeze_burner_on"].numbers["minimum"].value == pytest.approx(celsius(37))


def test_what_makes_it_worse_is_said() -> None:
    plain = finding("freeze-protection-off", {**OFF, **BY_MASS})
    worse = finding("freeze-protection-off", {**OFF, **GARAGE, "site.occupants": "vacant"})
    assert plain.headline == worse.headline == "freeze protection is off; it gets as cold as -8 F"
    assert plain.remarks == ()
    assert worse.remarks == ("place of the boiler: garage", "who uses the building: vacant", "no antifreeze")


def test_what_makes_it_worse_is_said_also_where_something_is_assumed() -> None:
    plant = make_plant({**OFF, **GARAGE}, drop=["site.coldest"])
    (one,) = audit(plant, [rule_named("freeze-protection-off")]).findings
    assert one.remarks[:2] == ("place of the boiler: garage", "no antifreeze")
    assert one.remarks[2].startswith("for any coldest outdoor temperature")


def test_freeze_protection_that_the_control_switches_off_by_itself_is_off() -> None:
    needs = [{"setting": "operating_mode", "is": ["normal", "summer"], "otherwise": "off"}]
    control = {"setting.freeze_protection.needs": needs}
    assert ask("freeze-protection-off", {"settings.operating_mode": "holiday"}, control=control) == "found"
    assert ask("freeze-protection-off", {"settings.operating_mode": "summer"}, control=control) == "clear"


def test_the_modes_in_which_it_works_are_named() -> None:
    away = {"settings.operating_mode": "holiday"}
    assert "works only in normal, summer" in finding("freeze-protection-asleep-in-mode", away, **NOT_AWAY).message
    never = finding("freeze-protection-asleep-in-mode", away, control={"control.freeze_active_in": []})
    assert "works only in no mode" in never.message


def test_the_load_that_is_shut_down_is_named() -> None:
    assert (
        "with it the snow melting"
        in finding("shutdown-blocks-cold-loads", {**SNOW, "settings.warm_weather_shutdown": 45}).message
    )
    one = finding("shutdown-blocks-cold-loads", {**COIL, "settings.warm_weather_shutdown": 45})
    assert "with it the air coil" in one.message
    assert one.numbers["shutdown"].value == pytest.approx(celsius(45))


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    cold_country = Context(AS_OF, thresholds={"never_cold": celsius(40), "freeze_pump_on_minimum": celsius(46)})
    assert ask("freeze-protection-off", {**OFF, "site.coldest": 38}, context=cold_country) == "found"
    one = finding("freeze-protection-starts-late", GARAGE, context=cold_country)
    assert "owner's number: freeze_pump_on_minimum" in one.message
