"""Units: what a number in a file means, and how it is shown again.

Inside the program every value is SI: degrees Celsius for a point on the scale, kelvin for a difference, watt, litre,
litre per second, second, metre, pascal. Files and screens use the unit system that the profile names, `us` or `metric`.

A temperature *point* and a temperature *difference* are different types, because only a point has the 32:
`Celsius` and `Kelvin` do not mix under a type checker, and each `Kind` converts by its own row of `CONVERSIONS`.

Source of the factors: NIST SP 811, appendix B.8 (Btu IT = 1055.05585262 J, US gallon = 3.785411784 L, foot = 0.3048 m,
pound-force per square inch = 6894.757293168 Pa).
"""

from __future__ import annotations

from enum import StrEnum
from math import isfinite
from typing import Final, Literal, NamedTuple, NewType

Celsius = NewType("Celsius", float)
"""A point on the temperature scale, degrees Celsius."""
Kelvin = NewType("Kelvin", float)
"""A difference of two temperatures, kelvin. It never carries the 32 of the Fahrenheit scale."""

System = Literal["us", "metric"]

W_PER_BTU_H: Final = 1055.05585262 / 3600
L_PER_GALLON: Final = 3.785411784
M_PER_FOOT: Final = 0.3048
PA_PER_PSI: Final = 6894.757293168
PA_PER_BAR: Final = 1e5


class Kind(StrEnum):
    """What a value measures; it decides the conversion and the name of the unit."""

    POINT = "point"
    DIFFERENCE = "difference"
    POWER = "power"
    VOLUME = "volume"
    FLOW = "flow"
    LENGTH = "length"
    PRESSURE = "pressure"
    SECONDS = "seconds"
    MINUTES = "minutes"
    HOURS = "hours"
    PERCENT = "percent"
    RATIO = "ratio"
    COUNT = "count"
    FAN_SPEED = "fan speed"
    CO = "carbon monoxide"
    FLAG = "flag"
    WORD = "word"
    TEXT = "text"
    DATE = "date"


class Conversion(NamedTuple):
    """SI = (shown - offset) * factor; `digits` are the decimals that are shown at most."""

    unit: str
    factor: float = 1.0
    offset: float = 0.0
    digits: int = 0


CONVERSIONS: Final[dict[Kind, dict[System, Conversion]]] = {
    Kind.POINT: {"us": Conversion("F", 1 / 1.8, 32.0), "metric": Conversion("C", digits=1)},
    Kind.DIFFERENCE: {"us": Conversion("F", 1 / 1.8), "metric": Conversion("K", digits=1)},
    Kind.POWER: {"us": Conversion("Btu/h", W_PER_BTU_H), "metric": Conversion("kW", 1000.0, digits=1)},
    Kind.VOLUME: {"us": Conversion("gal", L_PER_GALLON, digits=1), "metric": Conversion("L")},
    Kind.FLOW: {"us": Conversion("gpm", L_PER_GALLON / 60, digits=1), "metric": Conversion("L/s", digits=2)},
    Kind.LENGTH: {"us": Conversion("ft", M_PER_FOOT), "metric": Conversion("m")},
    Kind.PRESSURE: {"us": Conversion("psi", PA_PER_PSI, digits=1), "metric": Conversion("bar", PA_PER_BAR, digits=2)},
    Kind.SECONDS: {"us": Conversion("s"), "metric": Conversion("s")},
    Kind.MINUTES: {"us": Conversion("min", 60.0), "metric": Conversion("min", 60.0)},
    Kind.HOURS: {"us": Conversion("h", 3600.0, digits=1), "metric": Conversion("h", 3600.0, digits=1)},
    Kind.PERCENT: {"us": Conversion("%", digits=1), "metric": Conversion("%", digits=1)},
    Kind.RATIO: {"us": Conversion("", digits=2), "metric": Conversion("", digits=2)},
    Kind.COUNT: {"us": Conversion(""), "metric": Conversion("")},
    Kind.FAN_SPEED: {"us": Conversion(""), "metric": Conversion("")},
    Kind.CO: {"us": Conversion("ppm"), "metric": Conversion("ppm")},
}
"""One row per kind of number. A fan speed keeps the unit that its control file states and is never converted."""


def to_si(shown: float, kind: Kind, system: System) -> float:
    """Return the SI value of a number as a file of that unit system states it.

    >>> to_si(140, Kind.POINT, "us")
    60.0
    >>> round(to_si(20, Kind.DIFFERENCE, "us"), 3)
    11.111
    """
    row = CONVERSIONS[kind][system]
    return (shown - row.offset) * row.factor


def from_si(value: float, kind: Kind, system: System) -> float:
    """Return an SI value in the unit of the system, unrounded.

    >>> from_si(60.0, Kind.POINT, "us")
    140.0
    """
    row = CONVERSIONS[kind][system]
    return value / row.factor + row.offset


def unit_name(kind: Kind, system: System) -> str:
    """Return the unit's symbol, or an empty string where there is none.

    >>> unit_name(Kind.DIFFERENCE, "metric")
    'K'
    """
    row = CONVERSIONS.get(kind)
    return row[system].unit if row else ""


def rounded(value: float, kind: Kind, system: System) -> float:
    """Return an SI value in the unit of the system, rounded to the digits that are shown.

    Powers in Btu/h keep three significant digits at least, and are never shown finer than 100 Btu/h above 10,000.

    >>> rounded(4200.0, Kind.POWER, "us"), rounded(2.345, Kind.DIFFERENCE, "metric")
    (14300.0, 2.3)
    """
    shown = from_si(value, kind, system)
    if not isfinite(shown):
        return shown
    digits = CONVERSIONS[kind][system].digits
    if kind is Kind.POWER and system == "us" and abs(shown) >= 10_000:
        digits = -2
    number = round(shown, digits)
    return number if digits > 0 and number != int(number) else float(int(number))


def show(value: float, kind: Kind, system: System, unit: str | None = None) -> str:
    """Return an SI value as text with its unit, as findings and notes print it.

    >>> show(Celsius(60.0), Kind.POINT, "us"), show(Kelvin(10.0), Kind.DIFFERENCE, "us")
    ('140 F', '18 F')
    >>> show(12000.0, Kind.POWER, "metric"), show(1080.0, Kind.MINUTES, "us")
    ('12 kW', '18 min')
    """
    number = rounded(value, kind, system)
    if not isfinite(number):
        return "beyond every range"
    text = f"{int(number):,}" if number == int(number) else f"{number:,}"
    name = unit_name(kind, system) if unit is None else unit
    return f"{text} {name}" if name else text


def written(value: float, kind: Kind, system: System, digits: int = 4) -> str:
    """Return an SI value with its unit and all its digits, up to so many behind the point.

    >>> written(Kelvin(0.5), Kind.DIFFERENCE, "us"), written(Celsius(50.01), Kind.POINT, "us")
    ('0.9 F', '122.018 F')
    """
    number = f"{from_si(value, kind, system):,.{digits}f}"
    return f"{number.rstrip('0').rstrip('.')} {unit_name(kind, system)}".rstrip()


def celsius(fahrenheit: float) -> Celsius:
    """Return the point on the Celsius scale of a point in Fahrenheit.

    >>> celsius(140.0)
    60.0
    """
    return Celsius((fahrenheit - 32.0) / 1.8)


def kelvin(fahrenheit_difference: float) -> Kelvin:
    """Return the kelvin of a difference in Fahrenheit degrees.

    >>> round(kelvin(20.0), 3)
    11.111
    """
    return Kelvin(fahrenheit_difference / 1.8)


def between(high: Celsius, low: Celsius) -> Kelvin:
    """Return the difference `high - low`, kelvin.

    >>> between(Celsius(60.0), Celsius(48.0))
    12.0
    """
    return Kelvin(high - low)


def shifted(point: Celsius, by: Kelvin) -> Celsius:
    """Return the point moved by a difference, degrees Celsius.

    >>> shifted(Celsius(48.0), Kelvin(12.0))
    60.0
    """
    return Celsius(point + by)
