# ruff: noqa: E501
"""What the emitters need and may take, at its boundaries.

The kit's radiators need 158 F at 4 F outdoors by their recorded design; EN 442 gives the shape of the need. Margins are
common practice, no source.
"""

from __future__ import annotations

from typing import Final

import pytest

from settingslint.rules.base import Certainty, Severity
from settingslint.units import celsius
from tests.rules.kit import FLOOR, RADIATOR, TWO, finding
from tests.rules.tables import Cases, boundaries, edge, lacking, remedies, remedy_of

NEW: Final = {"building.new_system": True}

CASES: Final[Cases] = [
    # need 158 F, margin 3 F
    *edge("setpoint-below-emitter-need", {}, "settings.heating_setpoint", 155, 154.9),
    *edge("setpoint-below-emitter-need", {}, "settings.maximum_supply", "off", 154.9),
    ("setpoint-below-emitter-need", "clear", {"settings.heating_setpoint": 90, "emitter": [{**FLOOR, "design_supply": 93}]}, {}),
    ("setpoint-below-emitter-need", "does not apply", {"settings.heating_setpoint": 90, "emitter.0.mixed": True}, {}),
    ("setpoint-below-emitter-need", "does not apply", {"settings.heating_setpoint": 90, "settings.cascade_role": "follower"}, {}),
    *lacking("setpoint-below-emitter-need", {}, "emitter.0.design_return", "emitter", "emitter.0.mixed",
              "settings.heating_setpoint"),
    *edge("setpoint-below-emitter-need", {}, "settings.heating_setpoint", 68.4, 68.3, metric=True),
    # limit 120 F
    *edge("supply-above-emitter-limit", {"emitter": [FLOOR]}, "settings.heating_setpoint", 120, 120.1),
    ("supply-above-emitter-limit", "clear", {"emitter": [FLOOR], "settings.maximum_supply": 120}, {}),
    ("supply-above-emitter-limit", "does not apply", {"emitter": [{**FLOOR, "mixed": True}]}, {}),
    *edge("supply-above-emitter-limit", {"emitter": [FLOOR], "settings.reset_cool_supply": 80},
          "settings.reset_hot_supply", 120, 120.1, style="two points"),
    ("supply-above-emitter-limit", "found",
     {"emitter": [FLOOR], "settings.reset_hot_supply": 110, "settings.reset_cool_supply": 80, "settings.boost_step": 5,
      "settings.boost_interval": 30}, {"style": "two points"}),
    # 70 + 6 + 0.5 x (70 - coldest -8) = 115 F; by the design day alone it would be 109 F
    ("supply-above-emitter-limit", "clear", {"emitter": [{**FLOOR, "maximum_supply": 115}], "settings.reset_slope": 0.5},
     {"style": "slope and shift"}),
    ("supply-above-emitter-limit", "found", {"emitter": [{**FLOOR, "maximum_supply": 114.9}], "settings.reset_slope": 0.5},
     {"style": "slope and shift"}),
    ("supply-above-emitter-limit", "found",
     {"emitter": [FLOOR], "settings.heating_setpoint": 110, "settings.external_signal": "temperature", "settings.external_high": 120.1}, {}),
    ("supply-above-emitter-limit", "clear",
     {"emitter": [FLOOR], "settings.heating_setpoint": 190, "settings.external_signal": "temperature", "settings.external_high": 120}, {}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [FLOOR]}, {"drop": ["settings.heating_setpoint"]}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [{"kind": "heated floor", "mixed": False}]}, {}),
    ("supply-above-emitter-limit", "not checked", {"emitter": [{"kind": "heated floor", "maximum_supply": 120}]}, {}),
    ("supply-above-emitter-limit", "does not apply", {}, {"drop": ["emitter.0.maximum_supply"]}),
    *edge("supply-above-emitter-limit", {}, "emitter.0.maximum_supply", 74, 73, metric=True),
    ("one-temperature-for-unlike-emitters", "found", {"emitter": [{**FLOOR, "maximum_supply": 157.9}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "clear", {"emitter": [{**FLOOR, "maximum_supply": 158}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "does not apply", {"emitter": [{**FLOOR, "mixed": True}, RADIATOR]}, {}),
    ("one-temperature-for-unlike-emitters", "does not apply", {}, {}),
    ("one-temperature-for-unlike-emitters", "not checked", {"emitter": [FLOOR, RADIATOR]}, {"drop": ["building.indoor_design"]}),
    # 76 + 88 x (76 - 4)/(76 - 2) = 161.6 F on the design day
    *edge("new-system-above-supply-ceiling", NEW, "site.new_system_supply_ceiling", 161.7, 161.6),
    ("new-system-above-supply-ceiling", "does not apply", {"site.new_system_supply_ceiling": 131}, {}),
    ("new-system-above-supply-ceiling", "not checked", NEW, {}),
    ("new-system-above-supply-ceiling", "not checked", {}, {"drop": ["building.new_system"]}),
    ("new-system-above-supply-ceiling", "found", {**NEW, "site.new_system_supply_ceiling": 55}, {"metric": True}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("setpoint-below-emitter-need", {"settings.heating_setpoint": 150}, {}, {"heating_setpoint": celsius(158)}),
    ("setpoint-below-emitter-need", {"settings.heating_setpoint": 150, "settings.maximum_supply": 140}, {},
     {"heating_setpoint": celsius(158), "maximum_supply": celsius(158)}),
    ("supply-above-emitter-limit", {"emitter": [FLOOR]}, TWO, {"maximum_supply": celsius(120)}),
])  # fmt: skip


def test_no_ceiling_is_proposed_where_another_emitter_needs_hotter_water() -> None:
    remedy = remedy_of("supply-above-emitter-limit", {"emitter": [FLOOR, RADIATOR]})
    assert remedy.set == {}
    assert "fit a mixing valve" in remedy.text


def test_a_limit_of_one_floor_does_not_hide_a_floor_without_a_figure() -> None:
    changes = {"emitter": [FLOOR, {"kind": "heated floor", "mixed": False}]}
    assert finding("supply-above-emitter-limit", changes).severity is Severity.DAMAGE


def test_a_guessed_fact_lowers_the_certainty_and_is_named() -> None:
    changes = {"emitter": [{**FLOOR, "maximum_supply": {"value": 120, "from": "guessed"}}]}
    one = finding("supply-above-emitter-limit", changes)
    assert one.certainty is Certainty.LIKELY
    assert "emitter[0].maximum_supply" in one.message
    assert finding("supply-above-emitter-limit", {"emitter": [FLOOR]}).certainty is Certainty.PROVEN


def test_the_text_names_the_emitter_and_the_place_is_the_setting_that_makes_it_hot() -> None:
    one = finding(
        "supply-above-emitter-limit", {"emitter": [FLOOR], "settings.reset_cool_supply": 80}, style="two points"
    )
    assert "slab: at most 120 F" in one.message
    assert one.at == "reset_hot_supply"
    nameless = {key: value for key, value in FLOOR.items() if key != "name"}
    changes = {"emitter": [nameless], "settings.reset_hot_supply": 164}
    other = finding("supply-above-emitter-limit", changes, style="two points")
    assert "emitter 1: at most" in other.message
    assert other.at == "heating_setpoint"


def test_the_remedy_names_the_setting_that_makes_it_hot() -> None:
    signal = {
        "settings.external_signal": "temperature",
        "settings.external_high": 140,
        "settings.heating_setpoint": 110,
    }
    remedy = remedy_of("supply-above-emitter-limit", {"emitter": [FLOOR], **signal})
    assert remedy.set == pytest.approx({"external_high": celsius(120)})
    plain = finding("supply-above-emitter-limit", {"emitter": [FLOOR]}, drop_control=["setting.maximum_supply"]).remedy
    assert plain is not None
    assert plain.set == pytest.approx({"heating_setpoint": celsius(120)})
    control = {"setting.maximum_supply.range": {"low": 130, "high": 190}}
    none = finding("supply-above-emitter-limit", {"emitter": [FLOOR]}, control=control).remedy
    assert none is not None
    assert none.set == {}
    assert "another emitter" not in none.text


def test_what_is_short_can_be_checked_by_hand() -> None:
    short = finding("setpoint-below-emitter-need", {"settings.heating_setpoint": 150}).numbers
    assert short["short"].value * 1.8 == pytest.approx(8.0)
