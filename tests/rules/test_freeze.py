# ruff: noqa: E501
"""The freezing group at its boundaries.

It gets as cold as -8 F at the kit's site. Temperatures at which protection starts, and the 35 F above which nothing
freezes, are common practice, no source. Freezing points of glycol are those of CoolProp's mixtures.
"""

from __future__ import annotations

import math
from datetime import date
from typing import Any, Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.checking.audit import audit
from settingslint.physics.glycol import freezing_point
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.declared import undeclared
from tests.rules.kit import AS_OF, PROFILE, Answer, ask, finding, make_plant

METRIC: Final[dict[str, Any]] = {"metric": True}
OFF: Final = {"settings.freeze_protection": False}
GARAGE: Final = {"boiler.location": "garage"}
OUTSIDE: Final = {"piping.outside_walls": True}
FAR: Final = {**OUTSIDE, "piping.boiler_drives_zones": False}
NOT_AWAY: Final[dict[str, Any]] = {"control": {"control.freeze_active_in": ["normal", "summer"]}}
HOT_WATER_FIRST: Final[dict[str, Any]] = {"control": {"control.freeze_overrides_priority": False}}
EMPTY: Final = {"site.occupants": "vacant", "site.alarm_path": False}
NO_SENSOR: Final = {"accessories.outdoor_sensor": False}
BY_MASS: Final = {
    "water.fluid": "propylene glycol", "water.glycol_percent": 45, "water.glycol_by": "mass", "water.tested": "2026-10-01",
}  # fmt: skip
COIL: Final = {"emitter": [{**PROFILE["emitter"][0], "kind": "air coil"}]}
SNOW: Final = {"emitter": [PROFILE["emitter"][0], {"kind": "snow melting"}]}
DEFAULT_40: Final[dict[str, Any]] = {"control": {"setting.freeze_pump_on.default": 40}}

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    ("freeze-protection-off", "found", {**OFF, "site.coldest": 35}, {}),
    ("freeze-protection-off", "does not apply", {**OFF, "site.coldest": 35.1}, {}),
    ("freeze-protection-off", "clear", {}, {}),
    ("freeze-protection-off", "not checked", OFF, {"drop": ["site.coldest"]}),
    ("freeze-protection-off", "not checked", {}, {"drop": ["settings.freeze_protection"]}),
    ("freeze-protection-off", "does not apply", {}, {"drop": ["settings.freeze_protection"], "drop_control": ["setting.freeze_protection"]}),
    ("freeze-protection-off", "found", {**OFF, "site.coldest": 1.6}, METRIC),
    ("freeze-protection-off", "does not apply", {**OFF, "site.coldest": 1.7}, METRIC),
    # 41 F for the pump, 37 F for the burner
    ("freeze-protection-starts-late", "clear", {**GARAGE, "settings.freeze_pump_on": 41}, {}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_pump_on": 40.9}, {}),
    ("freeze-protection-starts-late", "clear", {**GARAGE, "settings.freeze_burner_on": 37}, {}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_burner_on": 36.9}, {}),
    ("freeze-protection-starts-late", "found", {**OUTSIDE, "settings.freeze_pump_on": 40.9}, {}),
    ("freeze-protection-starts-late", "found", {**OUTSIDE, "settings.freeze_pump_on": 40.9}, {"drop": ["boiler.location"]}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_pump_on": 40.9}, {"drop": ["piping.outside_walls"]}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "unheated", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "outdoor", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "found", {"boiler.location": "roof", "settings.freeze_pump_on": 40}, {}),
    ("freeze-protection-starts-late", "does not apply", {"settings.freeze_pump_on": 40.9}, {}),
    ("freeze-protection-starts-late", "does not apply", {**GARAGE, **OFF, "settings.freeze_pump_on": 33}, {}),
    ("freeze-protection-starts-late", "does not apply", {**GARAGE, "site.coldest": 40, "settings.freeze_pump_on": 33}, {}),
    ("freeze-protection-starts-late", "not checked", {"settings.freeze_pump_on": 40}, {"drop": ["boiler.location"]}),
    ("freeze-protection-starts-late", "not checked", {"settings.freeze_pump_on": 40}, {"drop": ["piping.outside_walls"]}),
    ("freeze-protection-starts-late", "not checked", GARAGE, {"drop": ["site.coldest"]}),
    ("freeze-protection-starts-late", "not checked", GARAGE, {"drop": ["settings.freeze_pump_on"]}),
    ("freeze-protection-starts-late", "not checked", GARAGE, {"drop": ["settings.freeze_burner_on"]}),
    ("freeze-protection-starts-late", "not checked", GARAGE, {"drop": ["settings.freeze_protection"]}),
    # a pump that nothing is known of does not hide a burner that starts late, nor does one that the control lacks
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_burner_on": 36}, {"drop": ["settings.freeze_pump_on"]}),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_burner_on": 36},
     {"drop": ["settings.freeze_pump_on"], "drop_control": ["setting.freeze_pump_on"]}),
    # what the control came with is not questioned
    ("freeze-protection-starts-late", "clear", {**GARAGE, "settings.freeze_pump_on": 40}, DEFAULT_40),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_pump_on": 39}, DEFAULT_40),
    ("freeze-protection-starts-late", "clear", {**GARAGE, "settings.freeze_pump_on": 5}, METRIC),
    ("freeze-protection-starts-late", "found", {**GARAGE, "settings.freeze_pump_on": 4.9}, METRIC),
    ("freeze-protection-asleep-in-mode", "found", {"settings.operating_mode": "holiday"}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "found", {"settings.operating_mode": "standby"}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "clear", {"settings.operating_mode": "summer"}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "clear", {"settings.operating_mode": "holiday"}, {}),
    ("freeze-protection-asleep-in-mode", "does not apply", {**OFF, "settings.operating_mode": "holiday"}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "does not apply", {"settings.operating_mode": "holiday", "site.coldest": 36}, NOT_AWAY),
    ("freeze-protection-asleep-in-mode", "not checked", {"settings.operating_mode": "holiday"}, {"drop_control": ["control.freeze_active_in"]}),
    ("freeze-protection-asleep-in-mode", "not checked", {}, {"drop": ["settings.operating_mode"]}),
    ("freeze-protection-asleep-in-mode", "not checked", {}, {"drop": ["settings.freeze_protection"]}),
    ("freeze-protection-asleep-in-mode", "not checked", {}, {"drop": ["site.coldest"]}),
    ("freeze-protection-misses-far-pipes", "found", FAR, {}),
    ("freeze-protection-misses-far-pipes", "clear", OUTSIDE, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {"piping.boiler_drives_zones": False}, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {**FAR, **BY_MASS}, {}),
    ("freeze-protection-misses-far-pipes", "does not apply", {**FAR, "site.coldest": 36}, {}),
    ("freeze-protection-misses-far-pipes", "not checked", OUTSIDE, {"drop": ["piping.boiler_drives_zones"]}),
    ("freeze-protection-misses-far-pipes", "not checked", FAR, {"drop": ["water.fluid"]}),
    ("freeze-protection-misses-far-pipes", "not checked", FAR, {"drop": ["site.coldest"]}),
    ("freeze-protection-misses-far-pipes", "not checked", {}, {"drop": ["piping.outside_walls"]}),
    # -8 F is -22.22 C; CoolProp: propylene by mass 41.7 %: -22.22 C (see below)
    ("antifreeze-too-weak", "found", {**BY_MASS, "water.glycol_percent": 41.7}, {}),
    ("antifreeze-too-weak", "clear", {**BY_MASS, "water.glycol_percent": 41.8}, {}),
    ("antifreeze-too-weak", "clear", {**BY_MASS, "water.glycol_percent": 40, "site.coldest": -5}, {}),
    ("antifreeze-too-weak", "found", {**BY_MASS, "water.glycol_percent": 40, "site.coldest": -6}, {}),
    # 40.9 % by mass is 40 % by volume (densities 1036 and 998 kg/m3, CRC Handbook, from memory)
    ("antifreeze-too-weak", "clear", {**BY_MASS, "water.glycol_percent": 40.9, "water.glycol_by": "volume"}, {}),
    ("antifreeze-too-weak", "found", {**BY_MASS, "water.glycol_percent": 40.7, "water.glycol_by": "volume"}, {}),
    ("antifreeze-too-weak", "clear", {**BY_MASS, "water.fluid": "ethylene glycol", "water.glycol_percent": 39}, {}),
    ("antifreeze-too-weak", "found", {**BY_MASS, "water.fluid": "ethylene glycol", "water.glycol_percent": 38}, {}),
    ("antifreeze-too-weak", "does not apply", {}, {}),
    ("antifreeze-too-weak", "not checked", {}, {"drop": ["water.fluid"]}),
    ("antifreeze-too-weak", "not checked", BY_MASS, {"drop": ["site.coldest"]}),
    ("antifreeze-too-weak", "not checked", {"water.fluid": "propylene glycol", "water.glycol_percent": 20}, {}),
    ("antifreeze-too-weak", "not checked", {"water.fluid": "propylene glycol", "water.glycol_by": "mass"}, {}),
    # CoolProp: propylene 0.3 by mass, -12.79 C
    ("antifreeze-too-weak", "clear", {**BY_MASS, "water.glycol_percent": 30, "site.coldest": -12.7}, METRIC),
    ("antifreeze-too-weak", "found", {**BY_MASS, "water.glycol_percent": 30, "site.coldest": -12.9}, METRIC),
    ("antifreeze-too-weak", "clear",
     {**BY_MASS, "water.glycol_percent": 30, "site.coldest": float(freezing_point("propylene", 0.3))}, METRIC),
    # asked on 2026-11-25; 366 days before is 2025-11-24
    ("antifreeze-test-overdue", "clear", {**BY_MASS, "water.tested": "2025-11-24"}, {}),
    ("antifreeze-test-overdue", "found", {**BY_MASS, "water.tested": "2025-11-23"}, {}),
    ("antifreeze-test-overdue", "found", {**BY_MASS, "water.tested": "2025-11-23", "water.fluid": "ethylene glycol"}, {}),
    ("antifreeze-test-overdue", "does not apply", {"water.tested": "2020-01-01"}, {}),
    ("antifreeze-test-overdue", "not checked", {"water.fluid": "propylene glycol"}, {}),
    ("antifreeze-test-overdue", "not checked", {}, {"drop": ["water.fluid"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, {}),
    ("nobody-gets-an-alarm", "found", {**EMPTY, "site.occupants": "seasonal"}, {}),
    ("nobody-gets-an-alarm", "found", {**EMPTY, "site.occupants": "none"}, {}),
    ("nobody-gets-an-alarm", "clear", {**EMPTY, "site.alarm_path": True}, {}),
    ("nobody-gets-an-alarm", "found", EMPTY, {"drop": ["settings.holiday_room"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, {"drop": ["building.cooldown_time_constant"]}),
    ("nobody-gets-an-alarm", "does not apply", {"site.alarm_path": False}, {}),
    ("nobody-gets-an-alarm", "does not apply", {**EMPTY, "site.coldest": 36}, {}),
    ("nobody-gets-an-alarm", "not checked", EMPTY, {"drop": ["site.coldest"]}),
    ("nobody-gets-an-alarm", "not checked", {"site.occupants": "vacant"}, {"drop": ["site.alarm_path"]}),
    ("nobody-gets-an-alarm", "not checked", {"site.alarm_path": False}, {"drop": ["site.occupants"]}),
    ("nobody-gets-an-alarm", "found", EMPTY, METRIC),
    ("room-below-insurers-condition", "clear", {"settings.holiday_room": 50}, {}),
    ("room-below-insurers-condition", "found", {"settings.holiday_room": 49.9}, {}),
    ("room-below-insurers-condition", "not checked", {}, {"drop": ["settings.holiday_room"]}),
    ("room-below-insurers-condition", "not checked", {"settings.holiday_room": 40}, {"drop": ["site.insurer_minimum"]}),
    ("room-below-insurers-condition", "does not apply", {}, {"drop": ["settings.holiday_room"], "drop_control": ["setting.holiday_room"]}),
    ("room-below-insurers-condition", "clear", {"settings.holiday_room": 10}, METRIC),
    ("room-below-insurers-condition", "found", {"settings.holiday_room": 9.9}, METRIC),
    ("freeze-start-without-outdoor-sensor", "found", NO_SENSOR, {}),
    ("freeze-start-without-outdoor-sensor", "clear", {}, {}),
    ("freeze-start-without-outdoor-sensor", "does not apply", {**NO_SENSOR, "settings.freeze_outdoor_start": "off"}, {}),
    ("freeze-start-without-outdoor-sensor", "does not apply", {**NO_SENSOR, "site.coldest": 36}, {}),
    ("freeze-start-without-outdoor-sensor", "not checked", NO_SENSOR, {"drop": ["settings.freeze_outdoor_start"]}),
    ("freeze-start-without-outdoor-sensor", "not checked", NO_SENSOR, {"drop": ["site.coldest"]}),
    ("freeze-start-without-outdoor-sensor", "not checked", {}, {"drop": ["accessories.outdoor_sensor"]}),
    ("freeze-start-without-outdoor-sensor", "found", NO_SENSOR, METRIC),
    ("shutdown-blocks-cold-loads", "found", {**COIL, "settings.warm_weather_shutdown": 50}, {}),
    ("shutdown-blocks-cold-loads", "clear", {**COIL, "settings.warm_weather_shutdown": 50.1}, {}),
    ("shutdown-blocks-cold-loads", "found", {**SNOW, "settings.warm_weather_shutdown": 50}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {"settings.warm_weather_shutdown": 40}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {**COIL, "settings.warm_weather_shutdown": "off"}, {}),
    ("shutdown-blocks-cold-loads", "does not apply", {"settings.warm_weather_shutdown": "off"}, {"drop": ["emitter"]}),
    ("shutdown-blocks-cold-loads", "does not apply", {**COIL, "settings.warm_weather_shutdown": 40, "site.coldest": 36}, {}),
    ("shutdown-blocks-cold-loads", "not checked", {"settings.warm_weather_shutdown": 40}, {"drop": ["emitter"]}),
    ("shutdown-blocks-cold-loads", "not checked", COIL, {"drop": ["settings.warm_weather_shutdown"]}),
    ("shutdown-blocks-cold-loads", "not checked", COIL, {"drop": ["site.coldest"]}),
    ("shutdown-blocks-cold-loads", "found", {"emitter.0.kind": "air coil", "settings.warm_weather_shutdown": 10}, METRIC),
    ("shutdown-blocks-cold-loads", "clear", {"emitter.0.kind": "air coil", "settings.warm_weather_shutdown": 10.1}, METRIC),
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
    ("priority-outranks-freeze-protection", "not checked", {}, {"drop": ["settings.hot_water_priority"], **HOT_WATER_FIRST}),
    ("priority-outranks-freeze-protection", "not checked", {}, {"drop": ["settings.freeze_protection"], **HOT_WATER_FIRST}),
    ("priority-outranks-freeze-protection", "not checked", {}, {"drop": ["hot_water.kind"], **HOT_WATER_FIRST}),
    ("priority-outranks-freeze-protection", "not checked", {}, {"drop": ["site.coldest"], **HOT_WATER_FIRST}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


def test_every_rule_of_the_group_stands_in_the_table() -> None:
    found = {(rule, answer) for rule, answer, *_ in CASES}
    for rule in by_group()["freeze"]:
        assert {(rule.name, "found"), (rule.name, "clear"), (rule.name, "not checked")} <= found


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("freeze-protection-off", OFF, {}, {"freeze_protection": True}),
        ("freeze-protection-off", OFF, METRIC, {"freeze_protection": True}),
        ("freeze-protection-asleep-in-mode", {"settings.operating_mode": "holiday"}, NOT_AWAY, {"operating_mode": "summer"}),
        (
            "freeze-protection-asleep-in-mode",
            {"settings.operating_mode": "holiday"},
            {"control": {"control.freeze_active_in": ["normal"]}},
            {"operating_mode": "normal"},
        ),
    ],
)  # fmt: skip
def test_remedies(rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, Any]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.set == proposed
    assert remedy.verified is True


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_pump_on": 38}, {}, {"freeze_pump_on": celsius(41)}),
        ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_burner_on": 34}, {}, {"freeze_burner_on": celsius(37)}),
        ("freeze-protection-starts-late", {**GARAGE, "settings.freeze_pump_on": 3}, METRIC, {"freeze_pump_on": 5.0}),
        ("room-below-insurers-condition", {"settings.holiday_room": 45}, {}, {"holiday_room": celsius(50)}),
        ("room-below-insurers-condition", {"settings.holiday_room": 7}, METRIC, {"holiday_room": 10.0}),
    ],
)  # fmt: skip
def test_remedies_in_degrees(
    rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, float]
) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx(proposed)
    assert remedy.verified is True
    assert "can't" not in remedy.text


@pytest.mark.parametrize(
    ("rule", "changes", "control"),
    [
        (
            "freeze-protection-starts-late",
            {**GARAGE, "settings.freeze_pump_on": 38},
            {"setting.freeze_pump_on.range": {"low": 34, "high": 40}},
        ),
        (
            "room-below-insurers-condition",
            {"settings.holiday_room": 45},
            {"setting.holiday_room.range": {"low": 40, "high": 49}},
        ),
        (
            "freeze-protection-asleep-in-mode",
            {"settings.operating_mode": "holiday"},
            {"control.freeze_active_in": ["standby"]},
        ),
    ],
)
def test_where_the_control_can_t_help_nothing_is_proposed(
    rule: str, changes: dict[str, Any], control: dict[str, Any]
) -> None:
    remedy = finding(rule, changes, control=control).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert remedy.verified is None


def test_both_starts_are_found_one_by_one() -> None:
    changes = {**GARAGE, "settings.freeze_pump_on": 36, "settings.freeze_burner_on": 36}
    result = audit(make_plant(changes), by_group()["freeze"])
    late = {one.at: one for one in result.findings if one.rule == "freeze-protection-starts-late"}
    assert set(late) == {"freeze_pump_on", "freeze_burner_on"}
    assert "the pump starts at 36 F" in late["freeze_pump_on"].message
    assert "is 41 F or more" in late["freeze_pump_on"].message
    assert "the burner starts at 36 F" in late["freeze_burner_on"].message
    assert late["freeze_burner_on"].numbers["usual"].value == pytest.approx(celsius(37))


def test_what_makes_it_worse_is_said() -> None:
    plain = finding("freeze-protection-off", {**OFF, **BY_MASS}).message
    assert plain == "freeze protection is off; it gets as cold as -8 F"
    worse = finding("freeze-protection-off", {**OFF, **GARAGE, "site.occupants": "vacant"}).message
    assert "garage" in worse
    assert "vacant" in worse
    assert "no antifreeze" in worse


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


@pytest.mark.parametrize(
    ("fluid", "code", "percent"), [("propylene glycol", "MPG", 30.0), ("ethylene glycol", "MEG", 25.0)]
)
def test_freezing_points_are_coolprops(fluid: str, code: str, percent: float) -> None:
    one = finding("antifreeze-too-weak", {**BY_MASS, "water.fluid": fluid, "water.glycol_percent": percent})
    point = PropsSI("T_freeze", "T", 330, "P", 1e5, f"INCOMP::{code}[{percent / 100}]") - 273.15
    assert one.numbers["begins to freeze"].value == pytest.approx(point, abs=0.03)
    assert one.numbers["coldest"].value == pytest.approx(celsius(-8))
    assert f"{percent:.0f} % {fluid} by mass" in one.message


def test_a_share_by_volume_is_not_read_as_by_mass() -> None:
    # Lange's Handbook of Chemistry, 15th ed., table 5.13: propylene glycol, 40 % by volume, -20.6 C; within 0.9 K
    changes = {**BY_MASS, "water.glycol_percent": 40, "water.glycol_by": "volume"}
    one = finding("antifreeze-too-weak", changes)
    assert one.numbers["begins to freeze"].value == pytest.approx(-20.6, abs=0.9)
    by_mass = finding("antifreeze-too-weak", {**BY_MASS, "water.glycol_percent": 40})
    assert by_mass.numbers["begins to freeze"].value == pytest.approx(-20.57, abs=0.03)


def test_days_since_the_test_are_counted() -> None:
    one = finding("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2024-11-25"})
    assert one.numbers["days"].value == 730
    assert one.certainty is Certainty.ASK
    owner = Context(AS_OF, thresholds={"glycol_test_days": 731.0})
    assert ask("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2024-11-25"}, context=owner) == "clear"
    later = Context(date(2026, 11, 26))
    assert ask("antifreeze-test-overdue", {**BY_MASS, "water.tested": "2025-11-24"}, context=later) == "found"


def test_hours_to_freezing_are_those_of_a_worked_example() -> None:
    # 55 F room, -10 F outdoors, 30 h: 30 h ln(65/42) = 13 h to 32 F (common practice, no source)
    changes = {**EMPTY, "settings.holiday_room": 55, "site.coldest": -10, "building.cooldown_time_constant": 30}
    one = finding("nobody-gets-an-alarm", changes)
    assert one.numbers["time to freezing"].value / 3600 == pytest.approx(30 * math.log(65 / 42))
    assert "from 55 F it takes about 13 h to freezing at -10 F" in one.message
    assert one.certainty is Certainty.ASK
    slow = finding("nobody-gets-an-alarm", {**changes, "building.cooldown_time_constant": 500})
    assert "about 218 h to" in slow.message  # 500 h x 0.4367
    frost = {**changes, "site.coldest": 33}
    assert finding("nobody-gets-an-alarm", frost).numbers == {}
    assert "it takes" not in finding("nobody-gets-an-alarm", frost).message


@pytest.mark.parametrize(
    ("occupants", "says"), [("vacant", "is vacant"), ("seasonal", "by the season"), ("none", "nobody uses")]
)
def test_who_is_away_is_said(occupants: str, says: str) -> None:
    assert says in finding("nobody-gets-an-alarm", {**EMPTY, "site.occupants": occupants}).message


def test_the_load_that_is_shut_down_is_named() -> None:
    assert (
        "with it the snow melting"
        in finding("shutdown-blocks-cold-loads", {**SNOW, "settings.warm_weather_shutdown": 45}).message
    )
    one = finding("shutdown-blocks-cold-loads", {**COIL, "settings.warm_weather_shutdown": 45})
    assert "with it the air coil" in one.message
    assert one.numbers["shutdown"].value == pytest.approx(celsius(45))


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    cold_country = Context(AS_OF, thresholds={"never_cold": celsius(40), "freeze_pump_on_least": celsius(46)})
    assert ask("freeze-protection-off", {**OFF, "site.coldest": 38}, context=cold_country) == "found"
    one = finding("freeze-protection-starts-late", GARAGE, context=cold_country)
    assert "owner's number: freeze_pump_on_least" in one.message


def test_numbers_of_habit_are_declared() -> None:
    assert undeclared(by_group()["freeze"], CASES) == {}


PROVEN, LIKELY, ASK = Certainty.PROVEN, Certainty.LIKELY, Certainty.ASK
DAMAGE, OUTAGE = Severity.DAMAGE, Severity.OUTAGE


@pytest.mark.parametrize(
    ("name", "severity", "certainty", "cautions"),
    [
        ("freeze-protection-off", DAMAGE, PROVEN, {"freeze"}),
        ("freeze-protection-starts-late", DAMAGE, LIKELY, {"freeze"}),
        ("freeze-protection-asleep-in-mode", DAMAGE, PROVEN, {"freeze"}),
        ("freeze-protection-misses-far-pipes", DAMAGE, ASK, {"freeze"}),
        ("antifreeze-too-weak", DAMAGE, LIKELY, {"freeze"}),
        ("antifreeze-test-overdue", DAMAGE, ASK, {"freeze"}),
        ("nobody-gets-an-alarm", DAMAGE, ASK, {"freeze", "insurance"}),
        ("room-below-insurers-condition", OUTAGE, PROVEN, {"freeze", "insurance"}),
        ("freeze-start-without-outdoor-sensor", DAMAGE, PROVEN, {"freeze"}),
        ("shutdown-blocks-cold-loads", DAMAGE, LIKELY, {"freeze"}),
        ("priority-outranks-freeze-protection", DAMAGE, PROVEN, {"freeze"}),
    ],
)
def test_how_bad_and_how_sure(name: str, severity: Severity, certainty: Certainty, cautions: set[str]) -> None:
    rules = {rule.name: rule for rule in by_group()["freeze"]}
    rule = rules[name]
    assert (rule.severity, rule.certainty, set(rule.cautions)) == (severity, certainty, cautions)
    assert bool(rule.assumes) == (certainty is LIKELY)
    assert len(rules) == 11
