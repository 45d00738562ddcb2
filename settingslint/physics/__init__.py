"""The engineering behind the findings: a small handbook in code.

Pure functions, SI inside, scalars only. Every figure says what it assumes; an argument outside its range raises
`OutOfRange` and is never extrapolated. The chapters:

- `water`, `glycol`: the fluids; `load`, `emitter`, `floor`: what the building and its emitters ask for;
- `reset`: what the control supplies; `condensing`, `firing`, `cycling`: what the boiler makes of it;
- `hot_water`, `scald`, `hygiene`, `keep_warm`: hot water; `cooldown`: losing heat;
- `elevation`, `combustion`: records of firing, never targets; `weather`: hours.

Good for "look here", not for design: constant flow, one exponent for each emitter and a smooth load are assumed.
"""

from __future__ import annotations

from typing import Final

ABSOLUTE_ZERO: Final = -273.15
HOTTEST: Final = 1000.0


class OutOfRange(ValueError):
    """An argument outside the range of a formula."""

    def __init__(self, argument: str, value: float, low: float, high: float) -> None:
        super().__init__(f"{argument} = {value:g} lies outside {low:g} to {high:g}")
        self.argument = argument
        self.value = value
        self.low = low
        self.high = high


def within(argument: str, value: float, low: float, high: float) -> float:
    """Return the value where it lies in the range, ends included.

    Raises:
        OutOfRange: names the argument, its value and the range.

    >>> within("t", 60.0, 0.5, 150.0)
    60.0
    >>> within("t", 160.0, 0.5, 150.0)
    Traceback (most recent call last):
    settingslint.physics.OutOfRange: t = 160 lies outside 0.5 to 150
    """
    if not low <= value <= high:
        raise OutOfRange(argument, value, low, high)
    return value


def above(argument: str, value: float, low: float, high: float) -> float:
    """Return the value where it lies in the range, without its lower end.

    Raises:
        OutOfRange: names the argument, its value and the range.

    >>> above("band", 5.0, 0.0, 100.0)
    5.0
    """
    if not low < value <= high:
        raise OutOfRange(argument, value, low, high)
    return value


def below(argument: str, value: float, low: float, high: float) -> float:
    """Return the value where it lies in the range, without its upper end.

    Raises:
        OutOfRange: names the argument, its value and the range.

    >>> below("load", 0.0, 0.0, 100.0)
    0.0
    """
    if not low <= value < high:
        raise OutOfRange(argument, value, low, high)
    return value


def temperature(argument: str, t: float) -> float:
    """Return a temperature, degrees Celsius, where it is one at all: -273.15 to 1,000 C.

    Raises:
        OutOfRange: names the argument, its value and the range.

    >>> temperature("outdoor", -20.0)
    -20.0
    """
    return within(argument, t, ABSOLUTE_ZERO, HOTTEST)
