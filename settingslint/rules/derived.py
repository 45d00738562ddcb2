"""What several rules, `effect` and the pictures derive from a plant: its line, its need, its outputs. All SI.

Each function asks the plant by name, so a missing fact ends in `Missing` and the rule is not checked.
"""

from __future__ import annotations

from typing import Final, cast

from settingslint.model.values import Value
from settingslint.physics import OutOfRange
from settingslint.physics.emitter import EXPONENTS, Emitter, supply_need_of_all
from settingslint.physics.firing import input_at
from settingslint.physics.load import building_load
from settingslint.physics.reset import Line, OneNumber, SlopeShift, TwoPoints
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin
from settingslint.vocabulary.settings import OFF

MAINS: Final = Celsius(10.0)
"""Cold water where `hot_water.cold_inlet` is not recorded: an assumption to be named in the text."""


def reset_is_on(plant: Plant) -> bool:
    """Return whether the supply follows the outdoor temperature, after everything the control makes of it."""
    style = plant.control.reset_style
    if style == "none":
        return False
    if "reset" in plant.control.rows and plant.is_off("reset"):
        return False
    if style == "one number":
        return not plant.is_off("reset_endpoint")
    return True


def _optional_limit(plant: Plant, name: str) -> Celsius | None:
    """Return a limit of the line, None where the control has none or it is off; unknown stays `Missing`."""
    if name not in plant.control.rows:
        return None
    try:
        value: Value = plant.value(name)
    except DoesNotApply:
        return None
    return None if value == OFF else Celsius(cast(float, value))


def line(plant: Plant) -> Line:
    """Return the effective supply line: fixed at the set point, or by the control's style of reset.

    Raises:
        Missing: where an end of the line is not known.
    """
    setpoint = plant.point("heating_setpoint")
    style: OneNumber | TwoPoints | SlopeShift | None = None
    if reset_is_on(plant):
        match plant.control.reset_style:
            case "one number":
                anchor = plant.control.cold_anchor
                if "reset_cold_outdoor" in plant.control.rows:
                    anchor = plant.point("reset_cold_outdoor")
                if anchor is None:
                    raise Missing("reset_cold_outdoor", "the control file does not say where the line is hottest")
                style = OneNumber(plant.point("reset_endpoint"), setpoint, Celsius(anchor))
            case "two points":
                style = TwoPoints(
                    plant.point("reset_hot_supply"),
                    plant.point("reset_cold_outdoor"),
                    plant.point("reset_cool_supply"),
                    plant.point("reset_warm_outdoor"),
                )
            case _:
                shift = plant.difference("reset_shift") if "reset_shift" in plant.control.rows else Kelvin(0.0)
                style = SlopeShift(plant.number("reset_slope"), shift, plant.point("building.indoor_design"))
    return Line(
        style,
        setpoint,
        _optional_limit(plant, "maximum_supply"),
        _optional_limit(plant, "minimum_supply"),
        _optional_limit(plant, "warm_weather_shutdown"),
    )


def highest_supply(plant: Plant) -> Celsius:
    """Return the hottest heating supply that the effective settings can ask for, at the design outdoor temperature."""
    effective = line(plant)
    if effective.style is None:
        top = plant.point("heating_setpoint")
        return min(top, effective.maximum) if effective.maximum is not None else top
    supply = effective.supply(plant.point("site.design_outdoor"))
    if supply is None:
        raise DoesNotApply("heating is shut down on the design day")
    return supply


def load_fraction(plant: Plant, outdoor: Celsius) -> float:
    """Return the share of the design load at an outdoor temperature, 0 above the balance point, above 1 when colder."""
    return building_load(outdoor, 1.0, plant.point("building.balance_point"), plant.point("site.design_outdoor"))


def load(plant: Plant, outdoor: Celsius) -> float:
    """Return the building's heat load, W, at an outdoor temperature."""
    return building_load(
        outdoor,
        plant.number("building.design_load"),
        plant.point("building.balance_point"),
        plant.point("site.design_outdoor"),
    )


def emitter(plant: Plant, index: int) -> Emitter:
    """Return one emitter as the formulas want it; the exponent of its kind where none is recorded."""
    at = f"emitter[{index}]"
    kind = plant.word(f"{at}.kind")
    exponent = plant.known(f"{at}.exponent")
    if exponent is None and kind not in EXPONENTS:
        raise Missing(f"{at}.exponent", f"no exponent is known for a {kind}")
    oversize = plant.known(f"{at}.oversize")
    return Emitter(
        kind,
        plant.point(f"{at}.design_supply"),
        plant.point(f"{at}.design_return"),
        cast(float, exponent) if exponent is not None else EXPONENTS[kind],
        cast(float, oversize) if oversize is not None else 1.0,
    )


def direct_emitters(plant: Plant) -> list[int]:
    """Return the emitters that get the boiler's supply as it is: those without a mixing device of their own.

    Raises:
        Missing: where an emitter does not say whether it is mixed.
    """
    return [index for index in plant.emitters if not plant.flag(f"emitter[{index}].mixed")]


def need(plant: Plant, outdoor: Celsius) -> Celsius:
    """Return the supply that the unmixed emitters need at an outdoor temperature, the hottest deciding.

    Assumes constant flow, one exponent for each emitter and a load that follows the outdoor temperature.

    Raises:
        DoesNotApply: where every emitter has its own mixing device.
    """
    emitters = [emitter(plant, index) for index in direct_emitters(plant)]
    if not emitters:
        raise DoesNotApply("every emitter is mixed")
    fraction = load_fraction(plant, outdoor)
    return supply_need_of_all(emitters, fraction, plant.point("building.indoor_design"))


def inputs(plant: Plant) -> tuple[float, float]:
    """Return the input, W, at low and at high fire as the effective fan speeds set it ("about").

    Where the control file states no fan speeds for the size, the boiler's rated inputs.
    """
    size = plant.control.sizes.get(plant.profile.size or "")
    low_speed, high_speed = plant.known("minimum_fan_speed"), plant.known("maximum_fan_speed")
    if size is not None and None not in (
        size.fan_at_minimum, size.fan_at_maximum, size.input_minimum, size.input_maximum, low_speed, high_speed,
    ):  # fmt: skip
        low = (cast(float, size.fan_at_minimum), cast(float, size.input_minimum))
        high = (cast(float, size.fan_at_maximum), cast(float, size.input_maximum))
        try:
            return input_at(cast(float, low_speed), low, high), input_at(cast(float, high_speed), low, high)
        except OutOfRange as error:
            raise Missing("maximum_fan_speed", f"outside the speeds that the control file states: {error}") from None
    return plant.number("boiler.input_minimum"), plant.number("boiler.input_maximum")


def minimum_output(plant: Plant) -> float:
    """Return the output, W, at low fire."""
    return inputs(plant)[0] * plant.number("boiler.efficiency")


def _rate(plant: Plant, name: str) -> float:
    if name not in plant.control.rows:
        return 1.0
    try:
        return plant.number(name) / 100.0
    except DoesNotApply:
        return 1.0


def heating_output(plant: Plant) -> float:
    """Return the output, W, at high fire while heating, with the heating rate limit."""
    return inputs(plant)[1] * plant.number("boiler.efficiency") * _rate(plant, "heating_maximum_rate")


def hot_water_output(plant: Plant) -> float:
    """Return the output, W, at high fire while making hot water, with its rate limit and the tank's coil."""
    output = inputs(plant)[1] * plant.number("boiler.efficiency") * _rate(plant, "hot_water_maximum_rate")
    if plant.control.notes.get("rate_limits_hot_water") is True:
        output = min(output, heating_output(plant))
    coil = plant.known("hot_water.coil_output")
    return min(output, cast(float, coil)) if coil is not None else output


def cold_water(plant: Plant) -> tuple[Celsius, str]:
    """Return the mains temperature and, where it is not recorded, the words that name the assumption."""
    cold = plant.known("hot_water.cold_inlet")
    if cold is not None:
        return Celsius(cast(float, cold)), ""
    return MAINS, f"mains water of {plant.show('hot_water.cold_inlet', MAINS)}"


def overshoot(plant: Plant) -> Kelvin:
    """Return how far the water goes above the heating set point before the burner stops: a setting, or fixed."""
    if "heating_overshoot" in plant.control.rows:
        return plant.difference("heating_overshoot")
    if plant.control.overshoot is None:
        raise Missing("heating_overshoot", "the control file does not say how far above the set point it stops")
    return Kelvin(plant.control.overshoot)
