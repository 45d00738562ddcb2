"""Rules of the reset group about warm-weather shutdown."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.rules.base import (
    ASK,
    LIKELY,
    OUTAGE,
    RECORD,
    WASTE,
    DoesNotApply,
    Drafts,
    Remedy,
    Threshold,
    celsius_of,
    found,
    watts_of,
)
from settingslint.rules.derived.line import fixed_supply_is_ordinary, on, own_line
from settingslint.rules.derived.need import load
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE

BELOW_BALANCE: Final = Threshold(
    "shutdown_below_balance", kelvin(3), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far warm-weather shutdown may be below the balance point",
    kelvin(0.5), kelvin(10), "common practice, no source: 10 F below the balance point rooms get cold", looser="up",
)  # fmt: skip
ABOVE_BALANCE: Final = Threshold(
    "shutdown_above_balance", kelvin(5), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far warm-weather shutdown may be above the balance point",
    kelvin(1), kelvin(20), "common practice, no source: 20 F above the balance point it is summer", looser="up",
)  # fmt: skip
UNUSED_END: Final = Threshold(
    "unused_mild_end", kelvin(10), Kind.DIFFERENCE, COMMON_PRACTICE,
    "how far the lowest supply in use may be above the mild end of the line",
    kelvin(2), kelvin(30), "common practice, no source: a usual line falls by 40 F and more", looser="up",
)  # fmt: skip


@rule(
    "warm-weather-shutdown-below-balance-point",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("warm_weather_shutdown", "building.balance_point"),
    applies=on("warm_weather_shutdown"),
    cautions=("heating", "freeze"),
    source=COMMON_PRACTICE,
    assumes="a load that follows the outdoor temperature",
    thresholds=(BELOW_BALANCE,),
    trips="settings.warm_weather_shutdown = 55",
    passes="settings.warm_weather_shutdown = 60",
)
def warm_weather_shutdown_below_balance_point(plant: Plant) -> Drafts:
    """Warm-weather shutdown stops heating in weather in which the building still needs heat.

    No heat on cool damp days. Shutdown is compared with the balance point; the load at shutdown is
    design load x (balance - shutdown)/(balance - design).
    """
    shutdown, balance = plant.point("warm_weather_shutdown"), plant.point("building.balance_point")
    if balance - shutdown <= plant.threshold(BELOW_BALANCE) + TOLERANCE:
        return
    numbers = {"shutdown": celsius_of(shutdown), "balance point": celsius_of(balance)}
    if plant.known("building.design_load") is not None and plant.known("site.design_outdoor") is not None:
        lost = load(plant, shutdown)
        numbers["load at shutdown"] = watts_of(lost)
    value = attainable(plant, "warm_weather_shutdown", at_least=balance)
    slab = plant.known("building.mass") == "heavy"
    yield found(
        "warm_weather_shutdown",
        f"heating stops above {plant.show('warm_weather_shutdown')} outdoors; the building needs heat up to"
        f" {plant.show('building.balance_point')}",
        numbers,
        Remedy(
            f"raise warm-weather shutdown to {plant.show('warm_weather_shutdown', value)}",
            {"warm_weather_shutdown": value},
        ) if value is not None else None,
        certainty=ASK if slab else None,
    )  # fmt: skip


@rule(
    "warm-weather-shutdown-far-above-balance-point",
    severity=WASTE,
    certainty=LIKELY,
    needs=("warm_weather_shutdown", "building.balance_point", "emitter"),
    applies=on("warm_weather_shutdown"),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    assumes="heating calls in summer",
    thresholds=(ABOVE_BALANCE,),
    trips="settings.warm_weather_shutdown = 70",
    passes="settings.warm_weather_shutdown = 66",
)
def warm_weather_shutdown_far_above_balance_point(plant: Plant) -> Drafts:
    """Heating calls are answered in weather in which the building needs no heat.

    Firing for nothing in summer. Not asked where a pool or a coil has calls in summer.
    """
    shutdown, balance = plant.point("warm_weather_shutdown"), plant.point("building.balance_point")
    if fixed_supply_is_ordinary(plant):
        raise DoesNotApply("something has calls in all weathers")
    if shutdown - balance <= plant.threshold(ABOVE_BALANCE) + TOLERANCE:
        return
    value = attainable(plant, "warm_weather_shutdown", at_least=balance)
    yield found(
        "warm_weather_shutdown",
        f"heating calls up to {plant.show('warm_weather_shutdown')} outdoors; the building needs none above"
        f" {plant.show('building.balance_point')}",
        {"shutdown": celsius_of(shutdown), "balance point": celsius_of(balance)},
        Remedy(
            f"lower warm-weather shutdown to {plant.show('warm_weather_shutdown', value)}",
            {"warm_weather_shutdown": value},
        ) if value is not None else None,
    )  # fmt: skip


@rule(
    "mild-end-never-used",
    severity=RECORD,
    needs=("warm_weather_shutdown", "reset_warm_outdoor", "reset_cool_supply"),
    applies=on("warm_weather_shutdown"),
    cautions=("heating",),
    source=ARITHMETIC,
    thresholds=(UNUSED_END,),
    trips='settings.reset_warm_outdoor = 80, control.control.reset_style = "two points"',
    passes="settings.reset_warm_outdoor = 68",
)
def mild_end_never_used(plant: Plant) -> Drafts:
    """Warm-weather shutdown comes before the mild end of the line, which is never used.

    Not wrong by itself; the lowest supply in use is the line's at the shutdown temperature.
    """
    shutdown, warm = plant.point("warm_weather_shutdown"), plant.point("reset_warm_outdoor")
    effective = own_line(plant)
    if effective.style is None:
        raise DoesNotApply("reset is off")
    if shutdown >= warm:
        return
    supply = effective.supply(shutdown)
    if supply is None or supply - plant.point("reset_cool_supply") <= plant.threshold(UNUSED_END) + TOLERANCE:
        return
    yield found(
        "reset_warm_outdoor",
        f"shutdown at {plant.show('warm_weather_shutdown')} outdoors: lowest supply is"
        f" {plant.show(Kind.POINT, supply)}, never the mild end {plant.show('reset_cool_supply')}",
        {"lowest supply": celsius_of(supply), "shutdown": celsius_of(shutdown)},
        "record it where it is meant; else move the mild end below the shutdown",
    )


RULES: Final[tuple[Rule, ...]] = (
    warm_weather_shutdown_below_balance_point,
    warm_weather_shutdown_far_above_balance_point,
    mild_end_never_used,
)
