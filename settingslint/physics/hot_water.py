"""Hot water by tank and by plate: recovery, draw, and mixing."""

from __future__ import annotations

import math

from settingslint.physics import above, below, within
from settingslint.physics.water import heat_capacity_of
from settingslint.units import Celsius, Kelvin

MEAN_WATER = Celsius(40.0)
"""Temperature at which the water's heat capacity is taken: halfway between mains and store."""


def recovery_time(volume_l: float, rise: Kelvin, output_w: float) -> float:
    """Return the time to heat a tank, s: V rho cp rise/output, without losses and with full output throughout.

    Args:
        volume_l: tank, L.
        rise: from cold to stored, K, 0 or above.
        output_w: output that reaches the tank, W, above 0.

    Raises:
        OutOfRange: for an output not above 0 or a negative rise.

    Source: heat balance; the trade's 8.33 x gal x dF / Btu/h agrees within 1 %.

    >>> round(recovery_time(151.4, Kelvin(50.0), 29307.0) / 60, 1)
    17.9
    """
    above("output_w", output_w, 0.0, 1e9)
    return heat_capacity_of(volume_l, MEAN_WATER) * within("rise", rise, 0.0, 100.0) / output_w


def coil_recovery_time(volume_l: float, ua: float, supply: Celsius, cold: Celsius, stored: Celsius) -> float:
    """Return the time a coil of constant UA takes, s: (C/UA) ln((Ts - T1)/(Ts - T2)).

    Args:
        volume_l: tank, L.
        ua: coil, W/K, above 0.
        supply: boiler water, constant.
        cold: tank at the start.
        stored: tank at the end.

    Raises:
        OutOfRange: where the boiler water is not hotter than the wanted store: it never gets there.

    Source: first-order exchange at constant supply.

    >>> round(coil_recovery_time(189.3, 791.3, Celsius(82.2), Celsius(15.6), Celsius(60.0)) / 60, 0)
    18.0
    """
    above("ua", ua, 0.0, 1e6)
    above("supply", supply, stored, 200.0)
    within("cold", cold, 0.0, stored)
    return heat_capacity_of(volume_l, MEAN_WATER) / ua * math.log((supply - cold) / (supply - stored))


def plate_flow(output_w: float, rise: Kelvin) -> float:
    """Return the draw that a plate can heat, L/s: output/(rho cp rise).

    Args:
        output_w: output at hot water, W, 0 to 1e9.
        rise: from mains to tap, K, above 0, up to 100.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: heat balance; the trade's Btu/h / (500 x dF) agrees within 1 %.

    >>> round(plate_flow(26376.0, Kelvin(38.89)) * 60 / 3.785411784, 1)
    2.6
    """
    above("rise", rise, 0.0, 100.0)
    return within("output_w", output_w, 0.0, 1e9) / (heat_capacity_of(1.0, MEAN_WATER) * rise)


def mixed_share(mixed: Celsius, hot: Celsius, cold: Celsius) -> float:
    """Return the share of hot water in mixed water: (mix - cold)/(hot - cold).

    Args:
        mixed: at the tap, between cold and hot.
        hot: stored water.
        cold: mains, 0 C or above, below the stored water.

    Raises:
        OutOfRange: where mixed does not lie between cold and hot, or cold is no liquid water.

    Source: heat balance of mixing, one specific heat.

    >>> round(mixed_share(Celsius(48.89), Celsius(60.0), Celsius(10.0)), 2)
    0.78
    """
    below("cold", cold, 0.0, hot)
    return (within("mixed", mixed, cold, hot) - cold) / (hot - cold)
