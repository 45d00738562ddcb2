# ruff: noqa: E501
"""The firing group at its boundaries: rates, fan speeds, and what belongs to this boiler on this site.

The kit's boiler gives 118,000 x 0.92 = 108,560 Btu/h at full rate and 97,704 at its 90 %, for a load of 88,000. The mark
of 2,000 ft is that of NFPA 54 (second-hand). All other margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.kit import AS_OF, Answer, ask, finding, make_plant, rule_named

METRIC: Final[dict[str, Any]] = {"metric": True}
FULL: Final = {"settings.heating_maximum_rate": 100}
BAND: Final[dict[str, Any]] = {
    "control": {"setting.heating_maximum_rate.treatments": [{"does": "ignore", "low": 91, "high": 99, "becomes": 100}]}
}
OPEN_BAND: Final[dict[str, Any]] = {
    "control": {"setting.heating_maximum_rate.treatments": [{"does": "ignore", "low": 91, "high": 99}]}
}
NO_DEFAULT: Final = {
    name: {"drop_control": [f"setting.{name}.default"]}
    for name in ("minimum_fan_speed", "ignition_fan_speed", "maximum_fan_speed")
}
OUTSIDE_BELOW: Final[dict[str, Any]] = {"control": {"setting.ignition_fan_speed.default": 1000}}
OUTSIDE_ABOVE: Final[dict[str, Any]] = {"control": {"setting.ignition_fan_speed.default": 7000}}
ADAPTS: Final[dict[str, Any]] = {"control": {"control.compensates_elevation": True}}
SILENT: Final[dict[str, Any]] = {"drop_control": ["control.compensates_elevation"]}
SEA: Final = {"settings.elevation_setting": 0}
NO_SETTING: Final = {"settings.elevation_setting": {"left": "not applicable"}}
COMMON: Final = {"vent.common": True, "vent.common_damper": True}


def without(name: str) -> dict[str, Any]:
    """Neither the profile nor the control has the setting, and the control's list is complete."""
    return {"drop": [f"settings.{name}"], "drop_control": [f"setting.{name}"]}


CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    # 108,560 / 54,280 = 2
    ("heating-rate-unlimited-on-oversized-boiler", "clear", {**FULL, "building.design_load": 54280}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 54279}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "clear", {"settings.heating_maximum_rate": 99.9, "building.design_load": 20000}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 20000}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {**FULL, "building.design_load": 0}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 3000}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 15.90}, METRIC),
    ("heating-rate-unlimited-on-oversized-boiler", "clear", {**FULL, "building.design_load": 15.91}, METRIC),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 72000}, {"context": Context(AS_OF, {"oversized": 1.5})}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {}, {"drop": ["settings.heating_maximum_rate"]}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {}, {"drop": ["building.design_load"]}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {}, {"drop": ["boiler.efficiency"]}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {}, {"drop": ["boiler.input_maximum"]}),
    ("heating-rate-unlimited-on-oversized-boiler", "does not apply", {"building.design_load": 20000}, without("heating_maximum_rate")),
    # at 90 % exactly the load; at 81 % 87,934 Btu/h
    ("heating-rate-below-load", "clear", {"building.design_load": 97704}, {}),
    ("heating-rate-below-load", "found", {"building.design_load": 97705}, {}),
    ("heating-rate-below-load", "found", {"settings.heating_maximum_rate": 81}, {}),
    ("heating-rate-below-load", "clear", {"settings.heating_maximum_rate": 81.1}, {}),
    ("heating-rate-below-load", "clear", {"building.design_load": 108000}, without("heating_maximum_rate")),
    ("heating-rate-below-load", "found", {"building.design_load": 109000}, without("heating_maximum_rate")),
    # 15,000 + 103,000 x (5,600 - 1,300)/4,800 = 107,271 Btu/h x 0.92 x 0.9 = 88,820; at 5,500 rpm 87,043
    ("heating-rate-below-load", "clear", {"settings.maximum_fan_speed": 5600}, {}),
    ("heating-rate-below-load", "found", {"settings.maximum_fan_speed": 5500}, {}),
    ("heating-rate-below-load", "clear", {"building.design_load": 28.63}, METRIC),
    ("heating-rate-below-load", "found", {"building.design_load": 28.64}, METRIC),
    # others carry the load as well
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "plant.group": "plant room"}, {}),
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "settings.cascade_role": "leader"}, {}),
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "settings.cascade_role": "follower"}, {}),
    ("heating-rate-below-load", "found", {"settings.heating_maximum_rate": 50}, {"drop": ["settings.cascade_role"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["building.design_load"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["building.balance_point"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["site.design_outdoor"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["boiler.efficiency"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["boiler.input_maximum"]}),
    ("heating-rate-below-load", "not checked", {}, {"drop": ["settings.heating_maximum_rate"]}),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": 90}, BAND),
    ("derate-in-ignored-band", "found", {"settings.heating_maximum_rate": 91}, BAND),
    ("derate-in-ignored-band", "found", {"settings.heating_maximum_rate": 99}, BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": 100}, BAND),
    ("derate-in-ignored-band", "found", {"settings.heating_maximum_rate": 95}, {**BAND, "metric": True}),
    ("derate-in-ignored-band", "found", {"settings.heating_maximum_rate": 91}, OPEN_BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": 90.9}, OPEN_BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": {"left": "default"}}, BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": {"left": "not applicable"}}, BAND),
    ("derate-in-ignored-band", "not checked", {"settings.heating_maximum_rate": {"left": "not reachable"}}, BAND),
    ("derate-in-ignored-band", "not checked", {}, {**BAND, "drop": ["settings.heating_maximum_rate"]}),
    ("derate-in-ignored-band", "not checked", {}, {"drop_control": ["setting.hot_water_maximum_rate.treatments"]}),
    ("derate-in-ignored-band", "does not apply", {"settings.heating_maximum_rate": 95}, {}),
    ("derate-in-ignored-band", "does not apply", {}, without("heating_maximum_rate")),
    ("derate-in-ignored-band", "does not apply", {}, {"drop_control": ["setting.heating_maximum_rate"]}),
    ("low-fire-raised", "found", {"settings.minimum_fan_speed": 1301}, {}),
    ("low-fire-raised", "clear", {"settings.minimum_fan_speed": 1300}, {}),
    ("low-fire-raised", "clear", {"settings.minimum_fan_speed": 1299}, {}),
    ("low-fire-raised", "clear", {"settings.minimum_fan_speed": {"left": "default"}}, {}),
    ("low-fire-raised", "found", {"settings.minimum_fan_speed": 1301}, METRIC),
    ("low-fire-raised", "not checked", {}, {"drop": ["settings.minimum_fan_speed"]}),
    ("low-fire-raised", "not checked", {}, NO_DEFAULT["minimum_fan_speed"]),
    ("low-fire-raised", "does not apply", {}, without("minimum_fan_speed")),
    ("low-fire-below-makers", "found", {"settings.minimum_fan_speed": 1299}, {}),
    ("low-fire-below-makers", "clear", {"settings.minimum_fan_speed": 1300}, {}),
    ("low-fire-below-makers", "clear", {"settings.minimum_fan_speed": 1301}, {}),
    ("low-fire-below-makers", "found", {"settings.minimum_fan_speed": 1299}, METRIC),
    # what is stated for the size counts before the default; for a size that is not recorded only the default does
    ("low-fire-below-makers", "found", {"settings.minimum_fan_speed": 1299}, {"control": {"setting.minimum_fan_speed.default": 1200}}),
    ("low-fire-below-makers", "clear", {"settings.minimum_fan_speed": 1300}, {"control": {"setting.minimum_fan_speed.default": 1400}}),
    ("low-fire-below-makers", "found", {"settings.minimum_fan_speed": 1399}, {"control": {"setting.minimum_fan_speed.default": 1400}, "drop_control": ["size"]}),
    ("low-fire-below-makers", "clear", {"settings.minimum_fan_speed": 1400}, {"control": {"setting.minimum_fan_speed.default": 1400}, "drop_control": ["size.middle.fan_at_minimum"]}),
    ("low-fire-below-makers", "found", {"settings.minimum_fan_speed": 1299}, {"drop": ["plant.size"]}),
    ("low-fire-below-makers", "not checked", {}, {"drop_control": ["size", "setting.minimum_fan_speed.default"]}),
    ("low-fire-below-makers", "not checked", {}, {"drop": ["settings.minimum_fan_speed"]}),
    ("low-fire-below-makers", "does not apply", {}, without("minimum_fan_speed")),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6101}, {}),
    ("high-fire-above-makers", "clear", {"settings.maximum_fan_speed": 6100}, {}),
    ("high-fire-above-makers", "clear", {"settings.maximum_fan_speed": 6099}, {}),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6101}, METRIC),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6101}, {"control": {"setting.maximum_fan_speed.default": 6200}}),
    ("high-fire-above-makers", "clear", {"settings.maximum_fan_speed": 6100}, {"control": {"setting.maximum_fan_speed.default": 6000}}),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6001}, {"control": {"setting.maximum_fan_speed.default": 6000}, "drop_control": ["size"]}),
    ("high-fire-above-makers", "not checked", {}, {"drop_control": ["size", "setting.maximum_fan_speed.default"]}),
    ("high-fire-above-makers", "not checked", {}, {"drop": ["settings.maximum_fan_speed"]}),
    ("high-fire-above-makers", "does not apply", {}, without("maximum_fan_speed")),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1299}, {}),
    ("fan-speed-order-broken", "clear", {"settings.ignition_fan_speed": 1300}, {}),
    ("fan-speed-order-broken", "clear", {"settings.ignition_fan_speed": 6100}, {}),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 6101}, {}),
    ("fan-speed-order-broken", "clear", {"settings.minimum_fan_speed": 2900, "settings.maximum_fan_speed": 2900}, {}),
    ("fan-speed-order-broken", "found", {"settings.minimum_fan_speed": 6101}, {}),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1299}, METRIC),
    # a burner that lights outside its range by its maker; that says nothing of low fire above high fire
    ("fan-speed-order-broken", "does not apply", {"settings.ignition_fan_speed": 1000}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "does not apply", {"settings.ignition_fan_speed": 7000}, OUTSIDE_ABOVE),
    ("fan-speed-order-broken", "clear", {"settings.ignition_fan_speed": 2000}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1000, "settings.minimum_fan_speed": 6101}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1000}, {**OUTSIDE_BELOW, "drop_control": ["setting.maximum_fan_speed.default"]}),
    ("fan-speed-order-broken", "not checked", {}, {"drop": ["settings.minimum_fan_speed"]}),
    ("fan-speed-order-broken", "not checked", {}, {"drop": ["settings.ignition_fan_speed"]}),
    ("fan-speed-order-broken", "not checked", {}, {"drop": ["settings.maximum_fan_speed"]}),
    ("fan-speed-order-broken", "does not apply", {}, without("ignition_fan_speed")),
    ("ignition-speed-not-makers", "found", {"settings.ignition_fan_speed": 2901}, {}),
    ("ignition-speed-not-makers", "clear", {"settings.ignition_fan_speed": 2900}, {}),
    ("ignition-speed-not-makers", "found", {"settings.ignition_fan_speed": 2899}, {}),
    ("ignition-speed-not-makers", "clear", {"settings.ignition_fan_speed": {"left": "default"}}, {}),
    ("ignition-speed-not-makers", "found", {"settings.ignition_fan_speed": 2901}, METRIC),
    ("ignition-speed-not-makers", "not checked", {}, {"drop": ["settings.ignition_fan_speed"]}),
    ("ignition-speed-not-makers", "not checked", {}, NO_DEFAULT["ignition_fan_speed"]),
    ("ignition-speed-not-makers", "does not apply", {}, without("ignition_fan_speed")),
    ("manual-fire-left-on", "found", {"settings.service_mode": True}, {}),
    ("manual-fire-left-on", "clear", {"settings.service_mode": False}, {}),
    ("manual-fire-left-on", "not checked", {}, {"drop": ["settings.service_mode"]}),
    ("manual-fire-left-on", "does not apply", {}, without("service_mode")),
    ("manual-fire-without-time-limit", "found", {"settings.service_mode_limit": "off"}, {}),
    ("manual-fire-without-time-limit", "clear", {"settings.service_mode_limit": 240}, {}),
    ("manual-fire-without-time-limit", "not checked", {}, {"drop": ["settings.service_mode_limit"]}),
    ("manual-fire-without-time-limit", "does not apply", {}, without("service_mode_limit")),
    ("fuel-setting-unlike-gas", "found", {"gas.fuel": "propane"}, {}),
    ("fuel-setting-unlike-gas", "found", {"settings.fuel_setting": "propane"}, {}),
    ("fuel-setting-unlike-gas", "clear", {"gas.fuel": "propane", "settings.fuel_setting": "propane"}, {}),
    ("fuel-setting-unlike-gas", "not checked", {}, {"drop": ["gas.fuel"]}),
    ("fuel-setting-unlike-gas", "not checked", {}, {"drop": ["settings.fuel_setting"]}),
    ("fuel-setting-unlike-gas", "does not apply", {}, without("fuel_setting")),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 2000}, {}),
    ("elevation-not-set-or-counted-twice", "found", {**SEA, "site.elevation": 2000.1}, {}),
    ("elevation-not-set-or-counted-twice", "clear", {"settings.elevation_setting": 2000}, {}),
    ("elevation-not-set-or-counted-twice", "found", {"settings.elevation_setting": 2000.1}, {}),
    ("elevation-not-set-or-counted-twice", "clear", {"site.elevation": 3000, "settings.elevation_setting": 2000}, {}),
    ("elevation-not-set-or-counted-twice", "found", {"site.elevation": 3000, "settings.elevation_setting": 1999.9}, {}),
    ("elevation-not-set-or-counted-twice", "clear", {"site.elevation": 5000, "settings.elevation_setting": 6000}, {}),
    ("elevation-not-set-or-counted-twice", "found", {"site.elevation": 5000, "settings.elevation_setting": 6000.1}, {}),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 609}, METRIC),
    ("elevation-not-set-or-counted-twice", "found", {**SEA, "site.elevation": 610}, METRIC),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 6000}, ADAPTS),
    ("elevation-not-set-or-counted-twice", "clear", {"site.elevation": 6000, "settings.elevation_setting": 2000}, ADAPTS),
    ("elevation-not-set-or-counted-twice", "found", {"site.elevation": 6000, "settings.elevation_setting": 2000.1}, ADAPTS),
    ("elevation-not-set-or-counted-twice", "clear", {**SEA, "site.elevation": 2000}, SILENT),
    ("elevation-not-set-or-counted-twice", "not checked", {**SEA, "site.elevation": 2001}, SILENT),
    ("elevation-not-set-or-counted-twice", "not checked", {"settings.elevation_setting": 2001}, SILENT),
    ("elevation-not-set-or-counted-twice", "not checked", {}, {"drop": ["site.elevation"]}),
    ("elevation-not-set-or-counted-twice", "not checked", {}, {"drop": ["settings.elevation_setting"]}),
    ("elevation-not-set-or-counted-twice", "does not apply", {"site.elevation": 6000}, without("elevation_setting")),
    ("high-site-without-derate", "found", {**NO_SETTING, "site.elevation": 2000.1}, {}),
    ("high-site-without-derate", "clear", {**NO_SETTING, "site.elevation": 2000}, {}),
    ("high-site-without-derate", "found", {"site.elevation": 2001}, without("elevation_setting")),
    ("high-site-without-derate", "found", {**NO_SETTING, "site.elevation": 610}, METRIC),
    ("high-site-without-derate", "clear", {**NO_SETTING, "site.elevation": 609}, METRIC),
    ("high-site-without-derate", "does not apply", {"site.elevation": 2001}, {}),
    ("high-site-without-derate", "does not apply", {**NO_SETTING, "site.elevation": 2001}, ADAPTS),
    ("high-site-without-derate", "not checked", {**NO_SETTING, "site.elevation": 2001}, SILENT),
    ("high-site-without-derate", "not checked", {"site.elevation": 2001}, {**without("elevation_setting"), "control": {"control.complete": False}}),
    ("high-site-without-derate", "not checked", {"site.elevation": 2001}, {"drop": ["settings.elevation_setting"]}),
    ("high-site-without-derate", "not checked", NO_SETTING, {"drop": ["site.elevation"]}),
    ("derated-though-control-adapts", "found", {"site.elevation": 2000.1, "settings.maximum_fan_speed": 6099}, ADAPTS),
    ("derated-though-control-adapts", "clear", {"site.elevation": 2000, "settings.maximum_fan_speed": 6099}, ADAPTS),
    ("derated-though-control-adapts", "clear", {"site.elevation": 2000.1, "settings.maximum_fan_speed": 6100}, ADAPTS),
    ("derated-though-control-adapts", "found", {"site.elevation": 610, "settings.maximum_fan_speed": 6099}, {**ADAPTS, "metric": True}),
    ("derated-though-control-adapts", "does not apply", {"site.elevation": 2001, "settings.maximum_fan_speed": 6099}, {}),
    ("derated-though-control-adapts", "does not apply", {"site.elevation": 2001, "settings.maximum_fan_speed": 6099}, SILENT),
    ("derated-though-control-adapts", "not checked", {}, {**ADAPTS, "drop": ["site.elevation"]}),
    ("derated-though-control-adapts", "not checked", {}, {**ADAPTS, "drop": ["settings.maximum_fan_speed"]}),
    ("derated-though-control-adapts", "not checked", {"site.elevation": 2001}, {**ADAPTS, **NO_DEFAULT["maximum_fan_speed"]}),
    # the vent is 40 ft long, 12.192 m
    ("vent-length-setting-off", "clear", {"settings.vent_length_setting": 50}, {}),
    ("vent-length-setting-off", "found", {"settings.vent_length_setting": 50.1}, {}),
    ("vent-length-setting-off", "clear", {"settings.vent_length_setting": 30}, {}),
    ("vent-length-setting-off", "found", {"settings.vent_length_setting": 29.9}, {}),
    ("vent-length-setting-off", "clear", {"settings.vent_length_setting": 15.24}, METRIC),
    ("vent-length-setting-off", "found", {"settings.vent_length_setting": 15.25}, METRIC),
    ("vent-length-setting-off", "not checked", {}, {"drop": ["settings.vent_length_setting"]}),
    ("vent-length-setting-off", "not checked", {}, {"drop": ["vent.equivalent_length"]}),
    ("vent-length-setting-off", "does not apply", {}, without("vent_length_setting")),
    ("size-code-unlike-plate", "found", {"settings.size_setting": "large"}, {}),
    ("size-code-unlike-plate", "found", {"boiler.size_on_plate": "large"}, {}),
    ("size-code-unlike-plate", "found", {"plant.size": "large"}, {}),
    ("size-code-unlike-plate", "clear", {"settings.size_setting": " Middle"}, {}),
    ("size-code-unlike-plate", "clear", {"boiler.size_on_plate": "MIDDLE "}, {}),
    ("size-code-unlike-plate", "not checked", {}, {"drop": ["settings.size_setting"]}),
    ("size-code-unlike-plate", "not checked", {}, {"drop": ["boiler.size_on_plate"]}),
    ("size-code-unlike-plate", "not checked", {}, {"drop": ["plant.size"]}),
    ("size-code-unlike-plate", "does not apply", {}, without("size_setting")),
    ("size-code-unlike-plate", "found", {"plant.size": "large"}, without("size_setting")),
    # 118,000 Btu/h, 34.582 kW
    ("plate-input-unlike-size", "clear", {"boiler.input_maximum": 123900}, {}),
    ("plate-input-unlike-size", "found", {"boiler.input_maximum": 123901}, {}),
    ("plate-input-unlike-size", "clear", {"boiler.input_maximum": 112100}, {}),
    ("plate-input-unlike-size", "found", {"boiler.input_maximum": 112099}, {}),
    ("plate-input-unlike-size", "clear", {"boiler.input_maximum": 36.31}, METRIC),
    ("plate-input-unlike-size", "found", {"boiler.input_maximum": 36.32}, METRIC),
    ("plate-input-unlike-size", "not checked", {}, {"drop": ["boiler.input_maximum"]}),
    ("plate-input-unlike-size", "not checked", {}, {"drop": ["plant.size"]}),
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


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


@pytest.mark.parametrize(
    "name", ["maximum_fan_speed", "minimum_fan_speed", "ignition_fan_speed", "hot_water_maximum_rate"]
)
def test_every_rate_and_fan_speed_is_looked_at_for_ignored_bands(name: str) -> None:
    control = {f"setting.{name}.treatments": [{"does": "ignore", "low": 77, "high": 88, "becomes": 99}]}
    assert finding("derate-in-ignored-band", {f"settings.{name}": 80}, control=control).at == name


def test_what_an_ignored_band_becomes_is_said_or_said_to_be_unknown() -> None:
    changes = {"settings.heating_maximum_rate": 95}
    told = finding("derate-in-ignored-band", changes, **BAND)
    assert "95 % of input lies in the band from 91 % of input to 99 % of input" in told.message
    assert told.message.endswith("it runs at 100 % of input")
    assert finding("derate-in-ignored-band", changes, **OPEN_BAND).message.endswith("what it runs at is not known")


def test_why_a_band_could_not_be_looked_at() -> None:
    rule = "derate-in-ignored-band"

    def why(changes: dict[str, Any], **more: Any) -> str:
        return audit(make_plant(changes, **more), [rule_named(rule)]).not_checked[0].why

    assert "could not be reached" in why({"settings.heating_maximum_rate": {"left": "not reachable"}}, **BAND)
    assert "does not say" in why({}, drop_control=["setting.hot_water_maximum_rate.treatments"])


@pytest.mark.parametrize(
    ("changes", "more", "at"),
    [
        ({"settings.heating_maximum_rate": 80}, {}, "heating_maximum_rate"),
        ({"settings.heating_maximum_rate": 99.9, "building.design_load": 118000}, {}, "heating_maximum_rate"),
        ({**FULL, "settings.maximum_fan_speed": 4000}, {}, "maximum_fan_speed"),
        ({**FULL, "building.design_load": 118000}, {}, "boiler.input_maximum"),
        ({**FULL, "building.design_load": 118000, "settings.maximum_fan_speed": 6099}, {}, "maximum_fan_speed"),
        ({**FULL, "settings.maximum_fan_speed": 4000}, NO_DEFAULT["maximum_fan_speed"], "boiler.input_maximum"),
    ],
)
def test_where_high_fire_is_held_down(changes: dict[str, Any], more: dict[str, Any], at: str) -> None:
    assert finding("heating-rate-below-load", changes, **more).at == at


def test_where_it_runs_out() -> None:
    # 62 - 108,560 x 0.5/88,000 x 58 = 26.22 F
    one = finding("heating-rate-below-load", {"settings.heating_maximum_rate": 50})
    assert one.numbers["runs out at"].value == pytest.approx(celsius(26.225), abs=1e-2)
    assert "runs out below 26 F outdoors" in one.message
    assert one.certainty is Certainty.LIKELY


def test_how_many_times_the_load() -> None:
    # 108,560/44,000 = 2.467
    one = finding("heating-rate-unlimited-on-oversized-boiler", {**FULL, "building.design_load": 44000})
    assert one.numbers["times the load"].value == pytest.approx(2.467, abs=1e-3)
    assert "2.5 times" in one.message


@pytest.mark.parametrize(
    ("changes", "at"),
    [
        ({"settings.ignition_fan_speed": 1299}, "ignition_fan_speed"),
        ({"settings.ignition_fan_speed": 6101}, "ignition_fan_speed"),
        ({"settings.minimum_fan_speed": 6100}, "ignition_fan_speed"),
        ({"settings.minimum_fan_speed": 6101}, "minimum_fan_speed"),
    ],
)
def test_where_the_order_of_fan_speeds_breaks(changes: dict[str, Any], at: str) -> None:
    assert finding("fan-speed-order-broken", changes).at == at


def test_all_three_fan_speeds_are_told() -> None:
    one = finding("fan-speed-order-broken", {"settings.ignition_fan_speed": 1299})
    assert one.message == "minimum 1,300 rpm, ignition 1,299 rpm, maximum 6,100 rpm: out of order"


def test_manual_fire_that_nothing_ends_is_damage() -> None:
    on: dict[str, Any] = {"settings.service_mode": True}
    ends = finding("manual-fire-left-on", on)
    endless = finding("manual-fire-left-on", {**on, "settings.service_mode_limit": "off"})
    untold = finding("manual-fire-left-on", on, drop=["settings.service_mode_limit"])
    assert [one.severity for one in (ends, endless, untold)] == [Severity.OUTAGE, Severity.DAMAGE, Severity.OUTAGE]
    assert "no time limit" in endless.message
    assert "no time limit" not in ends.message


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


def test_no_remedy_of_the_group_sets_anything() -> None:
    for rule, answer, changes, more in CASES:
        if answer == "found":
            remedy = finding(rule, changes, **more).remedy
            assert remedy is not None
            assert remedy.set == {}, rule
