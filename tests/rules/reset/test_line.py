# ruff: noqa: E501
"""The reset line itself at its boundaries, with lines recomputed by hand in degrees Fahrenheit.

Margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.rules.base import Severity
from settingslint.units import celsius
from tests.rules.kit import FLOOR, SLOPE, TWO, ask, finding
from tests.rules.tables import Cases, boundaries, edge, places, remedies, remedy_of

OFF_WHEN_EQUAL: Final[dict[str, Any]] = {
    "control": {"setting.reset_endpoint.treatments": [{"does": "off when", "by": "heating_setpoint"}]}
}
END_CAPPED: dict[str, Any] = {
    "control": {
        "setting.reset_endpoint.treatments": [
            {"does": "cap", "by": "heating_setpoint"}, {"does": "off when", "by": "heating_setpoint"},
        ],
    }
}  # fmt: skip
CAPPED: Final[dict[str, Any]] = {
    "control": {"setting.reset_hot_supply.treatments": [{"does": "cap", "by": "heating_setpoint"}]},
    **TWO,
}
GENTLE: Final[dict[str, Any]] = {**FLOOR, "design_supply": 86, "design_return": 80}

CASES: Final[Cases] = [
    *edge("reset-endpoint-above-setpoint", {}, "settings.reset_endpoint", 163.9, 164),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 180}, {}),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164}, OFF_WHEN_EQUAL),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_endpoint": 164.1}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "clear", {"settings.reset_endpoint": 163.9}, END_CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_endpoint": 164, "settings.reset": False}, {}),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["settings.reset_endpoint"]}),
    *edge("reset-endpoint-above-setpoint", {}, "settings.reset_hot_supply", 164, 164.1, **TWO),
    ("reset-endpoint-above-setpoint", "found", {"settings.maximum_supply": 161.9}, TWO),
    ("reset-endpoint-above-setpoint", "found", {"settings.reset_hot_supply": 164.1}, CAPPED),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.reset_hot_supply": 175, "settings.cascade_role": "follower"}, TWO),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["settings.reset_warm_outdoor"], **TWO}),
    # 70 + 6 + 1.33 x 66 = 163.8 F; 1.34: 164.4 F
    *edge("reset-endpoint-above-setpoint", {}, "settings.reset_slope", 1.33, 1.34, **SLOPE),
    ("reset-endpoint-above-setpoint", "not checked", {}, {"drop": ["site.design_outdoor"], **SLOPE}),
    ("reset-endpoint-above-setpoint", "does not apply", {"settings.heating_setpoint": 100}, {"style": "none"}),
    *edge("reset-endpoint-above-setpoint", {}, "settings.reset_endpoint", 73, 74, metric=True),
    *edge("reset-off-unsaid", {}, "settings.reset_endpoint", 163, 164, **OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "clear", {"settings.reset_endpoint": {"value": 164, "why": "air heater"}}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "found",
     {"settings.reset_endpoint": 164, "settings.heating_setpoint": {"value": 164, "why": "the radiators"}}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "does not apply", {"settings.reset_endpoint": 164, "settings.reset": False}, OFF_WHEN_EQUAL),
    ("reset-off-unsaid", "clear", {"settings.reset_endpoint": 164}, {}),
    ("reset-off-unsaid", "not checked", {}, {"drop": ["settings.reset_endpoint"], **OFF_WHEN_EQUAL}),
    *edge("reset-off-unsaid", {}, "settings.reset_cool_supply", 161.9, 162, **TWO),
    ("reset-off-unsaid", "clear", {"settings.reset_cool_supply": {"value": 162, "why": "pool"}}, TWO),
    *edge("reset-off-unsaid", {}, "settings.reset_slope", 0.1, 0, **SLOPE),
    ("reset-off-unsaid", "found", {"settings.reset_cool_supply": 70, "settings.reset_hot_supply": 70}, {"metric": True, **TWO}),
    *edge("reset-line-flat-or-upside-down", {}, "settings.reset_cool_supply", 152, 152.1, **TWO),
    *edge("reset-line-flat-or-upside-down", {}, "settings.reset_cool_supply", 162, 163, **TWO),
    *edge("reset-line-flat-or-upside-down", {}, "settings.reset_endpoint", 154, 154.1),
    # 0.15 x 66 F = 9.9 F; 0.16 x 66 F = 10.6 F
    *edge("reset-line-flat-or-upside-down", {}, "settings.reset_slope", 0.16, 0.15, **SLOPE),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_slope": -0.1}, SLOPE),
    # a floor that needs 86 F on the design day in a room of 70 F: 16 F of need, so a fall of 8 F is gentle and no finding
    *edge("reset-line-flat-or-upside-down", {"emitter": [GENTLE], "settings.reset_hot_supply": 88},
          "settings.reset_cool_supply", 80, 80.1, **TWO),
    ("reset-line-flat-or-upside-down", "does not apply", {"settings.reset": False}, TWO),
    ("reset-line-flat-or-upside-down", "not checked", {}, {"drop": ["settings.reset_cool_supply"], **TWO}),
    ("reset-line-flat-or-upside-down", "found", {"settings.reset_cool_supply": 67}, {"metric": True, **TWO}),
    ("reset-anchors-equal-or-swapped", "not checked", {"settings.reset_cold_outdoor": 61.9}, TWO),
    ("reset-anchors-equal-or-swapped", "found", {"settings.reset_cold_outdoor": 62}, TWO),
    ("reset-anchors-equal-or-swapped", "not checked", {}, {"drop": ["settings.reset_cold_outdoor"], **TWO}),
    ("reset-anchors-equal-or-swapped", "does not apply", {"settings.reset": False, "settings.reset_cold_outdoor": 62}, TWO),
    ("reset-anchors-equal-or-swapped", "does not apply", {}, SLOPE),
    ("reset-anchors-equal-or-swapped", "found", {}, {"control": {"control.cold_anchor": 76}, "drop_control": ["setting.reset_cold_outdoor"]}),
    ("reset-anchors-equal-or-swapped", "clear", {}, {"control": {"control.cold_anchor": 75}, "drop_control": ["setting.reset_cold_outdoor"]}),
    ("reset-anchors-equal-or-swapped", "found", {"settings.reset_warm_outdoor": -16}, {"metric": True, **TWO}),
    # -6 F is 10 F colder than 4 F: the line then gives 98 + 64 x 58/68 = 152.6 F against 158 F
    *edge("reset-anchor-far-from-design", {}, "settings.reset_cold_outdoor", -6, -6.1, **TWO),
    *edge("reset-anchor-far-from-design", {}, "settings.reset_cold_outdoor", 14, 14.1, **TWO),
    # colder, and hot enough all the same: 98 + 76 x 58/72 = 159.2 F
    ("reset-anchor-far-from-design", "clear",
     {"settings.reset_cold_outdoor": -10, "settings.reset_hot_supply": 174, "settings.heating_setpoint": 175}, TWO),
    ("reset-anchor-far-from-design", "does not apply", {"settings.reset": False, "settings.reset_cold_outdoor": -20}, TWO),
    ("reset-anchor-far-from-design", "not checked", {}, {"drop": ["site.design_outdoor"], **TWO}),
    ("reset-anchor-far-from-design", "does not apply", {}, SLOPE),
    ("reset-anchor-far-from-design", "found", {"settings.reset_cold_outdoor": -25}, {"metric": True, **TWO}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, TWO, {"reset_hot_supply": celsius(164)}),
    ("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175, "settings.heating_setpoint": 150}, TWO,
     {"heating_setpoint": celsius(175)}),
    ("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 164}, {}, {"reset_endpoint": celsius(70)}),
    ("reset-off-unsaid", {"settings.reset_endpoint": 164}, OFF_WHEN_EQUAL, {"reset_endpoint": celsius(70)}),
    ("reset-off-unsaid", {"settings.reset_cool_supply": 162}, TWO,
     {"reset_hot_supply": celsius(158), "reset_cool_supply": celsius(88)}),
    ("reset-line-flat-or-upside-down", {"settings.reset_hot_supply": 98, "settings.reset_cool_supply": 162}, TWO,
     {"reset_hot_supply": celsius(162), "reset_cool_supply": celsius(98)}),
    ("reset-line-flat-or-upside-down", {"settings.reset_cool_supply": 163}, TWO,
     {"reset_hot_supply": celsius(158), "reset_cool_supply": celsius(88)}),
    ("reset-anchors-equal-or-swapped", {"settings.reset_cold_outdoor": 62, "settings.reset_warm_outdoor": 4}, TWO,
     {"reset_cold_outdoor": celsius(4), "reset_warm_outdoor": celsius(62)}),
    ("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, TWO, {"reset_cold_outdoor": celsius(4)}),
])  # fmt: skip
test_how_bad_and_where = places([
    # the need is 158 F: a cap of 155 F covers it within 3 F
    ("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175, "settings.heating_setpoint": 155}, TWO,
     Severity.WASTE, "reset_hot_supply"),
    ("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175, "settings.heating_setpoint": 154.9}, TWO,
     Severity.OUTAGE, "reset_hot_supply"),
    ("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 164}, {}, Severity.WASTE, "reset_endpoint"),
    ("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 164.1}, {}, Severity.OUTAGE, "reset_endpoint"),
    ("reset-line-flat-or-upside-down", {"settings.reset_cool_supply": 155}, TWO, Severity.WASTE, "reset_cool_supply"),
    ("reset-line-flat-or-upside-down", {"settings.reset_cool_supply": 170}, TWO, Severity.OUTAGE, "reset_cool_supply"),
    ("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": 20}, TWO, Severity.WASTE, "reset_cold_outdoor"),
    ("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, TWO, Severity.OUTAGE, "reset_cold_outdoor"),
])  # fmt: skip


def test_the_line_flattens_where_it_meets_the_cap() -> None:
    # 4 + (175 - 164)/(175 - 98) x (62 - 4) = 12.29 F; slope: 70 - (164 - 76)/1.5 = 11.33 F
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, **TWO)
    assert one.numbers["flat below"].value == pytest.approx(celsius(12.2857), abs=1e-3)
    other = finding("reset-endpoint-above-setpoint", {"settings.reset_slope": 1.5}, **SLOPE)
    assert other.numbers["flat below"].value == pytest.approx(celsius(11.3333), abs=1e-3)


def test_without_a_known_need_a_cut_line_counts_as_an_outage() -> None:
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_hot_supply": 175}, drop=["emitter"], **TWO)
    assert one.severity is Severity.OUTAGE


def test_an_end_point_that_means_off_by_itself_was_said() -> None:
    control = {"setting.reset_endpoint.treatments": [{"does": "off when", "equals": 50}]}
    assert ask("reset-off-unsaid", {"settings.reset_endpoint": 50}, control=control) == "clear"


def test_a_one_number_line_of_the_wrong_order_gets_words_only() -> None:
    assert (
        remedy_of(
            "reset-anchors-equal-or-swapped",
            {"settings.reset_endpoint": 40},
            control={"control.cold_anchor": 76},
            drop_control=["setting.reset_cold_outdoor"],
        ).set
        == {}
    )


def test_an_end_point_that_the_control_caps_at_the_set_point_says_so() -> None:
    """The control keeps the line level: waste, not the cold house of a line that rises towards mild weather."""
    one = finding("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 170}, **END_CAPPED)
    assert one.severity is Severity.WASTE
    assert one.message == "reset end point 170 F is above the set point 164 F: same supply in all weathers"
    cold = {"settings.reset_endpoint": 130, "settings.heating_setpoint": 120}
    remedy = remedy_of("reset-endpoint-above-setpoint", cold, **END_CAPPED)
    assert remedy.set == {}  # no end below 120 F would do
    assert finding("reset-endpoint-above-setpoint", {"settings.reset_endpoint": 170}).severity is Severity.OUTAGE


def test_messages_say_which_side() -> None:
    warm = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": 20}, **TWO).message
    cold = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, **TWO).message
    assert "16 F warmer" in warm
    assert "24 F colder" in cold
    assert "need 158 F" in cold
    blind = finding("reset-anchor-far-from-design", {"settings.reset_cold_outdoor": -20}, drop=["emitter"], **TWO)
    assert "need" not in blind.message
    assert blind.severity is Severity.WASTE
