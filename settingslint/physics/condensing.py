"""Where flue gas begins to condense, and with it where a boiler made to condense does."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from settingslint.physics import within
from settingslint.physics.reset import Line, grid
from settingslint.physics.water import STANDARD_ATMOSPHERE, boiling_point
from settingslint.units import Celsius

AIR_O2: Final = 0.2095
FUELS: Final[dict[str, tuple[int, int]]] = {"natural gas": (1, 4), "propane": (3, 8)}
"""Carbon and hydrogen of a molecule; natural gas as methane."""
ROUNDED_UP: Final = 0.06
"""A reading may be this many points above the fuel's most, and is then taken as no excess air."""


def _dew_point(fuel: str, excess_air: float, pressure_pa: float) -> Celsius:
    carbon, hydrogen = FUELS[fuel]
    oxygen = carbon + hydrogen / 4
    air = oxygen * (1 + excess_air) / AIR_O2
    dry = carbon + oxygen * excess_air + (1 - AIR_O2) * air
    water = hydrogen / 2
    return boiling_point(water / (dry + water) * pressure_pa)


def co2_at(fuel: str, excess_air: float) -> float:
    """Return the CO2 of the dry flue gas at an excess of air, %.

    100 x / (x + s e + 0.7905 s (1 + e)/0.2095), with s = x + y/4 moles of oxygen for CxHy.

    Args:
        fuel: "natural gas" or "propane".
        excess_air: 0 to 5; 0.2 is 20 %.

    Raises:
        OutOfRange: for excess air outside 0 to 5.
        KeyError: for another fuel.

    Source: stoichiometry, complete combustion, dry air with 20.95 % oxygen.

    >>> round(co2_at("natural gas", 0.2), 2)
    9.56
    """
    carbon, hydrogen = FUELS[fuel]
    oxygen = carbon + hydrogen / 4
    air = oxygen * (1 + within("excess_air", excess_air, 0.0, 5.0)) / AIR_O2
    return 100 * carbon / (carbon + oxygen * excess_air + (1 - AIR_O2) * air)


def flue_dew_point_by_air(fuel: str, excess_air: float, pressure_pa: float = STANDARD_ATMOSPHERE) -> Celsius:
    """Return the dew point of the flue gas at an excess of dry air, degrees Celsius.

    Water in the flue gas is y/2 moles for CxHy; at its share of the pressure it condenses. Air is taken as dry; damp
    air adds up to 2 K.

    Args:
        fuel: "natural gas" or "propane".
        excess_air: 0 to 5; 0.2 is 20 %.
        pressure_pa: of the air at the site.

    Raises:
        OutOfRange: for excess air outside 0 to 5.
        KeyError: for another fuel.

    Source: stoichiometry, and the vapour pressure of `water`.

    >>> round(flue_dew_point_by_air("natural gas", 0.2), 1)
    55.7
    """
    return _dew_point(fuel, within("excess_air", excess_air, 0.0, 5.0), pressure_pa)


def flue_dew_point(fuel: str, co2_percent: float, pressure_pa: float = STANDARD_ATMOSPHERE) -> Celsius:
    """Return the dew point of the flue gas from its CO2 reading, dry, degrees Celsius.

    Air is taken as dry; damp air adds up to 2 K.

    Args:
        fuel: "natural gas" or "propane".
        co2_percent: 2.5 % up to the fuel's most and `ROUNDED_UP`.
        pressure_pa: of the air at the site.

    Raises:
        OutOfRange: for a CO2 outside that range.
        KeyError: for another fuel.

    Source: the balance of `co2_at` solved for the excess of air.

    >>> round(flue_dew_point("natural gas", 9.59), 1)
    55.7
    """
    within("co2_percent", co2_percent, 2.5, co2_at(fuel, 0.0) + ROUNDED_UP)
    carbon, hydrogen = FUELS[fuel]
    oxygen = carbon + hydrogen / 4
    # dry flue gas for each mole of fuel: carbon + oxygen e + (1 - x) oxygen (1 + e)/x, solved for e
    dry = 100 * carbon / co2_percent
    share = (1 - AIR_O2) / AIR_O2
    excess = max(0.0, (dry - carbon - share * oxygen) / (oxygen * (1 + share)))
    return _dew_point(fuel, excess, pressure_pa)


def condensing_starts(
    line: Line, drop: Callable[[Celsius], float], dew_point: Celsius, coldest: Celsius, warmest: Celsius
) -> Celsius | None:
    """Return the coldest outdoor temperature at which the return is below the dew point, or None where it never is.

    Searched on the grid of `reset`, half a kelvin; assumes constant flow, as `drop` does.

    Args:
        line: the effective supply line.
        drop: supply minus return, K, at an outdoor temperature.
        dew_point: of the flue gas.
        coldest: begin of the search.
        warmest: end of the search.

    Raises:
        OutOfRange: as `Line.supply` and `grid`.

    Source: definition.

    >>> from settingslint.physics.reset import TwoPoints
    >>> line = Line(TwoPoints(Celsius(80.0), Celsius(-20.0), Celsius(40.0), Celsius(20.0)), Celsius(80.0))
    >>> condensing_starts(line, lambda o: 10.0, Celsius(54.0), Celsius(-20.0), Celsius(20.0))
    -3.5
    """
    for outdoor in grid(coldest, warmest):
        supply = line.supply(outdoor)
        if supply is not None and supply - drop(outdoor) < dew_point:
            return outdoor
    return None
