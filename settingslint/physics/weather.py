"""Hours of outdoor temperature: what a year of hourly values says, and how many of its hours a line is short.

Bins are 1 K wide, and every hour of a bin counts at its middle: an edge moves by half a kelvin at most. A one-year
typical file is no long record; its percentiles are not the design temperatures that standards print.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from settingslint.physics import OutOfRange, within
from settingslint.physics.reset import Line, Need, shortfall
from settingslint.units import Celsius, Kelvin

DEGREE_DAY_BASE: Final = Celsius((65.0 - 32.0) / 1.8)
"""65 F: the base of the US weather service (ISO 15927-6 leaves it to the user)."""
DESIGN_PERCENT: Final = 99.0
"""Hours at or above the cold percentile, %."""
HOURS_A_DAY: Final = 24
ROUNDING: Final = 1e-9
"""What counts as nothing, K: sums of decimals are not exact."""


@dataclass(frozen=True, slots=True)
class Summary:
    """A year of hourly temperatures in a few numbers: C, and K d for the two sums of degree-days, base 65 F."""

    place: str
    hours: int
    mean: Celsius
    coldest: Celsius
    warmest: Celsius
    cold_99: Celsius
    degree_days_of_daily_means: float
    degree_days_of_hours: float


@dataclass(frozen=True, slots=True)
class Hours:
    """Hours in each bin of outdoor temperature: (lower edge, C; hours), bins of 1 K, and their summary where known."""

    bins: tuple[tuple[float, int], ...]
    summary: Summary | None = None

    def middles(self) -> Iterator[tuple[Celsius, int]]:
        """Yield the middle of each bin that has hours, degrees Celsius, with its hours.

        >>> list(Hours(((-5.0, 10), (14.0, 0))).middles())
        [(-4.5, 10)]
        """
        return ((Celsius(edge + 0.5), count) for edge, count in self.bins if count)


@dataclass(frozen=True, slots=True)
class Short:
    """How far a line stays below the need over the hours of a year; `where` is None where it never does."""

    hours: int
    kelvin_hours: float
    worst: Kelvin
    where: Celsius | None


def bins(temperatures: Sequence[float]) -> tuple[tuple[float, int], ...]:
    """Return the hours in each bin of 1 K, (lower edge C; hours), lower edge included; empty bins are left out.

    Args:
        temperatures: hourly values, C.

    Source: definition.

    >>> bins([-0.1, 0.0, 0.9, 1.0])
    ((-1.0, 1), (0.0, 2), (1.0, 1))
    """
    return tuple(sorted(Counter(float(math.floor(one)) for one in temperatures).items()))


def exceeded(temperatures: Sequence[float], percent: float) -> Celsius:
    """Return the temperature at or above which that share of the hours lies, degrees Celsius.

    Method: straight between the two nearest ranks, position (n - 1)(1 - percent/100) from the coldest (type 7 of
    Hyndman and Fan 1996; the method that most software takes when none is named).

    Args:
        temperatures: hourly values, C, at least one.
        percent: 0 to 100; 99 gives the usual cold percentile.

    Raises:
        OutOfRange: for a percentage outside its range, or without a value.

    >>> exceeded([0.0, 10.0, 20.0, 30.0], 90.0)
    3.0
    """
    within("number of temperatures", len(temperatures), 1, math.inf)
    ranks = sorted(temperatures)
    position = (len(ranks) - 1) * (100.0 - within("percent", percent, 0.0, 100.0)) / 100.0
    low = math.floor(position)
    high = math.ceil(position)
    return Celsius(round(ranks[low] + (ranks[high] - ranks[low]) * (position - low), 9))


def degree_days_of_daily_means(temperatures: Sequence[float], base: Celsius = DEGREE_DAY_BASE) -> float:
    """Return heating degree-days from the means of the days, K d: sum of max(0, base - mean of 24 hours).

    A mild afternoon makes up for a cold night of the same day, so the sum is below `degree_days_of_hours`.

    Args:
        temperatures: hourly values, C, whole days.
        base: outdoor temperature from which heating is counted.

    Raises:
        OutOfRange: where the hours are no whole days.

    Source: ISO 15927-6:2007 (daily means; from memory of its scope).

    >>> degree_days_of_daily_means([10.0] * 12 + [20.0] * 12, Celsius(18.0))
    3.0
    """
    if len(temperatures) % HOURS_A_DAY:
        raise OutOfRange("hours of the last day", len(temperatures) % HOURS_A_DAY, HOURS_A_DAY, HOURS_A_DAY)
    days = (temperatures[at : at + HOURS_A_DAY] for at in range(0, len(temperatures), HOURS_A_DAY))
    return sum(max(0.0, base - sum(day) / HOURS_A_DAY) for day in days)


def degree_days_of_hours(temperatures: Sequence[float], base: Celsius = DEGREE_DAY_BASE) -> float:
    """Return heating degree-days from the hours, K d: sum of max(0, base - t)/24.

    Args:
        temperatures: hourly values, C.
        base: outdoor temperature from which heating is counted.

    Source: ISO 15927-6:2007 (accumulated hourly differences; from memory of its scope).

    >>> degree_days_of_hours([10.0] * 12 + [20.0] * 12, Celsius(18.0))
    4.0
    """
    return sum(max(0.0, base - one) for one in temperatures) / HOURS_A_DAY


def summary(place: str, temperatures: Sequence[float]) -> Summary:
    """Return a year of hourly temperatures in a few numbers.

    Args:
        place: as the file names it.
        temperatures: hourly values, C, whole days, at least one.

    Raises:
        OutOfRange: without a value, or where the hours are no whole days.

    >>> summary("nowhere", [0.0] * 12 + [20.0] * 12).mean
    10.0
    """
    cold_99 = exceeded(temperatures, DESIGN_PERCENT)
    return Summary(
        place,
        len(temperatures),
        Celsius(sum(temperatures) / len(temperatures)),
        Celsius(min(temperatures)),
        Celsius(max(temperatures)),
        cold_99,
        degree_days_of_daily_means(temperatures),
        degree_days_of_hours(temperatures),
    )


def hours_short(hours: Hours, line: Line, need: Need, warmest: Celsius, margin: float = 0.0) -> Short:
    """Return for how many hours the line is short of the need by more than a margin, and by how much.

    Assumes that every hour of a bin is at its middle, and that the need follows the outdoor temperature alone.

    Args:
        hours: bins of a year.
        line: the effective supply line; where it is shut down nothing is counted.
        need: supply that is needed at an outdoor temperature.
        warmest: no heat is needed above this, and nothing is counted.
        margin: K that are put up with; hours beyond it count with their whole shortfall.

    Raises:
        OutOfRange: as `Line.supply` and the need.

    Source: definition.

    >>> flat = Line(None, Celsius(50.0))
    >>> hours_short(Hours(((-10.0, 4), (0.0, 100))), flat, lambda o: Celsius(40.0 - 2 * o), Celsius(16.0))
    Short(hours=4, kelvin_hours=36.0, worst=9.0, where=-9.5)
    """
    total, kelvin_hours, worst, where = 0, 0.0, Kelvin(0.0), None
    for outdoor, count in hours.middles():
        short = shortfall(line, need, outdoor) if outdoor <= warmest else None
        if short is not None and short > margin + ROUNDING:
            total += count
            kelvin_hours += short * count
            if where is None or short > worst:
                worst, where = short, outdoor
    return Short(total, kelvin_hours, worst, where)


def hours_condensing(
    hours: Hours, line: Line, drop: Callable[[Celsius], float], dew_point: Celsius, warmest: Celsius
) -> int:
    """Return for how many hours heating runs with a return below the dew point of the flue gas.

    Assumes constant flow, as `drop` does; where the line is shut down, or nothing is needed, no hour counts.

    Args:
        hours: bins of a year.
        line: the effective supply line.
        drop: supply minus return, K, at an outdoor temperature.
        dew_point: of the flue gas, C.
        warmest: no heat is needed above this.

    Raises:
        OutOfRange: as `Line.supply` and the drop.

    Source: definition.

    >>> flat = Line(None, Celsius(60.0))
    >>> hours_condensing(Hours(((-10.0, 4), (10.0, 100))), flat, lambda o: 8.0, Celsius(54.0), Celsius(0.0))
    4
    """
    return sum(
        count
        for outdoor, count in hours.middles()
        if outdoor <= warmest
        and (supply := line.supply(outdoor)) is not None
        and supply - drop(outdoor) < dew_point - ROUNDING
    )


def hours_below_low_fire(hours: Hours, load: Callable[[Celsius], float], minimum_output_w: float) -> int:
    """Return for how many hours there is a load below the output at low fire, so that the burner cycles.

    Assumes a smooth load and one boiler. Hours without a load do not count.

    Args:
        hours: bins of a year.
        load: of the building, W, at an outdoor temperature.
        minimum_output_w: output at low fire, W.

    Raises:
        OutOfRange: as the load.

    Source: definition.

    >>> hours_below_low_fire(Hours(((0.0, 4), (10.0, 100))), lambda o: 1000.0 * (15.0 - o), 6000.0)
    100
    """
    return sum(count for outdoor, count in hours.middles() if 0.0 < load(outdoor) < minimum_output_w)
