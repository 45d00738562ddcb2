"""Input, output and flue gas of a plant, its cold water and its glycol: what several rules ask. All SI."""

from __future__ import annotations

from typing import Final, cast

from settingslint.physics import OutOfRange
from settingslint.physics.condensing import flue_dew_point, flue_dew_point_by_air
from settingslint.physics.firing import input_at
from settingslint.physics.glycol import mass_fraction_from_volume
from settingslint.physics.water import STANDARD_ATMOSPHERE, atmosphere
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.plant import Plant
from settingslint.units import Celsius

MAINS: Final = Celsius(10.0)
"""Cold water where `hot_water.cold_inlet` is not recorded: an assumption to be named in the text."""
EXCESS_AIR: Final = 0.25
"""Excess air where no CO2 reading is recorded, for the dew point only (common practice, no source)."""


def dew_point(plant: Plant) -> Celsius:
    """Return the return temperature below which the flue gas condenses: by fuel, CO2 at high fire, and elevation."""
    fuel, elevation = plant.word("gas.fuel"), plant.known("site.elevation")
    pressure = STANDARD_ATMOSPHERE if elevation is None else atmosphere(cast(float, elevation))
    co2 = plant.known("combustion.high.co2")
    if co2 is None:
        return flue_dew_point_by_air(fuel, EXCESS_AIR, pressure)
    return flue_dew_point(fuel, cast(float, co2), pressure)


def _input(plant: Plant, end: str) -> float:
    """Return the input, W, at one end of the firing range as the effective fan speed sets it ("about").

    Where the control has no such fan speed, or its file states none for the size, the boiler's rated input. A fan speed
    that the control has and nobody knows is missing: the boiler need not fire as it is rated.
    """
    name, rated = f"{end}_fan_speed", f"boiler.input_{end}"
    stated = [
        plant.known(f"size.{one}") for one in ("fan_at_minimum", "input_minimum", "fan_at_maximum", "input_maximum")
    ]
    fan_low, input_low, fan_high, input_high = [cast(float, one) for one in stated]
    if None in stated:
        return plant.number(rated)
    try:
        return input_at(plant.number(name), (fan_low, input_low), (fan_high, input_high))
    except DoesNotApply:
        return plant.number(rated)
    except OutOfRange as error:
        raise Missing(name, f"outside the speeds that the control file states: {error}") from None


def low_input(plant: Plant) -> float:
    """Return the input, W, at low fire as the effective fan speed sets it ("about")."""
    return _input(plant, "minimum")


def high_input(plant: Plant) -> float:
    """Return the input, W, at high fire as the effective fan speed sets it ("about")."""
    return _input(plant, "maximum")


def minimum_output(plant: Plant) -> float:
    """Return the output, W, at low fire."""
    return low_input(plant) * plant.number("boiler.efficiency")


def _rate(plant: Plant, name: str) -> float:
    if not plant.has(name):
        return 1.0
    try:
        return plant.number(name) / 100.0
    except DoesNotApply:
        return 1.0


def heating_rate(plant: Plant) -> float:
    """Return the share of high fire that the heating rate limit lets through while heating, 1.0 where there is none."""
    return _rate(plant, "heating_maximum_rate")


def heating_output(plant: Plant) -> float:
    """Return the output, W, at high fire while heating, with the heating rate limit."""
    return high_input(plant) * plant.number("boiler.efficiency") * heating_rate(plant)


def hot_water_output(plant: Plant, *, heating_limit: bool = True) -> float:
    """Return the output, W, at high fire while making hot water: with its own rate limit and the tank's coil.

    Args:
        plant: the plant.
        heating_limit: also with the heating rate limit, where the control applies it to hot water.
    """
    output = high_input(plant) * plant.number("boiler.efficiency") * _rate(plant, "hot_water_maximum_rate")
    if heating_limit and plant.known("control.rate_limits_hot_water") is True:
        output = min(output, heating_output(plant))
    coil = None if plant.known("hot_water.kind") == "plate" else plant.known("hot_water.coil_output")
    return min(output, cast(float, coil)) if coil is not None else output


def cold_water(plant: Plant) -> tuple[Celsius, str]:
    """Return the mains temperature and, where it is not recorded, the words that name the assumption."""
    cold = plant.known("hot_water.cold_inlet")
    if cold is not None:
        return Celsius(cast(float, cold)), ""
    return MAINS, f"mains water of {plant.show('hot_water.cold_inlet', MAINS)}"


def glycol_share(plant: Plant) -> float:
    """Return the glycol in the heating water by mass, 0 to 1, whichever way it is recorded."""
    share = plant.number("water.glycol_percent") / 100.0
    if plant.word("water.glycol_by") == "volume":
        return mass_fraction_from_volume(plant.word("water.fluid").split()[0], share)
    return share
