"""The building's load as a straight line from the balance point to the design day."""

from __future__ import annotations

from settingslint.physics import ABSOLUTE_ZERO, above, below, temperature, within
from settingslint.units import Celsius


def building_load(outdoor: Celsius, design_load_w: float, balance_point: Celsius, design_outdoor: Celsius) -> float:
    """Return the heat load, W: Q = Qd (balance - o)/(balance - o_d), never below 0 and above Qd when colder.

    Assumes a load that follows the outdoor temperature alone, without wind, sun and storage.

    Args:
        outdoor: outdoor temperature.
        design_load_w: load on the design day, W.
        balance_point: outdoor temperature above which no heat is needed.
        design_outdoor: outdoor temperature of the design day, below the balance point.

    Raises:
        OutOfRange: where the design day is not colder than the balance point, the design load is below 0, or the
            outdoor temperature is none.

    Source: definition of a balance point; ASHRAE Fundamentals uses the same straight line (from memory).

    >>> building_load(Celsius(0.0), 10_000.0, Celsius(16.0), Celsius(-16.0))
    5000.0
    """
    below("design_outdoor", design_outdoor, ABSOLUTE_ZERO, balance_point)
    temperature("outdoor", outdoor)
    within("design_load_w", design_load_w, 0.0, 1e12)
    return max(0.0, design_load_w * (balance_point - outdoor) / (balance_point - design_outdoor))


def outdoor_at_load(load_w: float, design_load_w: float, balance_point: Celsius, design_outdoor: Celsius) -> Celsius:
    """Return the outdoor temperature at which the building has that load; the inverse of `building_load`.

    Args:
        load_w: 0 to 1e12 W; a load above the design load gives a temperature below the design day.
        design_load_w: load on the design day, W, above 0.
        balance_point: outdoor temperature above which no heat is needed.
        design_outdoor: outdoor temperature of the design day.

    Raises:
        OutOfRange: for a design load that is not above 0, a load below 0, or a design day not colder than the
            balance point.

    Source: `building_load` solved for the outdoor temperature.

    >>> outdoor_at_load(5_000.0, 10_000.0, Celsius(16.0), Celsius(-16.0))
    0.0
    """
    below("design_outdoor", design_outdoor, ABSOLUTE_ZERO, balance_point)
    above("design_load_w", design_load_w, 0.0, 1e12)
    within("load_w", load_w, 0.0, 1e12)
    return Celsius(balance_point - load_w / design_load_w * (balance_point - design_outdoor))
