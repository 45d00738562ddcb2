"""Hours of a year of one plant, by the weather file that its portfolio names.

Without a file the hours are `Missing`, and the text for that is always the same.
"""

from __future__ import annotations

from typing import Final

from settingslint.physics.weather import Hours, Short
from settingslint.physics.weather import hours_below_low_fire as below_low_fire
from settingslint.physics.weather import hours_condensing as condensing
from settingslint.physics.weather import hours_short as short
from settingslint.rules.base import Missing
from settingslint.rules.derived.line import own_line
from settingslint.rules.derived.need import drop as drop_at
from settingslint.rules.derived.need import load as load_at
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.derived.output import dew_point, minimum_output
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, kelvin

NOT_KNOWN: Final = "hours not known: no weather file"
SHORT_FROM: Final = kelvin(1)
"""A supply that is no more than this below the need is not called short, K."""


def _year(plant: Plant) -> Hours:
    if plant.hours is None:
        raise Missing("climate", NOT_KNOWN)
    return plant.hours


def between(plant: Plant, coldest: Celsius, warmest: Celsius) -> int | None:
    """Return how many hours of a year are in a range of outdoor temperatures; None without a weather file."""
    if plant.hours is None:
        return None
    return sum(hours for outdoor, hours in plant.hours.middles() if coldest <= outdoor <= warmest)


def hours_short(plant: Plant) -> Short:
    """Return for how many hours the line is short of the need by more than `SHORT_FROM`, and how far.

    Hours in warm-weather shutdown are not counted.

    Raises:
        Missing: without a weather file, or a fact that the line or the need takes.
        DoesNotApply: where no emitter gets the boiler's own supply.
    """
    year, line, balance = _year(plant), own_line(plant), plant.point("building.balance_point")
    return short(year, line, lambda outdoor: need_at(plant, outdoor), balance, margin=SHORT_FROM)


def hours_condensing(plant: Plant) -> int:
    """Return for how many hours heating runs with a return below the dew point of the flue gas.

    Raises:
        Missing: without a weather file, or a fact that the line, the drop or the dew point takes.
        DoesNotApply: where no emitter gets the boiler's own supply.
    """
    year, line, balance = _year(plant), own_line(plant), plant.point("building.balance_point")
    dew = dew_point(plant)
    return condensing(year, line, lambda outdoor: drop_at(plant, outdoor), dew, balance)


def hours_below_low_fire(plant: Plant) -> int:
    """Return for how many hours there is a load below the output at low fire, so that the burner cycles.

    Raises:
        Missing: without a weather file, or a fact that the load or low fire takes.
    """
    return below_low_fire(_year(plant), lambda outdoor: load_at(plant, outdoor), minimum_output(plant))
