# ruff: noqa: E501
"""Limits beside what parts may take, at their boundaries.

Boiling points: CoolProp. The water column: 1 psi for 2.31 ft (from memory), 22 ft are 9.5 psi. Automatic against manual
reset: ASME CSD-1 (from memory). Other margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius, kelvin
from tests.rules.kit import METRIC, PROFILE, ask, finding, make_plant
from tests.rules.tables import Cases, Declared, Owners, boundaries, declared, edge, owners_numbers

NO_CUTOUT: Final[dict[str, Any]] = {
    "drop": ["settings.low_pressure_cutout"],
    "drop_control": ["setting.low_pressure_cutout"],
}

CASES: Final[Cases] = [
    *edge("high-limit-above-rating", {}, "boiler.lowest_rated_part", 206, 205.9),
    ("high-limit-above-rating", "not checked", {}, {"drop": ["boiler.lowest_rated_part"]}),
    ("high-limit-above-rating", "not checked", {"boiler.lowest_rated_part": 180}, {"drop": ["settings.high_limit"]}),
    *edge("high-limit-above-rating", {"boiler.lowest_rated_part": 95}, "settings.high_limit", 95, 95.1, **METRIC),
    # 10 psi + the air at 600 ft: water boils at 238.6 F, and 10 F less are 228.6 F
    *edge("high-limit-near-boiling", {}, "settings.high_limit", 228, 229),
    # sea level, 0 psi: 211.95 F (CoolProp)
    *edge("high-limit-near-boiling", {"settings.low_pressure_cutout": "off", "site.elevation": 0},
          "settings.high_limit", 201.9, 202),
    ("high-limit-near-boiling", "does not apply", {}, NO_CUTOUT),
    *[("high-limit-near-boiling", "not checked", {}, {"drop": [name]})
      for name in ("settings.high_limit", "settings.low_pressure_cutout", "site.elevation")],
    # 1 bar at sea level: 120.42 C, less 5.56 K
    *edge("high-limit-near-boiling", {"settings.low_pressure_cutout": 1, "site.elevation": 0},
          "settings.high_limit", 114.8, 114.9, **METRIC),
    ("high-limit-resets-by-itself", "found", {"settings.high_limit_reset": "automatic"}, {}),
    ("high-limit-resets-by-itself", "clear", {}, {}),
    ("high-limit-resets-by-itself", "does not apply", {"settings.high_limit_reset": "automatic", "site.manual_reset_required": False}, {}),
    ("high-limit-resets-by-itself", "not checked", {"settings.high_limit_reset": "automatic"}, {"drop": ["site.manual_reset_required"]}),
    ("high-limit-resets-by-itself", "not checked", {}, {"drop": ["settings.high_limit_reset"]}),
    *edge("flue-limit-above-vent-rating", {}, "vent.rating", 205, 204.9),
    # the listing governs, not what the material usually is listed for
    ("flue-limit-above-vent-rating", "clear", {"vent.rating": 205, "vent.material": "pvc"}, {}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 149.1, "vent.material": "pvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 149, "vent.material": "pvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 194.1, "vent.material": "cpvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 194, "vent.material": "cpvc"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "found", {"settings.flue_limit": 230.1}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 230}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 400, "vent.material": "stainless steel"}, {"drop": ["vent.rating"]}),
    ("flue-limit-above-vent-rating", "not checked", {"settings.flue_limit": 400}, {"drop": ["vent.rating", "vent.material"]}),
    ("flue-limit-above-vent-rating", "not checked", {}, {"drop": ["settings.flue_limit"]}),
    *edge("flue-limit-above-vent-rating", {"vent.rating": 90}, "settings.flue_limit", 90, 90.1, **METRIC),
    *edge("difference-limit-off-or-wide", {}, "settings.difference_limit", 44, 44.1),
    ("difference-limit-off-or-wide", "found", {"settings.difference_limit": "off"}, {}),
    ("difference-limit-off-or-wide", "not checked", {}, {"drop": ["settings.difference_limit"]}),
    ("difference-limit-off-or-wide", "not checked", {"settings.difference_limit": 90}, {"drop": ["boiler.maximum_difference"]}),
    *edge("difference-limit-off-or-wide", {"boiler.maximum_difference": 25},
          "settings.difference_limit", 25, 25.1, **METRIC),
    # 22 ft of water: 9.54 psi
    *edge("low-pressure-cut-out-too-low", {}, "settings.low_pressure_cutout", 9.54, 9.53),
    *edge("low-pressure-cut-out-too-low", {"water.static_height": 8}, "settings.low_pressure_cutout", 5, 4.99),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": 4.99}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "found", {"settings.low_pressure_cutout": "off"}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "not checked", {"settings.low_pressure_cutout": 5}, {"drop": ["water.static_height"]}),
    ("low-pressure-cut-out-too-low", "not checked", {}, {"drop": ["settings.low_pressure_cutout"]}),
    ("low-pressure-cut-out-too-low", "does not apply", {}, NO_CUTOUT),
    # 8 m of water: 0.784532 bar
    ("low-pressure-cut-out-too-low", "clear", {"settings.low_pressure_cutout": 0.784532, "water.static_height": 8}, METRIC),
    *edge("low-pressure-cut-out-too-low", {"water.static_height": 8},
          "settings.low_pressure_cutout", 0.79, 0.78, **METRIC),
    # 0.9 x 30 psi; at it the alarm is late already
    *edge("pressure-alarm-near-relief", {}, "settings.high_pressure_alarm", 26.99, 27),
    ("pressure-alarm-near-relief", "found", {"settings.high_pressure_alarm": 31}, {}),
    ("pressure-alarm-near-relief", "not checked", {}, {"drop": ["settings.high_pressure_alarm"]}),
    ("pressure-alarm-near-relief", "not checked", {"settings.high_pressure_alarm": 31}, {"drop": ["water.relief_pressure"]}),
    *edge("pressure-alarm-near-relief", {"water.relief_pressure": 3},
          "settings.high_pressure_alarm", 2.69, 2.7, **METRIC),
]  # fmt: skip
test_boundaries = boundaries(CASES)

DECLARED: Final[Declared] = [
    ("high-limit-above-rating", Severity.DANGER, Certainty.PROVEN, {"limit"}),
    ("high-limit-near-boiling", Severity.DANGER, Certainty.LIKELY, {"limit"}),
    ("high-limit-resets-by-itself", Severity.DANGER, Certainty.PROVEN, {"limit", "law"}),
    ("flue-limit-above-vent-rating", Severity.DANGER, Certainty.PROVEN, {"limit", "firing"}),
    ("difference-limit-off-or-wide", Severity.DAMAGE, Certainty.LIKELY, {"limit", "pump"}),
    ("low-pressure-cut-out-too-low", Severity.DAMAGE, Certainty.PROVEN, {"limit"}),
    ("pressure-alarm-near-relief", Severity.OUTAGE, Certainty.PROVEN, {"limit"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


@pytest.mark.parametrize(
    ("elevation", "cutout", "changes"),
    [
        (0.0, 0.0, {"site.elevation": 0, "settings.low_pressure_cutout": "off", "settings.high_limit": 220}),
        (1609.344, 68947.57, {"site.elevation": 5280, "settings.high_limit": 230}),
    ],
)
def test_boiling_points_are_coolprops(elevation: float, cutout: float, changes: dict[str, Any]) -> None:
    air = 101325 * (1 - 2.25577e-5 * elevation) ** 5.25588  # ISO 2533
    boils = PropsSI("T", "P", air + cutout, "Q", 0, "Water") - 273.15
    one = finding("high-limit-near-boiling", changes)
    assert one.numbers["boils at"].value == pytest.approx(boils, abs=0.02)
    assert one.certainty is Certainty.LIKELY
    assert one.severity is Severity.DANGER


def test_just_the_margin_to_boiling_will_do() -> None:
    boils = finding("high-limit-near-boiling", {"settings.high_limit": 125}, metric=True).numbers["boils at"].value
    assert ask("high-limit-near-boiling", {"settings.high_limit": boils - kelvin(10)}, metric=True) == "clear"


def test_a_water_column_is_the_height_in_feet_by_2_31() -> None:
    one = finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": 6, "water.static_height": 25})
    assert one.numbers["water column"].value / 6894.757 == pytest.approx(25 / 2.31, rel=0.002)
    assert "low-pressure cut-out 6 psi, the water column alone gives 10.8 psi" in one.message
    low = finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": 4})
    assert "protects nothing" in low.message
    dry = audit(make_plant({"settings.low_pressure_cutout": 4}), by_group()["limits"]).findings
    assert [one.rule for one in dry] == ["low-pressure-cut-out-too-low"]
    assert "fire dry" in finding("low-pressure-cut-out-too-low", {"settings.low_pressure_cutout": "off"}).message


def test_the_listing_proves_and_the_material_makes_likely() -> None:
    listed = finding("flue-limit-above-vent-rating", {"vent.rating": 190})
    assert listed.certainty is Certainty.PROVEN
    assert "flue limit 205 F, the vent is listed for 190 F" in listed.message
    usual = finding("flue-limit-above-vent-rating", {"vent.material": "pvc"}, drop=["vent.rating"])
    assert usual.certainty is Certainty.LIKELY
    assert "a vent of pvc is usually listed for 149 F" in usual.message
    assert "assumes the vent is listed as its material usually is" in usual.message
    assert usual.numbers["vent rating"].value == pytest.approx(celsius(149))


def test_the_kit_stands_clear_of_every_limit() -> None:
    assert PROFILE["boiler"]["lowest_rated_part"] == 240
    assert audit(make_plant(), by_group()["limits"]).findings == ()


OWNERS: Final[Owners] = [
    ("high-limit-near-boiling", {}, {}, "boiling_margin", kelvin(40)),
    ("low-pressure-cut-out-too-low", {}, {}, "low_pressure_minimum", 70000.0),
]
test_an_owner_sets_the_numbers_of_habit = owners_numbers(OWNERS)
