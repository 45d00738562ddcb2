"""Rules: scalding and hygiene of hot water. They pull in opposite directions, so each finding carries both cautions."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from settingslint.physics import hygiene, scald
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    Draft,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Rule,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    rule,
)
from settingslint.rules.hot_water import APPROACH, low_end
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind, celsius, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, CDC_TOOLKIT, COMMON_PRACTICE, CPSC_5098, HSE_HSG274

TITLE: Final = "scalding and hygiene"
BOTH: Final = ("scald", "hygiene")
TANK: Final = {"hot_water.kind": ("tank",)}

STORE: Final = Threshold("store_least", hygiene.STORED, Kind.POINT, HSE_HSG274, "least stored temperature")
OUTLET: Final = Threshold("outlet_most", hygiene.OUTLET_MOST, Kind.POINT, CPSC_5098, "most at outlets in general")
VULNERABLE: Final = Threshold(
    "outlet_most_vulnerable", hygiene.BATH_MOST_VULNERABLE, Kind.POINT,
    "HSE, scalding and burning in health and social care; check the local rule", "most where vulnerable people bathe",
)  # fmt: skip
RETURN: Final = Threshold("loop_return_least", hygiene.RETURN, Kind.POINT, HSE_HSG274, "least return of a loop")
LOOP_DROP: Final = Threshold(
    "loop_drop_most", kelvin(9), Kind.DIFFERENCE, COMMON_PRACTICE, "largest drop from the store to the loop's return"
)
VALVE_DAYS: Final = Threshold(
    "valve_test_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between tests of a tempering valve"
)
STANDSTILL: Final = Threshold(
    "loop_standstill_most", 8 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "longest standstill of a circulation loop a day"
)


def _outlet_most(plant: Plant) -> tuple[Celsius, str]:
    if plant.word("site.occupants") == "vulnerable":
        return Celsius(plant.threshold(VULNERABLE)), "where vulnerable people bathe"
    return Celsius(plant.threshold(OUTLET)), "at outlets"


def _burn(plant: Plant, hot: Celsius) -> str:
    return f"at {plant.show(Kind.POINT, hot)} a serious burn takes {scald.describe(hot)}"


@rule(
    "hot-store-without-mixing-valve",
    severity=DANGER,
    needs=("tank_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if=TANK,
    cautions=BOTH,
    source=(CPSC_5098, HSE_HSG274),
    thresholds=(OUTLET, VULNERABLE),
)
def hot_store_without_mixing_valve(plant: Plant) -> Drafts:
    """The store is hotter than what may come to the taps, and no tempering valve is recorded.

    Compared: the tank set point with 120 F, or 44 C where vulnerable people bathe. The remedy is the valve, not a
    colder store: that only trades one danger for the other.

    Trips:
        [hot_water]
        mixing_valve = false
    Passes:
        [hot_water]
        mixing_valve = true
    """
    if plant.flag("hot_water.mixing_valve"):
        return
    store = plant.point("tank_setpoint")
    most, where = _outlet_most(plant)
    if store > most + 1e-6:
        yield found(
            "tank_setpoint",
            f"a store of {plant.show(Kind.POINT, store)} without a tempering valve;"
            f" {plant.show(Kind.POINT, most)} is the"
            f" most {where}; {_burn(plant, store)}",
            {"store": celsius_of(store), "most at outlets": celsius_of(most)},
            "fit and test a tempering valve; until then warn everybody who draws; do not lower the store instead",
        )


@rule(
    "store-below-hygiene-temperature",
    severity=DANGER,
    needs=("tank_setpoint", "tank_differential"),
    only_if=TANK,
    cautions=BOTH,
    source=(HSE_HSG274, CDC_TOOLKIT),
    thresholds=(STORE,),
)
def store_below_hygiene_temperature(plant: Plant) -> Drafts:
    """The store stands, or falls before it is heated again, below the hygiene value.

    Compared: tank set point minus tank differential, with 60 C (140 F) or the owner's own value.

    Trips:
        [settings]
        tank_setpoint = 143
    Passes:
        [settings]
        tank_setpoint = 144
    """
    low, least = low_end(plant), plant.threshold(STORE)
    if low >= least - 1e-6:
        return
    store = plant.point("tank_setpoint")
    grows = "; it then stands where legionella grows" if hygiene.grows(low) else ""
    valve = plant.known("hot_water.mixing_valve")
    scalds = "" if valve is True else f"; raised, {_burn(plant, Celsius(max(store, least)))}: tempering valve first"
    value = plant.attainable("tank_setpoint", at_least=least + plant.difference("tank_differential"))
    text = "the holder of the water-safety plan decides; raise the store and temper what comes to the taps"
    if value is None or valve is not True:
        remedy = Remedy(text)
    else:
        remedy = Remedy(f"{text}: {plant.show('tank_setpoint', value)}", {"tank_setpoint": value})
    yield found(
        "tank_setpoint",
        f"the store of {plant.show(Kind.POINT, store)} falls to {plant.show(Kind.POINT, low)} before"
        f" it is heated again;"
        f" hygiene value {plant.show(Kind.POINT, least)}{grows}{scalds}",
        {"lowest store": celsius_of(low), "hygiene value": celsius_of(least)},
        remedy,
    )


@rule(
    "hygiene-heat-up-without-mixing-valve",
    severity=DANGER,
    needs=("hygiene_cycle", "hygiene_target", "hot_water.mixing_valve"),
    only_if={**TANK, "hygiene_cycle": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(OUTLET,),
)
def hygiene_heat_up_without_mixing_valve(plant: Plant) -> Drafts:
    """The hygiene heat-up sends its hot water to the taps, because there is no tempering valve.

    Trips:
        [hot_water]
        mixing_valve = false
        [settings]
        hygiene_cycle = true
        hygiene_target = 151
    Passes:
        [settings]
        hygiene_cycle = true
        hygiene_target = 151
    """
    target = plant.point("hygiene_target")
    if not plant.flag("hot_water.mixing_valve") and target > plant.threshold(OUTLET) + 1e-6:
        yield found(
            "hygiene_target",
            f"the heat-up goes to {plant.show(Kind.POINT, target)} and no tempering valve is"
            f" recorded; {_burn(plant, target)}",
            {"heat-up": celsius_of(target)},
            "the valve first, tested; the heat-up after",
        )


@rule(
    "cool-store-without-hygiene-measure",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "hygiene_cycle", "hot_water.safety_plan"),
    only_if=TANK,
    cautions=BOTH,
    source=(HSE_HSG274, CDC_TOOLKIT),
    assumes="nothing else keeps the store clean",
    thresholds=(STORE,),
)
def cool_store_without_hygiene_measure(plant: Plant) -> Drafts:
    """The store is cool by design, no heat-up runs, and no plan names another control measure.

    A heat-up is no substitute for a plan, and thermal treatment is not what every authority recommends.

    Trips:
        [hot_water]
        safety_plan = false
        [settings]
        tank_setpoint = 139
    Passes:
        [hot_water]
        safety_plan = false
        [settings]
        tank_setpoint = 140
    """
    store = plant.point("tank_setpoint")
    if store >= plant.threshold(STORE) - 1e-6 or plant.flag("hygiene_cycle") or plant.flag("hot_water.safety_plan"):
        return
    yield found(
        "hygiene_cycle",
        f"a store of {plant.show(Kind.POINT, store)}, no heat-up, and no water-safety plan with"
        f" another control measure",
        {"store": celsius_of(store)},
        "the holder of the water-safety plan, or somebody competent where there is none, decides what keeps it clean",
    )


@rule(
    "hygiene-target-out-of-reach",
    severity=DANGER,
    needs=("hygiene_cycle", "hygiene_target", "hot_water_boiler_setpoint"),
    only_if={**TANK, "hygiene_cycle": (True,)},
    cautions=BOTH,
    source=ARITHMETIC,
    thresholds=(APPROACH,),
)
def hygiene_target_out_of_reach(plant: Plant) -> Drafts:
    """The boiler can't take the tank to the hygiene target: the heat-up is never finished, or its timer just ends.

    Hygiene target + approach must not be above the boiler target during hot water.

    Trips:
        [settings]
        hygiene_cycle = true
        hygiene_target = 153
    Passes:
        [settings]
        hygiene_cycle = true
        hygiene_target = 152
    """
    target, boiler = plant.point("hygiene_target"), plant.point("hot_water_boiler_setpoint")
    reach = Celsius(boiler - plant.threshold(APPROACH))
    if target > reach + 1e-6:
        yield found(
            "hygiene_target",
            f"the heat-up wants {plant.show(Kind.POINT, target)}; a boiler at"
            f" {plant.show(Kind.POINT, boiler)} brings the"
            f" tank to about {plant.show(Kind.POINT, reach)}",
            {"heat-up": celsius_of(target), "within reach": celsius_of(reach)},
            "the holder of the water-safety plan decides between a hotter boiler target and another measure",
        )


@rule(
    "mixing-valve-test-overdue",
    severity=DANGER,
    certainty=ASK,
    needs=("hot_water.mixing_valve", "site.occupants"),
    only_if={"hot_water.mixing_valve": (True,), "site.occupants": ("vulnerable",)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    thresholds=(VALVE_DAYS,),
)
def mixing_valve_test_overdue(plant: Plant) -> Drafts:
    """Vulnerable people depend on a tempering valve that was not tested within a year.

    Trips:
        [site]
        occupants = "vulnerable"
        [hot_water]
        mixing_valve_tested = 2025-11-23
    Passes:
        [site]
        occupants = "vulnerable"
        [hot_water]
        mixing_valve_tested = 2025-11-24
    """
    if plant.known("hot_water.mixing_valve_tested") is None:
        yield Missing("hot_water.mixing_valve_tested")
        yield found(
            "hot_water.mixing_valve",
            "vulnerable people depend on a tempering valve of which no test is recorded",
            {},
            "test the valve at the taps and write the date down",
        )
        return
    tested = plant.day("hot_water.mixing_valve_tested")
    if plant.as_of - tested > timedelta(days=plant.threshold(VALVE_DAYS)):
        yield found(
            "hot_water.mixing_valve_tested",
            f"vulnerable people depend on a tempering valve that was last tested on {tested}",
            {"days": Quantity((plant.as_of - tested).days, Kind.COUNT)},
            "test the valve at the taps and write the date down",
        )


@rule(
    "reduced-store-in-growth-range",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water_reduced",),
    only_if=TANK,
    cautions=BOTH,
    source=HSE_HSG274,
    assumes="the reduced store lasts for days",
)
def reduced_store_in_growth_range(plant: Plant) -> Drafts:
    """Away or economy times let the store stand where legionella grows.

    Growth range: about 20 to 45 C. After a standstill the water is heated and flushed before it is used.

    Trips:
        [settings]
        hot_water_reduced = 113
    Passes:
        [settings]
        hot_water_reduced = 114
    """
    if plant.is_off("hot_water_reduced"):
        return
    reduced = plant.point("hot_water_reduced")
    if reduced <= hygiene.GROWTH[1] + 1e-6:
        yield found(
            "hot_water_reduced",
            f"the reduced store of {plant.show(Kind.POINT, reduced)} lies in the growth range",
            {"reduced store": celsius_of(reduced)},
            Remedy(
                "keep the store at its hygiene value, and heat and flush after a standstill", {"hot_water_reduced": OFF}
            ),
        )


@rule(
    "shared-target-below-store",
    severity=DANGER,
    needs=("heating_setpoint", "tank_setpoint"),
    only_if=TANK,
    cautions=BOTH,
    source=ARITHMETIC,
    thresholds=(APPROACH,),
)
def shared_target_below_store(plant: Plant) -> Drafts:
    """One target serves heating and hot water, and was lowered to where the store can't be kept hot.

    A campaign "lower the flow temperature" is meant for boilers without a tank. The control file says whether the
    target is shared.

    Trips:
        [control.control]
        shared_target = true
        [settings]
        heating_setpoint = 164
    Passes:
        [control.control]
        shared_target = true
        [settings]
        heating_setpoint = 165
    """
    shared = plant.control.notes.get("shared_target")
    if shared is None:
        raise Missing("heating_setpoint", "the control file does not say whether one target serves both")
    if shared is not True:
        return
    target, store = plant.point("heating_setpoint"), plant.point("tank_setpoint")
    if target < store + plant.threshold(APPROACH) - 1e-6:
        yield found(
            "heating_setpoint",
            f"one target of {plant.show(Kind.POINT, target)} for heating and a store of"
            f" {plant.show(Kind.POINT, store)}",
            {"target": celsius_of(target), "store": celsius_of(store)},
            "raise the shared target again, or part the two where the control can",
        )


@rule(
    "loop-return-too-cool",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=HSE_HSG274,
    assumes="the reading stands for the whole loop",
    thresholds=(RETURN,),
)
def loop_return_too_cool(plant: Plant) -> Drafts:
    """The circulation loop comes back too cool.

    Compared: the measured return, with 50 C or the owner's own value.

    Trips:
        [hot_water]
        circulation_loop = true
        return_measured = 121
    Passes:
        [hot_water]
        circulation_loop = true
        return_measured = 122
    """
    measured, least = plant.point("hot_water.return_measured"), plant.threshold(RETURN)
    if measured < least - 1e-6:
        yield found(
            "hot_water.return_measured",
            f"the loop returns at {plant.show(Kind.POINT, measured)}; least {plant.show(Kind.POINT, least)}",
            {"return": celsius_of(measured), "least": celsius_of(least)},
            "balance the loop, look at pump and insulation; the holder of the water-safety plan first",
        )


@rule(
    "loop-drops-too-far",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.return_measured", "tank_setpoint"),
    only_if={"hot_water.kind": ("tank",), "hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the store stood at its set point when the return was read",
    thresholds=(LOOP_DROP,),
)
def loop_drops_too_far(plant: Plant) -> Drafts:
    """Between the store and the loop's return too much is lost: somewhere the loop hardly moves.

    Drop = tank set point - measured return; about 5 K is usual.

    Trips:
        [hot_water]
        circulation_loop = true
        return_measured = 135
    Passes:
        [hot_water]
        circulation_loop = true
        return_measured = 136
    """
    drop = plant.point("tank_setpoint") - plant.point("hot_water.return_measured")
    if drop > plant.threshold(LOOP_DROP) + 1e-6:
        yield found(
            "hot_water.return_measured",
            f"the loop loses {plant.show(Kind.DIFFERENCE, drop)} between store and return",
            {"drop": kelvin_of(drop)},
            "balance the loop and look for a branch that stands still",
        )


@rule(
    "circulation-stopped-for-hours",
    severity=DANGER,
    certainty=LIKELY,
    needs=("recirculation", "hot_water.circulation_loop"),
    only_if={"hot_water.circulation_loop": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the loop cools into the growth range while it stands",
    thresholds=(STANDSTILL,),
)
def circulation_stopped_for_hours(plant: Plant) -> Drafts:
    """The circulation loop is off, or stands still for many hours each day.

    German practice for large systems: no more than 8 hours a day (from memory; check the local rule).

    Trips:
        [hot_water]
        circulation_loop = true
        return_measured = 138
        [settings]
        recirculation = "scheduled"
        recirculation_off_hours = 9
    Passes:
        [hot_water]
        circulation_loop = true
        return_measured = 138
        [settings]
        recirculation = "scheduled"
        recirculation_off_hours = 8
    """
    mode = plant.word("recirculation")
    if mode == "off":
        yield found(
            "recirculation",
            "there is a circulation loop, and it is switched off",
            {},
            "the holder of the water-safety plan decides; a loop that stands is dead water",
        )
    elif mode == "scheduled":
        hours = plant.number("recirculation_off_hours")
        if hours > plant.threshold(STANDSTILL) + 1e-6:
            yield found(
                "recirculation_off_hours",
                f"the loop stands still {plant.show('recirculation_off_hours')} a day",
                {"standstill": Quantity(hours, Kind.HOURS)},
                "the holder of the water-safety plan decides how long it may stand",
            )


@rule(
    "outlet-temperature-typed-as-store",
    severity=DANGER,
    certainty=ASK,
    needs=("tank_setpoint", "hot_water.mixing_valve"),
    only_if={**TANK, "hot_water.mixing_valve": (True,)},
    cautions=BOTH,
    source=COMMON_PRACTICE,
)
def outlet_temperature_typed_as_store(plant: Plant) -> Drafts:
    """The tank set point looks like what somebody wanted at the tap, though a tempering valve makes that.

    A set point of 115 to 125 F together with a tempering valve: ask which was meant.

    Trips:
        [settings]
        tank_setpoint = 125
    Passes:
        [settings]
        tank_setpoint = 126
    """
    store = plant.point("tank_setpoint")
    if celsius(115) - 1e-6 <= store <= celsius(125) + 1e-6:
        yield found(
            "tank_setpoint",
            f"{plant.show(Kind.POINT, store)} is a temperature for the tap, and a tempering valve is there to make it:"
            " which was meant?",
            {"store": celsius_of(store)},
            "ask; the store goes by the water-safety plan, the tap by the valve",
        )


def _typed_before(plant: Plant, name: str) -> float | None:
    if plant.past is None:
        raise Missing("history")
    for state in reversed(plant.past.states):
        if isinstance(state.typed.get(name), float):
            value = state.typed[name]
            assert isinstance(value, float)
            return value
    return None


def _valve_older(plant: Plant) -> bool:
    tested = plant.known("hot_water.mixing_valve_tested")
    return tested is None or plant.day("hot_water.mixing_valve_tested") < plant.day("visit.on")


def _moved(plant: Plant, up: bool, words: tuple[str, ...], says: str) -> Draft | None:
    before = _typed_before(plant, "tank_setpoint")
    now = plant.point("tank_setpoint")
    why = plant.word("visit.why").casefold()
    if before is None or (now <= before if up else now >= before) or not any(word in why for word in words):
        return None
    if not _valve_older(plant):
        return None
    return found(
        "tank_setpoint",
        f"the store went from {plant.show(Kind.POINT, before)} to {plant.show(Kind.POINT, now)} {says}, and the"
        " tempering valve was not tested since",
        {"before": celsius_of(before), "now": celsius_of(now)},
        "test the tempering valve at the taps; then decide about the store with the holder of the plan",
    )


@rule(
    "store-lowered-after-scald-complaint",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "visit.why", "visit.on"),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
)
def store_lowered_after_scald_complaint(plant: Plant) -> Drafts:
    """A scald complaint was answered by lowering the store, not by testing the tempering valve.

    Trips (with a history in which the store was hotter):
        [visit]
        why = "tenant reports scald at basin"
    Passes:
        [visit]
        why = "autumn service"
    """
    draft = _moved(plant, False, ("scald", "too hot", "burn"), "after a complaint about scalding")
    if draft is not None:
        yield draft


@rule(
    "store-raised-without-valve-test",
    severity=DANGER,
    certainty=LIKELY,
    needs=("tank_setpoint", "visit.why", "visit.on"),
    only_if=TANK,
    cautions=BOTH,
    source=COMMON_PRACTICE,
    assumes="the reason of the visit is the reason of the change",
)
def store_raised_without_valve_test(plant: Plant) -> Drafts:
    """The store was raised after a positive sample, and the tempering valve was not tested since.

    Trips (with a history in which the store was cooler):
        [visit]
        why = "positive legionella sample"
    Passes:
        [visit]
        why = "autumn service"
    """
    draft = _moved(plant, True, ("legionella", "sample", "positive"), "after a sample")
    if draft is not None:
        yield draft


RULES: Final[tuple[Rule, ...]] = (
    hot_store_without_mixing_valve,
    store_below_hygiene_temperature,
    hygiene_heat_up_without_mixing_valve,
    cool_store_without_hygiene_measure,
    hygiene_target_out_of_reach,
    mixing_valve_test_overdue,
    reduced_store_in_growth_range,
    shared_target_below_store,
    loop_return_too_cool,
    loop_drops_too_far,
    circulation_stopped_for_hours,
    outlet_temperature_typed_as_store,
    store_lowered_after_scald_complaint,
    store_raised_without_valve_test,
)
