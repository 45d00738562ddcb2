"""On and off at low fire: how long the burner burns, how often it starts, and the water that would calm it.

One well-mixed volume, a fixed output at low fire, a smooth load; purges and rest times are left out.
"""

from __future__ import annotations

from dataclasses import dataclass

from settingslint.physics import above, below, within
from settingslint.physics.load import outdoor_at_load
from settingslint.physics.water import heat_capacity_of
from settingslint.units import Celsius, Kelvin

MEAN_WATER = Celsius(60.0)
"""Temperature at which the water's heat capacity is taken."""


@dataclass(frozen=True, slots=True)
class Cycle:
    """One cycle: burning and resting time, s, and starts an hour.

    >>> Cycle(400.0, 800.0).starts_per_hour
    3.0
    """

    on_s: float
    off_s: float

    @property
    def starts_per_hour(self) -> float:
        """Starts an hour."""
        return 3600.0 / (self.on_s + self.off_s)


def cycle(volume_l: float, band: Kelvin, minimum_output_w: float, load_w: float) -> Cycle:
    """Return the cycle at a load below low fire: on = C band/(Qmin - Q), off = C band/Q.

    Args:
        volume_l: water that takes part, L.
        band: switching band, K, above 0, up to 100.
        minimum_output_w: output at low fire, W.
        load_w: load, W, above 0 and below the output at low fire.

    Raises:
        OutOfRange: for a load at or above low fire (it then need not cycle), or an argument that is not above 0.

    Source: heat balance of one node; the same curve in Henderson and Rengarajan, ASHRAE Transactions 1996.

    >>> one = cycle(100.0, Kelvin(10.0), 6000.0, 3000.0)
    >>> round(one.on_s / 60, 1), round(one.starts_per_hour, 2)
    (22.9, 1.31)
    """
    above("band", band, 0.0, 100.0)
    above("load_w", below("load_w", load_w, 0.0, minimum_output_w), 0.0, minimum_output_w)
    heat = heat_capacity_of(volume_l, MEAN_WATER) * band
    return Cycle(heat / (minimum_output_w - load_w), heat / load_w)


def most_starts(volume_l: float, band: Kelvin, minimum_output_w: float) -> Cycle:
    """Return the cycle with the most starts, at half the output at low fire: Qmin/(4 C band) starts a second.

    Args:
        volume_l: water that takes part, L.
        band: switching band, K, above 0, up to 100.
        minimum_output_w: output at low fire, W, above 0.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: the derivative of L (Qmin - L)/(Qmin C band) is 0 at L = Qmin/2.

    >>> round(most_starts(75.7, Kelvin(11.11), 5861.4).starts_per_hour, 2)
    1.52
    """
    return cycle(volume_l, band, minimum_output_w, minimum_output_w / 2)


def shortest_burn(volume_l: float, band: Kelvin, minimum_output_w: float, load_w: float = 0.0) -> float:
    """Return how long the burner burns at low fire, s, with a load or with none at all: C band/(Qmin - Q).

    Args:
        volume_l: water that takes part, L.
        band: switching band, K, above 0, up to 100.
        minimum_output_w: output at low fire, W.
        load_w: load, W, 0 or above and below the output at low fire.

    Raises:
        OutOfRange: for a load outside 0 to below low fire, or a band outside its range.

    Source: heat balance of one node.

    >>> round(shortest_burn(100.0, Kelvin(10.0), 6000.0) / 60, 1)
    11.4
    """
    above("band", band, 0.0, 100.0)
    below("load_w", load_w, 0.0, minimum_output_w)
    return heat_capacity_of(volume_l, MEAN_WATER) * band / (minimum_output_w - load_w)


def buffer_volume(burn_s: float, band: Kelvin, minimum_output_w: float, load_w: float) -> float:
    """Return the water that gives a wanted burn, L: V = t (Qmin - Q)/(rho cp band).

    Args:
        burn_s: wanted burn, s, 0 to 1e6.
        band: switching band, K, above 0, up to 100.
        minimum_output_w: output at low fire, W.
        load_w: load, W, 0 or above and below the output at low fire.

    Raises:
        OutOfRange: for an argument outside its range.

    Source: heat balance of one node; common practice writes it V = t (Qmin - Q)/(500 dF), gal, min, Btu/h.

    >>> round(buffer_volume(600.0, Kelvin(11.11), 19928.8, 1465.4) / 3.785, 0)
    64.0
    """
    above("band", band, 0.0, 100.0)
    below("load_w", load_w, 0.0, minimum_output_w)
    per_litre = heat_capacity_of(1.0, MEAN_WATER)
    return within("burn_s", burn_s, 0.0, 1e6) * (minimum_output_w - load_w) / (per_litre * band)


def cycling_starts_at(
    minimum_output_w: float, design_load_w: float, balance_point: Celsius, design_outdoor: Celsius
) -> Celsius:
    """Return the outdoor temperature above which the load is below low fire and the burner must cycle.

    Args:
        minimum_output_w: output at low fire, W, 0 to 1e12; above the design load it gives a temperature below the
            design day, and the burner cycles throughout.
        design_load_w: load on the design day, W, above 0.
        balance_point: outdoor temperature above which no heat is needed.
        design_outdoor: outdoor temperature of the design day.

    Raises:
        OutOfRange: as `outdoor_at_load`.

    Source: the straight line of `load`.

    >>> round(cycling_starts_at(9200.0, 40000.0, Celsius(65.0), Celsius(0.0)), 0)
    50.0
    """
    return outdoor_at_load(minimum_output_w, design_load_w, balance_point, design_outdoor)
