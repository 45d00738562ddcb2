# ruff: noqa: E501
"""What belongs to this boiler on this site, at its boundaries: gas, elevation, vent, size.

The mark of 2,000 ft is that of NFPA 54 (second-hand). All other margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from tests.rules.firing.givens import NO_DEFAULT, without
from tests.rules.kit import METRIC, finding
from tests.rules.tables import Cases, boundaries, edge, lacking

ADAPTS: Final[dict[str, Any]] = {"control": {"control.compensates_elevation": True}}
SILENT: Final[dict[str, Any]] = {"drop_control": ["control.compensates_elevation"]}
SEA: Final = {"settings.elevation_setting": 0}
NO_SETTING: Final = {"settings.elevation_setting": {"left": "not applicable"}}
COMMON: Final = {"vent.common": True, "vent.common_damper": True}

CASES: Final[Cases] = [
    ("fuel-setting-unlike-gas", "found", {"gas.fuel": "propane"}, {}),
    ("fuel-setting-unlike-gas", "found", {"settings.fuel_setting": "propane"}, {}),
    ("fuel-setting-unlike-gas", "clear", {"gas.fuel": "propane", "settings.fuel_setting": "propane"}, {}),
    *lacking("fuel-setting-unlike-gas", {}, "gas.fuel", "settings.fuel_setting"),
    ("fuel-setting-unlike-gas", "does not apply", {}, without("fuel_setting")),
    *edge("elevation-not-set-or-counted-twice", SEA, "site.elevation", 2000, 2000.1),
    *edge("elevation-not-set-or-counted-twice", {}, "settings.elevation_setting", 2000, 2000.1),
    *edge("elevation-not-set-or-counted-twice", {"site.elevation": 3000}, "settings.elevation_setting", 2000, 1999.9),
    *edge("elevation-not-set-or-counted-twice", {"site.elevation": 5000}, "settings.elevation_setting", 6000, 6000.1),
    *edge("elevation-not-set-or-counted-twice", SEA, "site.elevation", 609, 610, **METRIC),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 6000}, ADAPTS),
    *edge("elevation-not-set-or-counted-twice", {"site.elevation": 6000},
          "settings.elevation_setting", 2000, 2000.1, **ADAPTS),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 2000}, SILENT),
    ("elevation-not-set-or-counted-twice", "not checked", {**SEA, "site.elevation": 2001}, SILENT),
    ("elevation-not-set-or-counted-twice", "not checked", {"settings.elevation_setting": 2001}, SILENT),
    *lacking("elevation-not-set-or-counted-twice", {}, "site.elevation", "settings.elevation_setting"),
    ("elevation-not-set-or-counted-twice", "does not apply", {"site.elevation": 6000}, without("elevation_setting")),
    *edge("high-site-without-derate", NO_SETTING, "site.elevation", 2000, 2000.1),
    ("high-site-without-derate", "found", {"site.elevation": 2001}, without("elevation_setting")),
    *edge("high-site-without-derate", NO_SETTING, "site.elevation", 609, 610, **METRIC),
    ("high-site-without-derate", "does not apply", {"site.elevation": 2001}, {}),
    ("high-site-without-derate", "does not apply", {**NO_SETTING, "site.elevation": 2001}, ADAPTS),
    ("high-site-without-derate", "not checked", {**NO_SETTING, "site.elevation": 2001}, SILENT),
    ("high-site-without-derate", "not checked", {"site.elevation": 2001}, {**without("elevation_setting"), "control": {"control.complete": False}}),
    ("high-site-without-derate", "not checked", {"site.elevation": 2001}, {"drop": ["settings.elevation_setting"]}),
    ("high-site-without-derate", "not checked", NO_SETTING, {"drop": ["site.elevation"]}),
    *edge("derated-though-control-adapts", {"settings.maximum_fan_speed": 6099},
          "site.elevation", 2000, 2000.1, **ADAPTS),
    ("derated-though-control-adapts", "clear", {"site.elevation": 2000.1, "settings.maximum_fan_speed": 6100}, ADAPTS),
    ("derated-though-control-adapts", "found", {"site.elevation": 610, "settings.maximum_fan_speed": 6099}, {**ADAPTS, "metric": True}),
    ("derated-though-control-adapts", "does not apply", {"site.elevation": 2001, "settings.maximum_fan_speed": 6099}, {}),
    ("derated-though-control-adapts", "does not apply", {"site.elevation": 2001, "settings.maximum_fan_speed": 6099}, SILENT),
    *lacking("derated-though-control-adapts", {}, "site.elevation", "settings.maximum_fan_speed", **ADAPTS),
    ("derated-though-control-adapts", "not checked", {"site.elevation": 2001}, {**ADAPTS, **NO_DEFAULT["maximum_fan_speed"]}),
    # the vent is 40 ft long, 12.192 m
    *edge("vent-length-setting-off", {}, "settings.vent_length_setting", 50, 50.1),
    *edge("vent-length-setting-off", {}, "settings.vent_length_setting", 30, 29.9),
    *edge("vent-length-setting-off", {}, "settings.vent_length_setting", 15.24, 15.25, **METRIC),
    *lacking("vent-length-setting-off", {}, "settings.vent_length_setting", "vent.equivalent_length"),
    ("vent-length-setting-off", "does not apply", {}, without("vent_length_setting")),
    ("size-code-unlike-plate", "found", {"settings.size_setting": "large"}, {}),
    ("size-code-unlike-plate", "found", {"boiler.size_on_plate": "large"}, {}),
    ("size-code-unlike-plate", "found", {"plant.size": "large"}, {}),
    ("size-code-unlike-plate", "clear", {"settings.size_setting": " Middle"}, {}),
    ("size-code-unlike-plate", "clear", {"boiler.size_on_plate": "MIDDLE "}, {}),
    *lacking("size-code-unlike-plate", {}, "settings.size_setting", "boiler.size_on_plate", "plant.size"),
    ("size-code-unlike-plate", "does not apply", {}, without("size_setting")),
    ("size-code-unlike-plate", "found", {"plant.size": "large"}, without("size_setting")),
    # 118,000 Btu/h, 34.582 kW
    *edge("plate-input-unlike-size", {}, "boiler.input_maximum", 123900, 123901),
    *edge("plate-input-unlike-size", {}, "boiler.input_maximum", 112100, 112099),
    *edge("plate-input-unlike-size", {}, "boiler.input_maximum", 36.31, 36.32, **METRIC),
    *lacking("plate-input-unlike-size", {}, "boiler.input_maximum", "plant.size"),
    ("plate-input-unlike-size", "not checked", {}, {"drop_control": ["size"]}),
    ("plate-input-unlike-size", "not checked", {}, {"drop_control": ["size.middle.input_maximum"]}),
    ("low-fire-changed-on-common-vent", "found", {**COMMON, "settings.minimum_fan_speed": 1301}, {}),
    ("low-fire-changed-on-common-vent", "clear", COMMON, {}),
    ("low-fire-changed-on-common-vent", "found", {**COMMON, "settings.minimum_fan_speed": 1299}, METRIC),
    ("low-fire-changed-on-common-vent", "does not apply", {"settings.minimum_fan_speed": 1301}, {}),
    ("low-fire-changed-on-common-vent", "not checked", {}, {"drop": ["vent.common"]}),
    ("low-fire-changed-on-common-vent", "not checked", COMMON, {"drop": ["settings.minimum_fan_speed"]}),
    ("low-fire-changed-on-common-vent", "not checked", COMMON, NO_DEFAULT["minimum_fan_speed"]),
    ("common-vent-without-damper-proof", "found", {**COMMON, "vent.common_damper": False}, {}),
    ("common-vent-without-damper-proof", "clear", COMMON, {}),
    ("common-vent-without-damper-proof", "does not apply", {"vent.common_damper": False}, {}),
    ("common-vent-without-damper-proof", "not checked", {"vent.common": True}, {}),
    ("common-vent-without-damper-proof", "not checked", {}, {"drop": ["vent.common"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)


def test_both_ways_of_a_wrong_elevation_are_told_apart() -> None:
    rule = "elevation-not-set-or-counted-twice"
    assert "as well" in finding(rule, {"settings.elevation_setting": 3000}, **ADAPTS).message
    unlike = finding(rule, {**SEA, "site.elevation": 3000}).message
    assert "3,000 ft" in unlike
    assert "0 ft" in unlike


def test_which_of_size_code_and_record_is_unlike_the_plate() -> None:
    assert finding("size-code-unlike-plate", {"plant.size": "large"}).at == "plant.size"
    assert finding("size-code-unlike-plate", {"settings.size_setting": "large"}).at == "size_setting"


def test_how_far_the_plate_is_off() -> None:
    one = finding("plate-input-unlike-size", {"boiler.input_maximum": 236000})
    assert one.numbers["off"].value == pytest.approx(1.0)
    assert "+100 %" in one.message
