"""Rules: does anything keep the water from freezing, and does it still when nobody is there."""

from __future__ import annotations

from datetime import timedelta
from typing import Final

from settingslint.physics.cooldown import time_to
from settingslint.physics.glycol import freezing_point, mass_fraction_from_volume
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Rule,
    Threshold,
    celsius_of,
    found,
    rule,
)
from settingslint.rules.plant import Plant
from settingslint.units import Celsius, Kind, celsius
from settingslint.vocabulary.sources import COMMON_PRACTICE, CONTROL_FILE

TITLE: Final = "freezing"
CAUTION: Final = ("freeze",)
FREEZING: Final = Celsius(0.0)

NEVER_COLD: Final = Threshold(
    "never_cold", celsius(35), Kind.POINT, COMMON_PRACTICE, "coldest outdoor temperature above which nothing freezes"
)
PUMP_ON: Final = Threshold(
    "freeze_pump_on_least", celsius(41), Kind.POINT, COMMON_PRACTICE, "least water temperature that starts the pump"
)
BURNER_ON: Final = Threshold(
    "freeze_burner_on_least", celsius(37), Kind.POINT, COMMON_PRACTICE, "least water temperature that starts the burner"
)
TEST_DAYS: Final = Threshold(
    "glycol_test_days", 366.0, Kind.COUNT, COMMON_PRACTICE, "days between tests of the antifreeze"
)
COLD_PLACES: Final = ("unheated", "outdoor", "garage", "roof")
EMPTY: Final = ("vacant", "seasonal", "none")


def gets_cold(plant: Plant) -> None:
    """Go on only where it can freeze at all.

    Raises:
        DoesNotApply: where the coldest expected outdoor temperature is above the threshold.
    """
    if plant.point("site.coldest") > plant.threshold(NEVER_COLD):
        raise DoesNotApply("it does not get cold here")


def _worse(plant: Plant) -> str:
    parts = []
    if plant.known("boiler.location") in COLD_PLACES:
        parts.append(f"the boiler stands {plant.word('boiler.location')}")
    if plant.known("site.occupants") in EMPTY:
        parts.append(f"the building is {plant.word('site.occupants')}")
    if plant.known("water.fluid") == "water":
        parts.append("the system has no antifreeze")
    return "; ".join(parts)


@rule(
    "freeze-protection-off",
    severity=DAMAGE,
    needs=("freeze_protection", "site.coldest"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
)
def freeze_protection_off(plant: Plant) -> Drafts:
    """Freeze protection is off where it gets cold.

    Effective, so also where the control switches it off by itself. Coldest expected outdoor temperature against 35 F.

    Trips:
        [settings]
        freeze_protection = false
    Passes:
        [settings]
        freeze_protection = false
        [site]
        coldest = 36
    """
    gets_cold(plant)
    if not plant.is_off("freeze_protection"):
        return
    worse = _worse(plant)
    yield found(
        "freeze_protection",
        f"freeze protection is off; it gets as cold as {plant.show('site.coldest')}" + (f"; {worse}" if worse else ""),
        {"coldest": celsius_of(plant.point("site.coldest"))},
        Remedy("switch it on, and say by what means the far pipes are kept from freezing", {"freeze_protection": True}),
    )


@rule(
    "freeze-protection-starts-late",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("site.coldest", "boiler.location", "piping.outside_walls"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the coldest pipe is some degrees colder than the sensor",
    thresholds=(PUMP_ON, BURNER_ON, NEVER_COLD),
)
def freeze_protection_starts_late(plant: Plant) -> Drafts:
    """Freeze protection starts so near to freezing that pipes away from the sensor are frozen by then.

    Where the boiler or pipes stand in the cold: pump below 41 F, or burner below 37 F.

    Trips:
        [boiler]
        location = "garage"
        [settings]
        freeze_pump_on = 40
    Passes:
        [boiler]
        location = "garage"
        [settings]
        freeze_pump_on = 41
    """
    gets_cold(plant)
    if plant.word("boiler.location") not in COLD_PLACES and not plant.flag("piping.outside_walls"):
        raise DoesNotApply("everything stands in the warm")
    for name, threshold, what in (
        ("freeze_pump_on", PUMP_ON, "the pump starts"),
        ("freeze_burner_on", BURNER_ON, "the burner starts"),
    ):
        if name not in plant.control.rows:
            continue
        start, least = plant.point(name), Celsius(plant.threshold(threshold))
        if start < least - 1e-6:
            value = plant.attainable(name, at_least=least)
            remedy = Remedy("start it sooner" if value is None else f"start it at {plant.show(name, value)}",
                            {} if value is None else {name: value})  # fmt: skip
            yield found(
                name,
                f"{what} at {plant.show(Kind.POINT, start)} water; usual is"
                f" {plant.show(Kind.POINT, least)} or more in the"
                " cold",
                {"start": celsius_of(start), "usual": celsius_of(least)},
                remedy,
            )


@rule(
    "freeze-protection-asleep-in-mode",
    severity=DAMAGE,
    needs=("operating_mode", "freeze_protection", "site.coldest"),
    cautions=CAUTION,
    source=CONTROL_FILE,
    thresholds=(NEVER_COLD,),
)
def freeze_protection_asleep_in_mode(plant: Plant) -> Drafts:
    """In the operating mode that was left, this control does not protect against freezing.

    Standby or holiday was used in place of summer. The control file says in which modes protection works.

    Trips:
        [control.control]
        freeze_active_in = ["normal", "summer"]
        [settings]
        operating_mode = "holiday"
    Passes:
        [control.control]
        freeze_active_in = ["normal", "summer"]
        [settings]
        operating_mode = "summer"
    """
    gets_cold(plant)
    active = plant.control.freeze_active_in
    if active is None:
        raise Missing("operating_mode", "the control file does not say in which modes freeze protection works")
    mode = plant.word("operating_mode")
    if mode not in active and not plant.is_off("freeze_protection"):
        others = [one for one in ("summer", "normal") if one in active]
        remedy = Remedy(f"use the mode {others[0]} instead", {"operating_mode": others[0]}) if others else None
        yield found(
            "operating_mode",
            f"the mode is {mode}; freeze protection works only in {', '.join(active) or 'no mode'}",
            {},
            remedy,
        )


@rule(
    "freeze-protection-misses-far-pipes",
    severity=DAMAGE,
    certainty=ASK,
    needs=("freeze_protection", "piping.boiler_drives_zones", "piping.outside_walls", "site.coldest"),
    only_if={"piping.outside_walls": (True,)},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
)
def freeze_protection_misses_far_pipes(plant: Plant) -> Drafts:
    """Pipes run in the cold where the boiler's freeze protection moves no water. No setting mends that.

    Trips:
        [piping]
        outside_walls = true
        boiler_drives_zones = false
    Passes:
        [piping]
        outside_walls = true
        boiler_drives_zones = true
    """
    gets_cold(plant)
    if not plant.flag("piping.boiler_drives_zones"):
        yield found(
            "piping.boiler_drives_zones",
            "pipes run in outside walls or cold spaces, and freeze protection moves no water in the zones:"
            " what keeps them from freezing?",
            {},
            "insulation, a thermostat that calls, tested antifreeze, or draining; no setting of the"
            " boiler reaches them",
        )


def _fraction(plant: Plant, fluid: str) -> float:
    share = plant.number("water.glycol_percent") / 100.0
    if plant.word("water.glycol_by") == "volume":
        return mass_fraction_from_volume(fluid, share)
    return share


@rule(
    "antifreeze-too-weak",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("water.fluid", "water.glycol_percent", "water.glycol_by", "site.coldest"),
    only_if={"water.fluid": ("propylene glycol", "ethylene glycol")},
    cautions=CAUTION,
    source="freezing points of CoolProp's glycol mixtures; printed tables differ by up to 2.5 K",
    assumes="water outdoors or in an unheated place gets as cold as the coldest day",
)
def antifreeze_too_weak(plant: Plant) -> Drafts:
    """The antifreeze begins to freeze before it gets as cold as it can get.

    Freezing point of the mixture by its share, by mass or by volume as recorded, against the coldest day.

    Trips:
        [water]
        fluid = "propylene glycol"
        glycol_percent = 38
        glycol_by = "mass"
        tested = 2026-10-01
    Passes:
        [water]
        fluid = "propylene glycol"
        glycol_percent = 43
        glycol_by = "mass"
        tested = 2026-10-01
    """
    fluid = plant.word("water.fluid").split()[0]
    freezes, coldest = freezing_point(fluid, _fraction(plant, fluid)), plant.point("site.coldest")
    if freezes > coldest + 1e-6:
        yield found(
            "water.glycol_percent",
            f"{plant.show('water.glycol_percent')} {plant.word('water.fluid')} by"
            f" {plant.word('water.glycol_by')} begins to"
            f" freeze at about {plant.show(Kind.POINT, freezes)}; it gets as cold as {plant.show(Kind.POINT, coldest)}",
            {"begins to freeze": celsius_of(freezes), "coldest": celsius_of(coldest)},
            "test it, and bring it to what the maker of boiler and fluid agree on",
        )


@rule(
    "antifreeze-test-overdue",
    severity=DAMAGE,
    certainty=ASK,
    needs=("water.fluid", "water.tested"),
    only_if={"water.fluid": ("propylene glycol", "ethylene glycol")},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(TEST_DAYS,),
)
def antifreeze_test_overdue(plant: Plant) -> Drafts:
    """The antifreeze was not tested within a year.

    Trips:
        [water]
        fluid = "propylene glycol"
        glycol_percent = 45
        glycol_by = "mass"
        tested = 2025-11-23
    Passes:
        [water]
        fluid = "propylene glycol"
        glycol_percent = 45
        glycol_by = "mass"
        tested = 2025-11-24
    """
    tested = plant.day("water.tested")
    if plant.as_of - tested > timedelta(days=plant.threshold(TEST_DAYS)):
        yield found(
            "water.tested",
            f"the antifreeze was last tested on {tested}: is it still what it was?",
            {"days": Quantity((plant.as_of - tested).days, Kind.COUNT)},
            "test strength and inhibitor and write both down",
        )


@rule(
    "nobody-gets-an-alarm",
    severity=DAMAGE,
    certainty=ASK,
    needs=("site.occupants", "site.alarm_path", "site.coldest"),
    only_if={"site.occupants": EMPTY},
    cautions=(*CAUTION, "insurance"),
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
)
def nobody_gets_an_alarm(plant: Plant) -> Drafts:
    """The building is empty, and nobody gets an alarm when the heat fails.

    Time to freezing after the heat fails: tau ln((room - outdoor)/(0 C - outdoor)) with the building's time constant.
    Lockout, loss of gas or power, or a dead battery are covered by no freeze setting.

    Trips:
        [site]
        occupants = "vacant"
        alarm_path = false
    Passes:
        [site]
        occupants = "vacant"
        alarm_path = true
    """
    gets_cold(plant)
    if plant.flag("site.alarm_path"):
        return
    room, tau = plant.known("holiday_room"), plant.known("building.cooldown_time_constant")
    extra, numbers = "", {}
    if isinstance(room, float) and isinstance(tau, float):
        seconds = time_to(Celsius(room), plant.point("site.coldest"), FREEZING, tau)
        if seconds is not None:
            extra = (
                f"; from {plant.show(Kind.POINT, room)} it takes about {plant.show(Kind.HOURS, round(seconds, -3))} to"
                f" freezing at {plant.show('site.coldest')}, sooner in outside walls"
            )
            numbers = {"time to freezing": Quantity(seconds, Kind.HOURS)}
    yield found(
        "site.alarm_path",
        f"the building is {plant.word('site.occupants')} and nobody gets an alarm when the heat fails{extra}",
        numbers,
        "an alarm that somebody gets and can come to in time; or drain it",
    )


@rule(
    "room-below-insurers-condition",
    severity=OUTAGE,
    needs=("holiday_room", "site.insurer_minimum"),
    cautions=(*CAUTION, "insurance"),
    source="the policy's own condition, as recorded",
)
def room_below_insurers_condition(plant: Plant) -> Drafts:
    """The room temperature that is kept while away is below what the insurer asks for.

    Trips:
        [settings]
        holiday_room = 49
    Passes:
        [settings]
        holiday_room = 50
    """
    kept, asked = plant.point("holiday_room"), plant.point("site.insurer_minimum")
    if kept < asked - 1e-6:
        value = plant.attainable("holiday_room", at_least=asked)
        remedy = Remedy("keep what the policy asks for", {} if value is None else {"holiday_room": value})
        yield found(
            "holiday_room",
            f"{plant.show(Kind.POINT, kept)} is kept while away; the policy asks for {plant.show(Kind.POINT, asked)}",
            {"kept": celsius_of(kept), "asked for": celsius_of(asked)},
            remedy,
        )


@rule(
    "freeze-start-without-outdoor-sensor",
    severity=DAMAGE,
    needs=("freeze_outdoor_start", "accessories.outdoor_sensor"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
)
def freeze_start_without_outdoor_sensor(plant: Plant) -> Drafts:
    """Freeze protection is to start by the outdoor temperature, and there is no outdoor sensor.

    Trips:
        [accessories]
        outdoor_sensor = false
    Passes:
        [settings]
        freeze_outdoor_start = "off"
        [accessories]
        outdoor_sensor = false
    """
    if plant.is_off("freeze_outdoor_start") or plant.flag("accessories.outdoor_sensor"):
        return
    yield found(
        "freeze_outdoor_start",
        f"freeze protection starts at {plant.show('freeze_outdoor_start')} outdoors, and no outdoor sensor is fitted",
        {},
        "fit the sensor, or rely on water temperature alone and say so",
    )


@rule(
    "shutdown-blocks-cold-loads",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("warm_weather_shutdown", "emitter"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the coil or the slab is piped to this boiler without a start of its own",
)
def shutdown_blocks_cold_loads(plant: Plant) -> Drafts:
    """Warm-weather shutdown stops an air coil or a snow-melting slab at temperatures at which it can freeze.

    An air coil or snow melting is recorded, and heating is shut down already above a temperature of 5 C (41 F) or less.

    Trips:
        [settings]
        warm_weather_shutdown = 41
        [[emitter]]
        name = "air handler"
        kind = "air coil"
        design_supply = 158
        design_return = 138
        mixed = false
    Passes:
        [settings]
        warm_weather_shutdown = 42
        [[emitter]]
        name = "air handler"
        kind = "air coil"
        design_supply = 158
        design_return = 138
        mixed = false
    """
    cold = [plant.word(f"emitter[{index}].kind") for index in plant.emitters]
    hit = [kind for kind in cold if kind in ("air coil", "snow melting")]
    if not hit or plant.is_off("warm_weather_shutdown"):
        return
    if plant.point("warm_weather_shutdown") <= celsius(41) + 1e-6:
        yield found(
            "warm_weather_shutdown",
            f"heating is shut down above {plant.show('warm_weather_shutdown')}, and with it the {hit[0]}",
            {"shutdown": celsius_of(plant.point("warm_weather_shutdown"))},
            "give the coil or the slab a start of its own, or protect it with antifreeze",
        )


@rule(
    "priority-outranks-freeze-protection",
    severity=DAMAGE,
    needs=("hot_water_priority", "freeze_protection", "site.coldest"),
    only_if={"hot_water.kind": ("tank", "plate")},
    cautions=CAUTION,
    source=CONTROL_FILE,
    thresholds=(NEVER_COLD,),
)
def priority_outranks_freeze_protection(plant: Plant) -> Drafts:
    """On this control a hot-water call goes before freeze protection.

    The control file says which goes first.

    Trips:
        [control.control]
        freeze_overrides_priority = false
    Passes:
        [control.control]
        freeze_overrides_priority = true
    """
    gets_cold(plant)
    first = plant.control.freeze_overrides_priority
    if first is None:
        raise Missing("hot_water_priority", "the control file does not say whether freeze protection goes first")
    if first is False and plant.flag("hot_water_priority") and not plant.is_off("freeze_protection"):
        yield found(
            "hot_water_priority",
            "a hot-water call goes before freeze protection on this control",
            {},
            "keep a time limit on priority, and see that something else protects the cold pipes",
        )


RULES: Final[tuple[Rule, ...]] = (
    freeze_protection_off,
    freeze_protection_starts_late,
    freeze_protection_asleep_in_mode,
    freeze_protection_misses_far_pipes,
    antifreeze_too_weak,
    antifreeze_test_overdue,
    nobody_gets_an_alarm,
    room_below_insurers_condition,
    freeze_start_without_outdoor_sensor,
    shutdown_blocks_cold_loads,
    priority_outranks_freeze_protection,
)
