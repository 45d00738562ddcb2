"""How fast hot water burns: the published table, and no more digits than it has."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Final

from settingslint.physics import temperature
from settingslint.units import Celsius

TABLE: Final = ((120.0, 300.0), (130.0, 30.0), (140.0, 6.0), (150.0, 2.0))
"""Fahrenheit and seconds to a serious burn of an adult: US CPSC document 5098, Tap Water Scalds (a public copy)."""

_NICE: Final = (2, 3, 4, 5, 6, 8, 10, 15, 20, 30, 45, 60, 90, 120, 180, 240, 300)


def time_to_burn(t: Celsius) -> float | None:
    """Return the time to a serious burn of an adult, s, or None below the table's 120 F.

    Between the rows the logarithm of the time is interpolated; above 150 F the last row stands ("or less").
    Children and old people burn sooner. Other published sets differ from this one by a factor of 2.

    Args:
        t: temperature of the water at the skin.

    Raises:
        OutOfRange: for a temperature that is none.

    Source: US CPSC document 5098, Tap Water Scalds.

    >>> round(time_to_burn(Celsius(60.0)) or 0, 1)
    6.0
    """
    fahrenheit = temperature("t", t) * 1.8 + 32.0
    if fahrenheit < TABLE[0][0] - 1e-6:
        return None
    for (low, slow), (high, fast) in pairwise(TABLE):
        if fahrenheit <= high:
            share = (fahrenheit - low) / (high - low)
            return math.exp(math.log(slow) + share * (math.log(fast) - math.log(slow)))
    return TABLE[-1][1]


def describe(t: Celsius) -> str:
    """Return the time to a serious burn in words, rounded to the shorter side and no finer than the table.

    Raises:
        OutOfRange: for a temperature that is none.

    Source: as `time_to_burn`.

    >>> describe(Celsius(60.0)), describe(Celsius(40.0)), describe(Celsius(70.0))
    ('about 6 s', 'over 5 min', '2 s or less')
    """
    seconds = time_to_burn(t)
    if seconds is None:
        return "over 5 min"
    nice = max(one for one in _NICE if one <= seconds * (1 + 1e-6))
    text = f"{nice} s" if nice < 60 else f"{nice // 60} min" if nice % 60 == 0 else "1 to 2 min"
    return f"{text} or less" if t * 1.8 + 32.0 > TABLE[-1][0] + 1e-6 else f"about {text}"
