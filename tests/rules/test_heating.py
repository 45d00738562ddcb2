# ruff: noqa: E501
"""The heating group at its boundaries: the value that just trips a rule, the one that just does not, the missing fact.

The kit's radiators need 158 F at 4 F outdoors by their recorded design; EN 442 gives the shape of the need. Margins
are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from tests.rules.kit import PROFILE, Answer, Style, ask, finding

RADIATOR: Final[dict[str, Any]] = PROFILE["emitter"][0]
FLOOR: Final[dict[str, Any]] = {
    "name": "slab", "kind": "heated floor", "design_supply": 104, "design_return": 90, "maximum_supply": 120,
    "mixed": False,
}  # fmt: skip
COIL: Final[dict[str, Any]] = {**RADIATOR, "kind": "air coil"}
OFF_RETURN: Final = {"boiler.condensing": False, "settings.minimum_return": "off", "piping.return_protection": False}
ROOM: Final = {"settings.room_influence": 10, "accessories.room_unit": True, "building.reference_room_disturbed": True}
NEW: Final = {"building.new_system": True}
SETBACK: Final = {"settings.night_setback_hours": 8}
BUS: Final = {"settings.call_source": "bus room unit"}

CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    # need 158 F, margin 3 F
    ("setpoint-below-emitter-need", "clear", {"settings.heating_setpoint": 155}, {}),
    ("setpoint-below-emitter-need", "found", {"settings.heating_setpoint": 154.9}, {}),
    ("setpoint-below-emitter-need", "found", {"settings.maximum_supply": 154.9}, {}),
    ("setpoint-below-emitter-need", "clear", {"settings.maximum_supply": "off"}, {}),
    ("setpoint-below-emitter-need", "clear", {"settings.heating_setpoint": 90, "emitter": [{**FLOOR, "design_supply": 93}]}, {}),
    ("setpoint-below-emitter-need", "does not apply", {"settings.heating_setpoint": 90, "emitter.0.mixed": True}, {}),
    ("setpoint-below-emitter-need", "does not apply", {"settings.heating_setpoint": 90, "settings.cascade_role": "follower"}, {}),
    ("setpoint-below-emitter-need", "not checked", {}, {"drop": ["emitter.0.design_return"]}),
    ("setpoint-below-emitter-need", "not checked", {}, {"drop": ["emitter"]}),
    ("setpoint-below-emitter-need", "not checked", {}, {"drop": ["emitter.0.mixed"]}),
    ("setpoint-below-emitter-need", "not checked", {}, {"drop": ["settings.heating_setpoint"]}),
    ("setpoint-below-emitter-need", "clear", {"settings.heating_setpoint": 68.4}, {"metric": True}),
    ("setpoint-below-emitter-need", "found", {"settings.heating_setpoint": 68.3}, {"metric": True}),
    # coldest return = supply - 20 F, against a dew point of 129.1 F at 8.9 % CO2 and 600 ft
    ("hot-fixed-supply-on-condensing-boiler", "found", {"settings.reset": False, "settings.heating_setpoint": 150}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "clear", {"settings.reset": False, "settings.heating_setpoint": 149}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "clear",
     {"settings.reset": False, "settings.heating_setpoint": 150, "settings.heating_target_difference": 21}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "emitter": [COIL]}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "boiler.tankless_coil": True}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "boiler.condensing": False}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False}, {"control": {"control.shared_target": True}}),
    ("hot-fixed-supply-on-condensing-boiler", "not checked", {"settings.reset": False}, {"drop": ["gas.fuel"]}),
    ("hot-fixed-supply-on-condensing-boiler", "not checked", {"settings.reset": False}, {"drop": ["boiler.condensing"]}),
    ("hot-fixed-supply-on-condensing-boiler", "found", {"settings.reset": False, "settings.heating_setpoint": 66}, {"metric": True}),
    ("hot-fixed-supply-on-condensing-boiler", "clear", {"settings.reset": False, "settings.heating_setpoint": 65}, {"metric": True}),
    # limit 120 F
    ("supply-above-emitter-limit", "found", {"emitter": [FLOOR], "settings.heating_setpoint": 120.1}, {}),
    ("supply-above-emitter-limit", "clear", {"emitter": [FLOOR], "settings.heating_setpoint": 120}, {}),
    ("supply-above-emitter-limit", "clear", {"emitter": [FLOOR], "settings.maximum_supply": 120}, {}),
    ("supply-above-emitter-limit", "does not apply", {"emitter": [{**FLOOR, "mixed": True}]}, {}),
    ("supply-above-emitter-limit", "found",
     {"emitter": [FLOOR], "settings.reset_hot_supply": 120.1, "settings.reset_cool_supply": 80}, {"style": "two points"}),
    ("supply-above-emitter-limit", "clear",
     {"emitter": [FLOOR], "settings.reset_hot_supply": 120, "settings.reset_cool_supply": 80}, {"style": "two points"}),
    ("supply-above-emitter-limit", "found",
     {"emitter": [FLOOR], "settings.reset_hot_supply": 110, "settings.reset_cool_supply": 80, "settings.boost_step": 5,
      "settings.boost_interval": 30}, {"style": "two points"}),
    # 70 + 6 + 0.5 x (70 - coldest -8) = 115 F; by the design day alone it would be 109 F
    ("supply-above-emitter-limit", "clear", {"emitter": [{**FLOOR, "maximum_supply": 115}], "settings.reset_slope": 0.5},
     {"style": "slope and shift"}),
    ("supply-above-emitter-limit", "found", {"emitter": [{**FLOOR, "maximum_supply": 114.9}], "settings.reset_slope": 0.5},
     {"style": "slope and shift"}),
    ("supply-above-emitter-limit", "found",
     {"emitter": [FLOOR], "settings.heating_setpoint": 110, "settings.external_signal": "temperature", "settings.external_high": 120.1}, {}),
    ("supply-above-emitter-limit", "clear",
     {"emitter": [FLOOR], "settings.heating_setpoint": 190, "settings.external_signal": "temperature", "settings.external_high": 120}, {}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.heating_setpoint"]}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [{"kind": "heated floor", "mixed": False}]}, {}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [{"kind": "heated floor", "maximum_supply": 120}]}, {}),
    ("supply-above-emitter-limit", "does not apply", {}, {"drop": ["emitter.0.maximum_supply"]}),
    ("supply-above-emitter-limit", "found", {"emitter.0.maximum_supply": 73}, {"metric": True}),
    ("supply-above-emitter-limit", "clear", {"emitter.0.maximum_supply": 74}, {"metric": True}),
    ("one-temperature-for-unlike-emitters", "found", {"emitter": [{**FLOOR, "maximum_supply": 157.9}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "clear", {"emitter": [{**FLOOR, "maximum_supply": 158}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "does not apply", {"emitter": [{**FLOOR, "mixed": True}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "does not apply", {}, {}),
    ("one-temperature-for-unlike-emitters", "not checked", {"emitter": [FLOOR, RADIATOR]}, {"drop": ["building.indoor_design"]}),
    # minimum return against the dew point of 129.1 F (53.94 C)
    ("noncondensing-return-below-dew-point", "found", {**OFF_RETURN, "settings.minimum_return": 129}, {}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "settings.minimum_return": 130}, {}),
    ("noncondensing-return-below-dew-point", "found", OFF_RETURN, {}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "piping.return_protection": True}, {}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "settings.reset": False}, {}),
    # a floor of dew point + 20 F drop keeps the return warm at every load
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "settings.minimum_supply": 150}, {}),
    ("noncondensing-return-below-dew-point", "found", {**OFF_RETURN, "settings.minimum_supply": 140}, {}),
    ("noncondensing-return-below-dew-point", "not checked", {**OFF_RETURN}, {"drop": ["building.balance_point"]}),
    ("noncondensing-return-below-dew-point", "does not apply", {"settings.minimum_return": "off"}, {}),
    ("noncondensing-return-below-dew-point", "found", {**OFF_RETURN, "settings.minimum_return": 53.9}, {"metric": True}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "settings.minimum_return": 54}, {"metric": True}),
    # middle of 4 to 62 F is 33 F: need 120.8 F there, with 10 F more 130.8 F
    ("minimum-supply-above-mild-need", "clear", {"settings.minimum_supply": 130}, {}),
    ("minimum-supply-above-mild-need", "found", {"settings.minimum_supply": 132}, {}),
    ("minimum-supply-above-mild-need", "does not apply", {"settings.minimum_supply": 132, "hot_water.kind": "plate"}, {}),
    ("minimum-supply-above-mild-need", "does not apply", {"settings.minimum_supply": 150, "boiler.condensing": False}, {}),
    ("minimum-supply-above-mild-need", "does not apply", {}, {}),
    ("minimum-supply-above-mild-need", "clear", {"settings.minimum_supply": 150, "settings.reset": False}, {}),
    ("minimum-supply-above-mild-need", "not checked", {"settings.minimum_supply": 150}, {"drop": ["hot_water.kind"]}),
    ("minimum-supply-above-mild-need", "found", {"settings.minimum_supply": 56}, {"metric": True}),
    ("minimum-supply-above-mild-need", "clear", {"settings.minimum_supply": 54}, {"metric": True}),
    # 76 + 88 x (76 - 4)/(76 - 2) = 161.6 F on the design day
    ("new-system-above-supply-ceiling", "found", {**NEW, "site.new_system_supply_ceiling": 161.6}, {}),
    ("new-system-above-supply-ceiling", "clear", {**NEW, "site.new_system_supply_ceiling": 161.7}, {}),
    ("new-system-above-supply-ceiling", "does not apply", {"site.new_system_supply_ceiling": 131}, {}),
    ("new-system-above-supply-ceiling", "not checked", NEW, {}),
    ("new-system-above-supply-ceiling", "not checked", {}, {"drop": ["building.new_system"]}),
    ("new-system-above-supply-ceiling", "found", {**NEW, "site.new_system_supply_ceiling": 55}, {"metric": True}),
    ("night-setback-recovers-late", "clear", {**SETBACK, "settings.night_setback": 2}, {}),
    ("night-setback-recovers-late", "found", {**SETBACK, "settings.night_setback": 3}, {}),
    ("night-setback-recovers-late", "clear", {**SETBACK, "settings.night_setback": 3, "building.setback_warm_up": 6}, {}),
    ("night-setback-recovers-late", "found", {**SETBACK, "settings.night_setback": 2, "building.design_load": 98000}, {}),
    ("night-setback-recovers-late", "does not apply", {}, {"drop": ["building.cooldown_time_constant"]}),
    ("night-setback-recovers-late", "not checked", {"settings.night_setback": 20}, {}),
    ("night-setback-recovers-late", "found", {**SETBACK, "settings.night_setback": 12}, {"metric": True}),
    ("call-source-does-not-match-wiring", "found", BUS, {}),
    ("call-source-does-not-match-wiring", "clear", {**BUS, "accessories.room_unit": True}, {}),
    ("call-source-does-not-match-wiring", "found", {"settings.call_source": "external signal"}, {}),
    ("call-source-does-not-match-wiring", "clear", {"settings.call_source": "external signal", "accessories.bus_module": True}, {}),
    ("call-source-does-not-match-wiring", "found", {"settings.call_source": "always"}, {}),
    ("call-source-does-not-match-wiring", "clear", {"settings.call_source": "always", "piping.calls_have_end_switches": False}, {}),
    ("call-source-does-not-match-wiring", "does not apply", {}, {}),
    ("call-source-does-not-match-wiring", "not checked", BUS, {"drop": ["accessories.room_unit"]}),
    # checked on 2026-11-25
    ("heating-off-in-season", "found", {"settings.heating_enabled": False}, {}),
    ("heating-off-in-season", "found", {"settings.operating_mode": "standby"}, {}),
    ("heating-off-in-season", "clear", {"settings.operating_mode": "holiday"}, {}),
    ("heating-off-in-season", "found", {"settings.heating_enabled": False, "site.heating_months_first": 11}, {}),
    ("heating-off-in-season", "clear", {"settings.heating_enabled": False, "site.heating_months_first": 12}, {}),
    ("heating-off-in-season", "found",
     {"settings.heating_enabled": False, "site.heating_months_first": 5, "site.heating_months_last": 11}, {}),
    ("heating-off-in-season", "clear",
     {"settings.heating_enabled": False, "site.heating_months_first": 5, "site.heating_months_last": 10}, {}),
    ("heating-off-in-season", "clear", {"settings.heating_enabled": False, "site.occupants": "vacant"}, {}),
    ("heating-off-in-season", "not checked", {"settings.heating_enabled": False}, {"drop": ["site.heating_months_first"]}),
    ("heating-off-in-season", "not checked", {}, {"drop": ["settings.operating_mode"]}),
    ("room-influence-with-disturbed-room", "found", {**ROOM, "settings.room_influence": 1}, {}),
    ("room-influence-with-disturbed-room", "clear", {**ROOM, "settings.room_influence": 0}, {}),
    ("room-influence-with-disturbed-room", "clear", {**ROOM, "building.reference_room_disturbed": False}, {}),
    ("room-influence-with-disturbed-room", "does not apply", {**ROOM, "accessories.room_unit": False}, {}),
    ("room-influence-with-disturbed-room", "not checked", ROOM, {"drop": ["settings.call_source"], "drop_control": ["setting.room_influence.treatments"]}),
    ("hot-water-heat-left-for-floor", "found", {"emitter": [FLOOR], "settings.hot_water_overrun": 0}, {}),
    ("hot-water-heat-left-for-floor", "clear", {"emitter": [FLOOR], "settings.hot_water_overrun": 0.5}, {}),
    ("hot-water-heat-left-for-floor", "clear",
     {"emitter": [FLOOR], "settings.hot_water_overrun": 0, "settings.hot_water_boiler_setpoint": 120}, {}),
    ("hot-water-heat-left-for-floor", "found",
     {"emitter": [FLOOR], "settings.hot_water_overrun": 0, "settings.hot_water_boiler_setpoint": 121}, {}),
    ("hot-water-heat-left-for-floor", "does not apply", {"emitter": [{**FLOOR, "mixed": True}], "settings.hot_water_overrun": 0}, {}),
    ("hot-water-heat-left-for-floor", "does not apply", {"emitter": [FLOOR], "settings.hot_water_overrun": 0, "hot_water.kind": "none"}, {}),
    ("hot-water-heat-left-for-floor", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.hot_water_overrun"]}),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


@pytest.mark.parametrize(
    ("rule", "changes", "style", "proposed"),
    [
        ("setpoint-below-emitter-need", {"settings.heating_setpoint": 150}, "one number", {"heating_setpoint": 158}),
        (
            "setpoint-below-emitter-need",
            {"settings.heating_setpoint": 150, "settings.maximum_supply": 140},
            "one number",
            {"heating_setpoint": 158, "maximum_supply": 158},
        ),
        ("supply-above-emitter-limit", {"emitter": [FLOOR]}, "two points", {"maximum_supply": 120}),
        ("noncondensing-return-below-dew-point", OFF_RETURN, "one number", {"minimum_return": 130}),
        ("minimum-supply-above-mild-need", {"settings.minimum_supply": 150}, "one number", {"minimum_supply": 130}),
    ],
)
def test_remedies_in_degrees(rule: str, changes: dict[str, Any], style: Style, proposed: dict[str, float]) -> None:
    remedy = finding(rule, changes, style=style).remedy
    assert remedy is not None
    assert remedy.verified is True
    assert remedy.set == pytest.approx({name: celsius(value) for name, value in proposed.items()})


@pytest.mark.parametrize(
    ("rule", "changes"),
    [
        ("hot-fixed-supply-on-condensing-boiler", {"settings.reset": False}),
        ("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30}),
        ("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 98000}),
        ("heating-off-in-season", {"settings.operating_mode": "summer", "settings.heating_enabled": False}),
        ("room-influence-with-disturbed-room", ROOM),
        ("hot-water-heat-left-for-floor", {"emitter": [FLOOR], "settings.hot_water_overrun": 0}),
    ],
)
def test_remedies_clear_the_finding(rule: str, changes: dict[str, Any]) -> None:
    remedy = finding(rule, changes).remedy
    assert remedy is not None
    assert remedy.set
    assert remedy.verified is True


def test_no_ceiling_is_proposed_where_another_emitter_needs_hotter_water() -> None:
    remedy = finding("supply-above-emitter-limit", {"emitter": [FLOOR, RADIATOR]}).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert "mixing device" in remedy.text


def test_a_limit_of_one_floor_does_not_hide_a_floor_without_a_figure() -> None:
    changes = {"emitter": [FLOOR, {"kind": "heated floor", "mixed": False}]}
    assert finding("supply-above-emitter-limit", changes).severity is Severity.DAMAGE


def test_a_guessed_fact_lowers_the_certainty_and_is_named() -> None:
    changes = {"emitter": [{**FLOOR, "maximum_supply": {"value": 120, "from": "guessed"}}]}
    one = finding("supply-above-emitter-limit", changes)
    assert one.certainty is Certainty.LIKELY
    assert "emitter[0].maximum_supply" in one.message
    assert finding("supply-above-emitter-limit", {"emitter": [FLOOR]}).certainty is Certainty.PROVEN


def test_the_noncondensing_boiler_without_a_minimum_return_gets_a_supply_floor() -> None:
    one = finding("noncondensing-return-below-dew-point", OFF_RETURN, drop_control=["setting.minimum_return"])
    assert one.remedy is not None
    # 129.1 F dew point + 20 F drop on the design day
    assert one.remedy.set == pytest.approx({"minimum_supply": celsius(150)})
    assert one.remedy.verified is True


def test_figures_in_a_finding_can_be_checked_by_hand() -> None:
    # 78 F mean excess, 30 F off it: share (48/78)^1.3 = 0.532; 66 F x (1 - e^(-8/45)) x 0.468 = 5.0 F (EN 442, one node)
    one = finding("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30})
    assert one.numbers["fall"].value * 1.8 == pytest.approx(5.03, abs=0.02)
    short = finding("setpoint-below-emitter-need", {"settings.heating_setpoint": 150}).numbers
    assert short["short"].value * 1.8 == pytest.approx(8.0)


def test_the_text_names_the_emitter_and_the_place_is_the_setting_that_makes_it_hot() -> None:
    one = finding(
        "supply-above-emitter-limit", {"emitter": [FLOOR], "settings.reset_cool_supply": 80}, style="two points"
    )
    assert "slab may take 120 F" in one.message
    assert one.at == "reset_hot_supply"
    nameless = {key: value for key, value in FLOOR.items() if key != "name"}
    changes = {"emitter": [nameless], "settings.reset_hot_supply": 164}
    other = finding("supply-above-emitter-limit", changes, style="two points")
    assert "emitter 1 may take" in other.message
    assert other.at == "heating_setpoint"


def test_the_remedy_names_the_setting_that_makes_it_hot() -> None:
    signal = {
        "settings.external_signal": "temperature",
        "settings.external_high": 140,
        "settings.heating_setpoint": 110,
    }
    remedy = finding("supply-above-emitter-limit", {"emitter": [FLOOR], **signal}).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx({"external_high": celsius(120)})
    plain = finding("supply-above-emitter-limit", {"emitter": [FLOOR]}, drop_control=["setting.maximum_supply"]).remedy
    assert plain is not None
    assert plain.set == pytest.approx({"heating_setpoint": celsius(120)})
    control = {"setting.maximum_supply.range": {"low": 130, "high": 190}}
    none = finding("supply-above-emitter-limit", {"emitter": [FLOOR]}, control=control).remedy
    assert none is not None
    assert none.set == {}
    assert "another emitter" not in none.text


def test_reset_is_switched_on_only_where_a_sensor_is_fitted() -> None:
    changes = {"settings.reset": False, "accessories.outdoor_sensor": False}
    remedy = finding("hot-fixed-supply-on-condensing-boiler", changes).remedy
    assert remedy is not None
    assert remedy.set == {}


def test_where_the_return_gets_too_cold_and_at_which_setting() -> None:
    # 19 F: 76 + 88 x 57/74 = 143.8 F, less 20 x 0.741 = 129.0 F; the dew point is 129.1 F at 8.9 % CO2 and 600 ft
    one = finding("noncondensing-return-below-dew-point", OFF_RETURN)
    assert one.at == "minimum_return"
    assert one.numbers["from outdoors"].value == pytest.approx(celsius(19), abs=0.5)
    bare = finding("noncondensing-return-below-dew-point", OFF_RETURN, drop_control=["setting.minimum_return"])
    assert bare.at == "heating_setpoint"


def test_from_where_a_floor_holds_the_supply_above_the_need() -> None:
    # need + 10 F = 150 F at 18.4 F outdoors: share 0.752, 70 + 62.6 + 7.5 = 140.1 F; 43.6 F of 58 F are warmer
    one = finding("minimum-supply-above-mild-need", {"settings.minimum_supply": 150})
    assert one.numbers["from outdoors"].value == pytest.approx(celsius(18.6), abs=0.5)
    assert one.numbers["share"].value == pytest.approx(43.5 / 58, abs=0.02)


def test_setback_numbers_and_what_is_proposed() -> None:
    one = finding("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30})
    # 45 h x 88,000/58 Btu/h F x 5.03 F / (97,704 - 88,000) Btu/h = 35.4 h
    assert "takes 35.4 h" in one.message
    assert one.remedy is not None
    assert one.remedy.set == pytest.approx({"night_setback": kelvin(2)})
    short = finding(
        "night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 98000}
    )
    assert "for ever" in short.message
    assert short.remedy is not None
    assert short.remedy.set == {"night_setback": "off"}
    exact = finding(
        "night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 97704.0}
    )
    assert exact.remedy is not None
    assert exact.remedy.set == {"night_setback": "off"}


def test_what_is_off_is_named() -> None:
    assert "the mode is summer" in finding("heating-off-in-season", {"settings.operating_mode": "summer"}).message
    assert "heating is off" in finding("heating-off-in-season", {"settings.heating_enabled": False}).message
