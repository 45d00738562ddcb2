"""A building without heat: how far it falls, and how long until it freezes. One time constant for the whole."""

from __future__ import annotations

import math

from settingslint.physics import above, temperature, within
from settingslint.units import Celsius, Kelvin


def drop(indoor: Celsius, outdoor: Celsius, seconds: float, time_constant_s: float) -> Kelvin:
    """Return how far the room falls without heat, K: (Ti - o)(1 - exp(-t/tau)).

    Args:
        indoor: room at the start.
        outdoor: outdoor temperature, constant.
        seconds: time without heat, s, 0 or above.
        time_constant_s: of the building, s, above 0, up to 1e9.

    Raises:
        OutOfRange: for a time or a time constant outside its range, or a temperature that is none.

    Source: first-order cooling.

    >>> round(drop(Celsius(21.1), Celsius(-17.8), 7200.0, 144000.0) * 1.8, 1)
    3.4
    """
    above("time_constant_s", time_constant_s, 0.0, 1e9)
    fall = temperature("indoor", indoor) - temperature("outdoor", outdoor)
    return Kelvin(fall * (1.0 - math.exp(-within("seconds", seconds, 0.0, 1e10) / time_constant_s)))


def time_to(indoor: Celsius, outdoor: Celsius, target: Celsius, time_constant_s: float) -> float | None:
    """Return the time until the room has fallen to a target, s, or None where it never does.

    t = tau ln((Ti - o)/(Tf - o)). Pipes in outside walls are there sooner.

    Args:
        indoor: room at the start.
        outdoor: outdoor temperature, constant.
        target: temperature that is waited for; 0 s where the room is there already.
        time_constant_s: of the building, s, above 0, up to 1e9.

    Raises:
        OutOfRange: for a time constant outside its range, or a temperature that is none.

    Source: first-order cooling.

    >>> round((time_to(Celsius(12.78), Celsius(-23.33), Celsius(0.0), 108000.0) or 0) / 3600)
    13
    """
    above("time_constant_s", time_constant_s, 0.0, 1e9)
    temperature("outdoor", outdoor)
    if temperature("indoor", indoor) <= temperature("target", target):
        return 0.0
    if outdoor >= target:
        return None
    return time_constant_s * math.log((indoor - outdoor) / (target - outdoor))
