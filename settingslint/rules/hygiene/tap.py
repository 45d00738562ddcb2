"""Rules of the hygiene group about what comes to the taps: no mixing valve, an untested one, one set too hot."""

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
SOON: Final = 30.0 * (1 + 1e-6)
"""Seconds to a serious burn of an adult up to which a headline tells them, and not the maximum at the tap."""

TAP: Final = Threshold(
    "tap_maximum", hygiene.TAP_MAXIMUM, Kind.POINT, CPSC_5098, "maximum at the tap",
    celsius(100), celsius(122), "HSE HSG274 part 2: 50 C (122 F) at the tap; CPSC 5098: at 130 F a burn takes 30 s",
    looser="up",
)  # fmt: skip
VULNERABLE: Final = Threshold(
    "tap_maximum_vulnerable", hygiene.BATH_MAXIMUM_VULNERABLE, Kind.POINT,
    "HSE, scalding and burning in health and social care; check the local rule",
    "maximum at the tap where vulnerable people bathe",
    Celsius(37.0), Celsius(46.0),
    "HTM 04-01 (from memory): 46 C at most, where a bath is assisted and the tub cools it", looser="up",
)  # fmt: skip
VALVE_DAYS: Final = Threshold(
    "valve_test_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between tests of a mixing valve",
    60.0, 400.0, "common practice, no source: tested every year, with a month to do it", looser="up",
)  # fmt: skip


def _too_hot(
    plant: Plant, at: str, name: str, says: str, remedy: str, *, lowers: bool = False, whoever: bool = False
) -> Drafts:
    """Find water hotter than what may come to the taps; `says` has `{}` for its temperature.

    With `lowers` the remedy sets a lower value there; with `whoever` the maximum is the one for everybody.
    """
    hot = plant.point(at)
    vulnerable = not whoever and plant.word("site.occupants") == "vulnerable"
    most = Celsius(plant.threshold(VULNERABLE if vulnerable else TAP))
    if hot <= most + TOLERANCE:
        return
    burns = scald.time_to_burn(hot)
    if burns is not None and burns <= SOON:
        harm = f"scalds in {scald.describe(hot)}"
    else:
        harm = (
            f"at most {plant.show(Kind.POINT, most)} {'where vulnerable people bathe' if vulnerable else 'at the tap'}"
        )
    value = attainable(plant, at, at_most=most) if lowers else None
    yield found(
        at,
        f"{says.format(plant.show(Kind.POINT, hot))}: {harm}",
        {name: celsius_of(hot), "maximum at the tap": celsius_of(most)},
        Remedy(remedy, {} if value is None else {at: value}),
    )


@rule(
    "hot-tank-without-mixing-valve",
    severity=DANGER,
    needs=("tank_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if=TANK,
    cautions=BOTH,
    source=(CPSC_5098, HSE_HSG274),
    thresholds=(TAP, VULNERABLE),
    trips="hot_water.mixing_valve = false, settings.tank_setpoint = 121",
    passes="settings.tank_setpoint = 120",
)
def hot_tank_without_mixing_valve(plant: Plant) -> Drafts:
    """The tank is hotter than what may come to the taps, and there is no mixing valve.

    Compared: the tank set point with 120 F, or 44 C where vulnerable people bathe. Times are those to a serious burn of
    an adult; children and old people burn sooner. The fix is the valve, not a cooler tank: that only trades one danger
    for the other.
    """
    if not plant.flag("hot_water.mixing_valve"):
        yield from _too_hot(
            plant, "tank_setpoint", "tank", "tank at {} and no mixing valve",
            "fit and test a mixing valve; warn users until then; do not lower the tank",
        )  # fmt: skip


@rule(
    "hot-plate-without-mixing-valve",
    severity=DANGER,
    needs=("outlet_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if={"hot_water.kind": ("plate",)},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(TAP, VULNERABLE),
    trips='hot_water.kind = "plate", hot_water.mixing_valve = false, settings.outlet_setpoint = 121',
    passes="settings.outlet_setpoint = 120",
)
def hot_plate_without_mixing_valve(plant: Plant) -> Drafts:
    """The plate's set point is hotter than what may come to the taps, and there is no mixing valve.

    Compared: the tap set point with 120 F, or 44 C where vulnerable people bathe. A plate has no tank in which a lower
    set point would let legionella grow.
    """
    if not plant.flag("hot_water.mixing_valve"):
        yield from _too_hot(
            plant, "outlet_setpoint", "plate", "plate at {} and no mixing valve",
            "fit and test a mixing valve; where there is no loop, lower the set point instead",
            lowers=True,
        )  # fmt: skip


@rule(
    "coil-in-boiler-without-mixing-valve",
    severity=DANGER,
    certainty=LIKELY,
    needs=("heating_setpoint", "hot_water.mixing_valve", "site.occupants"),
    only_if={"boiler.tankless_coil": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    assumes="a little hot water comes out at the boiler's temperature",
    thresholds=(TAP, VULNERABLE),
    trips="boiler.tankless_coil = true, hot_water.mixing_valve = false, settings.heating_setpoint = 121",
    passes="settings.heating_setpoint = 120",
)
def coil_in_boiler_without_mixing_valve(plant: Plant) -> Drafts:
    """Hot water from a coil in the boiler comes to the taps as hot as the boiler is.

    Compared: the heating set point with 120 F, or 44 C where vulnerable people bathe.
    """
    if not plant.flag("hot_water.mixing_valve"):
        yield from _too_hot(
            plant, "heating_setpoint", "boiler", "boiler coil at {} and no mixing valve",
            "fit and test a mixing valve; warn users until then",
        )  # fmt: skip


@rule(
    "hygiene-heat-up-without-mixing-valve",
    severity=DANGER,
    needs=("hygiene_cycle", "hygiene_target", "hot_water.mixing_valve"),
    only_if={**TANK, "hygiene_cycle": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(TAP,),
    trips="hot_water.mixing_valve = false, settings.hygiene_cycle = true, settings.hygiene_target = 121",
    passes="settings.hygiene_target = 120",
)
def hygiene_heat_up_without_mixing_valve(plant: Plant) -> Drafts:
    """The hygiene heat-up sends its hot water to the taps, because there is no mixing valve."""
    if not plant.flag("hot_water.mixing_valve"):
        yield from _too_hot(
            plant, "hygiene_target", "heat-up", "heat-up to {} and no mixing valve",
            "fit and test a mixing valve before the next heat-up; warn users until then",
            whoever=True,
        )  # fmt: skip


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
    """Vulnerable people depend on a mixing valve that was not tested within a year."""
    if plant.known("hot_water.mixing_valve_tested") is None:
        yield found(
            "hot_water.mixing_valve",
            "no test of the mixing valve is recorded; vulnerable people depend on it",
            {},
            "test the valve at the taps and write the date down",
        )
        return
    tested = plant.day("hot_water.mixing_valve_tested")
    if plant.as_of - tested > timedelta(days=plant.threshold(VALVE_DAYS)):
        yield found(
            "hot_water.mixing_valve_tested",
            f"mixing valve last tested on {tested}; vulnerable people depend on it",
            {"days": Quantity((plant.as_of - tested).days, Kind.COUNT)},
            "test the valve at the taps and write the date down",
        )


@rule(
    "mixing-valve-set-hot",
    severity=DANGER,
    certainty=LIKELY,
    needs=("hot_water.mixing_valve_setpoint", "site.occupants"),
    only_if={"hot_water.mixing_valve": (True,)},
    cautions=BOTH,
    source=CPSC_5098,
    assumes="no second valve mixes nearer to the taps",
    thresholds=(TAP, VULNERABLE),
    trips="hot_water.mixing_valve_setpoint = 121",
    passes="hot_water.mixing_valve_setpoint = 120",
)
def mixing_valve_set_hot(plant: Plant) -> Drafts:
    """The mixing valve is set hotter than what may come to the taps.

    Compared: what the valve is set to, with 120 F, or 44 C where vulnerable people bathe. A loop that circulates hotter
    water on purpose has a valve of its own near each tap.
    """
    return _too_hot(
        plant, "hot_water.mixing_valve_setpoint", "valve", "mixing valve set to {}",
        "set the valve lower and test it at the taps; do not lower a tank instead",
    )  # fmt: skip


@rule(
    "tap-too-hot",
    severity=DANGER,
    needs=("hot_water.outlet_measured", "site.occupants"),
    only_if={"hot_water.kind": ("tank", "plate", "separate")},
    cautions=BOTH,
    source=CPSC_5098,
    thresholds=(TAP, VULNERABLE),
    trips="hot_water.outlet_measured = 121",
    passes="hot_water.outlet_measured = 120",
)
def tap_too_hot(plant: Plant) -> Drafts:
    """The water measured at the tap is hotter than it may be, whatever is set.

    Compared: the temperature measured at the tap, with 120 F, or 44 C where vulnerable people bathe.
    """
    return _too_hot(
        plant, "hot_water.outlet_measured", "tap", "tap water measured at {}",
        "warn users; check and test the mixing valve; do not lower a tank instead",
    )  # fmt: skip


RULES: Final[tuple[Rule, ...]] = (
    hot_tank_without_mixing_valve,
    hot_plate_without_mixing_valve,
    coil_in_boiler_without_mixing_valve,
    hygiene_heat_up_without_mixing_valve,
    mixing_valve_test_overdue,
    mixing_valve_set_hot,
    tap_too_hot,
)
