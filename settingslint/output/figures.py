"""The figures that follow from effective values: where the line falls short, condenses and cycles, and for how long."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from typing import Final, NamedTuple, TypeVar

from settingslint.checking.around import around, band
from settingslint.physics import OutOfRange
from settingslint.physics.condensing import condensing_starts
from settingslint.physics.cycling import cycling_starts_at
from settingslint.physics.hot_water import recovery_time
from settingslint.physics.reset import first_shortfall
from settingslint.physics.weather import Short
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.hours import SHORT_FROM, hours_below_low_fire, hours_condensing, hours_short
from settingslint.rules.derived.line import own_line
from settingslint.rules.derived.need import drop
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.derived.output import (
    EXCESS_AIR,
    cold_water,
    dew_point,
    heating_rate,
    high_input,
    hot_water_output,
    low_input,
    minimum_output,
)
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind

T = TypeVar("T")

ASSUMPTIONS: Final = (
    "Assumes constant flow, one exponent for each emitter, a load that follows the outdoor temperature, flue gas of"
    f" {EXCESS_AIR:.0%} excess air where no CO2 is recorded, and mains water of 10 C (50 F) where none is"
    " recorded. To look at, not to design by."
)


BEYOND: Final = "can't be calculated from what is recorded"


class Figure(NamedTuple):
    """A number in SI with its kind, or why there is none.

    Where something is assumed for what nobody recorded, `low` and `high` are the ends of what is plausible, and
    `assumed` says what it rests on.
    """

    title: str
    value: float | None
    kind: Kind
    why: str = ""
    low: float | None = None
    high: float | None = None
    assumed: str = ""
    yearly: bool = False
    """Whether it needs the hours of a weather file."""


def tried(call: Callable[[], T]) -> tuple[T | None, str]:
    """Return the result, or None and why there is none."""
    try:
        made = call()
        return (None, BEYOND) if isinstance(made, float) and not isfinite(made) else (made, "")
    except Missing as lack:
        return None, f"not checked: needs {lack.name}" + (f" ({lack.why})" if lack.why else "")
    except DoesNotApply as none:
        return None, f"does not apply ({none})" if str(none) else "does not apply"
    except OutOfRange as error:
        return None, f"out of range: {error}"
    except (ArithmeticError, ValueError):
        return None, BEYOND


def _figure(
    plant: Plant, title: str, kind: Kind, call: Callable[[Plant], float | None], none: str = "nowhere"
) -> Figure:
    value, why = tried(lambda: call(plant))
    if value is not None or not why:
        return Figure(title, value, kind, none if value is None else "")
    near = around(plant, call)
    values = [] if near.plant is plant else [one for one in band(near, call) if one is not None and isfinite(one)]
    if not values:
        return Figure(title, None, kind, why)
    return Figure(title, values[0], kind, "", min(values), max(values), near.said(plant.system))


def _ends(plant: Plant) -> tuple[Celsius, Celsius]:
    return plant.point("site.design_outdoor"), plant.point("building.balance_point")


def _first_short(plant: Plant) -> Celsius | None:
    return first_shortfall(own_line(plant), lambda outdoor: need_at(plant, outdoor), *_ends(plant), margin=SHORT_FROM)


def _condenses_from(plant: Plant) -> Celsius | None:
    line, dew = own_line(plant), dew_point(plant)
    return condensing_starts(line, lambda outdoor: drop(plant, outdoor), dew, *_ends(plant))


def _cycles_above(plant: Plant) -> Celsius:
    cold, balance = _ends(plant)
    return cycling_starts_at(minimum_output(plant), plant.number("building.design_load"), balance, cold)


def _recovery(plant: Plant) -> float:
    cold, _ = cold_water(plant)
    rise = Kelvin(plant.point("tank_setpoint") - cold)
    return recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))


def figures(plant: Plant) -> list[Figure]:
    """Return what follows from the effective values, in the order in which it is shown."""
    short = tried(lambda: hours_short(plant))
    return [
        _figure(plant, "supply on the design day", Kind.POINT, lambda one: own_line(one).supply(_ends(one)[0]),
                "shut down"),
        _figure(plant, "need on the design day", Kind.POINT, lambda one: need_at(one, _ends(one)[0])),
        _figure(plant, "line first falls short at", Kind.POINT, _first_short, _nowhere(plant, short[0])),
        _figure(plant, "flue dew point", Kind.POINT, dew_point),
        _figure(plant, "return is below the flue dew point from", Kind.POINT, _condenses_from),
        _figure(plant, "burner begins to cycle at", Kind.POINT, _cycles_above),
        _figure(plant, "input at low fire, about", Kind.POWER, low_input),
        *_high_fire(plant),
        _figure(plant, "recovery of the tank from cold, without losses", Kind.MINUTES, _recovery),
        *_hours(plant, *short),
    ]  # fmt: skip


def _high_fire(plant: Plant) -> list[Figure]:
    """Return the input at high fire; where a heating rate limit lowers it, with and without that limit."""
    share, _ = tried(lambda: heating_rate(plant))
    if share == 1.0:
        return [_figure(plant, "input at high fire, about", Kind.POWER, high_input)]
    return [
        _figure(plant, "input at high fire while heating, with its rate limit, about", Kind.POWER,
                lambda one: high_input(one) * heating_rate(one)),
        _figure(plant, "input at high fire without that limit, about", Kind.POWER, high_input),
    ]  # fmt: skip


def _nowhere(plant: Plant, short: Short | None) -> str:
    """Return what is said of a line that covers the need up from the design day, though colder hours may be short."""
    cold, _ = tried(lambda: plant.point("site.design_outdoor"))
    text = "nowhere from the design day up"
    if short is None or not short.hours or cold is None or short.where is None or short.where >= cold:
        return text
    return f"{text}; the hours short, below, are colder than the {plant.show(Kind.POINT, cold)} of that day"


def _hours(plant: Plant, short: Short | None, why: str) -> list[Figure]:
    mean = short.kelvin_hours / short.hours if short is not None and short.hours else None
    none = why or "nowhere short"
    made = [
        Figure("hours a year short of the need", short.hours if short is not None else None, Kind.COUNT, why),
        Figure("short in these hours, mean", mean, Kind.DIFFERENCE, none if mean is None else ""),
        Figure("short in these hours, at most", short.worst if short and short.hours else None, Kind.DIFFERENCE,
               none if mean is None else ""),
        _figure(plant, "hours a year with the return below the flue dew point", Kind.COUNT, hours_condensing),
        _figure(plant, "hours a year with a load below low fire", Kind.COUNT, hours_below_low_fire),
    ]  # fmt: skip
    return [one._replace(yearly=True) for one in made]
