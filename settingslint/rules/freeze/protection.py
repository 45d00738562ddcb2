"""Rules: does anything keep the water from freezing, and does it still when nobody is there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    DoesNotApply,
    Drafts,
    Missing,
    Remedy,
    Threshold,
    celsius_of,
    found,
)
from settingslint.rules.derived.line import on
from settingslint.rules.freeze.unheated import CAUTION, EMPTY, NEVER_COLD, gets_cold
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kind, celsius
from settingslint.vocabulary.sources import COMMON_PRACTICE, CONTROL_FILE

PUMP_ON: Final = Threshold(
    "freeze_pump_on_minimum", celsius(41), Kind.POINT, COMMON_PRACTICE,
    "minimum water temperature that starts the pump",
    celsius(38), celsius(55),
    "common practice, no source: sensors are wrong by 2 F, pipes colder than the sensor by 4 F", looser="down",
)  # fmt: skip
BURNER_ON: Final = Threshold(
    "freeze_burner_on_minimum", celsius(37), Kind.POINT, COMMON_PRACTICE,
    "minimum water temperature that starts the burner",
    celsius(35), celsius(50), "common practice, no source: sensors are wrong by 2 F; water freezes at 32 F",
    looser="down",
)  # fmt: skip
COLD_SHUTDOWN: Final = Threshold(
    "cold_load_shutdown", celsius(50), Kind.POINT, COMMON_PRACTICE,
    "warm-weather shutdown up to which a coil or slab can freeze on a cold night",
    celsius(40), celsius(68), "common practice, no source: a night is 10 F to 30 F colder than its day", looser="down",
)  # fmt: skip
COLD_PLACES: Final = ("unheated", "outdoor", "garage", "roof")
COLD_LOADS: Final = ("air coil", "snow melting")


def _worse(plant: Plant) -> Iterator[str]:
    if plant.known("boiler.location") in COLD_PLACES:
        yield f"place of the boiler: {plant.word('boiler.location')}"
    if plant.known("site.occupants") in EMPTY:
        yield f"who uses the building: {plant.word('site.occupants')}"
    if plant.known("water.fluid") == "water":
        yield "no antifreeze"


@rule(
    "freeze-protection-off",
    severity=DAMAGE,
    needs=("freeze_protection", "site.coldest"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
    trips="settings.freeze_protection = false, site.coldest = 35",
    passes="site.coldest = 36",
)
def freeze_protection_off(plant: Plant) -> Drafts:
    """Freeze protection is off where it gets cold.

    Also where the control switches it off by itself. Compared: the coldest expected outdoor temperature, with 35 F.
    """
    gets_cold(plant)
    if not plant.is_off("freeze_protection"):
        return
    draft = found(
        "freeze_protection",
        f"freeze protection is off; it gets as cold as {plant.show('site.coldest')}",
        {"coldest": celsius_of(plant.point("site.coldest"))},
        Remedy("switch it on; check what keeps the far pipes from freezing", {"freeze_protection": True}),
    )
    yield replace(draft, remarks=tuple(_worse(plant)))


@rule(
    "freeze-protection-starts-late",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("site.coldest",),
    only_if={"freeze_protection": (True,)},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the coldest pipe is a few degrees colder than the sensor",
    thresholds=(PUMP_ON, BURNER_ON, NEVER_COLD),
    trips='boiler.location = "garage", settings.freeze_pump_on = 40',
    passes="settings.freeze_pump_on = 41",
)
def freeze_protection_starts_late(plant: Plant) -> Drafts:
    """Freeze protection starts so late that pipes away from the sensor can be frozen by then.

    Where the boiler or pipes are in the cold: pump below 41 F, or burner below 37 F. The control's default is not
    questioned. Needs the place of the boiler and, unless that is cold already, whether pipes run in the cold.
    """
    gets_cold(plant)
    if plant.known("piping.outside_walls") is not True and plant.word("boiler.location") not in COLD_PLACES:
        plant.value("piping.outside_walls")
        raise DoesNotApply("boiler and pipes are in the warm")
    for name, threshold, what in (
        ("freeze_pump_on", PUMP_ON, "pump"),
        ("freeze_burner_on", BURNER_ON, "burner"),
    ):
        try:
            start = plant.point(name)
        except Missing as lack:
            yield lack
            continue
        except DoesNotApply:
            continue
        minimum = Celsius(plant.threshold(threshold))
        came_with = plant.default_of(name)
        if start >= minimum - TOLERANCE or same(came_with, start):
            continue
        value = attainable(plant, name, at_least=minimum)
        remedy = (
            Remedy("protect the pipes by other means: this control can't start it sooner")
            if value is None
            else Remedy(f"start it at {plant.show(name, value)}", {name: value})
        )
        yield found(
            name,
            f"freeze protection starts the {what} at {plant.show(Kind.POINT, start)}; minimum in the cold"
            f" {plant.show(Kind.POINT, minimum)}",
            {"start": celsius_of(start), "minimum": celsius_of(minimum)},
            remedy,
        )


@rule(
    "freeze-protection-asleep-in-mode",
    severity=DAMAGE,
    needs=("operating_mode", "site.coldest"),
    only_if={"freeze_protection": (True,)},
    cautions=CAUTION,
    source=CONTROL_FILE,
    thresholds=(NEVER_COLD,),
    trips=('control.control.freeze_active_in = ["normal", "summer"], settings.operating_mode = "holiday"'),
    passes='settings.operating_mode = "summer"',
)
def freeze_protection_asleep_in_mode(plant: Plant) -> Drafts:
    """In the operating mode that is set, this control does not protect against freezing.

    Standby or holiday was used in place of summer. The control file says in which modes protection works.
    """
    gets_cold(plant)
    active = plant.listed("control.freeze_active_in")
    if active is None:
        raise Missing("operating_mode", "the control file does not say in which modes freeze protection works")
    mode = plant.word("operating_mode")
    if mode not in active:
        others = [one for one in ("summer", "normal") if one in active]
        remedy = Remedy("protect it by other means, or drain it")
        if others:
            remedy = Remedy(f"set the mode to {others[0]}", {"operating_mode": others[0]})
        yield found(
            "operating_mode",
            f"mode is {mode}; freeze protection works only in {', '.join(active) or 'no mode'}",
            {},
            remedy,
        )


@rule(
    "freeze-protection-misses-far-pipes",
    severity=DAMAGE,
    certainty=ASK,
    needs=("piping.boiler_drives_zones", "site.coldest"),
    only_if={"piping.outside_walls": (True,), "water.fluid": ("water",)},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
    trips="piping.outside_walls = true, piping.boiler_drives_zones = false",
    passes="piping.boiler_drives_zones = true",
)
def freeze_protection_misses_far_pipes(plant: Plant) -> Drafts:
    """Pipes run in the cold where the boiler's freeze protection moves no water. No setting helps there.

    Not asked where the system is filled with antifreeze.
    """
    gets_cold(plant)
    if not plant.flag("piping.boiler_drives_zones"):
        yield found(
            "piping.boiler_drives_zones",
            "pipes in the cold get no flow from freeze protection: what keeps them from freezing?",
            {},
            "insulate, fit a thermostat that calls, use tested antifreeze, or drain; no setting helps",
        )


@rule(
    "freeze-start-without-outdoor-sensor",
    severity=DAMAGE,
    needs=("accessories.outdoor_sensor", "site.coldest"),
    applies=on("freeze_outdoor_start"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(NEVER_COLD,),
    trips="accessories.outdoor_sensor = false",
    passes='settings.freeze_outdoor_start = "off"',
)
def freeze_start_without_outdoor_sensor(plant: Plant) -> Drafts:
    """Freeze protection is set to start by outdoor temperature, but there is no outdoor sensor."""
    gets_cold(plant)
    if plant.flag("accessories.outdoor_sensor"):
        return
    yield found(
        "freeze_outdoor_start",
        f"freeze protection starts at {plant.show('freeze_outdoor_start')} outdoors, but no outdoor sensor is fitted",
        {},
        "fit the sensor, or use the water temperature alone and record that",
    )


@rule(
    "shutdown-blocks-cold-loads",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("warm_weather_shutdown", "emitter", "site.coldest"),
    applies=on("warm_weather_shutdown"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the coil or slab depends on this boiler and has no start of its own",
    thresholds=(NEVER_COLD, COLD_SHUTDOWN),
    trips=(
        "settings.warm_weather_shutdown = 50, "
        'emitter = [{ name = "air handler", kind = "air coil", design_supply = 158, design_return = 138, '
        "mixed = false }]"
    ),
    passes="settings.warm_weather_shutdown = 51",
)
def shutdown_blocks_cold_loads(plant: Plant) -> Drafts:
    """Warm-weather shutdown stops an air coil or a snow-melting slab while it can still freeze.

    An air coil or snow melting is recorded, and heating is shut down already at 50 F (10 C) or less. The control looks
    at an average of the day; the night is some 18 F (10 K) colder than the mean of such a day.
    """
    gets_cold(plant)
    kinds = [plant.word(f"emitter[{index}].kind") for index in plant.emitters]
    hit = [kind for kind in kinds if kind in COLD_LOADS]
    if not hit:
        raise DoesNotApply("no air coil, no snow melting")
    shutdown = plant.point("warm_weather_shutdown")
    if shutdown <= plant.threshold(COLD_SHUTDOWN) + TOLERANCE:
        yield found(
            "warm_weather_shutdown",
            f"heating shuts down above {plant.show(Kind.POINT, shutdown)} outdoors, and with it the {hit[0]}",
            {"shutdown": celsius_of(shutdown)},
            "give the coil or slab its own start, or protect it with antifreeze",
        )


@rule(
    "priority-outranks-freeze-protection",
    severity=DAMAGE,
    needs=("hot_water_priority", "site.coldest"),
    only_if={"hot_water.kind": ("tank", "plate"), "freeze_protection": (True,)},
    cautions=CAUTION,
    source=CONTROL_FILE,
    thresholds=(NEVER_COLD,),
    trips="control.control.freeze_overrides_priority = false",
    passes="control.control.freeze_overrides_priority = true",
)
def priority_outranks_freeze_protection(plant: Plant) -> Drafts:
    """On this control a hot-water call goes before freeze protection.

    The control file says which goes first.
    """
    gets_cold(plant)
    if not plant.flag("hot_water_priority"):
        return
    first = plant.known("control.freeze_overrides_priority")
    if first is None:
        raise Missing("hot_water_priority", "the control file does not say whether freeze protection goes first")
    if not first:
        yield found(
            "hot_water_priority",
            "on this control a hot-water call goes before freeze protection",
            {},
            "keep a time limit on priority; protect the cold pipes by other means",
        )


RULES: Final[tuple[Rule, ...]] = (
    freeze_protection_off,
    freeze_protection_starts_late,
    freeze_protection_asleep_in_mode,
    freeze_protection_misses_far_pipes,
    freeze_start_without_outdoor_sensor,
    shutdown_blocks_cold_loads,
    priority_outranks_freeze_protection,
)
