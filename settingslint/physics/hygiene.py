"""Hygiene limits of hot water in tanks, loops and at taps, each with its source. Local limits differ: check them."""

from __future__ import annotations

from typing import Final

from settingslint.units import Celsius

TANK_MINIMUM: Final = Celsius(60.0)
"""Minimum of a tank: HSE HSG274 part 2 (2014)."""
TAP_MINIMUM: Final = Celsius(50.0)
"""Minimum at the tap after one minute: HSE HSG274 part 2 (2014)."""
TAP_MINIMUM_HEALTHCARE: Final = Celsius(55.0)
"""The same in healthcare: HSE HSG274 part 2 (2014)."""
RETURN_MINIMUM: Final = Celsius(50.0)
"""Minimum return of a circulation loop: HSE HSG274 part 2 (from memory)."""
CIRCULATING: Final = Celsius((120.0 - 32.0) / 1.8)
"""Circulating water stays above 120 F: CDC toolkit, potable water systems."""
GROWTH: Final = (Celsius(20.0), Celsius(45.0))
"""Range in which legionella grows, about."""
TAP_MAXIMUM: Final = Celsius((120.0 - 32.0) / 1.8)
"""Maximum at the tap in general: 120 F, US CPSC document 5098."""
BATH_MAXIMUM_VULNERABLE: Final = Celsius(44.0)
"""Maximum for full-body immersion of vulnerable people: HSE, scalding and burning in health and social care."""


def grows(t: Celsius) -> bool:
    """Return whether a temperature, degrees Celsius, is in the growth range, ends included.

    Source: `GROWTH`; HSE HSG274 part 2 gives 20 to 45 C, WHO 2007 25 to 45 C.

    >>> grows(Celsius(45.0)), grows(Celsius(50.0))
    (True, False)
    """
    return GROWTH[0] <= t <= GROWTH[1]
