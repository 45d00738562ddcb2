"""Heated floors: surface, limits, and the supply of a slab (EN 1264)."""

from __future__ import annotations

from typing import Final

from settingslint.physics import above, within
from settingslint.units import Celsius, Kelvin

SURFACE_LIMITS: Final[dict[str, Celsius]] = {
    "occupied": Celsius(29.0), "bathroom": Celsius(33.0), "perimeter": Celsius(35.0),
}  # fmt: skip
"""Surface temperature limits of EN 1264-2 (second-hand); check the local rule."""


def surface_output(surface: Celsius, room: Celsius) -> float:
    """Return what a heated floor gives off, W/m2: q = 8.92 (theta_F - theta_i)^1.1.

    Args:
        surface: mean surface temperature, up to 20 K above the room.
        room: room temperature.

    Raises:
        OutOfRange: for a surface colder than the room or more than 20 K above it.

    Source: EN 1264-2 (second-hand; its limits of 100 and 175 W/m2 follow from it).

    >>> round(surface_output(Celsius(29.0), Celsius(20.0)), 1)
    100.0
    """
    return float(8.92 * within("surface - room", surface - room, 0.0, 20.0) ** 1.1)


def surface_needed(output_w_m2: float, room: Celsius) -> Celsius:
    """Return the surface temperature that gives an output, degrees Celsius; the inverse of `surface_output`.

    Args:
        output_w_m2: 0 to 240 W/m2.
        room: room temperature.

    Raises:
        OutOfRange: for an output outside 0 to 240 W/m2.

    Source: EN 1264-2 solved for the surface.

    >>> round(surface_needed(100.0, Celsius(20.0)), 1)
    29.0
    """
    return Celsius(room + (within("output_w_m2", output_w_m2, 0.0, 240.0) / 8.92) ** (1 / 1.1))


def slab_supply(room: Celsius, mean_excess: Kelvin, drop: Kelvin) -> Celsius:
    """Return the supply of a slab from its mean excess over the room and its drop, degrees Celsius.

    excess of supply = dH + S/2 where S/dH < 0.5, else dH + S/2 + S^2/(12 dH). At the change the second form is 2 % of
    dH above the first; against the log-mean difference it is the closer one.

    Args:
        room: room temperature.
        mean_excess: dH, mean (log-mean) excess of the water over the room, K, above 0, up to 100.
        drop: S, supply minus return, K, 0 to 100.

    Raises:
        OutOfRange: for an excess that is not above 0, or a negative drop.

    Source: EN 1264-3 (second-hand).

    >>> slab_supply(Celsius(20.0), Kelvin(15.0), Kelvin(5.0))
    37.5
    """
    above("mean_excess", mean_excess, 0.0, 100.0)
    within("drop", drop, 0.0, 100.0)
    bend = drop**2 / (12 * mean_excess) if drop / mean_excess >= 0.5 else 0.0
    return Celsius(room + mean_excess + drop / 2 + bend)
