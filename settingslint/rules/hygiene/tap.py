"""Rules of the hygiene group about what comes to the taps: no tempering valve, an untested one, one set too hot."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics import hygiene, scald
from settingslint.rules.base import ASK, DANGER, LIKELY, Drafts, Quantity, Remedy, Threshold, celsius_of, found
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kind, celsius
from settingslint.vocabulary.sources import COMMON_PRACTICE, CPSC_5098, HSE_HSG274

BOTH: Final = ("scald", "hygiene")
TANK: Final = {"hot_water.kind": ("tank",)}

OUTLET: Final = Threshold(
    "outlet_most", hygiene.OUTLET_MOST, Kind.POINT, CPSC_5098, "most at outlets in general",
    celsius(100), celsius(122), "HSE HSG274 part 2: 50 C (122 F) at the tap; CPSC 5098: at 130 F a burn takes 30 s",
    looser="up",
)  # fmt: skip
VULNERABLE: Final = Threshold(
    "outlet_most_vulnerable", hygiene.BATH_MOST_VULNERABLE, Kind.POINT,
    "HSE, scalding and burning in health and social care; check the local rule", "most where vulnerable people bathe",
    Celsius(37.0), Celsius(46.0),
    "HTM 04-01 (from memory): 46 C at most, where a bath is assisted and the tub cools it", looser="up",
)  # fmt: skip
VALVE_DAYS: Final = Threshold(
    "valve_test_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between tests of a tempering valve",
    60.0, 400.0, "common practice, no source: tested every year, with a month to do it", looser="up",
)  # fmt: skip


def _outlet_most(plant: Plant) -> tuple[Celsius, str]:
    if plant.word("site.occupants") == "vulnerable":
        return Celsius(plant.threshold(VULNERABLE)), "where vulnerable people bathe"
    return Celsius(plant.threshold(OUTLET)), "at outlets"


def burn(plant: Plant, hot: Celsius) -> str:
    """Return in words how fast water burns an adult, no finer than the published table."""
    return f"at {plant.show(Kind.POINT, hot)} a serious burn of an adult takes {scald.describe(hot)}"


@rule(
    "hot-store-without-mixing-valve",
    severity=DANGER,
    needs=("tank_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if=TANK,
    cautions=BOTH,
    source=(CPSC_5098, HSE_HSG274),
    thresholds=(OUTLET, VULNERABLE),
    trips="hot_water.mixing_valve = false, settings.tank_setpoint = 121",
    passes="settings.tank_setpoint = 120",
)
def hot_store_without_mixing_valve(plant: Plant) -> Drafts:
    """The store is hotter than what may come to the taps, and no tempering valve is recorded.

    Compared: the tank set point with 120 F, or 44 C where vulnerable people bathe. The remedy is the valve, not a
    colder store: that only trades one danger for the other.
    """
    if plant.flag("hot_water.mixing_valve"):
        return
    store = plant.point("tank_setpoint")
    most, where = _outlet_most(plant)
    if store > most + TOLERANCE:
        yield found(
            "tank_setpoint",
            f"a store of {plant.show(Kind.POINT, store)} without a tempering valve;"
            f" {plant.show(Kind.POINT, most)} is the most {where}; {burn(plant, store)}",
            {"store": celsius_of(store), "most at outlets": celsius_of(most)},
            "fit and test a tempering valve; until then warn everybody who draws; do not lower the store instead",
        )


@rule(
    "hot-plate-without-mixing-valve",
    severity=DANGER,
    needs=("outlet_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if={"hot_water.kind": ("plate",)},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(OUTLET, VULNERABLE),
    trips='hot_water.kind = "plate", hot_water.mixing_valve = false, settings.outlet_setpoint = 121',
    passes="settings.outlet_setpoint = 120",
)
def hot_plate_without_mixing_valve(plant: Plant) -> Drafts:
    """The plate's set point is hotter than what may come to the taps, and no tempering valve is recorded.

    Compared: the outlet set point with 120 F, or 44 C where vulnerable people bathe. There is no store behind a plate
    that a lower set point would leave to grow.
    """
    if plant.flag("hot_water.mixing_valve"):
        return
    hot = plant.point("outlet_setpoint")
    most, where = _outlet_most(plant)
    if hot > most + TOLERANCE:
        value = attainable(plant, "outlet_setpoint", at_most=most)
        yield found(
            "outlet_setpoint",
            f"the plate makes {plant.show(Kind.POINT, hot)} without a tempering valve;"
            f" {plant.show(Kind.POINT, most)} is the most {where}; {burn(plant, hot)}",
            {"outlet": celsius_of(hot), "most at outlets": celsius_of(most)},
            Remedy(
                "fit and test a tempering valve, or lower the set point; where a loop circulates, the valve",
                {} if value is None else {"outlet_setpoint": value},
            ),
        )


@rule(
    "coil-in-boiler-without-mixing-valve",
    severity=DANGER,
    certainty=LIKELY,
    needs=("heating_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if={"boiler.tankless_coil": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    assumes="a small draw comes out at the boiler's temperature",
    thresholds=(OUTLET, VULNERABLE),
    trips="boiler.tankless_coil = true, hot_water.mixing_valve = false, settings.heating_setpoint = 121",
    passes="settings.heating_setpoint = 120",
)
def coil_in_boiler_without_mixing_valve(plant: Plant) -> Drafts:
    """Hot water is made in a coil in the boiler and comes to the taps as hot as the boiler is.

    Compared: the heating set point with 120 F, or 44 C where vulnerable people bathe.
    """
    if plant.flag("hot_water.mixing_valve"):
        return
    hot = plant.point("heating_setpoint")
    most, where = _outlet_most(plant)
    if hot > most + TOLERANCE:
        yield found(
            "heating_setpoint",
            f"a coil in a boiler of {plant.show(Kind.POINT, hot)} without a tempering valve;"
            f" {plant.show(Kind.POINT, most)} is the most {where}; {burn(plant, hot)}",
            {"boiler": celsius_of(hot), "most at outlets": celsius_of(most)},
            "fit and test a tempering valve; until then warn everybody who draws",
        )


@rule(
    "hygiene-heat-up-without-mixing-valve",
    severity=DANGER,
    needs=("hygiene_cycle", "hygiene_target", "hot_water.mixing_valve"),
    only_if={**TANK, "hygiene_cycle": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(OUTLET,),
    trips="hot_water.mixing_valve = false, settings.hygiene_cycle = true, settings.hygiene_target = 121",
    passes="settings.hygiene_target = 120",
)
def hygiene_heat_up_without_mixing_valve(plant: Plant) -> Drafts:
    """The hygiene heat-up sends its hot water to the taps, because there is no tempering valve."""
    target = plant.point("hygiene_target")
    if not plant.flag("hot_water.mixing_valve") and target > plant.threshold(OUTLET) + TOLERANCE:
        yield found(
            "hygiene_target",
            f"the heat-up goes to {plant.show(Kind.POINT, target)} and no tempering valve is"
            f" recorded; {burn(plant, target)}",
            {"heat-up": celsius_of(target)},
            "the valve first, tested; the heat-up after",
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
    trips='site.occupants = "vulnerable", hot_water.mixing_valve_tested = 2025-11-23',
    passes="hot_water.mixing_valve_tested = 2025-11-24",
)
def mixing_valve_test_overdue(plant: Plant) -> Drafts:
    """Vulnerable people depend on a tempering valve that was not tested within a year."""
    if plant.known("hot_water.mixing_valve_tested") is None:
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
    "tempering-valve-set-hot",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.mixing_valve_setpoint", "site.occupants"),
    only_if={"hot_water.mixing_valve": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    assumes="no second valve tempers nearer to the taps",
    thresholds=(OUTLET, VULNERABLE),
    trips="hot_water.mixing_valve_setpoint = 121",
    passes="hot_water.mixing_valve_setpoint = 120",
)
def tempering_valve_set_hot(plant: Plant) -> Drafts:
    """The tempering valve is there, and set hotter than what may come to the taps.

    Compared: what the valve is set to, with 120 F, or 44 C where vulnerable people bathe. A loop that circulates hotter
    water on purpose has a valve of its own near each tap.
    """
    hot = plant.point("hot_water.mixing_valve_setpoint")
    most, where = _outlet_most(plant)
    if hot > most + TOLERANCE:
        yield found(
            "hot_water.mixing_valve_setpoint",
            f"the tempering valve is set to {plant.show(Kind.POINT, hot)}; {plant.show(Kind.POINT, most)} is the most"
            f" {where}; {burn(plant, hot)}",
            {"valve": celsius_of(hot), "most at outlets": celsius_of(most)},
            "set and test the valve at the taps; the store stays where the water-safety plan has it",
        )


@rule(
    "tap-too-hot",
    severity=DANGER,
    needs=("hot_water.outlet_measured", "site.occupants"),
    only_if={"hot_water.kind": ("tank", "plate", "separate")},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(OUTLET, VULNERABLE),
    trips="hot_water.outlet_measured = 121",
    passes="hot_water.outlet_measured = 120",
)
def tap_too_hot(plant: Plant) -> Drafts:
    """What was measured at the tap is hotter than it may be, whatever is set.

    Compared: the temperature measured at the tap, with 120 F, or 44 C where vulnerable people bathe.
    """
    hot = plant.point("hot_water.outlet_measured")
    most, where = _outlet_most(plant)
    if hot > most + TOLERANCE:
        yield found(
            "hot_water.outlet_measured",
            f"{plant.show(Kind.POINT, hot)} at the tap; {plant.show(Kind.POINT, most)} is the most {where};"
            f" {burn(plant, hot)}",
            {"tap": celsius_of(hot), "most at outlets": celsius_of(most)},
            "warn everybody who draws; look at the tempering valve and test it; do not lower the store instead",
        )


RULES: Final[tuple[Rule, ...]] = (
    hot_store_without_mixing_valve,
    hot_plate_without_mixing_valve,
    coil_in_boiler_without_mixing_valve,
    hygiene_heat_up_without_mixing_valve,
    mixing_valve_test_overdue,
    tempering_valve_set_hot,
    tap_too_hot,
)
