"""Steps about hot water: tank, boiler target, recovery and the time limit of its priority."""

from __future__ import annotations

import math
from collections.abc import Mapping

from settingslint.model.values import Value, title_of
from settingslint.physics.hot_water import recovery_time
from settingslint.rules.base import DoesNotApply
from settingslint.rules.derived.output import cold_water, hot_water_output
from settingslint.rules.hot_water.tank import APPROACH
from settingslint.rules.hygiene.tank import STORE
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind
from settingslint.workout.steps import Unmet, limit_ceiling, own, typed_for

Found = tuple[Mapping[str, Value], str]


def _tank(plant: Plant) -> None:
    if plant.word("hot_water.kind") != "tank":
        raise DoesNotApply("no tank")


def tank(plant: Plant) -> Found:
    """Calculate the lowest tank set point that does not fall below the hygiene value; a higher one is never lowered."""
    _tank(plant)
    own(plant, "tank_setpoint")
    if plant.word("hot_water_method") == "tank thermostat":
        raise DoesNotApply("the tank's own thermostat decides, not the control")
    if not plant.flag("hot_water.mixing_valve"):
        raise Unmet("without a mixing valve no tank is both hot enough and cool enough: fit the valve first")
    least, gap = plant.threshold(STORE), plant.difference("tank_differential")
    wanted = Celsius(least + gap)
    shown = f"hygiene value {plant.show(Kind.POINT, least)} plus the differential of {plant.show(Kind.DIFFERENCE, gap)}"
    present = plant.known("tank_setpoint")
    if isinstance(present, float) and present >= wanted - 1e-6:
        raise DoesNotApply(f"the tank is at or above the {shown}; it is not lowered here")
    tops = [(plant.point(name), name) for name in ("hot_water.tank_rating", "tank_high_limit") if plant.known(name)]
    top, name = min(tops, default=(None, ""))
    value = typed_for(plant, "tank_setpoint", at_least=wanted, at_most=top)
    if value is None:
        below = f" and below the {title_of(name)}" if top is not None else ""
        raise Unmet(f"the control can't keep the tank at the {shown}{below}")
    return {"tank_setpoint": value}, f"{shown}; the person responsible for water safety decides"


def boiler_target(plant: Plant) -> Found:
    """Calculate the boiler's target while it heats the tank."""
    _tank(plant)
    own(plant, "hot_water_boiler_setpoint")
    tank, approach = plant.point("tank_setpoint"), plant.threshold(APPROACH)
    wanted = Celsius(tank + approach)
    working = f"tank {plant.show(Kind.POINT, tank)} plus {plant.show(Kind.DIFFERENCE, approach)} to heat with"
    rating, limit = plant.known("hot_water.tank_rating"), limit_ceiling(plant)
    tops = [limit] if limit is not None else []
    tops += [(Celsius(rating), "hot_water.tank_rating")] if isinstance(rating, float) else []
    top, name = min(tops, default=(None, ""))
    value = typed_for(plant, "hot_water_boiler_setpoint", at_least=wanted, at_most=top)
    if value is None:
        if top is None or wanted <= top:
            raise Unmet(f"{working}: the control can't be set there")
        allowed = plant.show(Kind.POINT, top)
        raise Unmet(f"{working} is {plant.show(Kind.POINT, wanted)}; the {title_of(name)} allows {allowed}")
    return {"hot_water_boiler_setpoint": value}, working


def _recovery(plant: Plant) -> tuple[float, str]:
    cold, assumed = cold_water(plant)
    rise = Kelvin(max(0.0, plant.point("tank_setpoint") - cold))
    recovery = recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))
    extra = f" ({assumed})" if assumed else ""
    whole = math.ceil(recovery / 60) * 60
    return recovery, f"from cold the tank takes {plant.show(Kind.MINUTES, whole)}{extra}"


def recovery(plant: Plant) -> Found:
    """Calculate how long the tank takes from cold; a working without a setting."""
    _tank(plant)
    return {}, _recovery(plant)[1]


def priority(plant: Plant) -> Found:
    """Calculate a time limit of the priority that is longer than the recovery."""
    _tank(plant)
    own(plant, "priority_time_limit")
    if not plant.flag("hot_water_priority"):
        raise DoesNotApply("hot water has no priority")
    takes, working = _recovery(plant)
    value = typed_for(plant, "priority_time_limit", at_least=takes)
    if value is None:
        raise Unmet(f"{working}, longer than the control can wait")
    return {"priority_time_limit": value}, working
