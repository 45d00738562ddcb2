# ruff: noqa: E501
"""The loop at its boundaries.

HSE HSG274 part 2 (2014): its return at least 50 C (122 F; from memory). The rest is common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.checking.audit import audit
from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from tests.rules.hygiene.givens import BOTH, PLATE
from tests.rules.kit import METRIC, finding, make_plant, rule_named
from tests.rules.tables import Cases, Said, boundaries, edge, owners_numbers, sayings

LOOP: Final = {"hot_water.circulation_loop": True}
TIMED: Final = {**LOOP, "settings.recirculation": "scheduled"}


def reading(read_on: str, set_on: str) -> dict[str, Any]:
    """Return a return of 100 F read on one day and a tank of 145 F set on another."""
    return {
        "hot_water.return_measured": {"value": 100, "from": "measured", "on": read_on},
        "settings.tank_setpoint": {"value": 145, "on": set_on},
    }


CASES: Final[Cases] = [
    # the loop
    *edge("loop-return-too-cool", LOOP, "hot_water.return_measured", 122, 121.9),
    ("loop-return-too-cool", "does not apply", {"hot_water.return_measured": 90}, {}),
    ("loop-return-too-cool", "not checked", LOOP, {}),
    ("loop-return-too-cool", "not checked", {"hot_water.return_measured": 90}, {"drop": ["hot_water.circulation_loop"]}),
    *edge("loop-return-too-cool", LOOP, "hot_water.return_measured", 50, 49.9, **METRIC),
    # 145 F - 5 K
    *edge("loop-drops-too-far", LOOP, "hot_water.return_measured", 136, 135.9),
    ("loop-drops-too-far", "does not apply", {"hot_water.return_measured": 100}, {}),
    ("loop-drops-too-far", "does not apply", {**LOOP, **PLATE, "hot_water.return_measured": 100}, {}),
    ("loop-drops-too-far", "not checked", LOOP, {}),
    ("loop-drops-too-far", "not checked", {**LOOP, "hot_water.return_measured": 100}, {"drop": ["settings.tank_setpoint"]}),
    *edge("loop-drops-too-far", {**LOOP, "settings.tank_setpoint": 60},
          "hot_water.return_measured", 55, 54.9, **METRIC),
    # a reading from before the store was changed tells nothing about the drop
    ("loop-drops-too-far", "not checked", {**LOOP, **reading("2026-03-01", "2026-03-02")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, **reading("2026-03-01", "2026-03-01")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, **reading("2026-03-02", "2026-03-01")}, {}),
    ("loop-drops-too-far", "found", {**LOOP, "hot_water.return_measured": {"value": 100, "from": "measured", "on": "2026-03-01"}},
     {"drop": ["settings.tank_setpoint"], "control": {"setting.tank_setpoint.access": "factory", "setting.tank_setpoint.default": 140,
                                                     "setting.tank_setpoint.needs": [{"accessory": "bus_module", "otherwise": "default"}]}}),
    *edge("circulation-stopped-for-hours", TIMED, "settings.recirculation_off_hours", 8, 8.05),
    ("circulation-stopped-for-hours", "found", LOOP, {}),
    ("circulation-stopped-for-hours", "clear", {**LOOP, "settings.recirculation": "continuous", "settings.recirculation_off_hours": 20}, {}),
    ("circulation-stopped-for-hours", "does not apply", {}, {}),
    ("circulation-stopped-for-hours", "not checked", TIMED, {}),
    ("circulation-stopped-for-hours", "not checked", LOOP, {"drop": ["settings.recirculation"]}),
    ("circulation-stopped-for-hours", "not checked", {}, {"drop": ["hot_water.circulation_loop"]}),
    ("circulation-stopped-for-hours", "found", {**TIMED, "settings.recirculation_off_hours": 8.05}, METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

SAID: Final[Said] = [
    ("loop-return-too-cool", {**LOOP, "hot_water.return_measured": 110}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water.return_measured", BOTH, {"return": celsius(110), "minimum": 50.0})),
    ("loop-drops-too-far", {**LOOP, "hot_water.return_measured": 125}, {},
     (Severity.DANGER, Certainty.LIKELY, "hot_water.return_measured", BOTH, {"drop": kelvin(20)})),
    ("circulation-stopped-for-hours", {**TIMED, "settings.recirculation_off_hours": 10}, {},
     (Severity.DANGER, Certainty.LIKELY, "recirculation_off_hours", BOTH, {"off": 36000.0})),
]  # fmt: skip
test_what_a_finding_says = sayings(SAID)
test_an_owner_sets_the_numbers_of_habit = owners_numbers([
    ("loop-return-too-cool", {**LOOP, "hot_water.return_measured": 125}, {}, "loop_return_minimum", 55.0),
    ("loop-drops-too-far", {**LOOP, "hot_water.return_measured": 138}, {}, "loop_drop_maximum", kelvin(5)),
    ("circulation-stopped-for-hours", {**TIMED, "settings.recirculation_off_hours": 2}, {}, "loop_standstill_maximum",
     3600.0),
])  # fmt: skip


def test_a_loop_that_is_off_and_one_that_pauses_are_found_at_their_own_setting() -> None:
    assert finding("circulation-stopped-for-hours", LOOP).at == "recirculation"
    paused = finding("circulation-stopped-for-hours", {**TIMED, "settings.recirculation_off_hours": 12})
    assert paused.at == "recirculation_off_hours"
    assert paused.numbers["off"].value == 12 * 3600.0
    early = make_plant({**LOOP, **reading("2026-03-01", "2026-03-02")})
    lacks = audit(early, [rule_named("loop-drops-too-far")], assume=False).not_checked
    assert [lack.needs for lack in lacks] == [("hot_water.return_measured",)]
    assert "before the tank set point was changed" in lacks[0].why
    drop = finding("loop-drops-too-far", {**LOOP, "hot_water.return_measured": 130})
    assert drop.numbers["drop"].value == pytest.approx(kelvin(15))
