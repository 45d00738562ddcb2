# ruff: noqa: E501
"""The pump group at its boundaries.

High fire while heating: 118,000 Btu/h x 0.92 x 0.9 = 97,704 Btu/h = 28,634 W. Water at 60 C takes 4113 J/(L K)
(IAPWS density, specific heat of CoolProp), so 44 F need 28,634/(4113 x 24.44) = 0.2848 L/s = 4.51 gpm. Thresholds are
common practice, no source.
"""

from __future__ import annotations

from typing import Any, Final

import pytest
from CoolProp.CoolProp import PropsSI

from settingslint.checking.audit import audit
from settingslint.rules import by_group
from settingslint.rules.base import Certainty, Severity
from settingslint.rules.plant import Context
from settingslint.units import kelvin
from tests.rules.declared import undeclared
from tests.rules.kit import AS_OF, PROFILE, Answer, ask, finding, make_plant

METRIC: Final[dict[str, Any]] = {"metric": True}
LOW_MASS: Final = {"boiler.heat_exchanger": "low mass"}
ZONES: Final = {"piping.topology": "direct", "piping.zone_valves": True, "piping.bypass": False}
BY_DIFFERENCE: Final = {"settings.pump_control": "temperature difference"}
GLYCOL: Final = {
    **BY_DIFFERENCE, "water.fluid": "propylene glycol", "water.glycol_percent": 50, "water.glycol_by": "mass",
}  # fmt: skip
STILL: Final = {"settings.pump_exercise": False}
ALWAYS: Final = {"settings.system_pump_mode": "continuous"}
RADIATOR: Final[dict[str, Any]] = PROFILE["emitter"][0]
COIL: Final = {"emitter": [{**RADIATOR, "kind": "air coil"}]}
POOL: Final = {"emitter": [RADIATOR, {"kind": "pool"}]}
SYSTEM: Final = {"settings.control_sensor": "system", "piping.system_pump_interlocked": False}
NO_PURGE: Final[dict[str, Any]] = {"drop": ["settings.purge_program"], "drop_control": ["setting.purge_program"]}
NO_DRYING: Final[dict[str, Any]] = {"drop": ["settings.floor_drying"], "drop_control": ["setting.floor_drying"]}


def piped(topology: str, mode: str) -> dict[str, Any]:
    return {"piping.topology": topology, "settings.boiler_pump_mode": mode}


CASES: Final[list[tuple[str, Answer, dict[str, Any], dict[str, Any]]]] = [
    ("pump-overrun-too-short", "clear", {**LOW_MASS, "settings.pump_overrun": 1}, {}),
    ("pump-overrun-too-short", "found", {**LOW_MASS, "settings.pump_overrun": 0.98}, {}),
    ("pump-overrun-too-short", "found", {**LOW_MASS, "settings.pump_overrun": 0}, {}),
    ("pump-overrun-too-short", "does not apply", {"settings.pump_overrun": 0}, {}),
    ("pump-overrun-too-short", "not checked", LOW_MASS, {"drop": ["settings.pump_overrun"]}),
    ("pump-overrun-too-short", "not checked", {"settings.pump_overrun": 0}, {"drop": ["boiler.heat_exchanger"]}),
    ("pump-overrun-too-short", "found", {**LOW_MASS, "settings.pump_overrun": 0.98}, METRIC),
    ("pump-overrun-too-short", "clear", {**LOW_MASS, "settings.pump_overrun": 1}, METRIC),
    ("pump-overrun-into-closed-valves", "found", {**ZONES, "settings.pump_overrun": 0.01}, {}),
    ("pump-overrun-into-closed-valves", "clear", {**ZONES, "settings.pump_overrun": 0}, {}),
    ("pump-overrun-into-closed-valves", "clear", {**ZONES, "piping.bypass": True}, {}),
    ("pump-overrun-into-closed-valves", "does not apply", {**ZONES, "piping.zone_valves": False}, {}),
    ("pump-overrun-into-closed-valves", "does not apply", {**ZONES, "piping.topology": "primary-secondary"}, {}),
    ("pump-overrun-into-closed-valves", "not checked", ZONES, {"drop": ["settings.pump_overrun"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.topology": "direct", "piping.zone_valves": True}, {"drop": ["piping.bypass"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.topology": "direct", "piping.bypass": False}, {"drop": ["piping.zone_valves"]}),
    ("pump-overrun-into-closed-valves", "not checked", {"piping.zone_valves": True, "piping.bypass": False}, {"drop": ["piping.topology"]}),
    *[("pump-mode-unlike-piping", "clear", piped(topology, mode), {})
      for topology in ("primary-secondary", "separator", "buffer") for mode in ("with burner", "with call", "continuous")],
    *[("pump-mode-unlike-piping", "clear", piped(topology, mode), {})
      for topology in ("direct", "series") for mode in ("with call", "continuous")],
    *[("pump-mode-unlike-piping", "found", piped(topology, "with burner"), {}) for topology in ("direct", "series")],
    *[("pump-mode-unlike-piping", "found", piped(topology, "off"), {})
      for topology in ("direct", "series", "primary-secondary", "separator", "buffer")],
    ("pump-mode-unlike-piping", "not checked", {"settings.boiler_pump_mode": "off"}, {"drop": ["piping.topology"]}),
    ("pump-mode-unlike-piping", "not checked", {}, {"drop": ["settings.boiler_pump_mode"]}),
    ("flow-below-boilers-minimum", "clear", {"piping.flow_at_minimum_speed": 3.2}, {}),
    ("flow-below-boilers-minimum", "found", {"piping.flow_at_minimum_speed": 3.19}, {}),
    ("flow-below-boilers-minimum", "not checked", {}, {"drop": ["piping.flow_at_minimum_speed"]}),
    ("flow-below-boilers-minimum", "not checked", {}, {"drop": ["boiler.minimum_flow"]}),
    # 3.2 gpm = 0.2019 L/s
    ("flow-below-boilers-minimum", "clear", {"piping.flow_at_minimum_speed": 0.2019}, METRIC),
    ("flow-below-boilers-minimum", "found", {"piping.flow_at_minimum_speed": 0.2018}, METRIC),
    ("high-fire-needs-more-flow", "found", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 4.51}, {}),
    ("high-fire-needs-more-flow", "clear", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 4.52}, {}),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "constant pressure", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "proportional pressure", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "found", {"settings.pump_control": "self-adapting", "piping.flow_at_minimum_speed": 4}, {}),
    ("high-fire-needs-more-flow", "does not apply", {"piping.flow_at_minimum_speed": 4}, {}),
    # full fire: 31,816 W, 5.02 gpm
    ("high-fire-needs-more-flow", "found", {**BY_DIFFERENCE, "settings.heating_maximum_rate": 100, "piping.flow_at_minimum_speed": 5.01}, {}),
    ("high-fire-needs-more-flow", "clear", {**BY_DIFFERENCE, "settings.heating_maximum_rate": 100, "piping.flow_at_minimum_speed": 5.03}, {}),
    # half propylene glycol by mass: 1.105 x 4.514 = 4.988 gpm (CoolProp)
    ("high-fire-needs-more-flow", "found", {**GLYCOL, "piping.flow_at_minimum_speed": 4.97}, {}),
    ("high-fire-needs-more-flow", "clear", {**GLYCOL, "piping.flow_at_minimum_speed": 5.0}, {}),
    ("high-fire-needs-more-flow", "not checked", GLYCOL, {"drop": ["piping.flow_at_minimum_speed"]}),
    ("high-fire-needs-more-flow", "not checked", {**BY_DIFFERENCE, "water.fluid": "ethylene glycol", "water.glycol_by": "mass"}, {}),
    ("high-fire-needs-more-flow", "not checked", {**BY_DIFFERENCE, "water.fluid": "ethylene glycol", "water.glycol_percent": 20}, {}),
    *[("high-fire-needs-more-flow", "not checked", BY_DIFFERENCE, {"drop": [name]})
      for name in ("piping.flow_at_minimum_speed", "boiler.maximum_difference", "boiler.efficiency", "boiler.input_maximum",
                   "water.fluid", "settings.heating_maximum_rate")],
    ("high-fire-needs-more-flow", "not checked", {}, {"drop": ["settings.pump_control"]}),
    ("high-fire-needs-more-flow", "found", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 0.284}, METRIC),
    ("high-fire-needs-more-flow", "clear", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 0.285}, METRIC),
    # the radiators give 20 F, 10 F off is still near
    ("target-difference-out-of-reach", "clear", {"settings.heating_target_difference": 30}, {}),
    ("target-difference-out-of-reach", "found", {"settings.heating_target_difference": 30.1}, {}),
    ("target-difference-out-of-reach", "clear", {"settings.heating_target_difference": 10}, {}),
    ("target-difference-out-of-reach", "found", {"settings.heating_target_difference": 9.9}, {}),
    ("target-difference-out-of-reach", "does not apply", {"settings.heating_target_difference": 40, "emitter.0.mixed": True}, {}),
    ("target-difference-out-of-reach", "not checked", {}, {"drop": ["settings.heating_target_difference"]}),
    ("target-difference-out-of-reach", "not checked", {}, {"drop": ["emitter"]}),
    ("target-difference-out-of-reach", "not checked", {}, {"drop": ["emitter.0.design_return"]}),
    # 20 F are 11.11 K, 10 F 5.56 K: 16.67 K
    ("target-difference-out-of-reach", "clear", {"settings.heating_target_difference": 16.6}, METRIC),
    ("target-difference-out-of-reach", "found", {"settings.heating_target_difference": 16.7}, METRIC),
    ("pump-exercise-off", "clear", {**STILL, "counters.idle_months": 3}, {}),
    ("pump-exercise-off", "found", {**STILL, "counters.idle_months": 4}, {}),
    ("pump-exercise-off", "clear", {"counters.idle_months": 9}, {}),
    ("pump-exercise-off", "clear", {}, {"drop": ["counters.idle_months"]}),
    ("pump-exercise-off", "not checked", STILL, {"drop": ["counters.idle_months"]}),
    ("pump-exercise-off", "not checked", {}, {"drop": ["settings.pump_exercise"]}),
    ("program-left-running", "found", {"settings.purge_program": True}, {}),
    ("program-left-running", "found", {"settings.floor_drying": True}, {}),
    ("program-left-running", "clear", {}, {}),
    ("program-left-running", "not checked", {}, {"drop": ["settings.purge_program"]}),
    ("program-left-running", "not checked", {}, {"drop": ["settings.floor_drying"]}),
    ("program-left-running", "found", {"settings.floor_drying": True}, {"drop": ["settings.purge_program"]}),
    ("program-left-running", "found", {"settings.floor_drying": True}, NO_PURGE),
    ("program-left-running", "found", {"settings.purge_program": True}, NO_DRYING),
    ("program-left-running", "clear", {}, NO_DRYING),
    ("program-left-running", "does not apply", {}, {key: [*NO_PURGE[key], *NO_DRYING[key]] for key in NO_PURGE}),
    ("program-left-running", "not checked", {}, {**NO_DRYING, "control": {"control.complete": False}}),
    ("shutdown-stops-a-shared-pump", "found", {**ALWAYS, **POOL}, {}),
    ("shutdown-stops-a-shared-pump", "found", {**ALWAYS, **COIL}, {}),
    ("shutdown-stops-a-shared-pump", "clear", ALWAYS, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", POOL, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", {**POOL, "settings.system_pump_mode": "external"}, {}),
    ("shutdown-stops-a-shared-pump", "does not apply", {**ALWAYS, **POOL, "settings.warm_weather_shutdown": "off"}, {}),
    ("shutdown-stops-a-shared-pump", "not checked", ALWAYS, {"drop": ["emitter"]}),
    ("shutdown-stops-a-shared-pump", "not checked", POOL, {"drop": ["settings.system_pump_mode"]}),
    ("shutdown-stops-a-shared-pump", "not checked", {**ALWAYS, **POOL}, {"drop": ["settings.warm_weather_shutdown"]}),
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


@pytest.mark.parametrize(("rule", "answer", "changes", "more"), CASES)
def test_boundaries(rule: str, answer: Answer, changes: dict[str, Any], more: dict[str, Any]) -> None:
    assert ask(rule, changes, **more) == answer


def test_every_rule_of_the_group_stands_in_the_table() -> None:
    found = {(rule, answer) for rule, answer, *_ in CASES}
    for rule in by_group()["pumps"]:
        passes = "does not apply" if rule.name == "pump-adapts-against-the-control" else "clear"
        assert {(rule.name, "found"), (rule.name, passes), (rule.name, "not checked")} <= found


@pytest.mark.parametrize(
    ("rule", "changes", "more", "proposed"),
    [
        ("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0}, {}, {"pump_overrun": 300.0}),
        (
            "pump-overrun-too-short",
            {**LOW_MASS, "settings.pump_overrun": 0},
            {"control": {"setting.pump_overrun.step": 1}},
            {"pump_overrun": 60.0},
        ),
        (
            "target-difference-out-of-reach",
            {"settings.heating_target_difference": 40},
            {},
            {"heating_target_difference": kelvin(20)},
        ),
        ("target-difference-out-of-reach", {"settings.heating_target_difference": 3}, METRIC, {"heating_target_difference": 12.0}),
        ("pump-exercise-off", {**STILL, "counters.idle_months": 5}, {}, {"pump_exercise": True}),
        ("program-left-running", {"settings.purge_program": True}, {}, {"purge_program": False}),
        ("program-left-running", {"settings.floor_drying": True}, {}, {"floor_drying": False}),
    ],
)  # fmt: skip
def test_remedies(rule: str, changes: dict[str, Any], more: dict[str, Any], proposed: dict[str, Any]) -> None:
    remedy = finding(rule, changes, **more).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx(proposed)
    assert remedy.verified is True
    assert "can't" not in remedy.text


@pytest.mark.parametrize(
    ("rule", "changes", "control"),
    [
        (
            "pump-overrun-too-short",
            {**LOW_MASS, "settings.pump_overrun": 0},
            {"setting.pump_overrun.range": {"low": 0, "high": 0.5}, "setting.pump_overrun.default": 0},
        ),
        (
            "target-difference-out-of-reach",
            {"settings.heating_target_difference": 40},
            {"setting.heating_target_difference.range": {"low": 31, "high": 50}},
        ),
        (
            "target-difference-out-of-reach",
            {"settings.heating_target_difference": 5},
            {"setting.heating_target_difference.range": {"low": 2, "high": 19}},
        ),
    ],
)
def test_where_the_control_can_t_help_nothing_is_proposed(
    rule: str, changes: dict[str, Any], control: dict[str, Any]
) -> None:
    remedy = finding(rule, changes, control=control).remedy
    assert remedy is not None
    assert remedy.set == {}
    assert "can't" in remedy.text


def test_a_target_near_enough_is_proposed_where_the_control_goes_no_lower() -> None:
    control = {"setting.heating_target_difference.range": {"low": 30, "high": 50}}
    remedy = finding(
        "target-difference-out-of-reach", {"settings.heating_target_difference": 40}, control=control
    ).remedy
    assert remedy is not None
    assert remedy.set == pytest.approx({"heating_target_difference": kelvin(30)})
    assert remedy.verified is True


def test_a_missing_system_sensor_is_proven_and_the_supply_sensor_is_the_way_out() -> None:
    one = finding("control-sensor-without-flow", {**SYSTEM, "accessories.system_sensor": False})
    assert (one.severity, one.certainty) == (Severity.OUTAGE, Certainty.PROVEN)
    assert "none is fitted" in one.message
    assert one.remedy is not None
    assert one.remedy.set == {"control_sensor": "supply"}
    assert one.remedy.verified is True
    still = finding("control-sensor-without-flow", SYSTEM)
    assert (still.severity, still.certainty) == (Severity.DAMAGE, Certainty.LIKELY)
    assert "without the system pump" in still.message


def test_both_programs_are_found_one_by_one() -> None:
    plant = make_plant({"settings.purge_program": True, "settings.floor_drying": True})
    running = [one for one in audit(plant, by_group()["pumps"]).findings if one.rule == "program-left-running"]
    assert {one.at: one.message for one in running} == {
        "purge_program": "the air purge program was left on",
        "floor_drying": "the floor drying program was left on",
    }


def test_a_long_overrun_is_no_finding_on_a_heavy_exchanger() -> None:
    plant = make_plant({"settings.pump_overrun": 10})
    assert audit(plant, by_group()["pumps"]).findings == ()


def test_flow_needed_at_high_fire_is_the_trade_s_rule_of_thumb() -> None:
    # gpm = Btu/h / (500 dF), good within 3 % (common practice, no source): 97,704/(500 x 44) = 4.44 gpm
    one = finding("high-fire-needs-more-flow", {**BY_DIFFERENCE, "piping.flow_at_minimum_speed": 4})
    gpm = one.numbers["needed"].value / 3.785411784 * 60
    assert gpm == pytest.approx(97704 / (500 * 44), rel=0.03)
    assert "needs 4.5 gpm" in one.message
    assert "the pump gives 4 gpm" in one.message


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
    assert "3 gpm at the lowest speed; the boiler must have 3.2 gpm" in bare.message


def test_what_is_said_carries_its_numbers() -> None:
    one = finding("pump-overrun-too-short", {**LOW_MASS, "settings.pump_overrun": 0.5})
    assert "runs on 30 s" in one.message
    assert one.numbers["overrun"].value == 30
    far = finding("target-difference-out-of-reach", {"settings.heating_target_difference": 40})
    assert "target 40 F; the emitters give 20 F" in far.message
    assert far.numbers["emitters"].value == pytest.approx(kelvin(20))
    idle = finding("pump-exercise-off", {**STILL, "counters.idle_months": 5})
    assert "5 months" in idle.message
    two = finding("pump-adapts-against-the-control", {"settings.pump_control": "self-adapting"})
    assert "aims at 20 F" in two.message
    pool = finding("shutdown-stops-a-shared-pump", {**ALWAYS, **POOL})
    assert "above 63 F outdoors, and the pool" in pool.message
    piping = finding("pump-mode-unlike-piping", piped("direct", "with burner"))
    assert "runs with burner; with direct piping it usually runs with call or continuous" in piping.message


def test_an_owner_can_set_the_numbers_of_habit() -> None:
    owner = Context(AS_OF, thresholds={"pump_idle_months": 6.0, "target_difference_off": kelvin(25)})
    assert ask("pump-exercise-off", {**STILL, "counters.idle_months": 6}, context=owner) == "clear"
    assert ask("target-difference-out-of-reach", {"settings.heating_target_difference": 40}, context=owner) == "clear"


def test_numbers_of_habit_are_declared() -> None:
    assert undeclared(by_group()["pumps"], CASES) == {}


@pytest.mark.parametrize(
    ("name", "severity", "certainty", "cautions"),
    [
        ("pump-overrun-too-short", Severity.DAMAGE, Certainty.LIKELY, {"pump", "limit"}),
        ("pump-overrun-into-closed-valves", Severity.WASTE, Certainty.ASK, {"pump"}),
        ("pump-mode-unlike-piping", Severity.OUTAGE, Certainty.ASK, {"pump", "electric"}),
        ("flow-below-boilers-minimum", Severity.DAMAGE, Certainty.LIKELY, {"pump"}),
        ("high-fire-needs-more-flow", Severity.DAMAGE, Certainty.LIKELY, {"pump"}),
        ("target-difference-out-of-reach", Severity.WASTE, Certainty.PROVEN, {"pump"}),
        ("pump-exercise-off", Severity.OUTAGE, Certainty.PROVEN, {"pump"}),
        ("program-left-running", Severity.OUTAGE, Certainty.PROVEN, {"heating", "pump"}),
        ("shutdown-stops-a-shared-pump", Severity.OUTAGE, Certainty.LIKELY, {"pump"}),
        ("pump-adapts-against-the-control", Severity.WASTE, Certainty.ASK, {"pump"}),
        ("control-sensor-without-flow", Severity.DAMAGE, Certainty.LIKELY, {"pump", "limit"}),
    ],
)
def test_how_bad_and_how_sure(name: str, severity: Severity, certainty: Certainty, cautions: set[str]) -> None:
    rules = {rule.name: rule for rule in by_group()["pumps"]}
    rule = rules[name]
    assert (rule.severity, rule.certainty, set(rule.cautions)) == (severity, certainty, cautions)
    assert bool(rule.assumes) == (certainty is Certainty.LIKELY)
    assert len(rules) == 11
