"""Rules of the pump group about flow: enough of it through the boiler, and one control that leads it."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.glycol import flow_factor
from settingslint.physics.water import heat_capacity_of
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    PROVEN,
    WASTE,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    found,
    kelvin_of,
)
from settingslint.rules.derived.need import drop_at_design
from settingslint.rules.derived.output import glycol_share, heating_output
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

FLOW: Final = ("pump",)
WARM: Final = Celsius(60.0)

DIFFERENCE_OFF: Final = Threshold(
    "target_difference_off", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far a target difference may be from what the emitters give",
    kelvin(3), kelvin(25), "common practice, no source: 25 F is more than most emitters give at all", looser="up",
)  # fmt: skip
VARIABLE: Final = ("temperature difference", "proportional pressure", "self-adapting", "constant pressure")


@rule(
    "flow-below-boilers-minimum",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("piping.flow_at_minimum_speed", "boiler.minimum_flow"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    assumes="the recorded flow is still true",
    trips="piping.flow_at_minimum_speed = 3.1",
    passes="piping.flow_at_minimum_speed = 3.2",
)
def flow_below_boilers_minimum(plant: Plant) -> Drafts:
    """At its lowest speed the pump moves less water than the boiler needs."""
    flow, minimum = plant.number("piping.flow_at_minimum_speed"), plant.number("boiler.minimum_flow")
    if flow < minimum - TOLERANCE:
        at = "pump_minimum_speed" if plant.known("pump_minimum_speed") is not None else "piping.flow_at_minimum_speed"
        yield found(
            at,
            f"{plant.show(Kind.FLOW, flow)} at the lowest pump speed; the boiler needs"
            f" {plant.show(Kind.FLOW, minimum)}",
            {"flow": Quantity(flow, Kind.FLOW), "minimum": Quantity(minimum, Kind.FLOW)},
            "raise the lowest pump speed and measure the flow again",
        )


@rule(
    "high-fire-needs-more-flow",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=(
        "piping.flow_at_minimum_speed", "boiler.maximum_difference", "boiler.efficiency", "boiler.input_maximum",
        "water.fluid",
    ),
    only_if={"pump_control": VARIABLE},
    cautions=FLOW,
    source=(ARITHMETIC, "CoolProp, density and heat capacity of glycol mixtures"),
    assumes="the pump stays at its lowest speed at high fire",
    trips='settings.pump_control = "temperature difference", piping.flow_at_minimum_speed = 4.5',
    passes='piping.flow_at_minimum_speed = 4.6',
)  # fmt: skip
def high_fire_needs_more_flow(plant: Plant) -> Drafts:
    """At high fire the lowest pump speed gives a larger temperature difference than the boiler may have.

    Needed flow = output at high fire while heating / (rho cp x maximum difference), rho cp at 60 C, of the mixture
    where the system holds glycol: 30 % takes about 1.04 times the flow of water, 50 % about 1.1 times.
    """
    most = plant.difference("boiler.maximum_difference")
    needed = heating_output(plant) / (heat_capacity_of(1.0, WARM) * most)
    fluid = plant.word("water.fluid")
    if fluid != "water":
        needed *= flow_factor(fluid.split()[0], glycol_share(plant))
    flow = plant.number("piping.flow_at_minimum_speed")
    if flow < needed - TOLERANCE:
        yield found(
            "pump_control",
            f"high fire needs {plant.show(Kind.FLOW, needed)} for a difference of {plant.show(Kind.DIFFERENCE, most)};"
            f" lowest pump speed gives {plant.show(Kind.FLOW, flow)}",
            {"needed": Quantity(needed, Kind.FLOW), "lowest": Quantity(flow, Kind.FLOW)},
            "make the pump speed up with the firing, or raise its lowest speed",
        )


@rule(
    "target-difference-out-of-reach",
    severity=WASTE,
    needs=("heating_target_difference", "emitter"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    thresholds=(DIFFERENCE_OFF,),
    trips="settings.heating_target_difference = 31",
    passes="settings.heating_target_difference = 30",
)
def target_difference_out_of_reach(plant: Plant) -> Drafts:
    """The target difference is far from what the emitters give on the design day.

    Compared: the target, with the emitters' design supply minus return. In mild weather they give less.
    """
    target, gives = plant.difference("heating_target_difference"), drop_at_design(plant)
    off = plant.threshold(DIFFERENCE_OFF) + TOLERANCE
    if abs(target - gives) > off:
        value = attainable(plant, "heating_target_difference", at_least=gives)
        remedy = (
            Remedy("let the pump run on a fixed curve: this control can't go there")
            if value is None or value - gives > off
            else Remedy(
                f"set it to what the emitters give: {plant.show('heating_target_difference', value)}",
                {"heating_target_difference": value},
            )
        )
        yield found(
            "heating_target_difference",
            f"target difference {plant.show(Kind.DIFFERENCE, target)}; emitters give"
            f" {plant.show(Kind.DIFFERENCE, gives)} on the design day",
            {"target": kelvin_of(target), "emitters": kelvin_of(gives)},
            remedy,
        )


@rule(
    "pump-adapts-against-the-control",
    severity=WASTE,
    certainty=ASK,
    needs=("heating_target_difference",),
    only_if={"pump_control": ("self-adapting",)},
    cautions=FLOW,
    source=COMMON_PRACTICE,
    trips='settings.pump_control = "self-adapting"',
    passes='settings.pump_control = "temperature difference"',
)
def pump_adapts_against_the_control(plant: Plant) -> Drafts:
    """The pump adapts by itself while the control aims at a target difference: two controls for one flow."""
    target = plant.difference("heating_target_difference")
    yield found(
        "pump_control",
        f"pump adapts by itself while the control aims at {plant.show(Kind.DIFFERENCE, target)}: which one leads?",
        {"target": kelvin_of(target)},
        "let one lead: a fixed curve at the pump, or no target difference at the control",
    )


@rule(
    "control-sensor-without-flow",
    severity=DAMAGE,
    certainty=LIKELY,
    only_if={"control_sensor": ("system",)},
    cautions=(*FLOW, "limit"),
    source=COMMON_PRACTICE,
    assumes="the system pump can be off while the burner fires",
    trips='settings.control_sensor = "system", piping.system_pump_interlocked = false',
    passes="piping.system_pump_interlocked = true",
)
def control_sensor_without_flow(plant: Plant) -> Drafts:
    """The burner follows a system sensor that is not fitted, or that may have no flow.

    The boiler trips its limit while the system sensor stays cold.
    """
    if plant.known("accessories.system_sensor") is False:
        yield found(
            "control_sensor",
            "control sensor is the system sensor, but none is fitted",
            {},
            Remedy("control by the supply sensor, or fit a system sensor", {"control_sensor": "supply"}),
            severity=OUTAGE,
            certainty=PROVEN,
        )
    elif not plant.flag("piping.system_pump_interlocked"):
        yield found(
            "control_sensor",
            "burner follows the system sensor, but can fire without the system pump",
            {},
            "interlock the system pump, or control by the supply sensor",
        )


RULES: Final[tuple[Rule, ...]] = (
    flow_below_boilers_minimum,
    high_fire_needs_more_flow,
    target_difference_out_of_reach,
    pump_adapts_against_the_control,
    control_sensor_without_flow,
)
