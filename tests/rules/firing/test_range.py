# ruff: noqa: E501
"""Rates, fan speeds and manual fire at their boundaries.

The kit's boiler gives 118,000 x 0.92 = 108,560 Btu/h at full rate and 97,704 at its 90 %, for a load of 88,000. Margins
are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.firing.givens import NO_DEFAULT, without
from tests.rules.kit import AS_OF, METRIC, finding, make_plant, rule_named
from tests.rules.tables import Cases, boundaries, edge, lacking, places

FULL: Final = {"settings.heating_maximum_rate": 100}
BAND: Final[dict[str, Any]] = {
    "control": {"setting.heating_maximum_rate.treatments": [{"does": "ignore", "low": 91, "high": 99, "becomes": 100}]}
}
OPEN_BAND: Final[dict[str, Any]] = {
    "control": {"setting.heating_maximum_rate.treatments": [{"does": "ignore", "low": 91, "high": 99}]}
}
OUTSIDE_BELOW: Final[dict[str, Any]] = {"control": {"setting.ignition_fan_speed.default": 1000}}
OUTSIDE_ABOVE: Final[dict[str, Any]] = {"control": {"setting.ignition_fan_speed.default": 7000}}

CASES: Final[Cases] = [
    # 108,560 / 54,280 = 2
    *edge("heating-rate-unlimited-on-oversized-boiler", FULL, "building.design_load", 54280, 54279),
    ("heating-rate-unlimited-on-oversized-boiler", "clear", {"settings.heating_maximum_rate": 99.9, "building.design_load": 20000}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "not checked", {**FULL, "building.design_load": 0}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 20000}, {}),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 3000}, {}),
    *edge("heating-rate-unlimited-on-oversized-boiler", FULL, "building.design_load", 15.91, 15.90, **METRIC),
    ("heating-rate-unlimited-on-oversized-boiler", "found", {**FULL, "building.design_load": 72000}, {"context": Context(AS_OF, {"oversized": 1.5})}),
    *lacking("heating-rate-unlimited-on-oversized-boiler", {}, "settings.heating_maximum_rate", "building.design_load",
              "boiler.efficiency", "boiler.input_maximum"),
    ("heating-rate-unlimited-on-oversized-boiler", "does not apply", {"building.design_load": 20000}, without("heating_maximum_rate")),
    # at 90 % exactly the load; at 81 % 87,934 Btu/h
    *edge("heating-rate-below-load", {}, "building.design_load", 97704, 97705),
    *edge("heating-rate-below-load", {}, "settings.heating_maximum_rate", 81.1, 81),
    *edge("heating-rate-below-load", {}, "building.design_load", 108000, 109000, **without("heating_maximum_rate")),
    # 15,000 + 103,000 x (5,600 - 1,300)/4,800 = 107,271 Btu/h x 0.92 x 0.9 = 88,820; at 5,500 rpm 87,043
    *edge("heating-rate-below-load", {}, "settings.maximum_fan_speed", 5600, 5500),
    *edge("heating-rate-below-load", {}, "building.design_load", 28.63, 28.64, **METRIC),
    # others carry the load as well
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "plant.group": "plant room"}, {}),
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "settings.cascade_role": "leader"}, {}),
    ("heating-rate-below-load", "does not apply", {"settings.heating_maximum_rate": 50, "settings.cascade_role": "follower"}, {}),
    ("heating-rate-below-load", "found", {"settings.heating_maximum_rate": 50}, {"drop": ["settings.cascade_role"]}),
    *lacking("heating-rate-below-load", {}, "building.design_load", "building.balance_point", "site.design_outdoor",
              "boiler.efficiency", "boiler.input_maximum", "settings.heating_maximum_rate"),
    *edge("derate-in-ignored-band", {}, "settings.heating_maximum_rate", 90, 91, **BAND),
    *edge("derate-in-ignored-band", {}, "settings.heating_maximum_rate", 100, 99, **BAND),
    ("derate-in-ignored-band", "found", {"settings.heating_maximum_rate": 95}, {**BAND, "metric": True}),
    *edge("derate-in-ignored-band", {}, "settings.heating_maximum_rate", 90.9, 91, **OPEN_BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": {"left": "default"}}, BAND),
    ("derate-in-ignored-band", "clear", {"settings.heating_maximum_rate": {"left": "not applicable"}}, BAND),
    ("derate-in-ignored-band", "not checked", {"settings.heating_maximum_rate": {"left": "not reachable"}}, BAND),
    ("derate-in-ignored-band", "not checked", {}, {**BAND, "drop": ["settings.heating_maximum_rate"]}),
    ("derate-in-ignored-band", "not checked", {}, {"drop_control": ["setting.hot_water_maximum_rate.treatments"]}),
    ("derate-in-ignored-band", "does not apply", {"settings.heating_maximum_rate": 95}, {}),
    ("derate-in-ignored-band", "does not apply", {}, without("heating_maximum_rate")),
    ("derate-in-ignored-band", "does not apply", {}, {"drop_control": ["setting.heating_maximum_rate"]}),
    *edge("low-fire-raised", {}, "settings.minimum_fan_speed", 1300, 1301),
    ("low-fire-raised", "clear", {"settings.minimum_fan_speed": 1299}, {}),
    ("low-fire-raised", "clear", {"settings.minimum_fan_speed": {"left": "default"}}, {}),
    ("low-fire-raised", "found", {"settings.minimum_fan_speed": 1301}, METRIC),
    ("low-fire-raised", "not checked", {}, {"drop": ["settings.minimum_fan_speed"]}),
    ("low-fire-raised", "not checked", {}, NO_DEFAULT["minimum_fan_speed"]),
    ("low-fire-raised", "does not apply", {}, without("minimum_fan_speed")),
    *edge("low-fire-below-makers", {}, "settings.minimum_fan_speed", 1300, 1299),
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
    *edge("high-fire-above-makers", {}, "settings.maximum_fan_speed", 6100, 6101),
    ("high-fire-above-makers", "clear", {"settings.maximum_fan_speed": 6099}, {}),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6101}, METRIC),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6101}, {"control": {"setting.maximum_fan_speed.default": 6200}}),
    ("high-fire-above-makers", "clear", {"settings.maximum_fan_speed": 6100}, {"control": {"setting.maximum_fan_speed.default": 6000}}),
    ("high-fire-above-makers", "found", {"settings.maximum_fan_speed": 6001}, {"control": {"setting.maximum_fan_speed.default": 6000}, "drop_control": ["size"]}),
    ("high-fire-above-makers", "not checked", {}, {"drop_control": ["size", "setting.maximum_fan_speed.default"]}),
    ("high-fire-above-makers", "not checked", {}, {"drop": ["settings.maximum_fan_speed"]}),
    ("high-fire-above-makers", "does not apply", {}, without("maximum_fan_speed")),
    *edge("fan-speed-order-broken", {}, "settings.ignition_fan_speed", 1300, 1299),
    *edge("fan-speed-order-broken", {}, "settings.ignition_fan_speed", 6100, 6101),
    ("fan-speed-order-broken", "clear", {"settings.minimum_fan_speed": 2900, "settings.maximum_fan_speed": 2900}, {}),
    ("fan-speed-order-broken", "found", {"settings.minimum_fan_speed": 6101}, {}),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1299}, METRIC),
    # a burner that lights outside its range by its maker; that says nothing of low fire above high fire
    ("fan-speed-order-broken", "does not apply", {"settings.ignition_fan_speed": 1000}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "does not apply", {"settings.ignition_fan_speed": 7000}, OUTSIDE_ABOVE),
    ("fan-speed-order-broken", "clear", {"settings.ignition_fan_speed": 2000}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1000, "settings.minimum_fan_speed": 6101}, OUTSIDE_BELOW),
    ("fan-speed-order-broken", "found", {"settings.ignition_fan_speed": 1000}, {**OUTSIDE_BELOW, "drop_control": ["setting.maximum_fan_speed.default"]}),
    *lacking("fan-speed-order-broken", {}, "settings.minimum_fan_speed", "settings.ignition_fan_speed",
              "settings.maximum_fan_speed"),
    ("fan-speed-order-broken", "does not apply", {}, without("ignition_fan_speed")),
    *edge("ignition-speed-not-makers", {}, "settings.ignition_fan_speed", 2900, 2901),
    *edge("ignition-speed-not-makers", {}, "settings.ignition_fan_speed", {"left": "default"}, 2899),
    ("ignition-speed-not-makers", "found", {"settings.ignition_fan_speed": 2901}, METRIC),
    ("ignition-speed-not-makers", "not checked", {}, {"drop": ["settings.ignition_fan_speed"]}),
    ("ignition-speed-not-makers", "not checked", {}, NO_DEFAULT["ignition_fan_speed"]),
    ("ignition-speed-not-makers", "does not apply", {}, without("ignition_fan_speed")),
    *edge("manual-fire-left-on", {}, "settings.service_mode", False, True),
    ("manual-fire-left-on", "not checked", {}, {"drop": ["settings.service_mode"]}),
    ("manual-fire-left-on", "does not apply", {}, without("service_mode")),
    *edge("manual-fire-without-time-limit", {}, "settings.service_mode_limit", 240, "off"),
    ("manual-fire-without-time-limit", "not checked", {}, {"drop": ["settings.service_mode_limit"]}),
    ("manual-fire-without-time-limit", "does not apply", {}, without("service_mode_limit")),
]  # fmt: skip
test_boundaries = boundaries(CASES)
test_where_rates_and_fan_speeds_are_wrong = places([
    ("heating-rate-below-load", {"settings.heating_maximum_rate": 80}, {}, Severity.OUTAGE, "heating_maximum_rate"),
    ("heating-rate-below-load", {"settings.heating_maximum_rate": 99.9, "building.design_load": 118000}, {},
     Severity.OUTAGE, "heating_maximum_rate"),
    ("heating-rate-below-load", {**FULL, "settings.maximum_fan_speed": 4000}, {}, Severity.OUTAGE, "maximum_fan_speed"),
    ("heating-rate-below-load", {**FULL, "building.design_load": 118000}, {}, Severity.OUTAGE, "boiler.input_maximum"),
    ("heating-rate-below-load", {**FULL, "building.design_load": 118000, "settings.maximum_fan_speed": 6099}, {},
     Severity.OUTAGE, "maximum_fan_speed"),
    ("heating-rate-below-load", {**FULL, "settings.maximum_fan_speed": 4000}, NO_DEFAULT["maximum_fan_speed"],
     Severity.OUTAGE, "boiler.input_maximum"),
    ("fan-speed-order-broken", {"settings.ignition_fan_speed": 1299}, {}, Severity.DANGER, "ignition_fan_speed"),
    ("fan-speed-order-broken", {"settings.ignition_fan_speed": 6101}, {}, Severity.DANGER, "ignition_fan_speed"),
    ("fan-speed-order-broken", {"settings.minimum_fan_speed": 6100}, {}, Severity.DANGER, "ignition_fan_speed"),
    ("fan-speed-order-broken", {"settings.minimum_fan_speed": 6101}, {}, Severity.DANGER, "minimum_fan_speed"),
])  # fmt: skip


@pytest.mark.parametrize(
    "name", ["maximum_fan_speed", "minimum_fan_speed", "ignition_fan_speed", "hot_water_maximum_rate"]
)
def test_every_rate_and_fan_speed_is_looked_at_for_ignored_bands(name: str) -> None:
    control = {f"setting.{name}.treatments": [{"does": "ignore", "low": 77, "high": 88, "becomes": 99}]}
    assert finding("derate-in-ignored-band", {f"settings.{name}": 80}, control=control).at == name


def test_what_an_ignored_band_becomes_is_said_or_said_to_be_unknown() -> None:
    changes = {"settings.heating_maximum_rate": 95}
    told = finding("derate-in-ignored-band", changes, **BAND)
    assert "95 % is in the ignored band 91 % to 99 %" in told.message
    assert told.message.endswith(": runs at 100 %")
    assert finding("derate-in-ignored-band", changes, **OPEN_BAND).message.endswith("not known what it runs at")


def test_why_a_band_could_not_be_looked_at() -> None:
    rule = "derate-in-ignored-band"

    def why(changes: dict[str, Any], **more: Any) -> str:
        return audit(make_plant(changes, **more), [rule_named(rule)]).not_checked[0].why

    assert "could not be reached" in why({"settings.heating_maximum_rate": {"left": "not reachable"}}, **BAND)
    assert "does not say" in why({}, drop_control=["setting.hot_water_maximum_rate.treatments"])


def test_where_heat_runs_short() -> None:
    # 62 - 108,560 x 0.5/88,000 x 58 = 26.22 F
    one = finding("heating-rate-below-load", {"settings.heating_maximum_rate": 50})
    assert one.numbers["too little below"].value == pytest.approx(celsius(26.225), abs=1e-2)
    assert "too little heat below 26 F outdoors" in one.message
    assert one.certainty is Certainty.LIKELY


def test_how_many_times_the_load() -> None:
    # 108,560/44,000 = 2.467
    one = finding("heating-rate-unlimited-on-oversized-boiler", {**FULL, "building.design_load": 44000})
    assert one.numbers["times the load"].value == pytest.approx(2.467, abs=1e-3)
    assert "2.5 times" in one.message


def test_all_three_fan_speeds_are_told() -> None:
    one = finding("fan-speed-order-broken", {"settings.ignition_fan_speed": 1299})
    assert one.message == "fan speeds out of order: minimum 1,300 rpm, ignition 1,299 rpm, maximum 6,100 rpm"


def test_manual_fire_that_nothing_ends_is_damage() -> None:
    on: dict[str, Any] = {"settings.service_mode": True}
    ends = finding("manual-fire-left-on", on)
    endless = finding("manual-fire-left-on", {**on, "settings.service_mode_limit": "off"})
    untold = finding("manual-fire-left-on", on, drop=["settings.service_mode_limit"])
    assert [one.severity for one in (ends, endless, untold)] == [Severity.OUTAGE, Severity.DAMAGE, Severity.OUTAGE]
    assert "no time limit" in endless.message
    assert "no time limit" not in ends.message
