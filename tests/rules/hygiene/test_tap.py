# ruff: noqa: E501
"""What comes to the taps, at its boundaries.

US CPSC document 5098: 120 F at outlets; 150 F burns in 2 s, 140 F in 6 s, 130 F in 30 s, 120 F in 5 min. HSE, scalding
and burning in health and social care: 44 C (111.2 F) where vulnerable people bathe. What is not named there is common
practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius
from tests.rules.hygiene.givens import BOTH, HEAT_UP, HEAT_UP_C, NO_VALVE, PLATE
from tests.rules.kit import METRIC, finding
from tests.rules.tables import (
    Cases,
    Said,
    boundaries,
    edge,
    lacking,
    narrow,
    owners_numbers,
    remedies,
    remedy_of,
    sayings,
    unable,
)

FRAIL: Final = {"site.occupants": "vulnerable"}
PLATE_BARE: Final = {**PLATE, **NO_VALVE}
COIL: Final[dict[str, Any]] = {"boiler.tankless_coil": True, "hot_water.kind": "separate", **NO_VALVE}
DAY_OLD: Final = {**FRAIL, "hot_water.mixing_valve_tested": "2025-11-22"}

CASES: Final[Cases] = [
    *edge("hot-tank-without-mixing-valve", NO_VALVE, "settings.tank_setpoint", 120, 120.1),
    *edge("hot-tank-without-mixing-valve", {**NO_VALVE, **FRAIL}, "settings.tank_setpoint", 111.2, 111.3),
    # 140 F behind a valve is nothing unusual
    ("hot-tank-without-mixing-valve", "clear", {**FRAIL, "settings.tank_setpoint": 160}, {}),
    ("hot-tank-without-mixing-valve", "does not apply", {**PLATE_BARE}, {}),
    *lacking("hot-tank-without-mixing-valve", NO_VALVE, "settings.tank_setpoint", "site.occupants", "hot_water.kind"),
    ("hot-tank-without-mixing-valve", "not checked", {}, {"drop": ["hot_water.mixing_valve"]}),
    *edge("hot-tank-without-mixing-valve", {**NO_VALVE, **FRAIL}, "settings.tank_setpoint", 44, 44.1, **METRIC),
    *edge("hot-plate-without-mixing-valve", PLATE_BARE, "settings.outlet_setpoint", 120, 120.1),
    *edge("hot-plate-without-mixing-valve", {**PLATE_BARE, **FRAIL}, "settings.outlet_setpoint", 111.2, 111.3),
    ("hot-plate-without-mixing-valve", "clear", {**PLATE, "settings.outlet_setpoint": 140}, {}),
    ("hot-plate-without-mixing-valve", "does not apply", {**NO_VALVE, "settings.outlet_setpoint": 140}, {}),
    ("hot-plate-without-mixing-valve", "not checked", PLATE_BARE, {}),
    ("hot-plate-without-mixing-valve", "not checked", {**PLATE, "settings.outlet_setpoint": 140}, {"drop": ["hot_water.mixing_valve"]}),
    ("hot-plate-without-mixing-valve", "not checked", {**PLATE_BARE, "settings.outlet_setpoint": 140}, {"drop": ["site.occupants"]}),
    *edge("hot-plate-without-mixing-valve", PLATE_BARE, "settings.outlet_setpoint", 48.8, 48.9, **METRIC),
    *edge("coil-in-boiler-without-mixing-valve", COIL, "settings.heating_setpoint", 120, 120.1),
    ("coil-in-boiler-without-mixing-valve", "found", {**COIL, **FRAIL, "settings.heating_setpoint": 111.3}, {}),
    ("coil-in-boiler-without-mixing-valve", "clear", {**COIL, "hot_water.mixing_valve": True}, {}),
    ("coil-in-boiler-without-mixing-valve", "does not apply", {**COIL, "boiler.tankless_coil": False}, {}),
    ("coil-in-boiler-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["boiler.tankless_coil"]}),
    *lacking("coil-in-boiler-without-mixing-valve", COIL, "settings.heating_setpoint", "site.occupants"),
    ("coil-in-boiler-without-mixing-valve", "not checked", {"boiler.tankless_coil": True}, {"drop": ["hot_water.mixing_valve"]}),
    *edge("coil-in-boiler-without-mixing-valve", {**COIL, **FRAIL}, "settings.heating_setpoint", 44, 44.1, **METRIC),
    *edge("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP}, "settings.hygiene_target", 120, 120.1),
    ("hygiene-heat-up-without-mixing-valve", "clear", HEAT_UP, {}),
    ("hygiene-heat-up-without-mixing-valve", "does not apply", {**NO_VALVE, **HEAT_UP, "settings.hygiene_cycle": False}, {}),
    ("hygiene-heat-up-without-mixing-valve", "does not apply", {**PLATE_BARE, **HEAT_UP}, {}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", NO_VALVE, {"drop": ["settings.hygiene_cycle"]}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", {**NO_VALVE, "settings.hygiene_cycle": True}, {}),
    ("hygiene-heat-up-without-mixing-valve", "not checked", HEAT_UP, {"drop": ["hot_water.mixing_valve"]}),
    *edge("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP_C},
          "settings.hygiene_target", 48.8, 48.9, **METRIC),
    # looked at on 2026-11-25; 366 days
    *edge("mixing-valve-test-overdue", FRAIL, "hot_water.mixing_valve_tested", "2025-11-24", "2025-11-23"),
    ("mixing-valve-test-overdue", "found", FRAIL, {"drop": ["hot_water.mixing_valve_tested"]}),
    ("mixing-valve-test-overdue", "does not apply", {"hot_water.mixing_valve_tested": "2015-11-23"}, {}),
    ("mixing-valve-test-overdue", "does not apply", {**FRAIL, **NO_VALVE, "hot_water.mixing_valve_tested": "2015-11-23"}, {}),
    ("mixing-valve-test-overdue", "not checked", {}, {"drop": ["site.occupants"]}),
    ("mixing-valve-test-overdue", "not checked", FRAIL, {"drop": ["hot_water.mixing_valve"]}),
    *edge("mixing-valve-set-hot", {}, "hot_water.mixing_valve_setpoint", 120, 120.1),
    *edge("mixing-valve-set-hot", FRAIL, "hot_water.mixing_valve_setpoint", 111.2, 111.3),
    ("mixing-valve-set-hot", "does not apply", {**NO_VALVE, "hot_water.mixing_valve_setpoint": 140}, {}),
    *lacking("mixing-valve-set-hot", {}, "hot_water.mixing_valve_setpoint", "hot_water.mixing_valve", "site.occupants"),
    *edge("mixing-valve-set-hot", {}, "hot_water.mixing_valve_setpoint", 48.8, 48.9, **METRIC),
    *edge("tap-too-hot", {}, "hot_water.outlet_measured", 120, 120.1),
    ("tap-too-hot", "found", {**PLATE, "hot_water.outlet_measured": 120.1}, {}),
    ("tap-too-hot", "found", {"hot_water.kind": "separate", "hot_water.outlet_measured": 120.1}, {}),
    *edge("tap-too-hot", FRAIL, "hot_water.outlet_measured", 111.2, 111.3),
    ("tap-too-hot", "does not apply", {"hot_water.kind": "none", "hot_water.outlet_measured": 150}, {}),
    ("tap-too-hot", "not checked", {}, {}),
    ("tap-too-hot", "not checked", {"hot_water.outlet_measured": 115}, {"drop": ["site.occupants"]}),
    *edge("tap-too-hot", FRAIL, "hot_water.outlet_measured", 44, 44.1, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("hot-plate-without-mixing-valve", {**PLATE_BARE, "settings.outlet_setpoint": 135}, {},
     {"outlet_setpoint": celsius(120)}),
    ("hot-plate-without-mixing-valve", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 48}, METRIC,
     {"outlet_setpoint": 44.0}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("hot-plate-without-mixing-valve", {**PLATE_BARE, "settings.outlet_setpoint": 135},
     narrow("outlet_setpoint", 125, 140), "fit and test a mixing valve"),
])  # fmt: skip
SAID: Final[Said] = [
    ("hot-tank-without-mixing-valve", NO_VALVE, {},
     (Severity.DANGER, Certainty.PROVEN, "tank_setpoint", BOTH, {"tank": celsius(145), "maximum at the tap": celsius(120)})),
    ("hot-plate-without-mixing-valve", {**PLATE_BARE, **FRAIL, "settings.outlet_setpoint": 130}, {},
     (Severity.DANGER, Certainty.PROVEN, "outlet_setpoint", BOTH, {"plate": celsius(130), "maximum at the tap": 44.0})),
    ("coil-in-boiler-without-mixing-valve", COIL, {},
     (Severity.DANGER, Certainty.LIKELY, "heating_setpoint", BOTH, {"boiler": celsius(164), "maximum at the tap": celsius(120)})),
    ("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP}, {},
     (Severity.DANGER, Certainty.PROVEN, "hygiene_target", BOTH, {"heat-up": celsius(150), "maximum at the tap": celsius(120)})),
    ("mixing-valve-test-overdue", DAY_OLD, {},
     (Severity.DANGER, Certainty.ASK, "hot_water.mixing_valve_tested", BOTH, {"days": 368.0})),
    ("mixing-valve-set-hot", {"hot_water.mixing_valve_setpoint": 130}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water.mixing_valve_setpoint", BOTH, {"valve": celsius(130), "maximum at the tap": celsius(120)})),
    ("tap-too-hot", {"hot_water.outlet_measured": 140}, {},
     (Severity.DANGER, Certainty.PROVEN, "hot_water.outlet_measured", BOTH, {"tap": celsius(140), "maximum at the tap": celsius(120)})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)
test_an_owner_sets_the_numbers_of_habit = owners_numbers([
    ("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP, "settings.hygiene_target": 118}, {},
     "tap_maximum", celsius(110)),
    ("mixing-valve-test-overdue", FRAIL, {}, "valve_test_days", 60.0),
    ("mixing-valve-set-hot", {}, {}, "tap_maximum", celsius(115)),
    ("tap-too-hot", {**FRAIL, "hot_water.outlet_measured": 108}, {}, "tap_maximum_vulnerable", celsius(105)),
])  # fmt: skip


@pytest.mark.parametrize(
    ("rule", "changes"),
    [
        ("hot-tank-without-mixing-valve", NO_VALVE),
        ("coil-in-boiler-without-mixing-valve", COIL),
        ("hygiene-heat-up-without-mixing-valve", {**NO_VALVE, **HEAT_UP}),
        ("tap-too-hot", {"hot_water.outlet_measured": 130}),
    ],
)
def test_a_scalding_danger_is_never_answered_by_a_cooler_tank(rule: str, changes: dict[str, Any]) -> None:
    remedy = remedy_of(rule, changes)
    assert remedy.set == {}
    assert "valve" in remedy.text


def test_a_valve_without_a_recorded_test_is_asked_for() -> None:
    never = finding("mixing-valve-test-overdue", FRAIL, drop=["hot_water.mixing_valve_tested"])
    assert never.at == "hot_water.mixing_valve"
    old = finding("mixing-valve-test-overdue", {**FRAIL, "hot_water.mixing_valve_tested": "2025-09-20"})
    assert old.at == "hot_water.mixing_valve_tested"
    assert "2025-09-20" in old.message
    assert old.numbers["days"].value == 431
    assert never.certainty is old.certainty is Certainty.ASK


def test_the_headline_says_how_fast_the_tank_scalds_or_the_maximum_at_the_tap() -> None:
    # US CPSC document 5098
    rule = "hot-tank-without-mixing-valve"
    for tank, words in (
        (160, "scalds in 2 s or less"),
        (150, "scalds in about 2 s"),
        (140, "scalds in about 6 s"),
        (130, "scalds in about 30 s"),
        (129, "at most 120 F at the tap"),
    ):
        one = finding(rule, {**NO_VALVE, "settings.tank_setpoint": tank})
        assert one.headline == f"tank at {tank} F and no mixing valve: {words}"
    frail = finding(rule, {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 60}, **METRIC)
    assert frail.headline == "tank at 60 C and no mixing valve: scalds in about 6 s"
    assert frail.numbers["maximum at the tap"].value == 44.0
    warm = finding(rule, {**NO_VALVE, **FRAIL, "settings.tank_setpoint": 46}, **METRIC)
    assert warm.headline == "tank at 46 C and no mixing valve: at most 44 C where vulnerable people bathe"
