"""Rules: scalding and hygiene of hot water. They pull in opposite directions, so each finding carries both cautions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import Value
from settingslint.physics import hygiene
from settingslint.physics.hot_water import recovery_time
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    Drafts,
    Missing,
    Remedy,
    Threshold,
    celsius_of,
    found,
    minutes_of,
)
from settingslint.rules.derived.output import hot_water_output
from settingslint.rules.hot_water.tank import APPROACH
from settingslint.rules.hygiene.tap import BOTH, TANK
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, celsius
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, CDC_TOOLKIT, COMMON_PRACTICE, HSE_HSG274

HEAT_UP: Final[Mapping[str, tuple[Value, ...]]] = {**TANK, "hygiene_cycle": (True,)}

STORE: Final = Threshold(
    "tank_minimum", hygiene.TANK_MINIMUM, Kind.POINT, HSE_HSG274, "minimum tank temperature",
    celsius(131), celsius(167),
    "HSE HSG274 part 2: 50 C (122 F) at the tap, which no tank within 5 K of it gives; above 75 C it scalds at once",
    looser="down",
)  # fmt: skip
TAP_FROM: Final = Threshold(
    "tap_range_low", celsius(115), Kind.POINT, COMMON_PRACTICE, "from here a set point looks like one for the tap",
    celsius(105), celsius(117), "common practice, no source: people set taps from 105 F to 120 F; the range keeps 5 F",
    looser="up",
)  # fmt: skip
TAP_TO: Final = Threshold(
    "tap_range_high", celsius(125), Kind.POINT, COMMON_PRACTICE, "up to here a set point looks like one for the tap",
    celsius(122), celsius(135), "common practice, no source: people set taps up to 120 F; the range keeps 5 F",
    looser="down",
)  # fmt: skip


def _low_end(plant: Plant) -> Celsius:
    """Return the tank temperature just before it is heated again, degrees Celsius."""
    return Celsius(plant.point("tank_setpoint") - plant.difference("tank_differential"))


@rule(
    "tank-below-hygiene-temperature",
    severity=DANGER,
    needs=("tank_setpoint", "tank_differential"),
    only_if=TANK,
    cautions=BOTH,
    source=(HSE_HSG274, CDC_TOOLKIT),
    thresholds=(STORE,),
    trips="settings.tank_setpoint = 143",
    passes="settings.tank_setpoint = 144",
)
def tank_below_hygiene_temperature(plant: Plant) -> Drafts:
    """The tank falls below its minimum for hygiene before it is heated again.

    Compared: tank set point minus tank differential, with 60 C (140 F) or the owner's own value. Without a mixing valve
    a hotter tank scalds: at 140 F (60 C) a serious burn of an adult takes about 6 s. The valve comes first.
    """
    low, minimum = _low_end(plant), plant.threshold(STORE)
    if low >= minimum - TOLERANCE:
        return
    grows = ": legionella grows" if hygiene.grows(low) else ""
    value = attainable(plant, "tank_setpoint", at_least=minimum + plant.difference("tank_differential"))
    if plant.known("hot_water.mixing_valve") is not True:
        remedy = Remedy("fit and test a mixing valve; then the person responsible for water safety raises the tank")
    elif value is None:
        remedy = Remedy("raise the tank; the person responsible for water safety decides")
    else:
        shown = plant.show("tank_setpoint", value)
        remedy = Remedy(
            f"raise the tank to {shown}; the person responsible for water safety decides", {"tank_setpoint": value}
        )
    yield found(
        "tank_setpoint",
        f"tank falls to {plant.show(Kind.POINT, low)} before it is heated again{grows}; minimum"
        f" {plant.show(Kind.POINT, minimum)}",
        {"tank at its coolest": celsius_of(low), "minimum": celsius_of(minimum)},
        remedy,
    )


@rule(
    "cool-tank-without-hygiene-measure",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "hygiene_cycle", "hot_water.safety_plan"),
    only_if=TANK,
    cautions=BOTH,
    source=(HSE_HSG274, CDC_TOOLKIT),
    assumes="nothing else keeps the tank clean",
    thresholds=(STORE,),
    trips="hot_water.safety_plan = false, settings.tank_setpoint = 139",
    passes="settings.tank_setpoint = 140",
)
def cool_tank_without_hygiene_measure(plant: Plant) -> Drafts:
    """The tank is cool, no heat-up runs, and there is no water-safety plan with another control measure.

    A heat-up is no substitute for a plan, and not every authority advises thermal treatment.
    """
    tank = plant.point("tank_setpoint")
    if tank >= plant.threshold(STORE) - TOLERANCE or plant.flag("hygiene_cycle") or plant.flag("hot_water.safety_plan"):
        return
    yield found(
        "hygiene_cycle",
        f"tank at {plant.show(Kind.POINT, tank)}, no hygiene heat-up and no water-safety plan",
        {"tank": celsius_of(tank)},
        "name a person responsible for water safety, who decides what keeps the tank clean",
    )


@rule(
    "hygiene-target-out-of-reach",
    severity=DANGER,
    needs=("hygiene_target", "hot_water_boiler_setpoint"),
    only_if=HEAT_UP,
    cautions=BOTH,
    source=ARITHMETIC,
    thresholds=(APPROACH,),
    trips="settings.hygiene_cycle = true, settings.hygiene_target = 153",
    passes="settings.hygiene_target = 152",
)
def hygiene_target_out_of_reach(plant: Plant) -> Drafts:
    """The tank can't get to the hygiene target: the heat-up never ends, or only its timer ends it.

    Hygiene target + approach must not be above the boiler target during hot water or the operating limit, and the
    target itself not above the tank's own limit; the limits count where they are recorded.
    """
    target, boiler = plant.point("hygiene_target"), plant.point("hot_water_boiler_setpoint")
    approach = plant.threshold(APPROACH)
    ways = [(Celsius(boiler - approach), f"boiler target {plant.show(Kind.POINT, boiler)}")]
    operating, own = plant.known("operating_limit"), plant.known("tank_high_limit")
    if isinstance(operating, float):
        limit = plant.show(Kind.POINT, operating)
        ways.append((Celsius(operating - approach), f"operating limit {limit}"))
    if isinstance(own, float):
        ways.append((Celsius(own), f"tank limit {plant.show(Kind.POINT, own)}"))
    reach, why = min(ways)
    if target > reach + TOLERANCE:
        yield found(
            "hygiene_target",
            f"heat-up to {plant.show(Kind.POINT, target)}, but the tank reaches about {plant.show(Kind.POINT, reach)}:"
            f" {why}",
            {"heat-up": celsius_of(target), "within reach": celsius_of(reach)},
            "ask the person responsible for water safety: a hotter boiler target, or another measure",
        )


@rule(
    "hygiene-target-too-cool",
    severity=DANGER,
    needs=("hygiene_target",),
    only_if=HEAT_UP,
    cautions=BOTH,
    source=HSE_HSG274,
    thresholds=(STORE,),
    trips="settings.hygiene_cycle = true, settings.hygiene_target = 139",
    passes="settings.hygiene_target = 140",
)
def hygiene_target_too_cool(plant: Plant) -> Drafts:
    """The hygiene heat-up does not even reach the minimum of an ordinary hot tank.

    Compared: the hygiene target with 60 C (140 F) or the owner's own value.
    """
    target, minimum = plant.point("hygiene_target"), plant.threshold(STORE)
    if target < minimum - TOLERANCE:
        yield found(
            "hygiene_target",
            f"heat-up only to {plant.show(Kind.POINT, target)}; minimum of a tank is {plant.show(Kind.POINT, minimum)}",
            {"heat-up": celsius_of(target), "minimum": celsius_of(minimum)},
            "test the mixing valve, then raise the target with the person responsible for water safety",
        )


@rule(
    "hygiene-time-limit-too-short",
    severity=DANGER,
    certainty=LIKELY,
    needs=(
        "hygiene_target", "hygiene_time_limit", "tank_setpoint", "tank_differential", "hot_water.tank_volume",
        "boiler.efficiency",
    ),
    only_if=HEAT_UP,
    cautions=BOTH,
    source=ARITHMETIC,
    assumes="full output to the tank, and no hot water used meanwhile",
    trips=(
        'hot_water.tank_volume = 150, settings.hygiene_cycle = true, settings.hygiene_target = 152, '
        'settings.hygiene_time_limit = 9'
    ),
    passes='settings.hygiene_time_limit = 10',
)  # fmt: skip
def hygiene_time_limit_too_short(plant: Plant) -> Drafts:
    """The heat-up's time limit ends it before the tank can be at the hygiene target.

    Time = volume x rho cp x (hygiene target - (tank set point - tank differential)) / output that reaches the tank.
    """
    rise = Kelvin(max(0.0, plant.point("hygiene_target") - _low_end(plant)))
    takes = recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))
    limit = plant.number("hygiene_time_limit")
    if takes > limit + TOLERANCE:
        value = attainable(plant, "hygiene_time_limit", at_least=takes)
        if value is None:
            remedy = Remedy("ask the person responsible for water safety how long it must run and hold")
        else:
            shown = plant.show("hygiene_time_limit", value)
            remedy = Remedy(
                f"allow at least {shown}; the person responsible for water safety decides",
                {"hygiene_time_limit": value},
            )
        yield found(
            "hygiene_time_limit",
            f"heating the tank to {plant.show('hygiene_target')} takes {plant.show(Kind.MINUTES, takes)}; heat-up"
            f" ends after {plant.show(Kind.MINUTES, limit)}",
            {"heating": minutes_of(takes), "limit": minutes_of(limit)},
            remedy,
        )


@rule(
    "reduced-tank-in-growth-range",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water_reduced",),
    only_if=TANK,
    cautions=BOTH,
    source=HSE_HSG274,
    assumes="the reduced temperature lasts for days",
    trips="settings.hot_water_reduced = 113",
    passes="settings.hot_water_reduced = 114",
)
def reduced_tank_in_growth_range(plant: Plant) -> Drafts:
    """Away or economy times keep the tank where legionella grows.

    Growth range: about 20 to 45 C. After a standstill the water is heated and flushed before it is used.
    """
    if plant.is_off("hot_water_reduced"):
        return
    reduced, warm = plant.point("hot_water_reduced"), hygiene.GROWTH[1]
    if reduced <= warm + TOLERANCE:
        yield found(
            "hot_water_reduced",
            f"tank reduced to {plant.show(Kind.POINT, reduced)}: legionella grows up to {plant.show(Kind.POINT, warm)}",
            {"reduced tank": celsius_of(reduced), "growth up to": celsius_of(warm)},
            Remedy("switch the reduction off; after a standstill heat and flush first", {"hot_water_reduced": OFF}),
        )


@rule(
    "shared-target-below-tank",
    severity=DANGER,
    needs=("heating_setpoint", "tank_setpoint"),
    only_if=TANK,
    cautions=BOTH,
    source=ARITHMETIC,
    thresholds=(APPROACH,),
    trips="control.control.shared_target = true, settings.heating_setpoint = 164",
    passes="settings.heating_setpoint = 165",
)
def shared_target_below_tank(plant: Plant) -> Drafts:
    """One target serves heating and hot water, and is too low to keep the tank hot.

    A campaign "lower the flow temperature" is meant for boilers without a tank. The control file says whether the
    target is shared.
    """
    shared = plant.known("control.shared_target")
    if shared is None:
        raise Missing("heating_setpoint", "the control file does not say whether one target serves both")
    if shared is not True:
        return
    target, tank = plant.point("heating_setpoint"), plant.point("tank_setpoint")
    needed = Celsius(tank + plant.threshold(APPROACH))
    if target < needed - TOLERANCE:
        value = attainable(plant, "heating_setpoint", at_least=needed)
        higher = "" if value is None else f" to {plant.show('heating_setpoint', value)}"
        yield found(
            "heating_setpoint",
            f"one target of {plant.show(Kind.POINT, target)} for heating and hot water; a tank at"
            f" {plant.show(Kind.POINT, tank)} needs {plant.show(Kind.POINT, needed)}",
            {"target": celsius_of(target), "tank": celsius_of(tank)},
            Remedy(
                f"raise the shared target{higher}, or separate the two where the control can",
                {} if value is None else {"heating_setpoint": value},
            ),
        )


@rule(
    "tap-temperature-typed-as-tank",
    severity=DANGER,
    certainty=ASK,
    needs=("tank_setpoint",),
    only_if={**TANK, "hot_water.mixing_valve": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    thresholds=(TAP_FROM, TAP_TO),
    trips="settings.tank_setpoint = 125",
    passes="settings.tank_setpoint = 126",
)
def tap_temperature_typed_as_tank(plant: Plant) -> Drafts:
    """The tank set point looks like a temperature for the tap, but a mixing valve makes that.

    A set point of 115 to 125 F together with a mixing valve: ask which was meant.
    """
    tank = plant.point("tank_setpoint")
    if plant.threshold(TAP_FROM) - TOLERANCE <= tank <= plant.threshold(TAP_TO) + TOLERANCE:
        yield found(
            "tank_setpoint",
            f"tank set to {plant.show(Kind.POINT, tank)} behind a mixing valve: was that meant for the tap?",
            {"tank": celsius_of(tank)},
            "ask; set the tank by the water-safety plan and the tap temperature at the valve",
        )


RULES: Final[tuple[Rule, ...]] = (
    tank_below_hygiene_temperature,
    cool_tank_without_hygiene_measure,
    hygiene_target_out_of_reach,
    hygiene_target_too_cool,
    hygiene_time_limit_too_short,
    reduced_tank_in_growth_range,
    shared_target_below_tank,
    tap_temperature_typed_as_tank,
)
