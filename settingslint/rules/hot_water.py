"""Rules: is hot water made the way it is piped, soon enough, and without waste."""

from __future__ import annotations

from typing import Final

from settingslint.physics import keep_warm as standing
from settingslint.physics.hot_water import plate_flow, recovery_time
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    WASTE,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Rule,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    minutes_of,
    rule,
)
from settingslint.rules.derived import cold_water, direct_emitters, hot_water_output
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kelvin, Kind, celsius, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

TITLE: Final = "hot water"

APPROACH: Final = Threshold(
    "boiler_over_tank", kelvin(20), Kind.DIFFERENCE, COMMON_PRACTICE, "by how much the boiler is hotter than the tank"
)
SCALING_STORE: Final = Threshold(
    "scaling_store", celsius(140), Kind.POINT, COMMON_PRACTICE, "store above which hard water scales fast"
)
LONGEST_OVERRUN: Final = Threshold(
    "hot_water_overrun_most", 600.0, Kind.MINUTES, COMMON_PRACTICE, "hot-water pump overrun that cools the tank"
)
KEEP_WARM_WORTH: Final = Threshold(
    "keep_warm_worth", 4 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "keep-warm that is long where little is drawn"
)

METHOD_OF_KIND: Final = {
    "none": ("none",),
    "tank": ("tank sensor", "tank thermostat"),
    "plate": ("plate",),
    "separate": ("none", "separate"),
}


@rule(
    "hot-water-method-unlike-piping",
    severity=OUTAGE,
    needs=("hot_water_method", "hot_water.kind"),
    cautions=("scald", "hygiene"),
    source=ARITHMETIC,
)
def hot_water_method_unlike_piping(plant: Plant) -> Drafts:
    """The control believes in another way of making hot water than the one that is piped.

    No hot water comes, or the tank goes to boiler temperature. The method must be one that fits what makes the hot
    water.

    Trips:
        [settings]
        hot_water_method = "plate"
    Passes:
        [settings]
        hot_water_method = "tank thermostat"
    """
    method, kind = plant.word("hot_water_method"), plant.word("hot_water.kind")
    if method not in METHOD_OF_KIND[kind]:
        fitting = METHOD_OF_KIND[kind]
        remedy = Remedy(f"set the method to {' or '.join(fitting)}, then look at every hot-water value again")
        yield found("hot_water_method", f"the method is {method}; the hot water is made by {kind}", {}, remedy)


@rule(
    "boiler-target-near-tank-target",
    severity=OUTAGE,
    needs=("hot_water_boiler_setpoint", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("scald", "hygiene"),
    source=COMMON_PRACTICE,
    thresholds=(APPROACH,),
)
def boiler_target_near_tank_target(plant: Plant) -> Drafts:
    """The boiler is hardly hotter than the tank it has to heat: recovery crawls, and priority keeps the house waiting.

    Approach = boiler target during hot water - tank set point. At or below nought the tank can never get there.

    Trips:
        [settings]
        hot_water_boiler_setpoint = 160
    Passes:
        [settings]
        hot_water_boiler_setpoint = 166
    """
    boiler, tank = plant.point("hot_water_boiler_setpoint"), plant.point("tank_setpoint")
    wanted = plant.threshold(APPROACH)
    approach = Kelvin(boiler - tank)
    if approach >= wanted - 1e-6:
        return
    never = " and can never get there" if approach <= 0 else ""
    value = plant.attainable("hot_water_boiler_setpoint", at_least=tank + wanted)
    if value is None:
        remedy = Remedy(
            "this control can't make the boiler hot enough for this store: ask the water-safety plan's holder"
        )
    else:
        shown = plant.show("hot_water_boiler_setpoint", value)
        remedy = Remedy(
            f"raise the boiler target to {shown} and look at the limits", {"hot_water_boiler_setpoint": value}
        )
    yield found(
        "hot_water_boiler_setpoint",
        f"the boiler goes to {plant.show(Kind.POINT, boiler)} for a tank of {plant.show(Kind.POINT, tank)}:"
        f" {plant.show(Kind.DIFFERENCE, approach)} to heat with{never}",
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
)
def boiler_target_above_tank_rating(plant: Plant) -> Drafts:
    """With a failed tank sensor the boiler could heat the tank beyond its rating.

    Compared: the boiler target during hot water, and the tank's temperature rating.

    Trips:
        [hot_water]
        tank_rating = 171
    Passes:
        [hot_water]
        tank_rating = 172
    """
    boiler, rating = plant.point("hot_water_boiler_setpoint"), plant.point("hot_water.tank_rating")
    if boiler > rating + 1e-6:
        yield found(
            "hot_water_boiler_setpoint",
            f"boiler target {plant.show(Kind.POINT, boiler)}; the tank is rated {plant.show(Kind.POINT, rating)}",
            {"boiler target": celsius_of(boiler), "tank rating": celsius_of(rating)},
            "a limit of its own at the tank, tested; or a cooler boiler target that still heats the store",
        )


@rule(
    "keep-warm-with-tank",
    severity=WASTE,
    needs=("keep_warm", "hot_water.kind"),
    cautions=("hot-water",),
    source=COMMON_PRACTICE,
)
def keep_warm_with_tank(plant: Plant) -> Drafts:
    """Plate keep-warm is on where there is no plate that makes the hot water.

    The burner fires for minutes in every hour, all summer, and nobody draws. Keep-warm belongs to a plate without a
    store.

    Trips:
        [settings]
        keep_warm = 3
    Passes:
        [settings]
        keep_warm = "off"
    """
    kind = plant.word("hot_water.kind")
    if kind != "plate" and not plant.is_off("keep_warm"):
        where = {"tank": "a tank", "separate": "a separate heater", "none": "nothing here"}[kind]
        yield found(
            "keep_warm",
            f"keep-warm is {plant.show('keep_warm')}, and the hot water is made by {where}",
            {"keep-warm": Quantity(plant.number("keep_warm"), Kind.HOURS)},
            Remedy("switch keep-warm off", {"keep_warm": OFF}),
        )


@rule(
    "keep-warm-at-low-use",
    severity=WASTE,
    certainty=LIKELY,
    needs=("keep_warm", "hot_water.low_use"),
    only_if={"hot_water.kind": ("plate",)},
    cautions=("hot-water",),
    source="UK SAP table 3a: 600 to 900 kWh a year (second-hand)",
    assumes=f"a standing loss of about {standing.STANDING_LOSS_W:.0f} W",
    thresholds=(KEEP_WARM_WORTH,),
)
def keep_warm_at_low_use(plant: Plant) -> Drafts:
    """The plate is kept warm for hours where hot water is drawn seldom.

    Loss = standing loss x hours held; held all year at most.

    Trips:
        [hot_water]
        kind = "plate"
        low_use = true
        [settings]
        keep_warm = 5
    Passes:
        [hot_water]
        kind = "plate"
        low_use = true
        [settings]
        keep_warm = 4
    """
    if not plant.flag("hot_water.low_use") or plant.is_off("keep_warm"):
        return
    if plant.number("keep_warm") > plant.threshold(KEEP_WARM_WORTH) + 1e-6:
        kwh = standing.loss(standing.STANDING_LOSS_W, 8760.0)
        yield found(
            "keep_warm",
            f"kept warm {plant.show('keep_warm')} after each draw though little is drawn: up to about"
            f" {kwh:.0f} kWh a year",
            {"keep-warm": Quantity(plant.number("keep_warm"), Kind.HOURS)},
            "shorten it or switch it off, and tell the users that they wait longer",
        )


@rule(
    "plate-set-point-out-of-reach",
    severity=WASTE,
    certainty=LIKELY,
    needs=(
        "outlet_setpoint", "hot_water.peak_flow", "hot_water.cold_inlet", "boiler.efficiency", "boiler.input_maximum",
    ),
    only_if={"hot_water.kind": ("plate",)},
    cautions=("hot-water", "scald", "hygiene"),
    source=ARITHMETIC,
    assumes="the boiler gives its whole output to the plate",
)  # fmt: skip
def plate_set_point_out_of_reach(plant: Plant) -> Drafts:
    """At the largest draw the plate can't reach its set point from the coldest mains.

    Flow = output / (rho cp x rise from the coldest mains).

    Trips:
        [hot_water]
        kind = "plate"
        peak_flow = 3.5
        [settings]
        outlet_setpoint = 118
    Passes:
        [hot_water]
        kind = "plate"
        peak_flow = 2.0
        [settings]
        outlet_setpoint = 118
    """
    rise = Kelvin(plant.point("outlet_setpoint") - plant.point("hot_water.cold_inlet"))
    if rise <= 0:
        return
    able, draw = plate_flow(hot_water_output(plant), rise), plant.number("hot_water.peak_flow")
    if able < draw - 1e-9:
        yield found(
            "outlet_setpoint",
            f"{plant.show('outlet_setpoint')} is reached up to {plant.show(Kind.FLOW, able)};"
            f" the largest draw is {plant.show(Kind.FLOW, draw)}",
            {"flow at the set point": Quantity(able, Kind.FLOW), "largest draw": Quantity(draw, Kind.FLOW)},
            "a flow restrictor, or tell the users what comes at the largest draw",
        )


@rule(
    "priority-without-time-limit",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("hot_water_priority", "priority_time_limit"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("freeze",),
    source=COMMON_PRACTICE,
    assumes="a tank sensor or a draw that calls without end",
)
def priority_without_time_limit(plant: Plant) -> Drafts:
    """Hot water may hold priority for ever: a failed tank sensor or a leak leaves the house without heat.

    Priority is on and has no time limit.

    Trips:
        [settings]
        priority_time_limit = "off"
    Passes:
        [settings]
        priority_time_limit = 60
    """
    if plant.flag("hot_water_priority") and plant.is_off("priority_time_limit"):
        yield found(
            "priority_time_limit",
            "hot water has priority without a time limit: a call that never ends leaves the house without heat",
            {},
            "set a time limit longer than the recovery of the store",
        )


@rule(
    "priority-limit-below-recovery",
    severity=WASTE,
    certainty=LIKELY,
    needs=(
        "hot_water.tank_volume", "tank_setpoint", "priority_time_limit", "hot_water_priority", "boiler.efficiency",
    ),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hot-water", "scald", "hygiene"),
    source=ARITHMETIC,
    assumes="full output to the tank from cold mains to the set point",
)  # fmt: skip
def priority_limit_below_recovery(plant: Plant) -> Drafts:
    """The tank recovers more slowly than the priority time limit: on every cold start hot water loses its turn.

    Recovery = volume x rho cp x (set point - mains) / output that reaches the tank.

    Trips:
        [settings]
        priority_time_limit = 30
    Passes:
        [settings]
        priority_time_limit = 35
    """
    if not plant.flag("hot_water_priority") or plant.is_off("priority_time_limit"):
        return
    cold, assumed = cold_water(plant)
    rise = Kelvin(plant.point("tank_setpoint") - cold)
    if rise <= 0:
        return
    recovery = recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant))
    limit = plant.number("priority_time_limit")
    if recovery <= limit + 1e-6:
        return
    value = plant.attainable("priority_time_limit", at_least=recovery)
    if value is None:
        remedy = Remedy("this control can't wait that long: a hotter boiler target or more coil, or a smaller tank")
    else:
        shown = plant.show("priority_time_limit", value)
        remedy = Remedy(f"lengthen the time limit to {shown}", {"priority_time_limit": value})
    yield found(
        "priority_time_limit",
        f"the tank takes {plant.show(Kind.MINUTES, recovery)} from cold, priority ends after"
        f" {plant.show(Kind.MINUTES, limit)}" + (f" ({assumed})" if assumed else ""),
        {"recovery": minutes_of(recovery), "limit": minutes_of(limit)},
        remedy,
    )


@rule(
    "hot-water-heats-the-floor",
    severity=DAMAGE,
    needs=("hot_water_priority", "hot_water_boiler_setpoint", "emitter"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("heating", "scald", "hygiene"),
    source=COMMON_PRACTICE,
)
def hot_water_heats_the_floor(plant: Plant) -> Drafts:
    """Without priority the water for the tank also goes to emitters that can't take it.

    Priority is off, an emitter has no mixing device of its own, and its maximum supply is below the boiler target.

    Trips:
        [settings]
        hot_water_priority = false
        hot_water_boiler_setpoint = 192
    Passes:
        [settings]
        hot_water_priority = false
        hot_water_boiler_setpoint = 190
    """
    if plant.flag("hot_water_priority"):
        return
    boiler = plant.point("hot_water_boiler_setpoint")
    for index in direct_emitters(plant):
        name = f"emitter[{index}].maximum_supply"
        if plant.known(name) is None:
            yield Missing(name)
            continue
        most = plant.point(name)
        if boiler > most + 1e-6:
            yield found(
                "hot_water_priority",
                f"during hot water {plant.show(Kind.POINT, boiler)} also goes to emitter {index + 1}, which may have"
                f" {plant.show(Kind.POINT, most)}",
                {"boiler target": celsius_of(boiler), "most at the emitter": celsius_of(most)},
                Remedy("give hot water priority, or fit mixing", {"hot_water_priority": True}),
            )


@rule(
    "heating-rate-limits-hot-water",
    severity=OUTAGE,
    needs=("heating_maximum_rate",),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("firing",),
    source=CONTROL_FILE,
)
def heating_rate_limits_hot_water(plant: Plant) -> Drafts:
    """The limit that was meant for heating starves hot water too, because this control applies it to both.

    The control file says so, and the effective heating rate is below full.

    Trips:
        [control.control]
        rate_limits_hot_water = true
    Passes:
        [control.control]
        rate_limits_hot_water = true
        [settings]
        heating_maximum_rate = 100
    """
    shared = plant.control.notes.get("rate_limits_hot_water")
    if shared is None:
        raise Missing("heating_maximum_rate", "the control file does not say whether it limits hot water too")
    if shared is True and plant.number("heating_maximum_rate") < 100.0 - 1e-6:
        yield found(
            "heating_maximum_rate",
            f"the heating rate of {plant.show('heating_maximum_rate')} limits hot water too on this control",
            {},
            "use a limit of heating alone where the control has one, or put back what was there; licensed person",
        )


@rule(
    "clock-not-checked-with-schedule",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("hot_water_schedule", "visit.clock_checked"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    assumes="a clock that nobody checked is wrong",
)
def clock_not_checked_with_schedule(plant: Plant) -> Drafts:
    """Hot water is made by the clock, and nobody checked the clock.

    The tank goes cold at four in the afternoon and is fine the next morning: the clock stands in another time zone.

    Trips:
        [settings]
        hot_water_schedule = true
        [visit]
        clock_checked = false
    Passes:
        [settings]
        hot_water_schedule = true
    """
    if plant.flag("hot_water_schedule") and not plant.flag("visit.clock_checked"):
        yield found(
            "hot_water_schedule",
            "hot water follows a schedule and the clock was not checked",
            {},
            "check clock, time zone and summer time, and write it down",
        )


@rule(
    "hot-store-with-hard-water",
    severity=WASTE,
    certainty=LIKELY,
    needs=("tank_setpoint", "hot_water.hardness"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    assumes="the water is not softened",
    thresholds=(SCALING_STORE,),
)
def hot_store_with_hard_water(plant: Plant) -> Drafts:
    """Hard water in a store this hot scales the coil fast.

    Scaling rises steeply above about 140 F. Hygiene comes first: the store is never lowered to save scale without the
    holder of the water-safety plan.

    Trips:
        [hot_water]
        hardness = "hard"
        [settings]
        tank_setpoint = 146
    Passes:
        [hot_water]
        hardness = "hard"
        [settings]
        tank_setpoint = 140
    """
    store = plant.point("tank_setpoint")
    if plant.word("hot_water.hardness") == "hard" and store > plant.threshold(SCALING_STORE) + 1e-6:
        yield found(
            "tank_setpoint",
            f"a store of {plant.show(Kind.POINT, store)} with hard water scales the coil",
            {"store": celsius_of(store)},
            "soften the water, or ask the holder of the water-safety plan; not by lowering the store alone",
        )


@rule(
    "hot-water-overrun-too-long",
    severity=WASTE,
    certainty=LIKELY,
    needs=("hot_water_overrun",),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hot-water",),
    source=COMMON_PRACTICE,
    assumes="the boiler cools faster than the tank",
    thresholds=(LONGEST_OVERRUN,),
)
def hot_water_overrun_too_long(plant: Plant) -> Drafts:
    """The pump goes on so long after the call that it carries the tank's heat back into the boiler.

    Trips:
        [settings]
        hot_water_overrun = 11
    Passes:
        [settings]
        hot_water_overrun = 10
    """
    overrun, most = plant.number("hot_water_overrun"), plant.threshold(LONGEST_OVERRUN)
    if overrun > most + 1e-6:
        value = plant.attainable("hot_water_overrun", at_most=most)
        remedy = Remedy(
            f"shorten it to {plant.show('hot_water_overrun', value)}" if value is not None else "shorten it",
            {} if value is None else {"hot_water_overrun": value},
        )
        yield found(
            "hot_water_overrun",
            f"the hot-water pump runs {plant.show('hot_water_overrun')} after the call",
            {"overrun": minutes_of(overrun)},
            remedy,
        )


@rule(
    "ignored-hot-water-settings",
    severity=DANGER,
    needs=("hot_water_method", "hygiene_cycle"),
    only_if={"hot_water.kind": ("tank",), "hot_water_method": ("tank thermostat",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
)
def ignored_hot_water_settings(plant: Plant) -> Drafts:
    """A hygiene heat-up is filled in for a tank whose temperature the control does not know.

    With a tank thermostat the control sees a contact, not a temperature: it can't run the heat-up that the owner relies
    on.

    Trips:
        [settings]
        hot_water_method = "tank thermostat"
        hygiene_cycle = true
    Passes:
        [settings]
        hot_water_method = "tank thermostat"
    """
    if plant.typed("hygiene_cycle") is True:
        yield found(
            "hygiene_cycle",
            "a hygiene heat-up is set, but with a tank thermostat the control does not know the tank's temperature",
            {},
            "fit a tank sensor, or take another control measure into the water-safety plan",
        )


@rule(
    "hot-water-from-boiler-not-piped-to-tank",
    severity=OUTAGE,
    needs=("hot_water_method", "hot_water.piped_here"),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("cascade",),
    source=ARITHMETIC,
)
def hot_water_from_boiler_not_piped_to_tank(plant: Plant) -> Drafts:
    """This boiler is told to make hot water and is not piped to the tank.

    Trips:
        [hot_water]
        piped_here = false
    Passes:
        [hot_water]
        piped_here = true
    """
    if not plant.flag("hot_water.piped_here") and plant.word("hot_water_method") not in ("none", "separate"):
        yield found(
            "hot_water_method",
            f"the method is {plant.show('hot_water_method')}, but this boiler is not piped to the tank",
            {},
            "give hot water to the boiler that is piped to the tank",
        )


@rule(
    "sensor-for-tank-not-fitted",
    severity=OUTAGE,
    needs=("hot_water_method", "accessories.tank_sensor"),
    only_if={"hot_water_method": ("tank sensor",)},
    cautions=("hygiene", "scald"),
    source=ARITHMETIC,
)
def sensor_for_tank_not_fitted(plant: Plant) -> Drafts:
    """The method needs a tank sensor and none is fitted.

    Trips:
        [accessories]
        tank_sensor = false
    Passes:
        [accessories]
        tank_sensor = true
    """
    if not plant.flag("accessories.tank_sensor"):
        yield found(
            "hot_water_method",
            "the method is a tank sensor, and none is fitted",
            {},
            "fit the sensor, or set the method that is there",
        )


@rule(
    "long-wait-before-hot-water-store-is-reheated",
    severity=WASTE,
    certainty=ASK,
    needs=("tank_differential",),
    only_if={"hot_water.kind": ("tank",)},
    cautions=("hygiene", "scald"),
    source=COMMON_PRACTICE,
    thresholds=(
        WIDE := Threshold(
            "tank_differential_most", kelvin(15), Kind.DIFFERENCE, COMMON_PRACTICE, "widest usual tank differential"
        ),
    ),
)
def long_wait_before_reheat(plant: Plant) -> Drafts:
    """The tank differential is wide: was that meant?

    Usual differentials of a tank are 5 to 15 F.

    Trips:
        [settings]
        tank_differential = 16
    Passes:
        [settings]
        tank_differential = 15
    """
    gap = plant.difference("tank_differential")
    if gap > plant.threshold(WIDE) + 1e-6:
        yield found(
            "tank_differential",
            f"the store falls {plant.show('tank_differential')} before it is heated again: was that meant?",
            {"differential": kelvin_of(gap)},
            "ask what the users get at the end of a draw, and narrow it if nobody knows",
        )


def low_end(plant: Plant) -> Celsius:
    """Return the store just before it is heated again, degrees Celsius."""
    return Celsius(plant.point("tank_setpoint") - plant.difference("tank_differential"))


RULES: Final[tuple[Rule, ...]] = (
    hot_water_method_unlike_piping,
    boiler_target_near_tank_target,
    boiler_target_above_tank_rating,
    keep_warm_with_tank,
    keep_warm_at_low_use,
    plate_set_point_out_of_reach,
    priority_without_time_limit,
    priority_limit_below_recovery,
    hot_water_heats_the_floor,
    heating_rate_limits_hot_water,
    clock_not_checked_with_schedule,
    hot_store_with_hard_water,
    hot_water_overrun_too_long,
    ignored_hot_water_settings,
    hot_water_from_boiler_not_piped_to_tank,
    sensor_for_tank_not_fitted,
    long_wait_before_reheat,
)
