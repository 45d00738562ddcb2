# ruff: noqa: E501
"""The line beside the need at its boundaries, with lines and shortfalls recomputed by hand in degrees Fahrenheit.

The kit's radiators need 158 F at 4 F, 120.8 F at 33 F and 70 F at 62 F: room 70 F, mean excess 78 F x share^(1/1.3)
(EN 442), drop 20 F x share. Margins are common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest

from settingslint.physics.weather import Hours
from settingslint.rules.base import Severity
from settingslint.rules.plant import Context
from settingslint.units import celsius, kelvin
from tests.rules.kit import AS_OF, FLOOR, SLOPE, TWO, ask, finding
from tests.rules.tables import Cases, boundaries, edge, places, remedies, remedy_of

BOOST: Final = {"settings.boost_step": 5, "settings.boost_interval": 90}
FOREIGN: Final = {"settings.reset_slope": 1.2, "settings.reset_shift": 9}

CASES: Final[Cases] = [
    *edge("reset-line-below-emitter-need", {}, "settings.reset_endpoint", 68, 67),
    # 155.1 F with 3 F more covers the need of 158 F on the design day; the mild half is far above
    *edge("reset-line-below-emitter-need", {"settings.reset_cool_supply": 110},
          "settings.reset_hot_supply", 155.1, 154.9, **TWO),
    # what the set point can't give is left to the set point's rule
    ("reset-line-below-emitter-need", "clear",
     {"settings.reset_hot_supply": 150, "settings.heating_setpoint": 150, "settings.reset_cool_supply": 130}, TWO),
    ("reset-line-below-emitter-need", "found", {"settings.reset_shift": 0}, SLOPE),
    ("reset-line-below-emitter-need", "does not apply", {"settings.reset": False}, {}),
    ("reset-line-below-emitter-need", "does not apply", {"settings.external_signal": "temperature"}, {}),
    ("reset-line-below-emitter-need", "does not apply", {"emitter.0.mixed": True}, {}),
    ("reset-line-below-emitter-need", "not checked", {}, {"drop": ["building.balance_point"]}),
    ("reset-line-below-emitter-need", "not checked", {"building.balance_point": 3}, {}),
    ("reset-line-below-emitter-need", "not checked", {"settings.reset_cold_outdoor": 70}, TWO),
    *edge("reset-line-below-emitter-need", {"settings.reset_cool_supply": 45},
          "settings.reset_hot_supply", 69, 66, metric=True, **TWO),
    *edge("reset-line-far-above-need", {}, "settings.reset_cool_supply", 106, 108, **TWO),
    ("reset-line-far-above-need", "does not apply", {"settings.reset_cool_supply": 125, "boiler.condensing": False}, TWO),
    ("reset-line-far-above-need", "does not apply", {"settings.reset": False}, {}),
    ("reset-line-far-above-need", "not checked", {"settings.reset_cool_supply": 125}, {"drop": ["gas.fuel"], **TWO}),
    # the floor's own surplus belongs to the rule about the floor
    ("reset-line-far-above-need", "clear", {"settings.minimum_supply": 160}, TWO),
    *edge("reset-line-far-above-need", {}, "settings.reset_cool_supply", 40, 52, metric=True, **TWO),
    *edge("minimum-supply-above-cool-end", {}, "settings.minimum_supply", 98, 98.1, **TWO),
    ("minimum-supply-above-cool-end", "does not apply", {}, TWO),
    ("minimum-supply-above-cool-end", "does not apply", {"settings.minimum_supply": 120}, {}),
    ("minimum-supply-above-cool-end", "not checked", {"settings.minimum_supply": 120}, {"drop": ["settings.reset_cool_supply"], **TWO}),
    *edge("minimum-supply-above-cool-end", {}, "settings.minimum_supply", 36, 37, metric=True, **TWO),
    # 70 + 9 + 1.2 x 66 = 158.2 F against 161.6 F; at 33 F 123.4 against 127.1 F; at 62 F 88.6 against 92.65 F
    ("two-reset-lines-recorded", "clear", FOREIGN, {}),
    *edge("two-reset-lines-recorded", FOREIGN, "settings.reset_shift", 8.1, 8.0),
    ("two-reset-lines-recorded", "found", {"settings.reset_endpoint": 120}, SLOPE),
    ("two-reset-lines-recorded", "found",
     {"settings.reset_hot_supply": 140, "settings.reset_cool_supply": 90, "settings.reset_warm_outdoor": 60, "settings.reset_cold_outdoor": 4}, SLOPE),
    ("two-reset-lines-recorded", "does not apply", {}, {}),
    ("two-reset-lines-recorded", "not checked", FOREIGN, {"drop": ["site.design_outdoor"]}),
    ("two-reset-lines-recorded", "found", {"settings.reset_slope": 0.8}, {"metric": True}),
    ("several-shifts-at-once", "found", {**BOOST, "settings.outdoor_correction": 1}, {}),
    ("several-shifts-at-once", "clear", BOOST, {}),
    ("several-shifts-at-once", "found", {**BOOST, "settings.room_influence": 20, "accessories.room_unit": True}, {}),
    ("several-shifts-at-once", "clear", {**BOOST, "settings.room_influence": 20}, {}),
    ("several-shifts-at-once", "does not apply", {**BOOST, "settings.outdoor_correction": 1, "settings.reset": False}, {}),
    ("several-shifts-at-once", "not checked", BOOST, {"drop": ["settings.heating_setpoint"]}),
    # line at 33 F: 127.1 F; 36.9 F to the set point: 3 steps of 15 F, 4 of 12 F
    *edge("boost-defeats-reset", {"settings.boost_step": 15}, "settings.boost_interval", 21, 20),
    ("boost-defeats-reset", "clear", {"settings.boost_step": 12, "settings.boost_interval": 20}, {}),
    ("boost-defeats-reset", "does not apply", {}, {"drop": ["emitter"]}),
    ("boost-defeats-reset", "not checked", {"settings.boost_step": 15}, {}),
    ("boost-defeats-reset", "found", {"settings.boost_step": 8, "settings.boost_interval": 20}, {"metric": True}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("reset-line-below-emitter-need", {"settings.reset_shift": 0}, SLOPE, {"reset_shift": kelvin(4)}),
    ("reset-line-below-emitter-need", {"settings.reset_endpoint": 66}, {}, {"reset_endpoint": celsius(70)}),
    ("reset-line-far-above-need", {"settings.reset_shift": 20, "settings.heating_setpoint": 180}, SLOPE,
     {"reset_shift": kelvin(4)}),
    ("minimum-supply-above-cool-end", {"settings.minimum_supply": 110}, TWO, {"minimum_supply": celsius(98)}),
    ("minimum-supply-above-cool-end", {"settings.minimum_supply": 110, "boiler.condensing": False}, TWO,
     {"reset_cool_supply": celsius(110)}),
    ("boost-defeats-reset", {"settings.boost_step": 15, "settings.boost_interval": 20}, {},
     {"boost_interval": 25 * 60.0}),
])  # fmt: skip
test_how_bad_and_where = places([
    ("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, TWO, Severity.OUTAGE, "reset_hot_supply"),
    ("reset-line-below-emitter-need", {"settings.reset_cool_supply": 70}, TWO, Severity.WASTE, "reset_cool_supply"),
    ("reset-line-below-emitter-need", {"settings.reset_shift": 0}, SLOPE, Severity.WASTE, "reset_shift"),
])  # fmt: skip


def test_hours_of_a_weather_file_count() -> None:
    warm_year = Context(AS_OF, hours=Hours(((-5.0, 10), (14.0, 5000))))
    cold_year = Context(AS_OF, hours=Hours(((-15.0, 5000), (14.0, 10))))
    changes = {"settings.reset_cool_supply": 106}
    assert ask("reset-line-far-above-need", changes, context=warm_year, **TWO) == "found"
    assert ask("reset-line-far-above-need", changes, context=cold_year, **TWO) == "clear"
    short = finding("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, context=cold_year, **TWO)
    assert short.numbers["in a year"].value == 5000


def test_where_a_minimum_begins_to_hold_the_line_up() -> None:
    # 4 + (162 - 110)/(162 - 98) x 58 = 51.125 F; a minimum above the hot end holds it up from the cold end on
    one = finding("minimum-supply-above-cool-end", {"settings.minimum_supply": 110}, **TWO)
    assert one.numbers["flat from"].value == pytest.approx(celsius(51.125), abs=1e-3)
    whole = finding("minimum-supply-above-cool-end", {"settings.minimum_supply": 163}, **TWO)
    assert whole.numbers["flat from"].value == pytest.approx(celsius(4))


def test_what_boost_makes_of_the_line() -> None:
    # 76 + 88 x (76 - 33)/74 = 127.1 F; three steps of 15 F, 20 min each
    one = finding("boost-defeats-reset", {"settings.boost_step": 15, "settings.boost_interval": 20})
    assert one.numbers["supply"].value == pytest.approx(celsius(127.135), abs=1e-3)
    assert one.numbers["after"].value == 3600.0


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        # 48 F: 125 + 37 x 14/58 = 133.9 F, less 20 x 0.241 = 129.1 F; 20 F: need 138.1 F + 5 F - 14.5 F = 128.6 F
        ({"settings.reset_cool_supply": 125}, "condenses only above 48 F outdoors"),
        ({"settings.reset_hot_supply": 163, "settings.reset_cool_supply": 140}, "condenses at no time"),
    ],
)
def test_what_a_line_above_the_need_costs_in_condensing(changes: dict[str, Any], text: str) -> None:
    one = finding("reset-line-far-above-need", changes, **TWO)
    assert text in one.message
    assert one.numbers["could condense above"].value == pytest.approx(celsius(20), abs=0.5)


def test_no_gain_is_promised_where_none_is() -> None:
    floor = {**FLOOR, "design_supply": 104, "design_return": 90, "maximum_supply": 140}
    changes = {"emitter": [floor], "settings.reset_hot_supply": 125, "settings.reset_cool_supply": 110}
    one = finding("reset-line-far-above-need", changes, **TWO)
    assert "condenses" not in one.message
    assert "could condense above" not in one.numbers


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"settings.reset_hot_supply": 140}, "raise it for hard weather"),
        ({"settings.reset_cool_supply": 70}, "raise it for mild weather"),
        ({"settings.reset_hot_supply": 140, "settings.reset_cool_supply": 60}, "raise the whole line"),
    ],
)
def test_the_advice_follows_where_it_is_cold(changes: dict[str, Any], text: str) -> None:
    remedy = remedy_of("reset-line-below-emitter-need", changes, **TWO)
    assert text in remedy.text


def test_hours_are_those_whose_middle_lies_in_the_band() -> None:
    # short from 4 F (-15.6 C) to 30 F (-1.1 C)
    hours = Hours(((-17.0, 1), (-16.0, 20), (-2.0, 300), (-1.0, 4000)))
    one = finding(
        "reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, context=Context(AS_OF, hours=hours), **TWO
    )
    assert one.numbers["in a year"].value == 320


def test_two_lines_are_compared_half_way_too() -> None:
    # at 4 F both are held at the cap, at 62 F both give 92.6 F; at 33 F 70 + 6.65 + 2 x 37 = 150.7 F against 127.1 F
    one = finding("two-reset-lines-recorded", {"settings.reset_slope": 2.0, "settings.reset_shift": 6.65})
    assert one.numbers["outdoors"].value == pytest.approx(celsius(33))
    assert one.numbers["other line"].value == pytest.approx(celsius(150.65))


def test_a_shortfall_can_be_checked_by_hand() -> None:
    # at 4 F: 98 + (140 - 98) = 140 F against 158 F
    short = finding("reset-line-below-emitter-need", {"settings.reset_hot_supply": 140}, **TWO)
    assert short.numbers["short"].value == pytest.approx(kelvin(18))
    assert short.numbers["at outdoors"].value == pytest.approx(celsius(4))
