"""Glycol: where a mixture begins to freeze. Shares by mass and by volume are never taken for one another."""

from __future__ import annotations

from typing import Final

from settingslint.physics import within
from settingslint.units import Celsius

_FREEZING: Final = {
    "propylene": (-18.45, -127.90, 304.44, -525.91, 122.22),
    "ethylene": (-30.61, -11.90, -185.93, 82.56, 11.68),
}
_MORE_FLOW: Final = {"propylene": (-0.0067, 0.4335), "ethylene": (0.0819, 0.3515)}
_PURE_DENSITY: Final = {"propylene": 1036.0, "ethylene": 1113.0}
"""Of the pure glycols at 20 C, kg/m3; CRC Handbook (from memory)."""
_WATER_DENSITY: Final = 998.2


def freezing_point(fluid: str, mass_fraction: float) -> Celsius:
    """Return where a glycol mixture begins to freeze, degrees Celsius: a polynomial in the mass fraction.

    Fitted to CoolProp's incompressible mixtures MPG and MEG, within 0.03 K. Printed tables differ from these by up to
    2.5 K, so a margin of less says nothing.

    Args:
        fluid: "propylene" or "ethylene".
        mass_fraction: glycol by mass, 0 to 0.6.

    Raises:
        OutOfRange: for a share outside 0 to 0.6.
        KeyError: for another fluid.

    Source: CoolProp 8.0, incompressible mixtures MPG and MEG.

    >>> round(freezing_point("propylene", 0.3), 1)
    -12.8
    """
    x = within("mass_fraction", mass_fraction, 0.0, 0.6)
    return Celsius(sum(c * x**k for k, c in enumerate(_FREEZING[fluid], start=1)))


def mass_fraction_from_volume(fluid: str, volume_fraction: float) -> float:
    """Return the share by mass of a share by volume, without shrinkage of the mixture.

    w = v rho_g / (v rho_g + (1 - v) rho_w), both densities at 20 C.

    Args:
        fluid: "propylene" or "ethylene".
        volume_fraction: glycol by volume before mixing, 0 to 1.

    Raises:
        OutOfRange: outside 0 to 1.

    Source: definition; densities from the CRC Handbook (from memory).

    >>> round(mass_fraction_from_volume("propylene", 0.3), 3)
    0.308
    """
    v = within("volume_fraction", volume_fraction, 0.0, 1.0)
    glycol = v * _PURE_DENSITY[fluid]
    return glycol / (glycol + (1.0 - v) * _WATER_DENSITY)


def flow_factor(fluid: str, mass_fraction: float) -> float:
    """Return how much more flow than of water a glycol mixture needs for the same heat and difference.

    rho cp of water / rho cp of the mixture at 60 C: 1 + a x + b x^2, within 0.004 of CoolProp's mixtures MPG and MEG.

    Args:
        fluid: "propylene" or "ethylene".
        mass_fraction: glycol by mass, 0 to 0.6.

    Raises:
        OutOfRange: for a share outside 0 to 0.6.
        KeyError: for another fluid.

    Source: CoolProp 8.0, incompressible mixtures MPG and MEG, against its water, at 60 C and 2 bar.

    >>> round(flow_factor("propylene", 0.3), 2)
    1.04
    """
    x = within("mass_fraction", mass_fraction, 0.0, 0.6)
    a, b = _MORE_FLOW[fluid]
    return 1.0 + a * x + b * x * x
