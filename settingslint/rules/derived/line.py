"""The supply line of a plant and how it is led: what several rules, `effect` and the pictures ask. All SI.

Each function asks the plant by name, so a missing fact ends in `Missing` and the rule is not checked.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final, cast

from settingslint.model.values import Value
from settingslint.physics.reset import Line, OneNumber, SlopeShift, TwoPoints
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin
from settingslint.vocabulary.settings import OFF

FIXED_SUPPLY_KINDS: Final = frozenset({"air coil", "fan coil", "pool", "snow melting"})
"""Emitters for which a fixed hot supply is ordinary."""


def reset_is_on(plant: Plant) -> bool:
    """Return whether the supply follows the outdoor temperature, after everything the control makes of it."""
    style = plant.reset_style
    if style == "none":
        return False
    if plant.has("reset") and plant.is_off("reset"):
        return False
    if style == "one number":
        return not plant.is_off("reset_endpoint")
    return True


def limit_of_line(plant: Plant, name: str) -> Celsius | None:
    """Return a limit of the line, None where the control has none or it is off; unknown stays `Missing`."""
    if not plant.has(name):
        return None
    try:
        value: Value = plant.value(name)
    except DoesNotApply:
        return None
    return None if value == OFF else Celsius(cast(float, value))


def line(plant: Plant) -> Line:
    """Return the effective supply line: fixed at the set point, or by the control's style of reset.

    Raises:
        Missing: where an end of the line is not known, or the ends are in the wrong order.
    """
    return plant.once(_line)


def _cold_end(plant: Plant) -> Celsius:
    if plant.has("reset_cold_outdoor"):
        return plant.point("reset_cold_outdoor")
    if plant.known("control.cold_anchor") is None:
        raise Missing("reset_cold_outdoor", "the control file does not say where the line is hottest")
    return plant.point("control.cold_anchor")


def _line(plant: Plant) -> Line:
    setpoint = plant.point("heating_setpoint")
    style: OneNumber | TwoPoints | SlopeShift | None = None
    if reset_is_on(plant):
        match plant.reset_style:
            case "one number":
                style = OneNumber(plant.point("reset_endpoint"), setpoint, _cold_end(plant))
                if style.endpoint <= style.cold_outdoor:
                    raise Missing("reset_endpoint", "the end point is not warmer than the cold end of the line")
            case "two points":
                style = TwoPoints(
                    plant.point("reset_hot_supply"),
                    plant.point("reset_cold_outdoor"),
                    plant.point("reset_cool_supply"),
                    plant.point("reset_warm_outdoor"),
                )
                if style.warm_outdoor <= style.cold_outdoor:
                    raise Missing("reset_warm_outdoor", "the mild end of the line is not warmer than the cold end")
            case _:
                shift = plant.difference("reset_shift") if plant.has("reset_shift") else Kelvin(0.0)
                style = SlopeShift(plant.number("reset_slope"), shift, plant.point("building.indoor_design"))
    return Line(
        style,
        setpoint,
        limit_of_line(plant, "maximum_supply"),
        limit_of_line(plant, "minimum_supply"),
        limit_of_line(plant, "warm_weather_shutdown"),
    )


def highest_supply(plant: Plant) -> Celsius:
    """Return the hottest heating supply of the effective settings, at the design outdoor temperature."""
    effective = line(plant)
    if effective.style is None:
        top = plant.point("heating_setpoint")
        return min(top, effective.maximum) if effective.maximum is not None else top
    supply = effective.supply(plant.point("site.design_outdoor"))
    if supply is None:
        raise DoesNotApply("heating is shut down on the design day")
    return supply


def follows(plant: Plant) -> bool:
    """Return whether the supply is set from outside: by a leader or by a signal, where this is recorded."""
    return plant.known("cascade_role") == "follower" or plant.known("external_signal") in ("temperature", "firing rate")


def carries_house(plant: Plant) -> bool:
    """Return whether the recorded load of the house is this boiler's alone, and not that of a group."""
    return plant.known("plant.group") is None and plant.known("cascade_role") not in ("leader", "follower")


def own_supply(plant: Plant) -> bool:
    """Return whether the plant sets its own supply."""
    return not follows(plant)


def own_reset(plant: Plant) -> bool:
    """Return whether the plant's own line of outdoor reset is in force."""
    return own_supply(plant) and reset_is_on(plant)


def own_fixed_supply(plant: Plant) -> bool:
    """Return whether the plant sets its own supply and that does not follow the weather."""
    return own_supply(plant) and not reset_is_on(plant)


def on(name: str) -> Callable[[Plant], bool]:
    """Return a test of a setting for not being off."""
    return lambda plant: not plant.is_off(name)


def own_line(plant: Plant) -> Line:
    """Return `line`.

    Raises:
        DoesNotApply: where a leader or a signal sets the supply.
    """
    if follows(plant):
        raise DoesNotApply("the supply is set from outside")
    return line(plant)


def top(plant: Plant) -> tuple[Celsius, str]:
    """Return the hottest heating supply that is allowed at all, and the setting that says so."""
    setpoint, maximum = plant.point("heating_setpoint"), limit_of_line(plant, "maximum_supply")
    if maximum is not None and maximum < setpoint:
        return maximum, "maximum_supply"
    return setpoint, "heating_setpoint"


def line_setting(plant: Plant) -> str:
    """Return the setting that makes the hot end of the effective line."""
    names = {"two points": "reset_hot_supply", "slope and shift": "reset_slope"}
    return names.get(plant.reset_style, "heating_setpoint") if reset_is_on(plant) else "heating_setpoint"


def fixed_supply_is_ordinary(plant: Plant) -> bool:
    """Return whether something needs the same supply in all weathers: coils, pools, a shared target."""
    if any(plant.word(f"emitter[{index}].kind") in FIXED_SUPPLY_KINDS for index in plant.emitters):
        return True
    if plant.flag("boiler.tankless_coil"):
        return True
    return plant.known("control.shared_target") is True and plant.word("hot_water.kind") in ("tank", "plate")


def band(plant: Plant) -> Kelvin:
    """Return the switching band while heating, K: from the start below the set point to the stop above it."""
    return Kelvin(plant.difference("heating_differential") + overshoot(plant))


def overshoot(plant: Plant) -> Kelvin:
    """Return how far the water goes above the heating set point before the burner stops: a setting, or fixed."""
    if plant.has("heating_overshoot"):
        return plant.difference("heating_overshoot")
    if plant.known("control.overshoot") is None:
        raise Missing("heating_overshoot", "the control file does not say how far above the set point it stops")
    return plant.difference("control.overshoot")
