"""Rules: does water move through the boiler when it has to."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE
from settingslint.model.values import title_of
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Remedy,
    Threshold,
    found,
    minutes_of,
)
from settingslint.rules.derived.line import on
from settingslint.rules.plant import Plant
from settingslint.rules.pumps.flow import FLOW
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Kind
from settingslint.vocabulary.sources import COMMON_PRACTICE

OVERRUN: Final = Threshold(
    "pump_overrun_minimum", 60.0, Kind.MINUTES, COMMON_PRACTICE, "shortest pump overrun on a low-mass exchanger",
    15.0, 300.0, "common practice, no source: below 15 s no heat leaves the exchanger", looser="down",
)  # fmt: skip
IDLE_MONTHS: Final = Threshold(
    "pump_idle_months", 3.0, Kind.COUNT, COMMON_PRACTICE, "idle months after which pumps seize",
    1.0, 6.0, "common practice, no source: a summer lasts six months", looser="up",
)  # fmt: skip
ALL_YEAR: Final = ("pool", "air coil")
MODES: Final = {
    "primary-secondary": ("with burner", "with call", "continuous"),
    "separator": ("with burner", "with call", "continuous"),
    "buffer": ("with burner", "with call", "continuous"),
    "direct": ("with call", "continuous"),
    "series": ("with call", "continuous"),
}


@rule(
    "pump-overrun-too-short",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("pump_overrun", "boiler.heat_exchanger"),
    only_if={"boiler.heat_exchanger": ("low mass",)},
    cautions=(*FLOW, "limit"),
    source=COMMON_PRACTICE,
    assumes="heat is left in the exchanger when the burner stops",
    thresholds=(OVERRUN,),
    trips='boiler.heat_exchanger = "low mass", settings.pump_overrun = 0.5',
    passes="settings.pump_overrun = 1",
)
def pump_overrun_too_short(plant: Plant) -> Drafts:
    """The pump stops too soon after the burner: water in a small exchanger boils and trips the limit."""
    overrun, minimum = plant.number("pump_overrun"), plant.threshold(OVERRUN)
    if overrun < minimum - TOLERANCE:
        value = attainable(plant, "pump_overrun", at_least=minimum)
        remedy = (
            Remedy("ask the maker what keeps the exchanger from boiling: this control can't run it on")
            if value is None
            else Remedy(f"let it run on for {plant.show('pump_overrun', value)}", {"pump_overrun": value})
        )
        yield found(
            "pump_overrun",
            f"pump runs on {overrun:.0f} s after the burner; a low-mass exchanger needs {minimum:.0f} s",
            {"overrun": minutes_of(overrun)},
            remedy,
        )


@rule(
    "pump-overrun-into-closed-valves",
    severity=WASTE,
    certainty=ASK,
    needs=("pump_overrun", "piping.topology", "piping.zone_valves", "piping.bypass"),
    only_if={"piping.topology": ("direct",), "piping.zone_valves": (True,)},
    cautions=FLOW,
    source=COMMON_PRACTICE,
    trips='piping.topology = "direct", piping.zone_valves = true, piping.bypass = false',
    passes="piping.bypass = true",
)
def pump_overrun_into_closed_valves(plant: Plant) -> Drafts:
    """After the call the pump runs on against closed zone valves, with no bypass."""
    if plant.number("pump_overrun") > 0 and not plant.flag("piping.bypass"):
        yield found(
            "pump_overrun",
            f"pump runs on {plant.show('pump_overrun')} against closed zone valves and there is no bypass",
            {},
            "keep the last valve open while the pump runs on, or fit a bypass",
        )


@rule(
    "pump-mode-unlike-piping",
    severity=OUTAGE,
    certainty=ASK,
    needs=("boiler_pump_mode", "piping.topology"),
    cautions=(*FLOW, "electric"),
    source=COMMON_PRACTICE,
    trips='settings.boiler_pump_mode = "off"',
    passes='settings.boiler_pump_mode = "with burner"',
)
def pump_mode_unlike_piping(plant: Plant) -> Drafts:
    """The boiler pump mode does not match the piping.

    In direct and series piping the boiler pump is the system's pump and runs with the call; elsewhere with the burner
    or the call. Off never matches.
    """
    mode, topology = plant.word("boiler_pump_mode"), plant.word("piping.topology")
    if mode not in MODES[topology]:
        yield found(
            "boiler_pump_mode",
            f"boiler pump mode {mode} does not match {topology} piping",
            {},
            f"check the piping, then set one of: {', '.join(MODES[topology])}",
        )


@rule(
    "pump-exercise-off",
    severity=OUTAGE,
    needs=("pump_exercise",),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    thresholds=(IDLE_MONTHS,),
    trips="settings.pump_exercise = false, counters.idle_months = 4",
    passes="counters.idle_months = 3",
)
def pump_exercise_off(plant: Plant) -> Drafts:
    """Pump exercise is off and the pumps are idle for months: they seize, and fail at the first frost."""
    if not plant.is_off("pump_exercise"):
        return
    months = plant.number("counters.idle_months")
    if months > plant.threshold(IDLE_MONTHS) + TOLERANCE:
        yield found(
            "pump_exercise",
            f"pump exercise is off and the pumps were idle for {plant.show(Kind.COUNT, months)} months",
            {"idle months": Quantity(months, Kind.COUNT)},
            Remedy("switch it on, and turn the pumps by hand once", {"pump_exercise": True}),
        )


@rule(
    "program-left-running",
    severity=OUTAGE,
    cautions=("heating", "pump"),
    source=COMMON_PRACTICE,
    trips="settings.purge_program = true",
    passes="settings.purge_program = false",
)
def program_left_running(plant: Plant) -> Drafts:
    """A purge or floor-drying program is still on."""
    had = False
    for name in ("purge_program", "floor_drying"):
        try:
            left_on = plant.flag(name)
        except Missing as lack:
            yield lack
            continue
        except DoesNotApply:
            continue
        had = True
        if left_on:
            yield found(name, f"{title_of(name)} is still on", {}, Remedy("switch it off", {name: False}))
    if not had:
        raise DoesNotApply("the control has no such program")


@rule(
    "shutdown-stops-a-shared-pump",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=("emitter",),
    only_if={"system_pump_mode": ("continuous",)},
    applies=on("warm_weather_shutdown"),
    cautions=FLOW,
    source=COMMON_PRACTICE,
    assumes="the pool or coil depends on the system pump, and the pump stops at the shutdown",
    trips=(
        'settings.system_pump_mode = "continuous", '
        'emitter = [{ name = "pool", kind = "pool", design_supply = 140, design_return = 120, mixed = true }]'
    ),
    passes='settings.system_pump_mode = "external"',
)
def shutdown_stops_a_shared_pump(plant: Plant) -> Drafts:
    """The system pump stops at warm-weather shutdown, but a load needs it all year."""
    kinds = [plant.word(f"emitter[{index}].kind") for index in plant.emitters]
    hit = [kind for kind in kinds if kind in ALL_YEAR]
    if hit:
        yield found(
            "system_pump_mode",
            f"system pump stops above {plant.show('warm_weather_shutdown')} outdoors, but the {hit[0]} needs it all"
            " year",
            {},
            "drive the pump by the load's own call",
        )


RULES: Final[tuple[Rule, ...]] = (
    pump_overrun_too_short,
    pump_overrun_into_closed_valves,
    pump_mode_unlike_piping,
    pump_exercise_off,
    program_left_running,
    shutdown_stops_a_shared_pump,
)
