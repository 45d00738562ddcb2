"""Rules of the cycling group about what the control makes of the band, and how fast it follows."""

from __future__ import annotations

from typing import Final

from settingslint.model.effect import TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.physics.water import heat_capacity_of
from settingslint.rules.base import (
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    minutes_of,
)
from settingslint.rules.derived.line import band, on
from settingslint.rules.derived.output import heating_output
from settingslint.rules.entries import shown_apart
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kind
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

SETTLING: Final = Threshold(
    "settling_time", 180.0, Kind.MINUTES, COMMON_PRACTICE,
    "time that modulation needs to find the load after lighting",
    60.0, 600.0, "common practice, no source: a burner settles within minutes", looser="down",
)  # fmt: skip
PLATE_HOLD: Final = Threshold(
    "hold_before_hot_water", 60.0, Kind.MINUTES, COMMON_PRACTICE,
    "longest low-fire hold where a plate makes hot water",
    15.0, 300.0, "common practice, no source: nobody waits five minutes at a tap", looser="up",
)  # fmt: skip

DIFFERENTIALS: Final = ("heating_differential", "tank_differential")


@rule(
    "differential-altered-by-control",
    severity=WASTE,
    cautions=("heating",),
    source=CONTROL_FILE,
    trips='control.setting.heating_differential = { treatments = [{ does = "add", amount = 10 }] }',
    passes="control.setting.heating_differential = { treatments = [] }",
)
def differential_altered_by_control(plant: Plant) -> Drafts:
    """The control runs at another differential than the one that was typed."""
    seen = False
    for name in DIFFERENTIALS:
        typed, row = plant.typed(name), plant.row(name)
        if not isinstance(typed, float) or row is None:
            continue
        effective = plant.difference(name)
        seen = True
        if same(typed, effective):
            continue
        set_to, runs_at = shown_apart(plant, name, typed, effective)
        yield found(
            name,
            f"{title_of(name)} is set to {set_to} and runs at {runs_at}",
            {"set to": kelvin_of(typed), "runs at": kelvin_of(effective)},
            "set the value that gives the wanted differential, and record both",
        )
    if not seen:
        raise DoesNotApply("no differential was typed")


@rule(
    "start-not-below-stop",
    severity=OUTAGE,
    needs=("heating_setpoint", "heating_differential"),
    cautions=("heating", "limit"),
    source=ARITHMETIC,
    trips="settings.operating_limit = 146",
    passes="settings.operating_limit = 190",
)
def start_not_below_stop(plant: Plant) -> Drafts:
    """The burner's start temperature is not below its stop temperature.

    Start = set point - differential; stop = set point + rise above it, or the operating limit where that is lower.
    """
    setpoint, width = plant.point("heating_setpoint"), band(plant)
    start = Celsius(setpoint - plant.difference("heating_differential"))
    stop = Celsius(start + width)
    limit = plant.point("operating_limit") if plant.has("operating_limit") else stop
    stop = min(stop, limit)
    if start < stop - TOLERANCE:
        return
    yield found(
        "heating_differential",
        f"burner starts at {plant.show(Kind.POINT, start)}, not below its stop at {plant.show(Kind.POINT, stop)}",
        {"start": celsius_of(start), "stop": celsius_of(stop)},
        "widen the differential or lower the set point; do not raise the limit",
    )


def _no_hold(plant: Plant) -> bool:
    return plant.is_off("low_fire_hold") or plant.number("low_fire_hold") <= 0


@rule(
    "no-low-fire-hold-on-oversized-boiler",
    severity=WASTE,
    certainty=LIKELY,
    needs=("low_fire_hold", "heating_differential", "water.system_volume", "building.design_load", "boiler.efficiency"),
    applies=_no_hold,
    cautions=("heating",),
    source=(ARITHMETIC, COMMON_PRACTICE),
    assumes=("lighting at high fire", "half of the design load"),
    thresholds=(SETTLING,),
    trips='water.system_volume = 8, settings.low_fire_hold = "off"',
    passes="water.system_volume = 95",
)
def no_low_fire_hold_on_oversized_boiler(plant: Plant) -> Drafts:
    """Without a low-fire hold the burner reaches its stop before modulation has found the load.

    Rise time = heat capacity x band/(output at high fire - half of the design load).
    """
    spare = heating_output(plant) - plant.number("building.design_load") / 2
    if spare <= 0:
        return
    time = heat_capacity_of(plant.number("water.system_volume"), Celsius(60.0)) * band(plant) / spare
    if time >= plant.threshold(SETTLING) - TOLERANCE:
        return
    value = attainable(plant, "low_fire_hold", at_least=120.0)
    yield found(
        "low_fire_hold",
        f"no low-fire hold: at high fire the water goes from start to stop in {plant.show(Kind.MINUTES, time)}",
        {"rise time": minutes_of(time)},
        Remedy(f"set a low-fire hold of {plant.show('low_fire_hold', value)}", {"low_fire_hold": value})
        if value is not None
        else None,
    )


@rule(
    "low-fire-hold-delays-hot-water",
    severity=WASTE,
    certainty=LIKELY,
    needs=("low_fire_hold",),
    only_if={"hot_water.kind": ("plate",)},
    applies=on("low_fire_hold"),
    cautions=("hot-water",),
    source=COMMON_PRACTICE,
    assumes="the hold applies to hot-water calls too",
    thresholds=(PLATE_HOLD,),
    trips='hot_water.kind = "plate", settings.low_fire_hold = 3',
    passes="settings.low_fire_hold = 1",
)
def low_fire_hold_delays_hot_water(plant: Plant) -> Drafts:
    """The low-fire hold keeps people waiting at the tap where a plate makes the hot water."""
    hold, longest = plant.number("low_fire_hold"), plant.threshold(PLATE_HOLD)
    if hold <= longest + TOLERANCE:
        return
    value = attainable(plant, "low_fire_hold", at_most=longest)
    yield found(
        "low_fire_hold",
        f"low-fire hold of {plant.show('low_fire_hold')}: people at the tap wait for hot water from the plate",
        {"low-fire hold": minutes_of(hold)},
        Remedy(f"shorten the low-fire hold to {plant.show('low_fire_hold', value)}", {"low_fire_hold": value})
        if value is not None
        else Remedy("shorten the low-fire hold"),
    )


@rule(
    "control-gain-changed",
    severity=WASTE,
    needs=("control_gain",),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    trips="settings.control_gain = 25",
    passes="settings.control_gain = 10",
)
def control_gain_changed(plant: Plant) -> Drafts:
    """The modulation gain is not the control's default.

    Flame and water temperature hunt. The default is restored first, then the cause is looked for.
    """
    gain, default = plant.number("control_gain"), plant.default("control_gain")
    if same(gain, default):
        return
    yield found(
        "control_gain",
        f"modulation gain is {plant.show('control_gain')}; default is {plant.show('control_gain', default)}",
        {"gain": Quantity(gain, Kind.RATIO)},
        "restore the default, then find out why it was changed",
    )


RULES: Final[tuple[Rule, ...]] = (
    differential_altered_by_control,
    start_not_below_stop,
    no_low_fire_hold_on_oversized_boiler,
    low_fire_hold_delays_hot_water,
    control_gain_changed,
)
