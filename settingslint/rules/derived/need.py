"""The load of a plant and what its emitters need: what several rules, `effect` and the pictures ask. All SI."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Final, cast

from settingslint.physics import OutOfRange
from settingslint.physics.emitter import EXPONENTS, Emitter, supply_need, supply_need_curve, supply_need_of_all
from settingslint.physics.load import building_load
from settingslint.physics.reset import grid
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import (
    limit_of_line,
)
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin

NEED_FACTS: Final = ("emitter", "building.indoor_design", "site.design_outdoor")
"""What the emitters' need on the design day takes."""


def balance_and_design(plant: Plant) -> tuple[Celsius, Celsius]:
    balance, design = plant.point("building.balance_point"), plant.point("site.design_outdoor")
    if design >= balance:
        raise Missing("building.balance_point", "the design day is not colder than the balance point")
    return balance, design


def load_fraction(plant: Plant, outdoor: Celsius) -> float:
    """Return the share of the design load at an outdoor temperature, 0 above the balance point, above 1 when colder."""
    return building_load(outdoor, 1.0, *plant.once(balance_and_design))


def load(plant: Plant, outdoor: Celsius) -> float:
    """Return the building's heat load, W, at an outdoor temperature."""
    return building_load(outdoor, plant.number("building.design_load"), *balance_and_design(plant))


def heating_range(plant: Plant) -> tuple[Celsius, Celsius]:
    """Return the design outdoor temperature, and the warmest one at which there is a load and heating is not shut down.

    Raises:
        DoesNotApply: where heating is shut down over the whole range.
    """
    balance, design = balance_and_design(plant)
    shutdown = limit_of_line(plant, "warm_weather_shutdown")
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
    bins = plant.hours.bins if plant.hours is not None else ()
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
    curve, ends = supply_need_curve(*plant.once(_direct)), plant.once(balance_and_design)

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
