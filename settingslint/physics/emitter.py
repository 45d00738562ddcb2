"""Emitters: output against water temperature, and the water that a part load needs.

q/qn = (dT/dTn)^n, with dT the excess of the mean water over the room (EN 442-2). The exponents are those that
handbooks print; a profile that states its own wins.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Final

from settingslint.physics import HOTTEST, above, temperature, within
from settingslint.units import Celsius, Kelvin

EXPONENTS: Final[dict[str, float]] = {
    "panel radiator": 1.3,
    "cast-iron radiator": 1.3,
    "finned tube": 1.4,
    "convector": 1.42,
    "fan coil": 1.0,
    "air coil": 1.0,
    "heated floor": 1.1,
}
"""Panel radiators: EN 442; floors: EN 1264; the rest: ASHRAE HVAC Systems and Equipment, hydronic units chapter (from
memory). Printed ranges: finned tube 1.31 to 1.4, cast iron 1.2 to 1.3."""

ARITHMETIC_FROM: Final = 0.7
"""The arithmetic mean is used where (return - room)/(supply - room) is above this (usual limit, from memory)."""


@dataclass(frozen=True, slots=True)
class Emitter:
    """An emitter by the water at which it gives its share of the design load; `oversize` divides the part load.

    Supply and return in degrees Celsius; an oversize of 1.2 gives a fifth more than its share at that water.
    """

    kind: str
    design_supply: Celsius
    design_return: Celsius
    exponent: float
    oversize: float = 1.0


def excess_temperature(supply: Celsius, back: Celsius, room: Celsius) -> Kelvin:
    """Return the excess of the water over the room, K: arithmetic, or log-mean where the return is cold.

    Args:
        supply: supply temperature, not below the return.
        back: return temperature, above the room.
        room: room temperature.

    Raises:
        OutOfRange: where supply, return and room are not in this order.

    The two means differ by 1 % at the change-over, 0.3 % at 75/65/20.

    Source: EN 442-2 (both means); the choice at a ratio of 0.7 is common practice, no source.

    >>> excess_temperature(Celsius(75.0), Celsius(65.0), Celsius(20.0))
    50.0
    >>> round(excess_temperature(Celsius(45.0), Celsius(35.0), Celsius(20.0)), 3)
    19.576
    """
    above("back", back, temperature("room", room), HOTTEST)
    within("supply", supply, back, HOTTEST)
    ratio = (back - room) / (supply - room)
    if ratio > ARITHMETIC_FROM:
        return Kelvin((supply + back) / 2 - room)
    return Kelvin((supply - back) / math.log(1.0 / ratio))


def output_ratio(excess: Kelvin, rated_excess: Kelvin, exponent: float) -> float:
    """Return output divided by rated output: (dT/dTn)^n.

    Args:
        excess: excess temperature, K, 0 or above.
        rated_excess: excess temperature at the rating, K, above 0.
        exponent: 1.0 to 1.6.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: EN 442-2, 5.5 (second-hand).

    >>> round(output_ratio(Kelvin(30.0), Kelvin(50.0), 1.3), 4)
    0.5148
    """
    within("excess", excess, 0.0, 200.0)
    within("rated_excess", rated_excess, 1e-3, 200.0)
    return float((excess / rated_excess) ** within("exponent", exponent, 1.0, 1.6))


def _mean_excess(emitter: Emitter, load_fraction: float, room: Celsius) -> float:
    above("design_return", emitter.design_return, room, emitter.design_supply)
    rated = (emitter.design_supply + emitter.design_return) / 2 - room
    within("exponent", emitter.exponent, 1.0, 1.6)
    within("oversize", emitter.oversize, 0.1, 10.0)
    share = within("load_fraction", load_fraction, 0.0, 3.0) / emitter.oversize
    return float(rated * share ** (1.0 / emitter.exponent))


def supply_need(emitter: Emitter, load_fraction: float, room: Celsius) -> Celsius:
    """Return the supply that an emitter needs at a share of its design load, degrees Celsius.

    mean = room + (design mean - room) (f/k)^(1/n); supply = mean + half the drop; drop = design drop x f.
    Assumes constant flow and one exponent, with the arithmetic mean.

    Args:
        emitter: the emitter, with its oversize k.
        load_fraction: f, 0 to 3.
        room: room temperature.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: EN 442-2 solved for the water; published code of a US national laboratory uses the same form.

    >>> round(supply_need(Emitter("panel radiator", Celsius(75), Celsius(65), 1.3), 0.5, Celsius(20)), 3)
    51.837
    """
    drop = (emitter.design_supply - emitter.design_return) * load_fraction
    return Celsius(room + _mean_excess(emitter, load_fraction, room) + drop / 2)


def return_need(emitter: Emitter, load_fraction: float, room: Celsius) -> Celsius:
    """Return the return temperature that goes with `supply_need`, degrees Celsius: mean - half the drop.

    At constant flow, with one exponent and the arithmetic mean.

    Args:
        emitter: the emitter, with its oversize k.
        load_fraction: f, 0 to 3.
        room: room temperature.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: as `supply_need`.

    >>> round(return_need(Emitter("panel radiator", Celsius(75), Celsius(65), 1.3), 0.5, Celsius(20)), 3)
    46.837
    """
    drop = (emitter.design_supply - emitter.design_return) * load_fraction
    return Celsius(room + _mean_excess(emitter, load_fraction, room) - drop / 2)


def supply_need_curve(emitters: Iterable[Emitter], room: Celsius) -> Callable[[float], Celsius]:
    """Return `supply_need_of_all` as a function of the load share, for many shares of the same emitters.

    Args:
        emitters: at least one.
        room: room temperature, the same for all.

    Raises:
        OutOfRange: as `supply_need`. What is returned raises it too, and ValueError where there is no emitter.

    >>> curve = supply_need_curve([Emitter("panel radiator", Celsius(75), Celsius(65), 1.3)], Celsius(20))
    >>> round(curve(0.5), 3), curve(1.0)
    (51.837, 75.0)
    """
    terms = [
        (_mean_excess(one, 1.0, room), 1.0 / one.exponent, (one.design_supply - one.design_return) / 2)
        for one in emitters
    ]

    def need(load_fraction: float) -> Celsius:
        within("load_fraction", load_fraction, 0.0, 3.0)
        return Celsius(room + max([mean * load_fraction**power + half * load_fraction for mean, power, half in terms]))

    return need


def supply_need_of_all(emitters: Iterable[Emitter], load_fraction: float, room: Celsius) -> Celsius:
    """Return the supply that several emitters on one line need: the hottest decides.

    Args:
        emitters: at least one.
        load_fraction: 0 to 3, the same for all.
        room: room temperature, the same for all.

    Raises:
        ValueError: without an emitter.
        OutOfRange: as `supply_need`.

    Source: as `supply_need`; one line has one temperature.

    >>> radiator = Emitter("panel radiator", Celsius(75), Celsius(65), 1.3)
    >>> floor = Emitter("heated floor", Celsius(40), Celsius(32), 1.1)
    >>> supply_need_of_all([floor, radiator], 1.0, Celsius(20))
    75.0
    """
    return supply_need_curve(emitters, room)(load_fraction)
