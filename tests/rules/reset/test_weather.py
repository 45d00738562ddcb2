# ruff: noqa: E501
"""Warm-weather shutdown and the mild end of the line at their boundaries. Margins are common practice, no source."""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.rules.base import Certainty
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from tests.rules.kit import AS_OF, TWO, ask, finding
from tests.rules.tables import Cases, boundaries, edge, remedies

CASES: Final[Cases] = [
    *edge("warm-weather-shutdown-below-balance-point", {}, "settings.warm_weather_shutdown", 59, 58.9),
    ("warm-weather-shutdown-below-balance-point", "found", {"settings.warm_weather_shutdown": 0}, {"metric": True}),
    ("warm-weather-shutdown-below-balance-point", "does not apply", {"settings.warm_weather_shutdown": "off"}, {}),
    ("warm-weather-shutdown-below-balance-point", "not checked", {}, {"drop": ["building.balance_point"]}),
    *edge("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 15},
          "building.balance_point", 16.6, 17, metric=True),
    *edge("warm-weather-shutdown-far-above-balance-point", {}, "settings.warm_weather_shutdown", 67, 67.1),
    ("warm-weather-shutdown-far-above-balance-point", "does not apply",
     {"settings.warm_weather_shutdown": 80, "emitter": [{"kind": "pool", "mixed": False}]}, {}),
    ("warm-weather-shutdown-far-above-balance-point", "not checked", {"settings.warm_weather_shutdown": 80}, {"drop": ["emitter"]}),
    # 98 + 64 x (72 - 63)/(72 - 4) = 106.5 F in use; with 74 F: 108.06 F, just above 98 + 10
    *edge("mild-end-never-used", {}, "settings.reset_warm_outdoor", 72, 74, **TWO),
    ("mild-end-never-used", "clear", {}, TWO),
    ("mild-end-never-used", "not checked", {}, {"drop": ["settings.warm_weather_shutdown"], **TWO}),
    ("mild-end-never-used", "does not apply", {"settings.reset": False, "settings.reset_warm_outdoor": 80}, TWO),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 55}, {},
     {"warm_weather_shutdown": celsius(62)}),
    ("warm-weather-shutdown-far-above-balance-point", {"settings.warm_weather_shutdown": 70}, {},
     {"warm_weather_shutdown": celsius(62)}),
])  # fmt: skip


def test_an_owner_can_set_the_margin_and_the_finding_says_so() -> None:
    owner = Context(AS_OF, thresholds={"shutdown_below_balance": kelvin(5)})
    assert (
        ask("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 57}, context=owner)
        == "clear"
    )
    one = finding("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 56}, context=owner)
    assert "owner's number: shutdown_below_balance" in one.message


def test_a_heavy_slab_is_only_asked_about_a_low_shutdown() -> None:
    changes = {"settings.warm_weather_shutdown": 55, "building.mass": "heavy"}
    assert finding("warm-weather-shutdown-below-balance-point", changes).certainty is Certainty.ASK


def test_the_load_that_is_left_can_be_checked_by_hand() -> None:
    # 88,000 Btu/h x (62 - 55)/(62 - 4) = 10,621 Btu/h
    shut = finding("warm-weather-shutdown-below-balance-point", {"settings.warm_weather_shutdown": 55})
    assert shut.numbers["load at shutdown"].value / 0.29307107 == pytest.approx(10621, abs=1)
