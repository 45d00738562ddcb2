"""Rules: is hot water made the way it is piped, by a boiler that is hot enough for the tank and not too hot for it."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    OUTAGE,
    RECORD,
    RESTORE_LIMIT,
    Drafts,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Kelvin, Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

APPROACH: Final = Threshold(
    "boiler_over_tank", kelvin(20), Kind.DIFFERENCE, COMMON_PRACTICE, "by how much the boiler is hotter than the tank",
    kelvin(9), kelvin(60), "common practice, no source: with less than 9 F a coil gives next to nothing", looser="down",
)  # fmt: skip

METHOD_OF_KIND: Final = {
    "none": ("none",),
    "tank": ("tank sensor", "tank thermostat"),
    "plate": ("plate",),
    "separate": ("none", "separate"),
}
NOT_MADE_HERE: Final = ("none", "separate")
COMES_FROM: Final = {
    "tank": "hot water comes from a tank",
    "plate": "hot water comes from a plate",
    "separate": "hot water comes from a separate heater",
    "none": "no hot water is made here",
}


@rule(
    "hot-water-method-unlike-piping",
    severity=OUTAGE,
    needs=("hot_water_method", "hot_water.kind"),
    cautions=("scald", "hygiene"),
    source=ARITHMETIC,
    trips='settings.hot_water_method = "plate"',
    passes='settings.hot_water_method = "tank thermostat"',
)
def hot_water_method_unlike_piping(plant: Plant) -> Drafts:
    """The hot-water method that is set does not match the piping.

    No hot water comes, or the tank goes to boiler temperature. The method must be one that fits what makes the hot
    water. A boiler that is not piped to the tank makes none.
    """
    method, kind = plant.word("hot_water_method"), plant.word("hot_water.kind")
    fitting = METHOD_OF_KIND[kind]
    if method in fitting:
        return
    if kind == "tank" and method in NOT_MADE_HERE and not plant.flag("hot_water.piped_here"):
        return
    remedy = Remedy(f"set the method to {' or '.join(fitting)}, then check every hot-water value")
    says = f"hot-water method is {method}, but {COMES_FROM[kind]}"
    yield found("hot_water_method", says, {}, remedy)


@rule(
    "hot-water-from-boiler-not-piped-to-tank",
    severity=OUTAGE,
    needs=("hot_water_method", "hot_water.piped_here"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("cascade",),
    source=ARITHMETIC,
    trips="hot_water.piped_here = false",
    passes="hot_water.piped_here = true",
)
def hot_water_from_boiler_not_piped_to_tank(plant: Plant) -> Drafts:
    """This boiler is set to make hot water but is not piped to the tank."""
    if not plant.flag("hot_water.piped_here") and plant.word("hot_water_method") not in NOT_MADE_HERE:
        yield found(
            "hot_water_method",
            f"hot-water method is {plant.show('hot_water_method')}, but this boiler is not piped to the tank",
            {},
            "give hot water to the boiler that is piped to the tank",
        )


@rule(
    "sensor-for-tank-not-fitted",
    severity=OUTAGE,
    needs=("accessories.tank_sensor",),
    only_if={"hot_water_method": ("tank sensor",)},
    cautions=("hygiene", "scald"),
    source=ARITHMETIC,
    trips="accessories.tank_sensor = false",
    passes="accessories.tank_sensor = true",
)
def sensor_for_tank_not_fitted(plant: Plant) -> Drafts:
    """The hot-water method needs a tank sensor, but none is fitted."""
    if not plant.flag("accessories.tank_sensor"):
        yield found(
            "hot_water_method",
            "hot-water method is tank sensor, but no tank sensor is fitted",
            {},
            "fit the sensor, or set the method to what is fitted",
        )


@rule(
    "heat-up-without-tank-sensor",
    severity=DANGER,
    only_if={"hot_water.kind": ("tank",), "hot_water_method": ("tank thermostat",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    trips='settings.hot_water_method = "tank thermostat", settings.hygiene_cycle = true',
    passes="settings.hygiene_cycle = false",
)
def heat_up_without_tank_sensor(plant: Plant) -> Drafts:
    """A hygiene heat-up is set, but the control does not see the tank temperature.

    With a tank thermostat the control sees a contact, not a temperature: it can't run the heat-up that the owner counts
    on.
    """
    typed = plant.typed("hygiene_cycle")
    if typed is True or (typed is None and plant.flag("hygiene_cycle")):
        yield found(
            "hygiene_cycle",
            "a heat-up is set, but with a tank thermostat the control sees no tank temperature",
            {},
            "fit a tank sensor, or write another control measure into the water-safety plan",
        )


@rule(
    "set-point-without-tank-sensor",
    severity=RECORD,
    certainty=ASK,
    only_if={"hot_water.kind": ("tank",), "hot_water_method": ("tank thermostat",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    trips='settings.hot_water_method = "tank thermostat"',
    passes='settings.tank_setpoint = { left = "not applicable" }',
)
def set_point_without_tank_sensor(plant: Plant) -> Drafts:
    """A tank set point is recorded, but the tank's own thermostat decides how hot the tank gets.

    What is found about the tank rests on the figure in the record: it counts only where the thermostat is set to it.
    """
    typed = plant.typed("tank_setpoint")
    if typed is not None:
        yield found(
            "tank_setpoint",
            f"tank set point is {plant.show('tank_setpoint', typed)}, but the tank's thermostat decides: is it set to"
            " that?",
            {},
            "read the thermostat, measure the tank temperature and write both down",
        )


@rule(
    "boiler-target-near-tank-target",
    severity=OUTAGE,
    needs=("hot_water_boiler_setpoint", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("scald", "hygiene"),
    source=COMMON_PRACTICE,
    thresholds=(APPROACH,),
    trips="settings.hot_water_boiler_setpoint = 164",
    passes="settings.hot_water_boiler_setpoint = 165",
)
def boiler_target_near_tank_target(plant: Plant) -> Drafts:
    """The boiler is hardly hotter than the tank: recovery is slow, and the house waits while hot water has priority.

    Approach = boiler target during hot water - tank set point. At or below zero the tank never gets there.
    """
    boiler, tank = plant.point("hot_water_boiler_setpoint"), plant.point("tank_setpoint")
    wanted = plant.threshold(APPROACH)
    approach = Kelvin(boiler - tank)
    if approach >= wanted - TOLERANCE:
        return
    difference = f"only {plant.show(Kind.DIFFERENCE, approach)} to heat with"
    cost = difference if approach > TOLERANCE else "the tank never gets there"
    value = attainable(plant, "hot_water_boiler_setpoint", at_least=tank + wanted)
    if value is None:
        remedy = Remedy("ask the person responsible for water safety: this control can't go higher")
    else:
        shown = plant.show("hot_water_boiler_setpoint", value)
        remedy = Remedy(
            f"raise the boiler target to {shown} and check the limits", {"hot_water_boiler_setpoint": value}
        )
    yield found(
        "hot_water_boiler_setpoint",
        f"boiler target {plant.show(Kind.POINT, boiler)} for a tank at {plant.show(Kind.POINT, tank)}: {cost}",
        {"approach": kelvin_of(approach), "usual approach": kelvin_of(wanted)},
        remedy,
    )


@rule(
    "boiler-target-above-tank-rating",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water_boiler_setpoint", "hot_water.tank_rating"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("scald", "hygiene", "limit"),
    source=ARITHMETIC,
    assumes="the tank's sensor or thermostat fails and nothing else stops the heating",
    trips="hot_water.tank_rating = 171",
    passes="hot_water.tank_rating = 172",
)
def boiler_target_above_tank_rating(plant: Plant) -> Drafts:
    """If the tank sensor fails, the boiler can heat the tank above its rating.

    Compared: the boiler target during hot water, and the tank's temperature rating.
    """
    boiler, rating = plant.point("hot_water_boiler_setpoint"), plant.point("hot_water.tank_rating")
    if boiler > rating + TOLERANCE:
        yield found(
            "hot_water_boiler_setpoint",
            f"boiler target {plant.show(Kind.POINT, boiler)}; tank rated {plant.show(Kind.POINT, rating)}",
            {"boiler target": celsius_of(boiler), "tank rating": celsius_of(rating)},
            "fit and test a limit at the tank, or lower the boiler target; keep the tank hot",
        )


@rule(
    "tank-high-limit-above-rating",
    severity=DANGER,
    needs=("tank_high_limit", "hot_water.tank_rating"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("limit", "scald", "hygiene"),
    source=ARITHMETIC,
    trips="hot_water.tank_rating = 184",
    passes="hot_water.tank_rating = 185",
)
def tank_high_limit_above_rating(plant: Plant) -> Drafts:
    """The limit that protects the tank is set above the temperature that the tank is rated for."""
    limit, rating = plant.point("tank_high_limit"), plant.point("hot_water.tank_rating")
    if limit > rating + TOLERANCE:
        yield found(
            "tank_high_limit",
            f"tank limit {plant.show(Kind.POINT, limit)}; tank rated {plant.show(Kind.POINT, rating)}",
            {"limit": celsius_of(limit), "tank rating": celsius_of(rating)},
            RESTORE_LIMIT,
        )


@rule(
    "tank-high-limit-below-set-point",
    severity=OUTAGE,
    needs=("tank_high_limit", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("limit", "scald", "hygiene"),
    source=ARITHMETIC,
    trips="settings.tank_high_limit = 144",
    passes="settings.tank_high_limit = 145",
)
def tank_high_limit_below_set_point(plant: Plant) -> Drafts:
    """The tank's limit stops the heating before the tank is at its set point."""
    limit, tank = plant.point("tank_high_limit"), plant.point("tank_setpoint")
    if limit < tank - TOLERANCE:
        yield found(
            "tank_high_limit",
            f"tank limit {plant.show(Kind.POINT, limit)} is below the tank set point {plant.show(Kind.POINT, tank)}",
            {"limit": celsius_of(limit), "tank set point": celsius_of(tank)},
            f"ask which is meant; {RESTORE_LIMIT}",
        )


RULES: Final[tuple[Rule, ...]] = (
    hot_water_method_unlike_piping,
    hot_water_from_boiler_not_piped_to_tank,
    sensor_for_tank_not_fitted,
    heat_up_without_tank_sensor,
    set_point_without_tank_sensor,
    boiler_target_near_tank_target,
    boiler_target_above_tank_rating,
    tank_high_limit_above_rating,
    tank_high_limit_below_set_point,
)
