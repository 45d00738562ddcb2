# ruff: noqa: E501
"""Return temperatures and condensing, at their boundaries.

The kit's radiators need 158 F at 4 F outdoors by their recorded design; EN 442 gives the shape of the need. Margins are
common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.units import celsius
from tests.rules.kit import RADIATOR, finding
from tests.rules.tables import Cases, boundaries, edge, lacking, remedies, remedy_of

COIL: Final[dict[str, Any]] = {**RADIATOR, "kind": "air coil"}
OFF_RETURN: Final = {"boiler.condensing": False, "settings.minimum_return": "off", "piping.return_protection": False}

CASES: Final[Cases] = [
    # coldest return = supply - 20 F, against a dew point of 129.1 F at 8.9 % CO2 and 600 ft
    *edge("hot-fixed-supply-on-condensing-boiler", {"settings.reset": False}, "settings.heating_setpoint", 149, 150),
    ("hot-fixed-supply-on-condensing-boiler", "clear",
     {"settings.reset": False, "settings.heating_setpoint": 150, "settings.heating_target_difference": 21}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "emitter": [COIL]}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "boiler.tankless_coil": True}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False, "boiler.condensing": False}, {}),
    ("hot-fixed-supply-on-condensing-boiler", "does not apply", {"settings.reset": False}, {"control": {"control.shared_target": True}}),
    *lacking("hot-fixed-supply-on-condensing-boiler", {"settings.reset": False}, "gas.fuel", "boiler.condensing"),
    *edge("hot-fixed-supply-on-condensing-boiler", {"settings.reset": False},
          "settings.heating_setpoint", 65, 66, metric=True),
    # minimum return against the dew point of 129.1 F (53.94 C)
    *edge("noncondensing-return-below-dew-point", OFF_RETURN, "settings.minimum_return", 130, 129),
    ("noncondensing-return-below-dew-point", "found", OFF_RETURN, {}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "piping.return_protection": True}, {}),
    ("noncondensing-return-below-dew-point", "clear", {**OFF_RETURN, "settings.reset": False}, {}),
    # a floor of dew point + 20 F drop keeps the return warm at every load
    *edge("noncondensing-return-below-dew-point", OFF_RETURN, "settings.minimum_supply", 150, 140),
    ("noncondensing-return-below-dew-point", "not checked", {**OFF_RETURN}, {"drop": ["building.balance_point"]}),
    ("noncondensing-return-below-dew-point", "does not apply", {"settings.minimum_return": "off"}, {}),
    *edge("noncondensing-return-below-dew-point", OFF_RETURN, "settings.minimum_return", 54, 53.9, metric=True),
    # middle of 4 to 62 F is 33 F: need 120.8 F there, with 10 F more 130.8 F
    *edge("minimum-supply-above-mild-need", {}, "settings.minimum_supply", 130, 132),
    ("minimum-supply-above-mild-need", "does not apply", {"settings.minimum_supply": 132, "hot_water.kind": "plate"}, {}),
    ("minimum-supply-above-mild-need", "does not apply", {"settings.minimum_supply": 150, "boiler.condensing": False}, {}),
    ("minimum-supply-above-mild-need", "does not apply", {}, {}),
    ("minimum-supply-above-mild-need", "clear", {"settings.minimum_supply": 150, "settings.reset": False}, {}),
    ("minimum-supply-above-mild-need", "not checked", {"settings.minimum_supply": 150}, {"drop": ["hot_water.kind"]}),
    *edge("minimum-supply-above-mild-need", {}, "settings.minimum_supply", 54, 56, metric=True),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("hot-fixed-supply-on-condensing-boiler", {"settings.reset": False}, {}, {"reset": True}),
    ("noncondensing-return-below-dew-point", OFF_RETURN, {}, {"minimum_return": celsius(130)}),
    ("minimum-supply-above-mild-need", {"settings.minimum_supply": 150}, {}, {"minimum_supply": celsius(130)}),
])  # fmt: skip


def test_the_noncondensing_boiler_without_a_minimum_return_gets_a_supply_floor() -> None:
    one = finding("noncondensing-return-below-dew-point", OFF_RETURN, drop_control=["setting.minimum_return"])
    assert one.remedy is not None
    # 129.1 F dew point + 20 F drop on the design day
    assert one.remedy.set == pytest.approx({"minimum_supply": celsius(150)})
    assert one.remedy.verified is True


def test_reset_is_switched_on_only_where_a_sensor_is_fitted() -> None:
    changes = {"settings.reset": False, "accessories.outdoor_sensor": False}
    assert remedy_of("hot-fixed-supply-on-condensing-boiler", changes).set == {}


def test_where_the_return_gets_too_cold_and_at_which_setting() -> None:
    # 19 F: 76 + 88 x 57/74 = 143.8 F, less 20 x 0.741 = 129.0 F; the dew point is 129.1 F at 8.9 % CO2 and 600 ft
    one = finding("noncondensing-return-below-dew-point", OFF_RETURN)
    assert one.at == "minimum_return"
    assert one.numbers["from outdoors"].value == pytest.approx(celsius(19), abs=0.5)
    bare = finding("noncondensing-return-below-dew-point", OFF_RETURN, drop_control=["setting.minimum_return"])
    assert bare.at == "heating_setpoint"


def test_from_where_a_floor_holds_the_supply_above_the_need() -> None:
    # need + 10 F = 150 F at 18.4 F outdoors: share 0.752, 70 + 62.6 + 7.5 = 140.1 F; 43.6 F of 58 F are warmer
    one = finding("minimum-supply-above-mild-need", {"settings.minimum_supply": 150})
    assert one.numbers["from outdoors"].value == pytest.approx(celsius(18.6), abs=0.5)
    assert one.numbers["share"].value == pytest.approx(43.5 / 58, abs=0.02)
