"""What a number or a date can be at all, and what of that is plausible: columns of the tables of settings and facts.

Beyond the *physical* bounds a file is refused. Beyond the *plausible* ones the value is a finding, and no rule that
asks for it counts as checked. Those of a setting or fact are in US units; each says where it comes from.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final, NamedTuple

from settingslint.units import Kind
from settingslint.vocabulary.sources import COMMON_PRACTICE


class Bounds(NamedTuple):
    """A range with its ends, and where it comes from."""

    low: float
    high: float
    origin: str = COMMON_PRACTICE


class Direction(StrEnum):
    """Where a date may lie, seen from the day of the check."""

    PAST = "past"
    """On that day or before."""
    FUTURE = "future"
    """On that day or after."""
    EITHER = "either"


class Dated(NamedTuple):
    """Where a date may lie; `most_ahead` are the days that it may lie ahead at most, None where that has no end."""

    direction: Direction
    most_ahead: int | None = None
    origin: str = "what was done lies behind"


DONE: Final = Dated(Direction.PAST)
"""The date of something that was done, seen or read."""

WATER: Final = Bounds(32, 212, "water is ice below and steam above")
OUTDOORS: Final = Bounds(-129, 135, "coldest and hottest air ever measured, WMO archive of extremes (from memory)")
OXYGEN: Final = Bounds(0, 21, "dry air has 20.95 % oxygen, US Standard Atmosphere 1976")
CARBON_DIOXIDE: Final = Bounds(0, 21, "no fuel makes more carbon dioxide than the air had oxygen")
ULTIMATE_CO2: Final = Bounds(0, 14, "13.8 % is the most that propane gives, 11.7 % natural gas: stoichiometry")
PART: Final = Bounds(0, 100, "a share of a whole")
MONTH: Final = Bounds(1, 12, "the months of a year")
EFFICIENCY: Final = Bounds(0.01, 1.2, "a ratio, no per cent; at most gross by net heating value, 1.11 for methane")
_WIDE: Final = "far beyond any boiler plant: common practice, no source"

PHYSICAL: Final[dict[Kind, Bounds]] = {
    Kind.POINT: Bounds(-150, 1000, "colder than any place, hotter than any flue of a boiler"),
    Kind.DIFFERENCE: Bounds(-200, 500, _WIDE),
    Kind.POWER: Bounds(0, 1e9, _WIDE),
    Kind.VOLUME: Bounds(0, 1e7, _WIDE),
    Kind.FLOW: Bounds(0, 1e5, _WIDE),
    Kind.LENGTH: Bounds(-1500, 30000, "from the lowest shore to the highest mountain"),
    Kind.PRESSURE: Bounds(0, 1000, _WIDE),
    Kind.SECONDS: Bounds(0, 1e5, _WIDE),
    Kind.MINUTES: Bounds(0, 1e5, _WIDE),
    Kind.HOURS: Bounds(0, 1e6, _WIDE),
    Kind.PERCENT: Bounds(0, 1000, _WIDE),
    Kind.RATIO: Bounds(-100, 1e4, _WIDE),
    Kind.COUNT: Bounds(0, 1e8, _WIDE),
    Kind.FAN_SPEED: Bounds(0, 1e5, _WIDE),
    Kind.CO: Bounds(0, 1e6, "a million parts in a million"),
}
"""What a number of a kind can be where its row says nothing narrower, as a file of either unit system states it.

Wide, since a raw value of a bus or a number in the other unit is a finding and no reason to refuse a file.
"""
