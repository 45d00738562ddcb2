# ruff: noqa: E501
"""How heating is used, at its boundaries: setback, calls, seasons, rooms. Margins are common practice, no source."""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.units import kelvin
from tests.rules.kit import FLOOR, finding
from tests.rules.tables import Cases, boundaries, edge, remedies

ROOM: Final = {"settings.room_influence": 10, "accessories.room_unit": True, "building.reference_room_disturbed": True}
SETBACK: Final = {"settings.night_setback_hours": 8}
BUS: Final = {"settings.call_source": "bus room unit"}

CASES: Final[Cases] = [
    *edge("night-setback-recovers-late", SETBACK, "settings.night_setback", 2, 3),
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
    *edge("heating-off-in-season", {}, "settings.operating_mode", "holiday", "standby"),
    *edge("heating-off-in-season", {"settings.heating_enabled": False}, "site.heating_months_first", 12, 11),
    *edge("heating-off-in-season", {"settings.heating_enabled": False, "site.heating_months_first": 5},
          "site.heating_months_last", 10, 11),
    ("heating-off-in-season", "clear", {"settings.heating_enabled": False, "site.occupants": "vacant"}, {}),
    ("heating-off-in-season", "not checked", {"settings.heating_enabled": False}, {"drop": ["site.heating_months_first"]}),
    ("heating-off-in-season", "not checked", {}, {"drop": ["settings.operating_mode"]}),
    *edge("room-influence-with-disturbed-room", ROOM, "settings.room_influence", 0, 1),
    ("room-influence-with-disturbed-room", "clear", {**ROOM, "building.reference_room_disturbed": False}, {}),
    ("room-influence-with-disturbed-room", "does not apply", {**ROOM, "accessories.room_unit": False}, {}),
    ("room-influence-with-disturbed-room", "not checked", ROOM, {"drop": ["settings.call_source"], "drop_control": ["setting.room_influence.treatments"]}),
    *edge("hot-water-heat-left-for-floor", {"emitter": [FLOOR]}, "settings.hot_water_overrun", 0.5, 0),
    *edge("hot-water-heat-left-for-floor", {"emitter": [FLOOR], "settings.hot_water_overrun": 0},
          "settings.hot_water_boiler_setpoint", 120, 121),
    ("hot-water-heat-left-for-floor", "does not apply", {"emitter": [{**FLOOR, "mixed": True}], "settings.hot_water_overrun": 0}, {}),
    ("hot-water-heat-left-for-floor", "does not apply", {"emitter": [FLOOR], "settings.hot_water_overrun": 0, "hot_water.kind": "none"}, {}),
    ("hot-water-heat-left-for-floor", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.hot_water_overrun"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30}, {}, {"night_setback": kelvin(2)}),
    ("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 98000}, {},
     {"night_setback": "off"}),
    ("heating-off-in-season", {"settings.operating_mode": "summer", "settings.heating_enabled": False}, {},
     {"heating_enabled": True, "operating_mode": "normal"}),
    ("room-influence-with-disturbed-room", ROOM, {}, {"room_influence": "off"}),
    ("hot-water-heat-left-for-floor", {"emitter": [FLOOR], "settings.hot_water_overrun": 0}, {},
     {"hot_water_overrun": 300.0}),
])  # fmt: skip


def test_setback_numbers_and_what_is_proposed() -> None:
    one = finding("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30})
    # 45 h x 88,000/58 Btu/h F x 5.03 F / (97,704 - 88,000) Btu/h = 35.4 h
    assert "takes 35.4 h" in one.message
    assert one.remedy is not None
    assert one.remedy.set == pytest.approx({"night_setback": kelvin(2)})
    short = finding(
        "night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 98000}
    )
    assert "no output is left to warm up" in short.message
    assert short.remedy is not None
    assert short.remedy.set == {"night_setback": "off"}
    exact = finding(
        "night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30, "building.design_load": 97704.0}
    )
    assert exact.remedy is not None
    assert exact.remedy.set == {"night_setback": "off"}


def test_what_is_off_is_named() -> None:
    assert "operating mode is summer" in finding("heating-off-in-season", {"settings.operating_mode": "summer"}).message
    assert "heating is off" in finding("heating-off-in-season", {"settings.heating_enabled": False}).message


def test_the_fall_of_a_setback_can_be_checked_by_hand() -> None:
    # 78 F mean excess, 30 F off it: share (48/78)^1.3 = 0.532; 66 F x (1 - e^(-8/45)) x 0.468 = 5.0 F (EN 442, one node)
    one = finding("night-setback-recovers-late", {**SETBACK, "settings.night_setback": 30})
    assert one.numbers["fall of the rooms"].value * 1.8 == pytest.approx(5.03, abs=0.02)
