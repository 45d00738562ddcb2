# ruff: noqa: E501
"""What the control does about starts, at its boundaries. Thresholds are common practice, no source."""

from __future__ import annotations

from typing import Any, Final

from settingslint.rules.base import Severity
from tests.rules.kit import METRIC, ask, finding
from tests.rules.tables import Cases, boundaries, edge, remedies

ADDS: Final[dict[str, Any]] = {"control": {"setting.heating_differential.treatments": [{"does": "add", "amount": 10}]}}
PLATE: Final = {"hot_water.kind": "plate"}

CASES: Final[Cases] = [
    ("differential-altered-by-control", "found", {}, ADDS),
    ("differential-altered-by-control", "clear", {}, {}),
    ("differential-altered-by-control", "found", {"settings.tank_differential": 4.6}, {"control": {"setting.tank_differential.step": 1}}),
    ("differential-altered-by-control", "does not apply", {}, {"drop": ["settings.heating_differential", "settings.tank_differential"]}),
    ("differential-altered-by-control", "not checked", {}, {"drop_control": ["setting.heating_differential.treatments"]}),
    # start 164 - 18 = 146 F
    *edge("start-not-below-stop", {}, "settings.operating_limit", 146.1, 146),
    ("start-not-below-stop", "not checked", {"settings.heating_differential": -5.9}, {}),
    ("start-not-below-stop", "found", {"settings.heating_differential": -6}, {}),
    ("start-not-below-stop", "not checked", {}, {"drop": ["settings.operating_limit"]}),
    ("start-not-below-stop", "found", {"settings.operating_limit": 63.3}, METRIC),
    # 97,704 - 44,000 = 53,704 Btu/h = 15,739 W; 180 s of it in a band of 13.33 K: 212.5 kJ/K = 13.65 gal
    *edge("no-low-fire-hold-on-oversized-boiler", {"settings.low_fire_hold": "off"}, "water.system_volume", 13.7, 13.6),
    ("no-low-fire-hold-on-oversized-boiler", "found", {"water.system_volume": 13.6, "settings.low_fire_hold": 0}, {}),
    ("no-low-fire-hold-on-oversized-boiler", "does not apply", {"water.system_volume": 5, "settings.low_fire_hold": 1}, {}),
    ("no-low-fire-hold-on-oversized-boiler", "not checked", {"settings.low_fire_hold": "off"}, {"drop": ["water.system_volume"]}),
    *edge("low-fire-hold-delays-hot-water", PLATE, "settings.low_fire_hold", 1, 1.1),
    ("low-fire-hold-delays-hot-water", "does not apply", {"settings.low_fire_hold": 9}, {}),
    ("low-fire-hold-delays-hot-water", "does not apply", {**PLATE, "settings.low_fire_hold": "off"}, {}),
    ("low-fire-hold-delays-hot-water", "not checked", PLATE, {"drop": ["settings.low_fire_hold"]}),
    *edge("control-gain-changed", {}, "settings.control_gain", 10, 11),
    ("control-gain-changed", "clear", {"settings.control_gain": {"left": "default"}}, {}),
    ("control-gain-changed", "not checked", {"settings.control_gain": 11}, {"drop_control": ["setting.control_gain.default"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("no-low-fire-hold-on-oversized-boiler", {"water.system_volume": 13, "settings.low_fire_hold": "off"}, {},
     {"low_fire_hold": 300.0}),
    ("low-fire-hold-delays-hot-water", {**PLATE, "settings.low_fire_hold": 9}, {}, {"low_fire_hold": 0.0}),
])  # fmt: skip


def test_a_default_confirmed_on_purpose_is_no_finding() -> None:
    confirmed = {"value": 10, "why": "as it came, looked at on site"}
    assert ask("control-gain-changed", {"settings.control_gain": confirmed}) == "clear"


def test_bands_that_overlap_are_an_outage() -> None:
    assert finding("start-not-below-stop", {"settings.operating_limit": 146}).severity is Severity.OUTAGE
