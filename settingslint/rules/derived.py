"""What several rules, `effect` and the pictures derive from a plant: its line, its need, its outputs. All SI.

Each function asks the plant by name, so a missing fact ends in `Missing` and the rule is not checked.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Final, cast

from settingslint.model.values import Value
from settingslint.physics import OutOfRange
from settingslint.physics.condensing import flue_dew_point, flue_dew_point_by_air
from settingslint.physics.emitter import EXPONENTS, Emitter, supply_need, supply_need_curve, supply_need_of_all
from settingslint.physics.firing import input_at
from settingslint.physics.glycol import mass_fraction_from_volume
from settingslint.physics.load import building_load
from settingslint.physics.reset import Line, OneNumber, SlopeShift, TwoPoints, grid
from settingslint.physics.water import STANDARD_ATMOSPHERE, atmosphere
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin
from settingslint.vocabulary.settings import OFF

MAINS: Final = Celsius(10.0)
"""Cold water where `hot_water.cold_inlet` is not recorded: an assumption to be named in the text."""

EXCESS_AIR: Final = 0.25
"""Excess air where no CO2 reading is recorded, for the dew point only (common practice, no source)."""

FIXED_SUPPLY_KINDS: Final = frozenset({"air coil", "fan coil", "pool", "snow melting"})
"""Emitters for which a fixed hot supply is ordinary."""

NEED_FACTS: Final = ("emitter", "building.indoor_design", "site.design_outdoor")
"""What the emitters' need on the design day takes."""


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
        Missing: where an end of the line is not known, or the ends are in the wrong order.
    """
    return plant.once(_line)


def _line(plant: Plant) -> Line:
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


def follows(plant: Plant) -> bool:
    """Return whether the supply is set from outside: by a leader or by a signal, where this is recorded."""
    return plant.known("cascade_role") == "follower" or plant.known("external_signal") in ("temperature", "firing rate")


def carries_house(plant: Plant) -> bool:
    """Return whether the recorded load of the house is this boiler's alone, and not that of a group."""
    return plant.profile.group is None and plant.known("cascade_role") not in ("leader", "follower")


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
    setpoint, maximum = plant.point("heating_setpoint"), _optional_limit(plant, "maximum_supply")
    if maximum is not None and maximum < setpoint:
        return maximum, "maximum_supply"
    return setpoint, "heating_setpoint"


def line_setting(plant: Plant) -> str:
    """Return the setting that makes the hot end of the effective line."""
    names = {"two points": "reset_hot_supply", "slope and shift": "reset_slope"}
    return names.get(plant.control.reset_style, "heating_setpoint") if reset_is_on(plant) else "heating_setpoint"


def fixed_supply_is_ordinary(plant: Plant) -> bool:
    """Return whether something asks for the same hot water in all weathers: coils, pools, a shared target."""
    if any(plant.word(f"emitter[{index}].kind") in FIXED_SUPPLY_KINDS for index in plant.emitters):
        return True
    if plant.flag("boiler.tankless_coil"):
        return True
    return plant.control.notes.get("shared_target") is True and plant.word("hot_water.kind") in ("tank", "plate")


def _balance_and_design(plant: Plant) -> tuple[Celsius, Celsius]:
    balance, design = plant.point("building.balance_point"), plant.point("site.design_outdoor")
    if design >= balance:
        raise Missing("building.balance_point", "the design day is not colder than the balance point")
    return balance, design


def load_fraction(plant: Plant, outdoor: Celsius) -> float:
    """Return the share of the design load at an outdoor temperature, 0 above the balance point, above 1 when colder."""
    return building_load(outdoor, 1.0, *plant.once(_balance_and_design))


def load(plant: Plant, outdoor: Celsius) -> float:
    """Return the building's heat load, W, at an outdoor temperature."""
    return building_load(outdoor, plant.number("building.design_load"), *_balance_and_design(plant))


def heating_range(plant: Plant) -> tuple[Celsius, Celsius]:
    """Return the design outdoor temperature, and the warmest one at which there is a load and heating is not shut down.

    Raises:
        DoesNotApply: where heating is shut down over the whole range.
    """
    balance, design = _balance_and_design(plant)
    shutdown = _optional_limit(plant, "warm_weather_shutdown")
    warm = balance if shutdown is None else min(balance, shutdown)
    if warm <= design:
        raise DoesNotApply("heating is shut down on the design day")
    return design, warm


def weighted(plant: Plant) -> list[tuple[Celsius, float]]:
    """Return outdoor temperatures of the heating range with their shares of the time.

    By the weather file; without one, all alike.

    Raises:
        DoesNotApply: as `heating_range`.
    """
    return plant.once(_weighted)


def _weighted(plant: Plant) -> list[tuple[Celsius, float]]:
    cold, warm = heating_range(plant)
    bins = plant.context.hours.bins if plant.context.hours is not None else ()
    hours = [(Celsius(edge + 0.5), float(count)) for edge, count in bins if cold <= edge + 0.5 <= warm and count]
    if not hours:
        hours = [(outdoor, 1.0) for outdoor in grid(cold, warm)]
    total = sum(weight for _, weight in hours)
    return [(outdoor, weight / total) for outdoor, weight in hours]


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


def _direct(plant: Plant) -> tuple[list[Emitter], Celsius]:
    """Return the unmixed emitters and the room's design temperature."""
    emitters = [emitter(plant, index) for index in direct_emitters(plant)]
    if not emitters:
        raise DoesNotApply("every emitter is mixed")
    return emitters, plant.point("building.indoor_design")


def need_at_share(plant: Plant, share: float) -> Celsius:
    """Return the supply that the unmixed emitters need at a share of the design load, the hottest deciding.

    Raises:
        DoesNotApply: where every emitter has its own mixing device.
    """
    emitters, room = plant.once(_direct)
    return supply_need_of_all(emitters, share, room)


def need(plant: Plant, outdoor: Celsius) -> Celsius:
    """Return the supply that the unmixed emitters need at an outdoor temperature, the hottest deciding.

    Assumes constant flow, one exponent for each emitter and a load that follows the outdoor temperature.

    Raises:
        DoesNotApply: where every emitter has its own mixing device.
    """
    return needs_of(plant)(outdoor)


def needs_of(plant: Plant) -> Callable[[Celsius], Celsius]:
    """Return `need` as a function of the outdoor temperature; what it was asked once it remembers.

    Raises:
        DoesNotApply: as `need`.
    """
    return plant.once(_needs)


def _needs(plant: Plant) -> Callable[[Celsius], Celsius]:
    curve, ends = supply_need_curve(*plant.once(_direct)), plant.once(_balance_and_design)

    @cache
    def needed(outdoor: Celsius) -> Celsius:
        return curve(building_load(outdoor, 1.0, *ends))

    return needed


def known_need(plant: Plant, outdoor: Celsius) -> Celsius | None:
    """Return `need`, or None where it can't be told; for what only adds to a finding."""
    try:
        return need(plant, outdoor)
    except (Missing, DoesNotApply, OutOfRange):
        return None


def hottest_emitter(plant: Plant) -> Emitter:
    """Return the unmixed emitter that needs the hottest water on the design day.

    Raises:
        DoesNotApply: where every emitter has its own mixing device.
    """
    emitters = [emitter(plant, index) for index in direct_emitters(plant)]
    if not emitters:
        raise DoesNotApply("every emitter is mixed")
    room = plant.point("building.indoor_design")
    return max(emitters, key=lambda one: supply_need(one, 1.0, room))


def drop_at_design(plant: Plant) -> Kelvin:
    """Return the supply-return difference on the design day, K, of the emitter that needs the hottest water."""
    hottest = hottest_emitter(plant)
    return Kelvin(hottest.design_supply - hottest.design_return)


def drop(plant: Plant, outdoor: Celsius) -> Kelvin:
    """Return the supply-return difference at an outdoor temperature, K: that of the design day x load share."""
    return Kelvin(drop_at_design(plant) * load_fraction(plant, outdoor))


def dew_point(plant: Plant) -> Celsius:
    """Return the return temperature below which the flue gas condenses: by fuel, CO2 at high fire, and elevation."""
    fuel, elevation = plant.word("gas.fuel"), plant.known("site.elevation")
    pressure = STANDARD_ATMOSPHERE if elevation is None else atmosphere(cast(float, elevation))
    co2 = plant.known("combustion.high.co2")
    if co2 is None:
        return flue_dew_point_by_air(fuel, EXCESS_AIR, pressure)
    return flue_dew_point(fuel, cast(float, co2), pressure)


def band(plant: Plant) -> Kelvin:
    """Return the switching band while heating, K: from the start below the set point to the stop above it."""
    return Kelvin(plant.difference("heating_differential") + overshoot(plant))


def _input(plant: Plant, end: str) -> float:
    """Return the input, W, at one end of the firing range as the effective fan speed sets it ("about").

    Where the control has no such fan speed, or its file states none for the size, the boiler's rated input. A fan speed
    that the control has and nobody knows is missing: the boiler need not fire as it is rated.
    """
    size = plant.control.sizes.get(plant.profile.size or "")
    name, rated = f"{end}_fan_speed", f"boiler.input_{end}"
    if size is None:
        return plant.number(rated)
    points = (size.fan_at_minimum, size.input_minimum, size.fan_at_maximum, size.input_maximum)
    fan_low, input_low, fan_high, input_high = points
    if fan_low is None or input_low is None or fan_high is None or input_high is None:
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
    if name not in plant.control.rows:
        return 1.0
    try:
        return plant.number(name) / 100.0
    except DoesNotApply:
        return 1.0


def heating_output(plant: Plant) -> float:
    """Return the output, W, at high fire while heating, with the heating rate limit."""
    return high_input(plant) * plant.number("boiler.efficiency") * _rate(plant, "heating_maximum_rate")


def hot_water_output(plant: Plant, *, heating_limit: bool = True) -> float:
    """Return the output, W, at high fire while making hot water: with its own rate limit and the tank's coil.

    Args:
        plant: the plant.
        heating_limit: also with the heating rate limit, where the control applies it to hot water.
    """
    output = high_input(plant) * plant.number("boiler.efficiency") * _rate(plant, "hot_water_maximum_rate")
    if heating_limit and plant.control.notes.get("rate_limits_hot_water") is True:
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


def overshoot(plant: Plant) -> Kelvin:
    """Return how far the water goes above the heating set point before the burner stops: a setting, or fixed."""
    if "heating_overshoot" in plant.control.rows:
        return plant.difference("heating_overshoot")
    if plant.control.overshoot is None:
        raise Missing("heating_overshoot", "the control file does not say how far above the set point it stops")
    return Kelvin(plant.control.overshoot)
