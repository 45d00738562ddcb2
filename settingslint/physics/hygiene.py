"""Hygiene limits of stored and circulating hot water, each with its source. Check the local rule: limits differ."""

from __future__ import annotations

from typing import Final

from settingslint.units import Celsius

STORED: Final = Celsius(60.0)
"""Least stored temperature: HSE HSG274 part 2 (2014)."""
OUTLET: Final = Celsius(50.0)
"""Least at an outlet after one minute: HSE HSG274 part 2 (2014)."""
OUTLET_HEALTHCARE: Final = Celsius(55.0)
"""The same in healthcare: HSE HSG274 part 2 (2014)."""
RETURN: Final = Celsius(50.0)
"""Least return of a circulation loop: HSE HSG274 part 2 (from memory)."""
CIRCULATING: Final = Celsius((120.0 - 32.0) / 1.8)
"""Circulating water stays above 120 F: CDC toolkit, potable water systems."""
GROWTH: Final = (Celsius(20.0), Celsius(45.0))
"""Range in which legionella grows, about."""
OUTLET_MOST: Final = Celsius((120.0 - 32.0) / 1.8)
"""Most at outlets in general: 120 F, US CPSC document 5098."""
BATH_MOST_VULNERABLE: Final = Celsius(44.0)
"""Most for full-body immersion of vulnerable people: HSE, scalding and burning in health and social care."""


def grows(t: Celsius) -> bool:
    """Return whether a temperature, degrees Celsius, lies in the growth range, ends included.

    Source: `GROWTH`; HSE HSG274 part 2 gives 20 to 45 C, WHO 2007 25 to 45 C.

    >>> grows(Celsius(45.0)), grows(Celsius(50.0))
    (True, False)
    """
    return GROWTH[0] <= t <= GROWTH[1]
