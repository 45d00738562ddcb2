# ruff: noqa: E501
"""Flow through the boiler at its boundaries.

High fire while heating: 118,000 Btu/h x 0.92 x 0.9 = 97,704 Btu/h = 28,634 W. Water at 60 C takes 4113 J/(L K)
(IAPWS density, specific heat of CoolProp), so 44 F need 28,634/(4113 x 24.44) = 0.2848 L/s = 4.51 gpm. Thresholds are
common practice, no source.
"""

from __future__ import annotations

from typing import Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import kelvin
from tests.rules.kit import AS_OF, METRIC, ask, finding
from tests.rules.tables import (
    Cases,
    Declared,
    boundaries,
    declared,
    edge,
    lacking,
    remedies,
    remedy_of,
    unable,
)

BY_DIFFERENCE: Final = {"settings.pump_control": "temperature difference"}
GLYCOL: Final = {
    **BY_DIFFERENCE, "water.fluid": "propylene glycol", "water.glycol_percent": 50, "water.glycol_by": "mass",
}  # fmt: skip
SYSTEM: Final = {"settings.control_sensor": "system", "piping.system_pump_interlocked": False}

CASES: Final[Cases] = [
    *edge("flow-below-boilers-minimum", {}, "piping.flow_at_minimum_speed", 3.2, 3.19),
    *lacking("flow-below-boilers-minimum", {}, "piping.flow_at_minimum_speed", "boiler.minimum_flow"),
    # 3.2 gpm = 0.2019 L/s
    *edge("flow-below-boilers-minimum", {}, "piping.flow_at_minimum_speed", 0.2019, 0.2018, **METRIC),
    *edge("high-fire-needs-more-flow", BY_DIFFERENCE, "piping.flow_at_minimum_speed", 4.52, 4.51),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "constant pressure", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "proportional pressure", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "self-adapting", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "does not apply", {"piping.flow_at_minimum_speed": 4}, {}),
    # full fire: 31,816 W, 5.02 gpm
    *edge("high-fire-needs-more-flow", {**BY_DIFFERENCE, "settings.heating_maximum_rate": 100},
          "piping.flow_at_minimum_speed", 5.03, 5.01),
    # half propylene glycol by mass: 1.105 x 4.514 = 4.988 gpm (CoolProp)
    *edge("high-fire-needs-more-flow", GLYCOL, "piping.flow_at_minimum_speed", 5.0, 4.97),
    ("high-fire-needs-more-flow", "not checked", GLYCOL, {"drop": ["piping.flow_at_minimum_speed"]}),
    ("high-fire-needs-more-flow", "not checked", {**BY_DIFFERENCE, "water.fluid": "ethylene glycol", "water.glycol_by": "mass"}, {}),
    ("high-fire-needs-more-flow", "not checked", {**BY_DIFFERENCE, "water.fluid": "ethylene glycol", "water.glycol_percent": 20}, {}),
    *[("high-fire-needs-more-flow", "not checked", BY_DIFFERENCE, {"drop": [name]})
      for name in ("piping.flow_at_minimum_speed", "boiler.maximum_difference", "boiler.efficiency", "boiler.input_maximum",
                   "water.fluid", "settings.heating_maximum_rate")],
    ("high-fire-needs-more-flow", "not checked", {}, {"drop": ["settings.pump_control"]}),
    *edge("high-fire-needs-more-flow", BY_DIFFERENCE, "piping.flow_at_minimum_speed", 0.285, 0.284, **METRIC),
    # the radiators give 20 F, 10 F off is still near
    *edge("target-difference-out-of-reach", {}, "settings.heating_target_difference", 30, 30.1),
    *edge("target-difference-out-of-reach", {}, "settings.heating_target_difference", 10, 9.9),
    ("target-difference-out-of-reach", "does not apply", {"settings.heating_target_difference": 40, "emitter.0.mixed": True}, {}),
    *lacking("target-difference-out-of-reach", {}, "settings.heating_target_difference", "emitter",
              "emitter.0.design_return"),
    # 20 F are 11.11 K, 10 F 5.56 K: 16.67 K
    *edge("target-difference-out-of-reach", {}, "settings.heating_target_difference", 16.6, 16.7, **METRIC),
    ("pump-adapts-against-the-control", "found", {"settings.pump_control": "self-adapting"}, {}),
    ("pump-adapts-against-the-control", "does not apply", BY_DIFFERENCE, {}),
    ("pump-adapts-against-the-control", "does not apply", {"settings.pump_control": "self-adapting"},
     {"drop": ["settings.heating_target_difference"], "drop_control": ["setting.heating_target_difference"]}),
    ("pump-adapts-against-the-control", "not checked", {"settings.pump_control": "self-adapting"}, {"drop": ["settings.heating_target_difference"]}),
    ("pump-adapts-against-the-control", "not checked", {}, {"drop": ["settings.pump_control"]}),
    ("control-sensor-without-flow", "found", SYSTEM, {}),
    ("control-sensor-without-flow", "found", SYSTEM, {"drop": ["accessories.system_sensor"]}),
    ("control-sensor-without-flow", "clear", {**SYSTEM, "piping.system_pump_interlocked": True}, {}),
    ("control-sensor-without-flow", "found", {**SYSTEM, "piping.system_pump_interlocked": True, "accessories.system_sensor": False}, {}),
    ("control-sensor-without-flow", "found", {"settings.control_sensor": "system", "accessories.system_sensor": False}, {"drop": ["piping.system_pump_interlocked"]}),
    ("control-sensor-without-flow", "does not apply", {"piping.system_pump_interlocked": False}, {}),
    ("control-sensor-without-flow", "does not apply", {**SYSTEM, "settings.control_sensor": "return"}, {}),
    ("control-sensor-without-flow", "not checked", {"settings.control_sensor": "system"}, {"drop": ["piping.system_pump_interlocked"]}),
    ("control-sensor-without-flow", "not checked", {"piping.system_pump_interlocked": False}, {"drop": ["settings.control_sensor"]}),
]  # fmt: skip
test_boundaries = boundaries(CASES)

test_remedies = remedies([
    ("target-difference-out-of-reach", {"settings.heating_target_difference": 40}, {},
     {"heating_target_difference": kelvin(20)}),
    ("target-difference-out-of-reach", {"settings.heating_target_difference": 3}, METRIC,
     {"heating_target_difference": 12.0}),
])  # fmt: skip
test_where_the_control_can_t_help_nothing_is_proposed = unable([
    ("target-difference-out-of-reach", {"settings.heating_target_difference": 40},
     {"setting.heating_target_difference.range": {"low": 31, "high": 50}}, "can't"),
    ("target-difference-out-of-reach", {"settings.heating_target_difference": 5},
     {"setting.heating_target_difference.range": {"low": 2, "high": 19}}, "can't"),
])  # fmt: skip
DECLARED: Final[Declared] = [
    ("flow-below-boilers-minimum", Severity.DAMAGE, Certainty.LIKELY, {"pump"}),
    ("high-fire-needs-more-flow", Severity.DAMAGE, Certainty.LIKELY, {"pump"}),
    ("target-difference-out-of-reach", Severity.WASTE, Certainty.PROVEN, {"pump"}),
    ("pump-adapts-against-the-control", Severity.WASTE, Certainty.ASK, {"pump"}),
    ("control-sensor-without-flow", Severity.DAMAGE, Certainty.LIKELY, {"pump", "limit"}),
]  # fmt: skip
test_how_bad_and_how_sure = declared(DECLARED)


def test_a_target_near_enough_is_proposed_where_the_control_goes_no_lower() -> None:
    control = {"setting.heating_target_difference.range": {"low": 30, "high": 50}}
    remedy = remedy_of("target-difference-out-of-reach", {"settings.heating_target_difference": 40}, control=control)
    assert remedy.set == pytest.approx({"heating_target_difference": kelvin(30)})
    assert remedy.verified is True


def test_a_missing_system_sensor_is_proven_and_the_supply_sensor_is_the_fix() -> None:
    one = finding("control-sensor-without-flow", {**SYSTEM, "accessories.system_sensor": False})
    assert (one.severity, one.certainty) == (Severity.OUTAGE, Certainty.PROVEN)
    assert "none is fitted" in one.message
    assert one.remedy is not None
    assert one.remedy.set == {"control_sensor": "supply"}
    assert one.remedy.verified is True
    still = finding("control-sensor-without-flow", SYSTEM)
    assert (still.severity, still.certainty) == (Severity.DAMAGE, Certainty.LIKELY)
    assert "without the system pump" in still.message


def test_flow_needed_at_high_fire_is_the_trade_s_rule_of_thumb() -> None:
    # gpm = Btu/h / (500 dF), good within 3 % (common practice, no source): 97,704/(500 x 44) = 4.44 gpm
    one = finding("high-fire-needs-more-flow", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 4})
    gpm = one.numbers["needed"].value / 3.785411784 * 60
    assert gpm == pytest.approx(97704 / (500 * 44), rel=0.03)
    assert "needs 4.5 gpm" in one.message
    assert "lowest pump speed gives 4 gpm" in one.message


def test_just_the_flow_that_is_needed_will_do() -> None:
    short = {"settings.pump_control": "temperature difference", "piping.flow_at_minimum_speed": 0.2}
    needed = finding("high-fire-needs-more-flow", short, metric=True).numbers["needed"].value
    assert ask("high-fire-needs-more-flow", {**short, "piping.flow_at_minimum_speed": needed}, metric=True) == "clear"


@pytest.mark.parametrize(("fluid", "code"), [("propylene glycol", "MPG"), ("ethylene glycol", "MEG")])
def test_glycol_needs_more_flow_for_the_same_heat(fluid: str, code: str) -> None:
    def heat(name: str) -> float:
        return float(PropsSI("D", "T", 333.15, "P", 2e5, name) * PropsSI("C", "T", 333.15, "P", 2e5, name))

    low = {**GLYCOL, "piping.flow_at_minimum_speed": 3, "water.fluid": fluid, "water.glycol_percent": 30}
    water = finding("high-fire-needs-more-flow", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 3})
    mixture = finding("high-fire-needs-more-flow", low)
    more = mixture.numbers["needed"].value / water.numbers["needed"].value
    assert more == pytest.approx(heat("Water") / heat(f"INCOMP::{code}[0.3]"), abs=0.004)
    by_volume = finding("high-fire-needs-more-flow", {**low, "water.glycol_by": "volume"})
    assert by_volume.numbers["needed"].value > mixture.numbers["needed"].value


def test_the_place_is_the_lowest_speed_where_it_is_recorded() -> None:
    changes = {"piping.flow_at_minimum_speed": 3}
    assert finding("flow-below-boilers-minimum", changes).at == "pump_minimum_speed"
    bare = finding("flow-below-boilers-minimum", changes, drop=["settings.pump_minimum_speed"])
    assert bare.at == "piping.flow_at_minimum_speed"
    assert "3 gpm at the lowest pump speed; the boiler needs 3.2 gpm" in bare.message


def test_what_is_said_carries_its_numbers() -> None:
    far = finding("target-difference-out-of-reach", {"settings.heating_target_difference": 40})
    assert "target difference 40 F; emitters give 20 F" in far.message
    assert far.numbers["emitters"].value == pytest.approx(kelvin(20))
    two = finding("pump-adapts-against-the-control", {"settings.pump_control": "self-adapting"})
    assert "aims at 20 F" in two.message


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    owner = Context(AS_OF, thresholds={"target_difference_off": kelvin(25)})
    assert ask("target-difference-out-of-reach", {"settings.heating_target_difference": 40}, context=owner) == "clear"
