"""Rules: does water move through the boiler when it must."""

from __future__ import annotations

from typing import Final

from settingslint.physics.water import heat_capacity_of
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    Rule,
    Threshold,
    found,
    kelvin_of,
    minutes_of,
    rule,
)
from settingslint.rules.derived import drop_at_design, heating_output
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

TITLE: Final = "pumps and flow"
FLOW: Final = ("pump",)

OVERRUN: Final = Threshold(
    "pump_overrun_least", 60.0, Kind.MINUTES, COMMON_PRACTICE, "shortest pump overrun on a low-mass exchanger"
)
IDLE_MONTHS: Final = Threshold("pump_idle_months", 3.0, Kind.COUNT, COMMON_PRACTICE, "idle months in which pumps seize")
DIFFERENCE_OFF: Final = Threshold(
    "target_difference_off", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far a target difference may be from what the emitters give",
)  # fmt: skip
MODES: Final = {
    "primary-secondary": ("with burner", "with call", "continuous"),
    "separator": ("with burner", "with call", "continuous"),
    "buffer": ("with burner", "with call", "continuous"),
    "direct": ("with call", "continuous"),
    "series": ("with call", "continuous"),
}


@rule(
    "pump-overrun-too-short",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("pump_overrun", "boiler.heat_exchanger"),
    only_if={"boiler.heat_exchanger": ("low mass",)},
    cautions=(*FLOW, "limit"),
    source=COMMON_PRACTICE,
    assumes="heat left in the exchanger when the burner stops",
    thresholds=(OVERRUN,),
)
def pump_overrun_too_short(plant: Plant) -> Drafts:
    """The pump stops with the burner: what is left in a small exchanger boils and trips the limit.

    Trips:
        [boiler]
        heat_exchanger = "low mass"
        [settings]
        pump_overrun = 0.5
    Passes:
        [boiler]
        heat_exchanger = "low mass"
        [settings]
        pump_overrun = 1
    """
    overrun, least = plant.number("pump_overrun"), plant.threshold(OVERRUN)
    if overrun < least - 1e-6:
        value = plant.attainable("pump_overrun", at_least=least)
        remedy = Remedy("let it run on", {} if value is None else {"pump_overrun": value})
        yield found(
            "pump_overrun",
            f"the pump runs on {overrun:.0f} s after the burner, on a low-mass exchanger",
            {"overrun": minutes_of(overrun)},
            remedy,
        )


@rule(
    "pump-overrun-into-closed-valves",
    severity=WASTE,
    certainty=ASK,
    needs=("pump_overrun", "piping.topology", "piping.zone_valves", "piping.bypass"),
    only_if={"piping.topology": ("direct",), "piping.zone_valves": (True,)},
    cautions=FLOW,
    source=COMMON_PRACTICE,
)
def pump_overrun_into_closed_valves(plant: Plant) -> Drafts:
    """After the call the pump runs on against closed zone valves, with no bypass.

    Trips:
        [piping]
        topology = "direct"
        zone_valves = true
        bypass = false
    Passes:
        [piping]
        topology = "direct"
        zone_valves = true
        bypass = true
    """
    if plant.number("pump_overrun") > 0 and not plant.flag("piping.bypass"):
        yield found(
            "pump_overrun",
            f"the pump runs on {plant.show('pump_overrun')} when the zone valves are closed and there is no bypass",
            {},
            "hold the last valve open while the pump runs on, or fit a bypass",
        )


@rule(
    "pump-mode-unlike-piping",
    severity=OUTAGE,
    certainty=ASK,
    needs=("boiler_pump_mode", "piping.topology"),
    cautions=(*FLOW, "electric"),
    source=COMMON_PRACTICE,
)
def pump_mode_unlike_piping(plant: Plant) -> Drafts:
    """The boiler pump's mode does not go with the piping.

    In direct and series piping the boiler pump is the system's pump and runs with the call; elsewhere with the burner
    or the call. Off suits nowhere.

    Trips:
        [settings]
        boiler_pump_mode = "off"
    Passes:
        [settings]
        boiler_pump_mode = "with burner"
    """
    mode, topology = plant.word("boiler_pump_mode"), plant.word("piping.topology")
    if mode not in MODES[topology]:
        yield found(
            "boiler_pump_mode",
            f"the boiler pump runs {mode}; with {topology} piping it usually runs {' or '.join(MODES[topology])}",
            {},
            "look at what is piped, then set the mode that goes with it",
        )


@rule(
    "flow-below-boilers-minimum",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("piping.flow_at_minimum_speed", "boiler.minimum_flow"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    assumes="the recorded flow still stands",
)
def flow_below_boilers_minimum(plant: Plant) -> Drafts:
    """At the lowest pump speed less water moves than the boiler must have.

    Trips:
        [piping]
        flow_at_minimum_speed = 3.1
    Passes:
        [piping]
        flow_at_minimum_speed = 3.2
    """
    flow, least = plant.number("piping.flow_at_minimum_speed"), plant.number("boiler.minimum_flow")
    if flow < least - 1e-9:
        at = "pump_minimum_speed" if plant.known("pump_minimum_speed") is not None else "piping.flow_at_minimum_speed"
        yield found(
            at,
            f"{plant.show(Kind.FLOW, flow)} at the lowest speed; the boiler must have {plant.show(Kind.FLOW, least)}",
            {"flow": Quantity(flow, Kind.FLOW), "least": Quantity(least, Kind.FLOW)},
            "raise the lowest pump speed and measure the flow again",
        )


@rule(
    "high-fire-needs-more-flow",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=(
        "piping.flow_at_minimum_speed", "boiler.maximum_difference", "boiler.efficiency", "boiler.input_maximum",
    ),
    only_if={"pump_control": ("temperature difference", "proportional pressure", "self-adapting", "constant pressure")},
    cautions=FLOW,
    source=ARITHMETIC,
    assumes="the pump stays at its lowest speed at high fire",
)  # fmt: skip
def high_fire_needs_more_flow(plant: Plant) -> Drafts:
    """At high fire the lowest pump speed would give a larger difference than the boiler may have.

    Least flow = output at high fire / (rho cp x largest difference).

    Trips:
        [settings]
        pump_control = "temperature difference"
        [piping]
        flow_at_minimum_speed = 4.4
    Passes:
        [settings]
        pump_control = "temperature difference"
        [piping]
        flow_at_minimum_speed = 4.6
    """
    most = plant.difference("boiler.maximum_difference")
    least = heating_output(plant) / (heat_capacity_of(1.0, Celsius(60.0)) * most)
    flow = plant.number("piping.flow_at_minimum_speed")
    if flow < least - 1e-9:
        yield found(
            "pump_control",
            f"at high fire the boiler needs {plant.show(Kind.FLOW, least)} to stay below"
            f" {plant.show(Kind.DIFFERENCE, most)}; at its lowest speed the pump gives {plant.show(Kind.FLOW, flow)}",
            {"needed": Quantity(least, Kind.FLOW), "lowest": Quantity(flow, Kind.FLOW)},
            "see that the pump speeds up with the firing, or raise its lowest speed",
        )


@rule(
    "target-difference-out-of-reach",
    severity=WASTE,
    needs=("heating_target_difference", "emitter"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    thresholds=(DIFFERENCE_OFF,),
)
def target_difference_out_of_reach(plant: Plant) -> Drafts:
    """The target difference is far from what the emitters give even on the design day.

    Compared: the target, with the emitters' design supply minus return.

    Trips:
        [settings]
        heating_target_difference = 31
    Passes:
        [settings]
        heating_target_difference = 30
    """
    target, gives = plant.difference("heating_target_difference"), drop_at_design(plant)
    if abs(target - gives) > plant.threshold(DIFFERENCE_OFF) + 1e-6:
        value = plant.attainable("heating_target_difference", at_least=gives)
        remedy = Remedy("set what the emitters give", {} if value is None else {"heating_target_difference": value})
        yield found(
            "heating_target_difference",
            f"target {plant.show(Kind.DIFFERENCE, target)}; the emitters give"
            f" {plant.show(Kind.DIFFERENCE, gives)} on the"
            " design day and less in mild weather",
            {"target": kelvin_of(target), "emitters": kelvin_of(gives)},
            remedy,
        )


@rule(
    "pump-exercise-off",
    severity=OUTAGE,
    needs=("pump_exercise", "counters.idle_months"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    thresholds=(IDLE_MONTHS,),
)
def pump_exercise_off(plant: Plant) -> Drafts:
    """Pump exercise is off and the pumps stand still for months: they seize and are found so in the first frost.

    Trips:
        [settings]
        pump_exercise = false
        [counters]
        idle_months = 4
    Passes:
        [settings]
        pump_exercise = false
        [counters]
        idle_months = 3
    """
    months = plant.number("counters.idle_months")
    if plant.is_off("pump_exercise") and months > plant.threshold(IDLE_MONTHS) + 1e-6:
        yield found(
            "pump_exercise",
            f"pump exercise is off and the pumps have stood still for {months:.0f} months",
            {"idle months": Quantity(months, Kind.COUNT)},
            Remedy("switch it on, and turn the pumps by hand once", {"pump_exercise": True}),
        )


@rule(
    "program-left-running",
    severity=OUTAGE,
    needs=("purge_program", "floor_drying"),
    cautions=("heating", "pump"),
    source=COMMON_PRACTICE,
)
def program_left_running(plant: Plant) -> Drafts:
    """A purge or floor drying program was left on.

    Trips:
        [settings]
        purge_program = true
    Passes:
        [settings]
        purge_program = false
    """
    for name in ("purge_program", "floor_drying"):
        if plant.flag(name):
            title = "air purge" if name == "purge_program" else "floor drying"
            yield found(name, f"the {title} program was left on", {}, Remedy("end it", {name: False}))


@rule(
    "shutdown-stops-a-shared-pump",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("system_pump_mode", "warm_weather_shutdown", "emitter"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    assumes="the pool or the coil hangs on the system pump",
)
def shutdown_stops_a_shared_pump(plant: Plant) -> Drafts:
    """The system pump stops at warm-weather shutdown, and a load that needs it all year hangs on it.

    Trips:
        [settings]
        system_pump_mode = "continuous"
        [[emitter]]
        name = "pool"
        kind = "pool"
        design_supply = 140
        design_return = 120
        mixed = true
    Passes:
        [settings]
        system_pump_mode = "external"
        [[emitter]]
        name = "pool"
        kind = "pool"
        design_supply = 140
        design_return = 120
        mixed = true
    """
    if plant.is_off("warm_weather_shutdown") or plant.word("system_pump_mode") != "continuous":
        return
    if any(plant.word(f"emitter[{index}].kind") in ("pool", "air coil") for index in plant.emitters):
        yield found(
            "system_pump_mode",
            "the system pump runs below warm-weather shutdown only, and a pool or an air coil needs it all year",
            {},
            "drive the pump by the load's own call",
        )


@rule(
    "pump-adapts-against-the-control",
    severity=WASTE,
    certainty=ASK,
    needs=("pump_control", "heating_target_difference"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
)
def pump_adapts_against_the_control(plant: Plant) -> Drafts:
    """The pump adapts by itself while the control drives a target difference: two controls for one flow.

    Trips:
        [settings]
        pump_control = "self-adapting"
    Passes:
        [settings]
        pump_control = "temperature difference"
    """
    if plant.word("pump_control") == "self-adapting":
        yield found(
            "pump_control",
            f"the pump adapts by itself while the control aims at {plant.show('heating_target_difference')}:"
            " which of them leads?",
            {},
            "let one of them lead: a fixed curve at the pump, or no target difference at the control",
        )


@rule(
    "control-sensor-without-flow",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("control_sensor", "piping.system_pump_interlocked"),
    only_if={"control_sensor": ("system",)},
    cautions=(*FLOW, "limit"),
    source=COMMON_PRACTICE,
    assumes="the system pump can stand still while the burner fires",
)
def control_sensor_without_flow(plant: Plant) -> Drafts:
    """The burner is led by a system sensor past which no water may be moving.

    The boiler trips its limit while the system sensor stays cold.

    Trips:
        [settings]
        control_sensor = "system"
        [piping]
        system_pump_interlocked = false
    Passes:
        [settings]
        control_sensor = "system"
        [piping]
        system_pump_interlocked = true
    """
    if plant.known("accessories.system_sensor") is False:
        raise DoesNotApply("no system sensor")
    if not plant.flag("piping.system_pump_interlocked"):
        yield found(
            "control_sensor",
            "the burner follows the system sensor, and can fire without the system pump",
            {},
            "interlock the system pump, or control by the supply sensor",
        )


RULES: Final[tuple[Rule, ...]] = (
    pump_overrun_too_short,
    pump_overrun_into_closed_valves,
    pump_mode_unlike_piping,
    flow_below_boilers_minimum,
    high_fire_needs_more_flow,
    target_difference_out_of_reach,
    pump_exercise_off,
    program_left_running,
    shutdown_stops_a_shared_pump,
    pump_adapts_against_the_control,
    control_sensor_without_flow,
)
