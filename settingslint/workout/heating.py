"""Steps about heating: set point, shutdown, floor of the line, the line, differential, buffer, return."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from settingslint.model.values import Value, title_of
from settingslint.physics.cycling import buffer_volume, shortest_burn
from settingslint.rules.base import DoesNotApply, Missing
from settingslint.rules.derived.line import FIXED_SUPPLY_KINDS, follows
from settingslint.rules.derived.line import band as band_of
from settingslint.rules.derived.line import overshoot as overshoot_of
from settingslint.rules.derived.line import top as top_of
from settingslint.rules.derived.need import drop_at_design, heating_range
from settingslint.rules.derived.need import need as need_at
from settingslint.rules.derived.output import dew_point, minimum_output
from settingslint.rules.plant import Plant
from settingslint.rules.reset.weather import ABOVE_BALANCE, BELOW_BALANCE
from settingslint.rules.steps import step_of
from settingslint.units import Celsius, Kelvin, Kind
from settingslint.workout import line
from settingslint.workout.steps import Unmet, heating_ceiling, limit_ceiling, own, typed_for

Found = tuple[Mapping[str, Value], str]

BURN: Final = 600.0
"""Burn that calms a burner, s: ten minutes, common practice, no source."""
NARROWEST: Final = Kelvin(10 / 1.8)
"""No differential is made narrower, K: 10 F, common practice, no source."""
WIDEST: Final = Kelvin(20.0)
"""No differential is made wider, K: 36 F, common practice, no source. What is missing then is water."""


def set_point(plant: Plant) -> Found:
    """Calculate the set point, and the ceiling of the supply where the control has one that is lower.

    Where the need can't be met, the hottest value that is allowed, with the reason.
    """
    if follows(plant):
        raise DoesNotApply("the supply is set from outside")
    own(plant, "heating_setpoint")
    design = plant.point("site.design_outdoor")
    wanted = need_at(plant, design)
    working = (
        f"on the design day of {plant.show(Kind.POINT, design)} the emitters need {plant.show(Kind.POINT, wanted)}"
    )
    ceiling = heating_ceiling(plant)
    top = ceiling[0] if ceiling is not None else None
    maximum = plant.known("maximum_supply")
    if isinstance(maximum, float) and maximum < wanted:
        raised = _near(plant, "maximum_supply", wanted, None)
        settings: dict[str, Value] = {"maximum_supply": raised} if raised is not None and raised > maximum else {}
    else:
        settings = {}
    plant = plant.instead(settings)
    value = _near(plant, "heating_setpoint", wanted, top)
    if value is None:
        raise Unmet(f"{working}, and no value of this control is at or below {plant.show(Kind.POINT, top or wanted)}")
    settings["heating_setpoint"] = value
    if top_of(plant.instead(settings))[0] >= wanted - line.NONE:
        return settings, working
    because = "the control can't be set so high"
    if ceiling is not None and step_of(plant, "heating_setpoint") + wanted > ceiling[0]:
        because = ceiling[1]
    way = "a mixing device for one of them" if "same line" in because else "larger emitters, or a lower load"
    return settings, f"{working}. This can't be met: {because}; it takes {way}. The nearest that is allowed"


def _near(plant: Plant, name: str, wanted: float, top: float | None) -> float | None:
    """Return what to type for the wanted value or the next above it; else the next below it; None for neither."""
    if not plant.has(name) or plant.control.rows[name].access == "factory":
        return None
    value = typed_for(plant, name, at_least=wanted, at_most=top)
    return value if value is not None else typed_for(plant, name, at_most=wanted if top is None else min(wanted, top))


def shutdown(plant: Plant) -> Found:
    """Calculate warm-weather shutdown from the balance point."""
    own(plant, "warm_weather_shutdown")
    balance, present = plant.point("building.balance_point"), plant.known("warm_weather_shutdown")
    kinds = [plant.known(f"emitter[{one}].kind") for one in range(len(plant.profile.emitters))]
    too_low = isinstance(present, float) and present < balance
    if not too_low and any(kind in FIXED_SUPPLY_KINDS for kind in kinds):
        raise DoesNotApply("a coil or a pool may call in all weathers")
    low, high = balance - plant.threshold(BELOW_BALANCE), balance + plant.threshold(ABOVE_BALANCE)
    value = typed_for(plant, "warm_weather_shutdown", at_least=balance, at_most=high)
    value = value if value is not None else typed_for(plant, "warm_weather_shutdown", at_least=low, near=balance)
    if value is None:
        raise Unmet(f"the control can't be set near the balance point of {plant.show(Kind.POINT, balance)}")
    return {"warm_weather_shutdown": value}, f"no heat is needed above {plant.show(Kind.POINT, balance)}"


def floor(plant: Plant) -> Found:
    """Calculate how low the floor of the line must be, where it is above what mild weather needs."""
    own(plant, "minimum_supply")
    if not plant.flag("boiler.condensing"):
        raise DoesNotApply("a floor may protect a boiler that must not condense")
    if plant.word("hot_water.kind") == "plate":
        raise DoesNotApply("a plate may need the floor")
    present = plant.point("minimum_supply")
    wanted = need_at(plant, heating_range(plant)[1])
    if present <= wanted + line.NONE:
        raise DoesNotApply("it is no higher than mild weather needs")
    row = plant.control.rows["minimum_supply"]
    low = row.low if row.low is not None else wanted
    value = typed_for(plant, "minimum_supply", at_most=wanted)
    value = value if value is not None else typed_for(plant, "minimum_supply", at_least=low)
    if value is None:
        raise Unmet("the control can't be set so low")
    return {"minimum_supply": value}, f"in mild weather the emitters need {plant.show(Kind.POINT, wanted)} only"


def reset(plant: Plant) -> Found:
    """Calculate the line of outdoor reset."""
    line.applies(plant)
    found = line.lowest_line(plant)
    if found is None:
        raise Unmet("no line of this control covers the need over the whole range below its set point")
    after = plant.instead(found.settings)
    shown = ", ".join(f"{title_of(name)} {after.show(name)}" for name in found.settings)
    working = f"the lowest line that covers the need from the design day to the balance point: {shown}"
    if "heating_setpoint" in found.settings:
        working += "; the line depends on the set point, which goes up with it"
    if found.short > line.NONE:
        working += f"; it stays up to {plant.show(Kind.DIFFERENCE, Kelvin(found.short))} short"
    return found.settings, working


def kept_return(plant: Plant) -> Found:
    """Calculate what keeps the return of a boiler that must not condense above the dew point."""
    if plant.flag("boiler.condensing"):
        raise DoesNotApply("the boiler is made to condense")
    if plant.known("piping.return_protection") is True:
        raise DoesNotApply("the piping keeps the return warm")
    dew = dew_point(plant)
    working = f"the flue gas condenses below {plant.show(Kind.POINT, dew)}"
    if plant.has("minimum_return"):
        value = typed_for(plant, "minimum_return", at_least=dew)
        if value is not None:
            return {"minimum_return": value}, f"{working}; see that the piping can hold it"
    own(plant, "minimum_supply")
    least = Celsius(dew + drop_at_design(plant))
    value = typed_for(plant, "minimum_supply", at_least=least, at_most=top_of(plant)[0])
    if value is None:
        raise Unmet(f"{working}, and no floor of this control keeps the return above: it takes piping that does")
    shown = plant.show("minimum_supply", least)
    return {"minimum_supply": value}, f"{working}; with the drop of the design day that is {shown}"


def differential(plant: Plant) -> Found:
    """Calculate the differential that gives a minimum burn, within what the water can do."""
    own(plant, "heating_differential")
    minimum, volume = minimum_output(plant), plant.number("water.system_volume")
    over = overshoot_of(plant)
    band = Kelvin(BURN / shortest_burn(volume, Kelvin(1.0), minimum))
    working = (
        f"{plant.show('water.system_volume')} and about {plant.show(Kind.POWER, minimum)} at low fire: a burn of"
        f" {BURN / 60:.0f} min without load takes a band of {plant.show(Kind.DIFFERENCE, band)}, and"
        f" the burner stops {plant.show(Kind.DIFFERENCE, over)} above the set point"
    )
    value = typed_for(plant, "heating_differential", at_least=max(Kelvin(band - over), NARROWEST), at_most=WIDEST)
    if value is None:
        raise Unmet(f"{working}; no differential of this control up to {plant.show(Kind.DIFFERENCE, WIDEST)} gives it")
    room = limit_ceiling(plant, over)
    setpoint = plant.known("heating_setpoint")
    if room is not None and isinstance(setpoint, float) and setpoint > room[0] + line.NONE:
        working += f"; set point and overshoot are already near the {title_of(room[1])}"
    return {"heating_differential": value}, working


def buffer(plant: Plant) -> Found:
    """Calculate the water that gives the minimum burn with the present band; a working without a setting."""
    minimum, volume = minimum_output(plant), plant.number("water.system_volume")
    band = band_of(plant)
    if band <= 0:
        raise Missing("heating_differential", "the switching band is zero")
    litres = buffer_volume(BURN, band, minimum, 0.0)
    more = max(0.0, litres - volume)
    working = (
        f"a burn of {BURN / 60:.0f} min without load at about {plant.show(Kind.POWER, minimum)} and a band of"
        f" {plant.show(Kind.DIFFERENCE, band)} takes {plant.show(Kind.VOLUME, litres)} of water;"
        f" {plant.show(Kind.VOLUME, volume)} are there"
    )
    return {}, f"{working}: {plant.show(Kind.VOLUME, more)} more" if more > 0 else f"{working}: enough"
