"""Rules of the hot-water group about its priority over heating, and what both take from each other."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.physics.cooldown import time_to
from settingslint.physics.hot_water import plate_flow, recovery_time
from settingslint.rules.base import (
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Severity,
    Threshold,
    celsius_of,
    found,
    minutes_of,
    watts_of,
)
from settingslint.rules.derived.output import cold_water, hot_water_output
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

MADE_HERE: Final = {"hot_water.kind": ("tank", "plate")}
USUAL_LIMIT: Final = Threshold(
    "priority_limit_usual", 3600.0, Kind.MINUTES, COMMON_PRACTICE, "time limit proposed where priority has none",
    900.0, 3 * 3600.0, "common practice, no source: a house cools in a few hours",
)  # fmt: skip
SOON_FROZEN: Final = Threshold(
    "priority_freezes_within", 24 * 3600.0, Kind.HOURS, COMMON_PRACTICE,
    "time without heat to freezing below which priority without a time limit is damage",
    8 * 3600.0, 96 * 3600.0, "common practice, no source: a night lasts 8 h and more, and nobody looks before",
    looser="down",
)  # fmt: skip
FREEZING: Final = Celsius(0.0)


def _recovery(plant: Plant) -> tuple[float, str]:
    """Return the time from cold to the set point, s, and words for what is assumed."""
    cold, assumed = cold_water(plant)
    rise = Kelvin(max(0.0, plant.point("tank_setpoint") - cold))
    return recovery_time(plant.number("hot_water.tank_volume"), rise, hot_water_output(plant)), assumed


def _time_to_freezing(plant: Plant) -> float | None:
    """Return the time without heat until the house freezes on its coldest day, s; None where it never does.

    Raises:
        Missing: where the house or its climate is not recorded.
    """
    room, outdoor = plant.point("building.indoor_design"), plant.point("site.coldest")
    return time_to(room, outdoor, FREEZING, plant.number("building.cooldown_time_constant"))


@rule(
    "priority-without-time-limit",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("hot_water_priority", "priority_time_limit"),
    only_if=MADE_HERE,
    cautions=("freeze",),
    source=COMMON_PRACTICE,
    assumes="a failed sensor or a leak keeps hot water calling",
    thresholds=(USUAL_LIMIT, SOON_FROZEN),
    trips='settings.priority_time_limit = "off"',
    passes="settings.priority_time_limit = 60",
)
def priority_without_time_limit(plant: Plant) -> Drafts:
    """Hot-water priority has no time limit: a failed tank sensor or a leak leaves the house without heat.

    Priority is on and has no time limit. An outage where the house is known to take a day or longer to freeze, else
    damage: time = time constant x ln((room - coldest)/(freezing - coldest)).
    """
    if not plant.flag("hot_water_priority") or not plant.is_off("priority_time_limit"):
        return
    severity, takes, numbers = DAMAGE, "leaves the house without heat", {}
    try:
        time = _time_to_freezing(plant)
    except Missing:
        takes = "can freeze the house; how soon is not known"
    else:
        soon = time is not None and time < plant.threshold(SOON_FROZEN)
        severity = DAMAGE if soon else OUTAGE
        if time is not None:
            takes = f"freezes the house in about {plant.show(Kind.HOURS, round(time / 3600.0) * 3600.0)}"
            numbers = {"time to freezing": Quantity(time, Kind.HOURS)}
    yield found(
        "priority_time_limit",
        f"hot-water priority has no time limit: a stuck call {takes}",
        numbers,
        _time_limit(plant),
        severity=severity,
    )


def _time_limit(plant: Plant) -> Remedy:
    text = "set a time limit longer than the recovery of the tank"
    try:
        recovery = _recovery(plant)[0] if plant.word("hot_water.kind") == "tank" else 0.0
    except (Missing, DoesNotApply):
        return Remedy(text)
    value = attainable(plant, "priority_time_limit", at_least=max(recovery, plant.threshold(USUAL_LIMIT)))
    if value is None:
        return Remedy(text)
    return Remedy(f"set a time limit of {plant.show('priority_time_limit', value)}", {"priority_time_limit": value})


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
    trips='settings.priority_time_limit = 31',
    passes='settings.priority_time_limit = 32',
)  # fmt: skip
def priority_limit_below_recovery(plant: Plant) -> Drafts:
    """Hot-water priority ends before the tank has recovered from cold.

    Recovery = volume x rho cp x (set point - mains) / output that reaches the tank.
    """
    if not plant.flag("hot_water_priority") or plant.is_off("priority_time_limit"):
        return
    recovery, assumed = _recovery(plant)
    limit = plant.number("priority_time_limit")
    if recovery <= limit + TOLERANCE:
        return
    value = attainable(plant, "priority_time_limit", at_least=recovery)
    if value is None:
        remedy = Remedy("give the tank more output or fit a smaller one: the limit can't be set that long")
    else:
        shown = plant.show("priority_time_limit", value)
        remedy = Remedy(f"lengthen the time limit to {shown}", {"priority_time_limit": value})
    draft = found(
        "priority_time_limit",
        f"tank takes {plant.show(Kind.MINUTES, recovery)} from cold; priority ends after"
        f" {plant.show(Kind.MINUTES, limit)}",
        {"recovery": minutes_of(recovery), "limit": minutes_of(limit)},
        remedy,
    )
    yield replace(draft, remarks=(f"assuming {assumed}",) if assumed else ())


@rule(
    "hot-water-heats-the-floor",
    severity=DAMAGE,
    needs=("hot_water_priority", "hot_water_boiler_setpoint", "emitter"),
    only_if=MADE_HERE,
    cautions=("heating", "scald", "hygiene"),
    source=COMMON_PRACTICE,
    trips="settings.hot_water_priority = false, settings.hot_water_boiler_setpoint = 191",
    passes="settings.hot_water_boiler_setpoint = 190",
)
def hot_water_heats_the_floor(plant: Plant) -> Drafts:
    """Without hot-water priority, boiler water for the tank also goes to emitters that can't take it.

    Priority is off, an emitter has no mixing device of its own, and its maximum supply is below the boiler target
    during hot water. A heated floor must have its maximum recorded.
    """
    if plant.flag("hot_water_priority"):
        return
    boiler = plant.point("hot_water_boiler_setpoint")
    for index in plant.emitters:
        at = f"emitter[{index}]"
        try:
            if plant.word(f"{at}.kind") != "heated floor" and plant.known(f"{at}.maximum_supply") is None:
                continue
            if plant.flag(f"{at}.mixed"):
                continue
            most = plant.point(f"{at}.maximum_supply")
        except Missing as lack:
            yield lack
            continue
        if boiler > most + TOLERANCE:
            yield found(
                "hot_water_priority",
                f"during hot water {plant.show(Kind.POINT, boiler)} goes to emitter {index + 1}; its maximum is"
                f" {plant.show(Kind.POINT, most)}",
                {"boiler target": celsius_of(boiler), "emitter maximum": celsius_of(most)},
                Remedy("give hot water priority, or fit a mixing device", {"hot_water_priority": True}),
            )


@rule(
    "heating-rate-limits-hot-water",
    severity=OUTAGE,
    needs=("heating_maximum_rate", "boiler.efficiency"),
    only_if=MADE_HERE,
    cautions=("firing", "hot-water"),
    source=CONTROL_FILE,
    trips="control.control.rate_limits_hot_water = true, settings.heating_maximum_rate = 82",
    passes="settings.heating_maximum_rate = 83",
)
def heating_rate_limits_hot_water(plant: Plant) -> Drafts:
    """The heating rate also limits hot water, because this control applies it to both.

    The control file says so. At a plate: output with the limit / (rho cp x rise from the coldest mains) is less than
    the peak use. At a tank: less reaches it than its coil and the boiler could give; that only costs time.
    """
    if plant.known("control.rate_limits_hot_water") is None:
        raise Missing("heating_maximum_rate", "the control file does not say whether it limits hot water too")
    limited, full = hot_water_output(plant), hot_water_output(plant, heating_limit=False)
    if limited >= full - TOLERANCE:
        return
    rate = plant.show("heating_maximum_rate")
    numbers = {"output with the limit": watts_of(limited), "output without": watts_of(full)}
    severity: Severity | None = WASTE
    cost = f"the tank: {plant.show(Kind.POWER, limited)}, not {plant.show(Kind.POWER, full)}"
    if plant.word("hot_water.kind") == "plate":
        severity = None
        rise = Kelvin(plant.point("outlet_setpoint") - plant.point("hot_water.cold_inlet"))
        peak = plant.number("hot_water.peak_flow")
        if rise <= 0 or plate_flow(limited, rise) >= peak - TOLERANCE:
            return
        able = plate_flow(limited, rise)
        numbers |= {"flow at the set point": Quantity(able, Kind.FLOW), "peak use": Quantity(peak, Kind.FLOW)}
        cost = f"hot water: {plant.show(Kind.FLOW, able)}, peak use {plant.show(Kind.FLOW, peak)}"
    yield found(
        "heating_maximum_rate",
        f"heating rate {rate} also limits {cost}",
        numbers,
        "put the old rate back, or use a limit for heating only; licensed gas technician",
        severity=severity,
    )


RULES: Final[tuple[Rule, ...]] = (
    priority_without_time_limit,
    priority_limit_below_recovery,
    hot_water_heats_the_floor,
    heating_rate_limits_hot_water,
)
