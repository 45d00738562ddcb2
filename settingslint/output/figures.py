"""The figures that follow from effective values: where the line falls short, condenses and cycles, and for how long."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from typing import Final, NamedTuple, TypeVar

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
    """A number in SI with its kind, or why there is none."""

    title: str
    value: float | None
    kind: Kind
    why: str = ""


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


def _figure(title: str, kind: Kind, call: Callable[[], float | None], none: str = "nowhere") -> Figure:
    value, why = tried(call)
    return Figure(title, value, kind, why or (none if value is None else ""))


def figures(plant: Plant) -> list[Figure]:
    """Return what follows from the effective values, in the order in which it is shown."""

    def ends() -> tuple[Celsius, Celsius]:
        return plant.point("site.design_outdoor"), plant.point("building.balance_point")

    def first_short() -> Celsius | None:
        need = lambda outdoor: need_at(plant, outdoor)  # noqa: E731
        return first_shortfall(own_line(plant), need, *ends(), margin=SHORT_FROM)

    def condenses_from() -> Celsius | None:
        line, dew = own_line(plant), dew_point(plant)
        return condensing_starts(line, lambda outdoor: drop(plant, outdoor), dew, *ends())

    def cycles_above() -> Celsius:
        cold, balance = ends()
        return cycling_starts_at(minimum_output(plant), plant.number("building.design_load"), balance, cold)

    def recovery() -> float:
        cold, _ = cold_water(plant)
        rise = Kelvin(plant.point("tank_setpoint") - cold)
        return recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))

    short = tried(lambda: hours_short(plant))
    return [
        _figure("supply on the design day", Kind.POINT, lambda: own_line(plant).supply(ends()[0]), "shut down"),
        _figure("need on the design day", Kind.POINT, lambda: need_at(plant, ends()[0])),
        _figure("line first falls short at", Kind.POINT, first_short, _nowhere(plant, short[0])),
        _figure("flue dew point", Kind.POINT, lambda: dew_point(plant)),
        _figure("return is below the flue dew point from", Kind.POINT, condenses_from),
        _figure("burner begins to cycle at", Kind.POINT, cycles_above),
        _figure("input at low fire, about", Kind.POWER, lambda: low_input(plant)),
        *_high_fire(plant),
        _figure("recovery of the tank from cold, without losses", Kind.MINUTES, recovery),
        *_hours(plant, *short),
    ]


def _high_fire(plant: Plant) -> list[Figure]:
    """Return the input at high fire; where a heating rate limit lowers it, with and without that limit."""
    share, _ = tried(lambda: heating_rate(plant))
    if share == 1.0:
        return [_figure("input at high fire, about", Kind.POWER, lambda: high_input(plant))]
    return [
        _figure("input at high fire while heating, with its rate limit, about", Kind.POWER,
                lambda: high_input(plant) * heating_rate(plant)),
        _figure("input at high fire without that limit, about", Kind.POWER, lambda: high_input(plant)),
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
    return [
        Figure("hours a year short of the need", short.hours if short is not None else None, Kind.COUNT, why),
        Figure("short in these hours, mean", mean, Kind.DIFFERENCE, none if mean is None else ""),
        Figure("short in these hours, most", short.worst if short and short.hours else None, Kind.DIFFERENCE,
               none if mean is None else ""),
        _figure("hours a year with the return below the flue dew point", Kind.COUNT,
                lambda: hours_condensing(plant)),
        _figure("hours a year with a load below low fire", Kind.COUNT, lambda: hours_below_low_fire(plant)),
    ]  # fmt: skip
