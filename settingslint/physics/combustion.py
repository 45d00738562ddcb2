"""Does a combustion record agree with itself? No targets: the maker's limits count, read by a licensed person."""

from __future__ import annotations

from typing import Final

from settingslint.physics import above, within

AIR_O2: Final = 20.9
CO2_MAX: Final[dict[str, float]] = {"natural gas": 11.7, "propane": 13.8}
"""CO2 of dry flue gas without excess air, %: stoichiometry (natural gas as methane)."""


def co_air_free(co_ppm: float, o2_percent: float) -> float:
    """Return CO as it would be without excess air, ppm: CO x 20.9/(20.9 - O2).

    Args:
        co_ppm: reading, 0 to 1,000,000 ppm.
        o2_percent: reading of the same dry sample, 0 to 20 %.

    Raises:
        OutOfRange: outside these ranges.

    Source: dilution; the form in use in US trade practice.

    >>> round(co_air_free(60.0, 5.0))
    79
    """
    return within("co_ppm", co_ppm, 0.0, 1e6) * AIR_O2 / (AIR_O2 - within("o2_percent", o2_percent, 0.0, 20.0))


def co2_from_o2(o2_percent: float, fuel: str) -> float:
    """Return the CO2 that goes with an O2 reading, %: CO2max (20.9 - O2)/20.9.

    Args:
        o2_percent: reading of the same dry sample, 0 to 20.9 %.
        fuel: "natural gas" or "propane".

    Raises:
        OutOfRange: for O2 outside 0 to 20.9 %.
        KeyError: for a fuel without a figure.

    Source: stoichiometry; straight within 0.1 point of the balance of moles.

    >>> round(co2_from_o2(5.0, "natural gas"), 1)
    8.9
    """
    return CO2_MAX[fuel] * (AIR_O2 - within("o2_percent", o2_percent, 0.0, AIR_O2)) / AIR_O2


def co_ratio(co_ppm: float, co2_percent: float) -> float:
    """Return CO divided by CO2: CO ppm/(CO2 % x 10,000).

    Args:
        co_ppm: reading, 0 to 1,000,000 ppm.
        co2_percent: reading of the same dry sample, above 0, up to 20 %.

    Raises:
        OutOfRange: for CO2 outside 0 (excluded) to 20 %, or CO outside 0 to 1,000,000 ppm.

    Source: definition; UK practice judges records by this ratio.

    >>> co_ratio(90.0, 9.0)
    0.001
    """
    return within("co_ppm", co_ppm, 0.0, 1e6) / (above("co2_percent", co2_percent, 0.0, 20.0) * 10_000.0)
