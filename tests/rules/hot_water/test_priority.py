# ruff: noqa: E501
"""Priority of hot water and its time at their boundaries.

The kit's boiler gives 118,000 x 0.92 = 108,560 Btu/h, its tank's coil takes 90,000; 58 gal from 46 to 145 F at 8.27
Btu/(gal F) (40 C: IAPWS density x specific heat) are 47,480 Btu: 31.65 min. Thresholds are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius
from tests.rules.hot_water.givens import PLATE, flow_at_set_point
from tests.rules.kit import AS_OF, METRIC, ask, finding, make_plant, rule_named
from tests.rules.tables import (
    Cases,
    Said,
    boundaries,
    edge,
    lacking,
    narrow,
    no_figure,
    remedies,
    remedy_of,
    sayings,
    unable,
)

NO_LIMIT: Final = {"settings.priority_time_limit": "off"}
PARALLEL: Final = {"settings.hot_water_priority": False}
SHARED: Final[dict[str, Any]] = {"control": {"control.rate_limits_hot_water": True}}
FLOOR: Final[dict[str, Any]] = {"kind": "heated floor", "design_supply": 104, "design_return": 90, "mixed": False}

CASES: Final[Cases] = [
    # priority
    ("priority-without-time-limit", "found", NO_LIMIT, {}),
    ("priority-without-time-limit", "clear", {"settings.priority_time_limit": 600}, {}),
    ("priority-without-time-limit", "clear", {**NO_LIMIT, **PARALLEL}, {}),
    ("priority-without-time-limit", "found", {**NO_LIMIT, **PLATE}, {}),
    ("priority-without-time-limit", "found", NO_LIMIT, METRIC),
    ("priority-without-time-limit", "does not apply", {**NO_LIMIT, "hot_water.kind": "separate"}, {}),
    ("priority-without-time-limit", "does not apply", {**NO_LIMIT, "hot_water.kind": "none"}, {}),
    ("priority-without-time-limit", "not checked", {}, {"drop": ["settings.priority_time_limit"]}),
    *lacking("priority-without-time-limit", NO_LIMIT, "settings.hot_water_priority", "hot_water.kind"),
    # 31.65 min
    *edge("priority-limit-below-recovery", {}, "settings.priority_time_limit", 31.7, 31.6),
    ("priority-limit-below-recovery", "clear", {"settings.priority_time_limit": 5, **PARALLEL}, {}),
    ("priority-limit-below-recovery", "clear", NO_LIMIT, {}),
    # without a coil's figure the boiler's 108,560 Btu/h: 26.2 min
    *edge("priority-limit-below-recovery", {},
          "settings.priority_time_limit", 26.3, 26.2, drop=["hot_water.coil_output"]),
    # 80 %: 32.8 min
    *edge("priority-limit-below-recovery", {"settings.hot_water_maximum_rate": 80},
          "settings.priority_time_limit", 32.9, 32.7),
    # mains assumed at 50 F: 30.4 min
    *edge("priority-limit-below-recovery", {},
          "settings.priority_time_limit", 30.4, 30.3, drop=["hot_water.cold_inlet"]),
    ("priority-limit-below-recovery", "not checked", {"settings.priority_time_limit": 5, "settings.tank_setpoint": 60, "hot_water.cold_inlet": 62, "hot_water.tank_volume": 9000}, {}),
    ("priority-limit-below-recovery", "does not apply", {**PLATE, "settings.priority_time_limit": 5}, {}),
    *lacking("priority-limit-below-recovery", {}, "hot_water.tank_volume", "settings.tank_setpoint",
              "settings.priority_time_limit", "settings.hot_water_priority", "boiler.efficiency"),
    # 200 L by 50 K at 26.38 kW, 1.152 Wh/(L K): 26.2 min
    *edge("priority-limit-below-recovery", {"hot_water.tank_volume": 200, "settings.tank_setpoint": 60, "hot_water.cold_inlet": 10},
          "settings.priority_time_limit", 26.3, 26.2, **METRIC),
    # the radiators may have 190 F
    *edge("hot-water-heats-the-floor", PARALLEL, "settings.hot_water_boiler_setpoint", 190, 190.1),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, **PLATE, "settings.hot_water_boiler_setpoint": 190.1}, {}),
    ("hot-water-heats-the-floor", "clear", {"settings.hot_water_boiler_setpoint": 200}, {}),
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "emitter": [{**FLOOR, "maximum_supply": 120, "mixed": True}]}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "emitter": [{**FLOOR, "maximum_supply": 171.9}]}, {}),
    ("hot-water-heats-the-floor", "found", {**PARALLEL, "emitter": [FLOOR, {**FLOOR, "maximum_supply": 120}]}, {}),
    ("hot-water-heats-the-floor", "not checked", {**PARALLEL, "emitter": [FLOOR]}, {}),
    ("hot-water-heats-the-floor", "clear", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200}, {"drop": ["emitter.0.maximum_supply"]}),
    *lacking("hot-water-heats-the-floor", PARALLEL, "emitter.0.mixed", "emitter", "settings.hot_water_boiler_setpoint"),
    ("hot-water-heats-the-floor", "not checked", {}, {"drop": ["settings.hot_water_priority"]}),
    ("hot-water-heats-the-floor", "does not apply", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200, "hot_water.kind": "separate"}, {}),
    *edge("hot-water-heats-the-floor", {**PARALLEL, "emitter.0.maximum_supply": 70},
          "settings.hot_water_boiler_setpoint", 70, 71, **METRIC),
    # the coil takes 90,000 of 108,560 Btu/h: 82.9 %
    *edge("heating-rate-limits-hot-water", {}, "settings.heating_maximum_rate", 83, 82.9, **SHARED),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 50}, {}),
    ("heating-rate-limits-hot-water", "clear", {"settings.heating_maximum_rate": 50, "settings.hot_water_maximum_rate": 50}, SHARED),
    *edge("heating-rate-limits-hot-water", {},
          "settings.heating_maximum_rate", 100, 99, **SHARED, drop=["hot_water.coil_output"]),
    # the plate: 3.04 gpm x rate
    *edge("heating-rate-limits-hot-water", {**PLATE, "settings.heating_maximum_rate": 70},
          "hot_water.peak_flow", 2.1, 2.2, **SHARED),
    ("heating-rate-limits-hot-water", "clear", {**PLATE, "hot_water.peak_flow": 9, "settings.heating_maximum_rate": 100}, SHARED),
    ("heating-rate-limits-hot-water", "clear", {**PLATE, "settings.outlet_setpoint": 80, "hot_water.cold_inlet": 80, "settings.heating_maximum_rate": 50}, SHARED),
    ("heating-rate-limits-hot-water", "found",
     {**PLATE, "settings.outlet_setpoint": 81, "hot_water.cold_inlet": 80, "hot_water.peak_flow": 300, "settings.heating_maximum_rate": 50}, SHARED),
    *lacking("heating-rate-limits-hot-water", {**PLATE, "settings.heating_maximum_rate": 50}, "hot_water.peak_flow", "hot_water.cold_inlet", **SHARED),
    ("heating-rate-limits-hot-water", "not checked", {"hot_water.kind": "plate", "settings.heating_maximum_rate": 50}, SHARED),
    *lacking("heating-rate-limits-hot-water", {}, "boiler.efficiency", "settings.heating_maximum_rate", **SHARED),
    ("heating-rate-limits-hot-water", "not checked", {}, {"drop_control": ["control.rate_limits_hot_water"]}),
    ("heating-rate-limits-hot-water", "does not apply", {"hot_water.kind": "none", "settings.heating_maximum_rate": 50}, SHARED),
    *edge("heating-rate-limits-hot-water", {}, "settings.heating_maximum_rate", 83, 82, **SHARED, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("priority-without-time-limit", NO_LIMIT, {}, {"priority_time_limit": 3600.0}),
    ("priority-without-time-limit", {**NO_LIMIT, **PLATE}, {}, {"priority_time_limit": 3600.0}),
    ("priority-without-time-limit", {**NO_LIMIT, **PLATE},
     {"drop": ["hot_water.tank_volume", "settings.tank_setpoint"]}, {"priority_time_limit": 3600.0}),
    # 120 gal take 65.5 min
    ("priority-without-time-limit", {**NO_LIMIT, "hot_water.tank_volume": 120}, {}, {"priority_time_limit": 4200.0}),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, {}, {"priority_time_limit": 2100.0}),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, METRIC, {"priority_time_limit": 2100.0}),
    ("hot-water-heats-the-floor", {**PARALLEL, "settings.hot_water_boiler_setpoint": 195}, {},
     {"hot_water_priority": True}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("priority-without-time-limit", NO_LIMIT, narrow("priority_time_limit", 5, 30), "longer than the recovery"),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, narrow("priority_time_limit", 5, 30),
     "can't be set that long"),
])  # fmt: skip
SAID: Final[Said] = [
    ("priority-without-time-limit", {**NO_LIMIT, "site.coldest": 40}, {},
     (Severity.OUTAGE, Certainty.LIKELY, "priority_time_limit", {"freeze"}, {})),
    ("priority-limit-below-recovery", {"settings.priority_time_limit": 20}, {"drop": ["hot_water.coil_output"]},
     (Severity.WASTE, Certainty.LIKELY, "priority_time_limit", {"hot-water", "scald", "hygiene"}, {"limit": 1200.0, "recovery": 1574.0})),
    ("hot-water-heats-the-floor", {**PARALLEL, "settings.hot_water_boiler_setpoint": 200}, {},
     (Severity.DAMAGE, Certainty.PROVEN, "hot_water_priority", {"heating", "scald", "hygiene"}, {"boiler target": celsius(200), "emitter maximum": celsius(190)})),
    ("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 50}, SHARED,
     (Severity.WASTE, Certainty.PROVEN, "heating_maximum_rate", {"firing", "hot-water"}, {"output with the limit": 54280 * 0.29307107, "output without": 90000 * 0.29307107})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)


def test_a_time_limit_is_proposed_only_where_the_recovery_is_known() -> None:
    assert remedy_of("priority-without-time-limit", NO_LIMIT, drop=["hot_water.tank_volume"]).set == {}


@pytest.mark.parametrize(
    ("changes", "drop", "severity", "hours"),
    [
        # 45 h x ln(78/40) = 30.05 h; 36 h: 24.04 h; 35.9 h: 23.98 h
        ({}, [], Severity.OUTAGE, 30.05),
        ({"building.cooldown_time_constant": 36}, [], Severity.OUTAGE, 24.04),
        ({"building.cooldown_time_constant": 35.9}, [], Severity.DAMAGE, 23.98),
        ({"site.coldest": 32}, [], Severity.OUTAGE, None),
        ({}, ["building.cooldown_time_constant"], Severity.DAMAGE, None),
        ({}, ["building.indoor_design"], Severity.DAMAGE, None),
        ({}, ["site.coldest"], Severity.DAMAGE, None),
    ],
)
def test_endless_priority_is_damage_where_the_house_freezes_within_a_day(
    changes: dict[str, Any], drop: list[str], severity: Severity, hours: float | None
) -> None:
    one = finding("priority-without-time-limit", {**NO_LIMIT, **changes}, drop=drop)
    assert one.severity is severity
    assert one.certainty is Certainty.LIKELY
    if hours is None:
        assert one.numbers == {}
    else:
        assert one.numbers["time to freezing"].value / 3600 == pytest.approx(hours, abs=0.01)
    assert ("not known" in one.message) == bool(drop)


def test_exactly_a_day_is_not_within_a_day() -> None:
    time = finding("priority-without-time-limit", NO_LIMIT).numbers["time to freezing"].value
    owner = Context(AS_OF, thresholds={"priority_freezes_within": time})
    assert finding("priority-without-time-limit", NO_LIMIT, context=owner).severity is Severity.OUTAGE
    owner = Context(AS_OF, thresholds={"priority_freezes_within": 30.1 * 3600})
    assert finding("priority-without-time-limit", NO_LIMIT, context=owner).severity is Severity.DAMAGE


def test_a_shared_rate_limit_is_an_outage_at_a_plate_and_costs_time_at_a_tank() -> None:
    tank = finding("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 60}, **SHARED)
    assert tank.severity is Severity.WASTE
    # 0.6 x 108,560 Btu/h = 65,136; the coil's 90,000
    assert tank.numbers["output with the limit"].value / 0.29307107 == pytest.approx(65136)
    assert tank.numbers["output without"].value / 0.29307107 == pytest.approx(90000)
    assert set(tank.numbers) == {"output with the limit", "output without"}
    plate = finding("heating-rate-limits-hot-water", {**PLATE, "settings.heating_maximum_rate": 60}, **SHARED)
    assert plate.severity is Severity.OUTAGE
    # 65,136 Btu/h/(500 x 72 F) = 1.81 gpm; 500 is 60 x 8.33, water of 40 C has 8.27
    assert plate.numbers["flow at the set point"].value * 60 / 3.785411784 == pytest.approx(1.81, abs=0.02)
    assert plate.numbers["peak use"].value * 60 / 3.785411784 == pytest.approx(2.0)
    assert plate.numbers["output without"].value / 0.29307107 == pytest.approx(108560)

    result = audit(
        make_plant(drop_control=["control.rate_limits_hot_water"]), [rule_named("heating-rate-limits-hot-water")]
    )
    assert [lack.needs for lack in result.not_checked] == [("heating_maximum_rate",)]
    assert "does not say whether" in result.not_checked[0].why


def test_recovery_at_equality_and_its_figures() -> None:
    one = finding("priority-limit-below-recovery", {"settings.priority_time_limit": 20})
    recovery = one.numbers["recovery"].value
    # 8.33 x 58 x 99/90,000 h = 31.9 min by the trade's rule, within 1 %
    assert recovery / 60 == pytest.approx(60 * 8.33 * 58 * 99 / 90000, rel=0.01)
    assert one.numbers["limit"].value == 1200.0
    assert ask("priority-limit-below-recovery", {"settings.priority_time_limit": recovery / 60}) == "clear"
    assert not [remark for remark in one.remarks if "mains water" in remark]
    assert len(one.remarks) == 1
    unknown = finding(
        "priority-limit-below-recovery", {"settings.priority_time_limit": 20}, drop=["hot_water.cold_inlet"]
    )
    assert unknown.remarks[0] == "assuming mains water of 50 F"


def test_an_owner_sets_the_time_limit_that_is_proposed() -> None:
    owner = Context(AS_OF, thresholds={"priority_limit_usual": 5400.0})
    assert remedy_of("priority-without-time-limit", NO_LIMIT, context=owner).set == {"priority_time_limit": 5400.0}


test_firing_and_limits_get_no_figure = no_figure([
    ("heating-rate-limits-hot-water", {"settings.heating_maximum_rate": 60}, SHARED, Severity.WASTE,
     "heating_maximum_rate"),
])  # fmt: skip


def test_a_rate_that_does_for_the_largest_draw_is_clear() -> None:
    gpm = flow_at_set_point({**PLATE, "hot_water.peak_flow": 9}) * 0.999999
    changes = {**PLATE, "settings.heating_maximum_rate": 99.9999, "hot_water.peak_flow": gpm}
    assert ask("heating-rate-limits-hot-water", changes, **SHARED) == "clear"


def test_the_emitter_without_a_name_is_counted() -> None:
    floor = {"emitter": [FLOOR | {"maximum_supply": 180}, FLOOR | {"maximum_supply": 120}]}
    assert "emitter 2; its maximum is 120 F" in finding("hot-water-heats-the-floor", {**PARALLEL, **floor}).message
