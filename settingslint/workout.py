"""Temperatures and times worked out from the recorded facts, with the working. Never a fan, gas, rate or limit value.

Each step either gives settings, or says why it can't: a fact that is missing, or a demand that no value meets.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from settingslint.model.values import Value, title_of
from settingslint.physics import OutOfRange
from settingslint.physics.cycling import buffer_volume, shortest_burn
from settingslint.physics.hot_water import recovery_time
from settingslint.physics.reset import grid
from settingslint.rules import derived
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.hot_water import APPROACH
from settingslint.rules.hygiene import STORE
from settingslint.rules.line_remedy import line_that_meets_need
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind
from settingslint.vocabulary.settings import FIRING, LIMITS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, EN_442, HSE_HSG274

BURN: Final = 600.0
"""Burn that calms a burner, s: ten minutes, common practice, no source."""
LIMIT_MARGIN: Final = Kelvin(10 / 1.8)
"""Kept between set point plus overshoot and the operating limit, K: 10 F, common practice, no source."""


NARROWEST: Final = Kelvin(5 / 1.8)
"""No differential is made narrower, K: 5 F, common practice, no source."""
SET_POINT_STEPS: Final = 15
"""How many kelvin the set point is tried above the bare need, where it is the hot end of a one-number line."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing worked out: its settings (SI), the working in words, assumptions and source; or why there is none."""

    title: str
    settings: Mapping[str, Value]
    working: str
    assumes: str
    source: str
    why_not: str = ""


def work_out(plant: Plant) -> tuple[list[Step], Plant]:
    """Return the steps in order, each on top of those before, and the plant with all of them applied (a copy)."""
    steps: list[Step] = []
    for title, (work, assumes, source) in STEPS.items():
        try:
            settings, working = work(plant)
            why = ""
        except Missing as lack:
            settings, working, why = {}, "", f"needs {lack.name}" + (f" ({lack.why})" if lack.why else "")
        except DoesNotApply as none:
            settings, working, why = {}, "", f"does not apply{f': {none}' if str(none) else ''}"
        except OutOfRange as error:
            settings, working, why = {}, "", f"can't be worked out: {error}"
        if any(name in FIRING or name in LIMITS for name in settings):
            raise AssertionError(f"{title}: firing and limits are never worked out")
        steps.append(Step(title, settings, working, assumes, source, why))
        if settings:
            plant = plant.with_settings(settings)
    return steps, plant


Work = Callable[[Plant], tuple[Mapping[str, Value], str]]


class _Unmet(DoesNotApply):
    """A demand that no value of this control meets."""


def _own(plant: Plant, name: str) -> None:
    if name not in plant.control.rows:
        raise DoesNotApply(f"the control has no {title_of(name)}")


def _set_point(plant: Plant) -> tuple[Mapping[str, Value], str]:
    _own(plant, "heating_setpoint")
    design = plant.point("site.design_outdoor")
    wanted = derived.need(plant, design)
    most = [
        (Celsius(plant.number(f"emitter[{index}].maximum_supply")), index)
        for index in derived.direct_emitters(plant)
        if plant.known(f"emitter[{index}].maximum_supply") is not None
    ]
    value = plant.attainable("heating_setpoint", at_least=wanted)
    ceiling = min(most, default=None)
    if value is None:
        raise _Unmet(f"the emitters need {plant.show(Kind.POINT, wanted)}, more than the control can be set to")
    if ceiling is not None and value > ceiling[0] + 1e-6:
        raise _Unmet(
            f"the hottest emitter needs {plant.show(Kind.POINT, wanted)}, and emitter {ceiling[1] + 1} on the same line"
            f" may have {plant.show(Kind.POINT, ceiling[0])}: one of them wants a mixing device"
        )
    working = (
        f"on the design day of {plant.show(Kind.POINT, design)} the emitters need {plant.show(Kind.POINT, wanted)};"
        f" the next step is {plant.show('heating_setpoint', value)}"
    )
    return {"heating_setpoint": value}, working


def _line(plant: Plant) -> tuple[Mapping[str, Value], str]:
    if plant.control.reset_style == "none":
        raise DoesNotApply("the control has no outdoor reset")
    values = _lowest_line(plant)
    if not values:
        raise _Unmet("no line of this control covers the need over the whole range below its set point")
    shown = ", ".join(f"{title_of(name)} {plant.show(name, value)}" for name, value in values.items())
    return values, f"the lowest line that covers the need from the design day to the balance point: {shown}"


def _lowest_line(plant: Plant) -> Mapping[str, Value]:
    """Return the line that stands lowest on average; where one number bends with the set point,"
    " that goes up with it."""
    best: Mapping[str, Value] = line_that_meets_need(plant)
    if plant.control.reset_style != "one number":
        return best
    outdoors = list(grid(*derived.heating_range(plant)))
    base = plant.point("heating_setpoint")
    ceilings = [
        plant.number(f"emitter[{index}].maximum_supply")
        for index in derived.direct_emitters(plant)
        if plant.known(f"emitter[{index}].maximum_supply") is not None
    ]

    def mean(values: Mapping[str, Value]) -> float:
        line = derived.line(plant.with_settings(values))
        return sum(line.supply(outdoor) or 0.0 for outdoor in outdoors)

    lowest = mean(best) if best else math.inf
    for more in range(1, SET_POINT_STEPS + 1):
        value = plant.attainable("heating_setpoint", at_least=base + more)
        if value is None or any(value > ceiling + 1e-6 for ceiling in ceilings):
            break
        higher = {"heating_setpoint": value}
        ends = line_that_meets_need(plant.with_settings(higher))
        if ends and (height := mean({**higher, **ends})) < lowest - 1e-6:
            best, lowest = {**higher, **ends}, height
    return best


def _shutdown(plant: Plant) -> tuple[Mapping[str, Value], str]:
    _own(plant, "warm_weather_shutdown")
    balance = plant.point("building.balance_point")
    value = plant.attainable("warm_weather_shutdown", at_least=balance)
    if value is None:
        raise _Unmet(f"the control can't be set to the balance point of {plant.show(Kind.POINT, balance)}")
    return {"warm_weather_shutdown": value}, f"no heat is needed above {plant.show(Kind.POINT, balance)}"


def _differential(plant: Plant) -> tuple[Mapping[str, Value], str]:
    _own(plant, "heating_differential")
    minimum, volume = derived.minimum_output(plant), plant.number("water.system_volume")
    over = derived.overshoot(plant)
    per_kelvin = shortest_burn(volume, Kelvin(1.0), minimum)
    wanted = Kelvin(BURN / per_kelvin - over)
    room = plant.known("operating_limit")
    working = (
        f"{plant.show('water.system_volume')} and about {plant.show(Kind.POWER, minimum)} at low fire: a burn of"
        f" {BURN / 60:.0f} min without load takes a band of {plant.show(Kind.DIFFERENCE, wanted + over)}"
    )
    value = plant.attainable("heating_differential", at_least=max(wanted, NARROWEST))
    if value is None:
        litres = buffer_volume(BURN, Kelvin(derived.band(plant)), minimum, 0.0)
        raise _Unmet(
            f"{working}; the control can't be set so wide: with the present band"
            f" {plant.show(Kind.VOLUME, litres)} of water would do, or lower low fire where the maker allows it"
        )
    if isinstance(room, float) and plant.point("heating_setpoint") + over + LIMIT_MARGIN > room:
        working += "; set point and overshoot already stand near the operating limit"
    return {"heating_differential": value}, working


def _boiler_target(plant: Plant) -> tuple[Mapping[str, Value], str]:
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")
    _own(plant, "hot_water_boiler_setpoint")
    tank, approach = plant.point("tank_setpoint"), plant.threshold(APPROACH)
    value = plant.attainable("hot_water_boiler_setpoint", at_least=tank + approach)
    if value is None:
        raise _Unmet(f"the control can't be set {plant.show(Kind.DIFFERENCE, approach)} above the store")
    return {"hot_water_boiler_setpoint": value}, (
        f"store {plant.show(Kind.POINT, tank)} plus {plant.show(Kind.DIFFERENCE, approach)} to heat with"
    )


def _store(plant: Plant) -> tuple[Mapping[str, Value], str]:
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")
    _own(plant, "tank_setpoint")
    if not plant.flag("hot_water.mixing_valve"):
        raise _Unmet("without a tempering valve no store is both hot enough and cool enough: the valve first")
    least, gap = plant.threshold(STORE), plant.difference("tank_differential")
    value = plant.attainable("tank_setpoint", at_least=least + gap)
    if value is None:
        raise _Unmet("the control can't keep the store at the hygiene value with this differential")
    return {"tank_setpoint": value}, (
        f"hygiene value {plant.show(Kind.POINT, least)} plus the differential of {plant.show(Kind.DIFFERENCE, gap)};"
        " the holder of the water-safety plan decides"
    )


def _priority(plant: Plant) -> tuple[Mapping[str, Value], str]:
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")
    _own(plant, "priority_time_limit")
    cold, assumed = derived.cold_water(plant)
    rise = Kelvin(plant.point("tank_setpoint") - cold)
    recovery = recovery_time(plant.number("hot_water.tank_volume"), rise, derived.hot_water_output(plant))
    value = plant.attainable("priority_time_limit", at_least=recovery)
    if value is None:
        raise _Unmet(f"the tank takes {plant.show(Kind.MINUTES, recovery)}, longer than the control can wait")
    extra = f" ({assumed})" if assumed else ""
    return {"priority_time_limit": value}, (
        f"from cold the tank takes {plant.show(Kind.MINUTES, math.ceil(recovery / 60) * 60)}{extra}"
    )


_FLOW: Final = "constant flow, one exponent for each emitter, a load that follows the outdoor temperature"
STEPS: Final[dict[str, tuple[Work, str, str]]] = {
    "heating set point": (_set_point, _FLOW, EN_442),
    "outdoor reset": (_line, _FLOW, EN_442),
    "warm-weather shutdown": (_shutdown, "the balance point as recorded", ARITHMETIC),
    "heating differential": (_differential, "one well-mixed volume, no load, low fire", COMMON_PRACTICE),
    "store": (_store, "the hygiene value of the portfolio", HSE_HSG274),
    "boiler target during hot water": (_boiler_target, "a coil of ordinary size", COMMON_PRACTICE),
    "priority time limit": (_priority, "full output to the tank", ARITHMETIC),
}
