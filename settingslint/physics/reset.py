"""Outdoor reset: the three styles in which controls take a line, and the line with its caps and floors.

Order: the style's own line, then the minimum lifts it, then the maximum and the set point cap it: a minimum above a cap
does not lift the line over it. Above warm-weather shutdown there is no heating at all. Controls differ in this order;
this one errs to the colder side.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final

from settingslint.physics import ABSOLUTE_ZERO, HOTTEST, OutOfRange, below, temperature, within
from settingslint.units import Celsius, Kelvin

STEP: Final = 0.5
"""Grid on which lines are searched, K."""


def _straight(outdoor: float, cold: float, hot: float, warm: float, cool: float) -> Celsius:
    """Return the line through (cold, hot) and (warm, cool), level beyond both ends."""
    if not (ABSOLUTE_ZERO <= cold < warm and ABSOLUTE_ZERO <= outdoor <= HOTTEST):  # asked very often: no calls
        below("cold_outdoor", cold, ABSOLUTE_ZERO, warm)
        temperature("outdoor", outdoor)
    share = (warm - outdoor) / (warm - cold)
    if share <= 0.0:
        return Celsius(cool)
    return Celsius(hot if share >= 1.0 else cool + (hot - cool) * share)


@dataclass(frozen=True, slots=True)
class TwoPoints:
    """Hot supply at the cold outdoor end, cool supply at the warm one, straight between and level beyond.

    Source: the form of ASHRAE 90.1-2019 G3.1.3.4, whose line is 180 F at 20 F and 150 F at 50 F.

    >>> round(TwoPoints(Celsius(80.0), Celsius(-10.0), Celsius(40.0), Celsius(15.0)).supply(Celsius(2.5)), 1)
    60.0
    """

    hot_supply: Celsius
    cold_outdoor: Celsius
    cool_supply: Celsius
    warm_outdoor: Celsius

    def supply(self, outdoor: Celsius) -> Celsius:
        """Return the supply, degrees Celsius.

        Raises:
            OutOfRange: where the cold end is not colder than the warm end, or for an outdoor temperature that is none.
        """
        return _straight(outdoor, self.cold_outdoor, self.hot_supply, self.warm_outdoor, self.cool_supply)


@dataclass(frozen=True, slots=True)
class SlopeShift:
    """T = room + shift + slope (room - outdoor); below the room never less than the room plus the shift.

    Source: the straight form of metric practice, common practice, no source.

    >>> SlopeShift(1.2, Kelvin(0.0), Celsius(20.0)).supply(Celsius(-10.0))
    56.0
    """

    slope: float
    shift: Kelvin
    room: Celsius

    def supply(self, outdoor: Celsius) -> Celsius:
        """Return the supply, degrees Celsius.

        Raises:
            OutOfRange: for an outdoor temperature that is none.
        """
        return Celsius(self.room + self.shift + self.slope * max(0.0, self.room - temperature("outdoor", outdoor)))


@dataclass(frozen=True, slots=True)
class OneNumber:
    """One number is the outdoor and the water temperature where the line ends; the set point stands at the cold end.

    An end point equal to the set point makes a level line: the same as no reset (common practice, no source).

    >>> line = OneNumber(Celsius(25.0), Celsius(75.0), Celsius(-15.0))
    >>> line.supply(Celsius(5.0)), line.supply(Celsius(25.0))
    (50.0, 25.0)
    """

    endpoint: Celsius
    setpoint: Celsius
    cold_outdoor: Celsius

    def supply(self, outdoor: Celsius) -> Celsius:
        """Return the supply, degrees Celsius.

        Raises:
            OutOfRange: where the end point is not warmer than the cold end.
        """
        if self.endpoint >= self.setpoint:
            return self.setpoint
        return _straight(outdoor, self.cold_outdoor, self.setpoint, self.endpoint, self.endpoint)


@dataclass(frozen=True, slots=True)
class Line:
    """The effective line: a style or None for a fixed set point, with its caps, floor and shutdown.

    >>> line = Line(SlopeShift(1.2, Kelvin(0.0), Celsius(20.0)), Celsius(70.0), minimum=Celsius(35.0))
    >>> line.supply(Celsius(-10.0)), line.supply(Celsius(-40.0)), line.supply(Celsius(15.0))
    (56.0, 70.0, 35.0)
    """

    style: TwoPoints | SlopeShift | OneNumber | None
    setpoint: Celsius
    maximum: Celsius | None = None
    minimum: Celsius | None = None
    shutdown: Celsius | None = None

    def supply(self, outdoor: Celsius) -> Celsius | None:
        """Return the supply, degrees Celsius, or None where warm weather has shut heating down.

        Raises:
            OutOfRange: where the style's ends are in the wrong order.
        """
        if self.shutdown is not None and outdoor > self.shutdown:
            return None
        supply = self.setpoint if self.style is None else self.style.supply(outdoor)
        if self.minimum is not None and supply < self.minimum:
            supply = self.minimum
        if self.maximum is not None and supply > self.maximum:
            supply = self.maximum
        return supply if supply < self.setpoint else self.setpoint


Need = Callable[[Celsius], Celsius]


def grid(coldest: Celsius, warmest: Celsius) -> Iterator[Celsius]:
    """Yield outdoor temperatures from the coldest to the warmest, about `STEP` apart, both ends included.

    Raises:
        OutOfRange: where the coldest is warmer than the warmest.

    >>> list(grid(Celsius(-1.0), Celsius(0.0)))
    [-1.0, -0.5, 0.0]
    """
    within("coldest", coldest, ABSOLUTE_ZERO, warmest)
    count = max(1, round((warmest - coldest) / STEP))
    for index in range(count + 1):
        yield Celsius(coldest + (warmest - coldest) * index / count)


def shortfall(line: Line, need: Need, outdoor: Celsius) -> Kelvin | None:
    """Return by how much the line stays below the need, K: positive is short; None where heating is shut down.

    Args:
        line: the effective supply line.
        need: supply that is needed at an outdoor temperature.
        outdoor: outdoor temperature.

    Raises:
        OutOfRange: as `Line.supply` and the need.

    >>> shortfall(Line(None, Celsius(60.0)), lambda o: Celsius(65.0), Celsius(-10.0))
    5.0
    """
    supply = line.supply(outdoor)
    return None if supply is None else Kelvin(need(outdoor) - supply)


def worst_shortfall(line: Line, need: Need, coldest: Celsius, warmest: Celsius) -> tuple[Celsius, Kelvin]:
    """Return where the line is shortest of the need, and by how much (negative: nowhere short).

    Args:
        line: the effective supply line.
        need: supply that is needed at an outdoor temperature.
        coldest: begin of the search, on `grid`.
        warmest: its end.

    Raises:
        OutOfRange: where heating is shut down over the whole range.

    >>> worst_shortfall(Line(None, Celsius(60.0)), lambda o: Celsius(50.0 - o), Celsius(-20.0), Celsius(15.0))
    (-20.0, 10.0)
    """
    short = [(o, s) for o in grid(coldest, warmest) if (s := shortfall(line, need, o)) is not None]
    if not short:
        raise OutOfRange("shutdown", float(line.shutdown or 0.0), coldest, warmest)
    return max(short, key=lambda pair: pair[1])


def first_shortfall(line: Line, need: Need, coldest: Celsius, warmest: Celsius, margin: float = 0.0) -> Celsius | None:
    """Return the warmest outdoor temperature at which the line is short by more than the margin, K, or None.

    Args:
        line: the effective supply line.
        need: supply that is needed at an outdoor temperature.
        coldest: end of the search, on `grid`.
        warmest: its begin.
        margin: K that are put up with.

    Raises:
        OutOfRange: as `Line.supply`, the need and `grid`.

    >>> first_shortfall(Line(None, Celsius(60.0)), lambda o: Celsius(50.0 - o), Celsius(-20.0), Celsius(15.0))
    -10.5
    """
    for outdoor in reversed(list(grid(coldest, warmest))):
        short = shortfall(line, need, outdoor)
        if short is not None and short > margin + 1e-9:
            return outdoor
    return None
