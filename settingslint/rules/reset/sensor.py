"""Rules of the reset group about the outdoor sensor."""

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
    Quantity,
    Remedy,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
)
from settingslint.rules.derived.line import fixed_supply_is_ordinary, follows, own_line, own_reset, top
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.rules.steps import attainable
from settingslint.units import Celsius, Kelvin, Kind, kelvin
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import APPLIANCE_RULE, COMMON_PRACTICE

CORRECTION: Final = Threshold(
    "largest_outdoor_correction", kelvin(3), Kind.DIFFERENCE, COMMON_PRACTICE,
    "a larger correction hides a bad sensor or a bad place for it",
    kelvin(0.5), kelvin(9), "common practice, no source: 9 F wrong is a broken sensor", looser="up",
)  # fmt: skip
LIGHT_AVERAGING: Final = Threshold(
    "light_averaging", 6 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "longest outdoor averaging in a light building",
    3600.0, 12 * 3600.0, "common practice, no source: a light building follows the weather within half a day",
    looser="up",
)  # fmt: skip
HEAVY_AVERAGING: Final = Threshold(
    "heavy_averaging", 12 * 3600.0, Kind.HOURS, COMMON_PRACTICE, "shortest outdoor averaging in a heavy building",
    4 * 3600.0, 48 * 3600.0, "common practice, no source: a heavy building follows the weather within two days",
    looser="down",
)  # fmt: skip

FIRST_SETTING: Final = {
    "one number": "reset_endpoint", "two points": "reset_hot_supply", "slope and shift": "reset_slope",
}  # fmt: skip


LOSS: Final = {
    "fixed outdoor temperature": "takes a fixed outdoor temperature", "set point": "runs at the set point",
    "minimum": "runs at the minimum", "stop": "stops heating",
}  # fmt: skip
"""What the control does without its outdoor sensor, in words."""


def _switched_on_by(plant: Plant) -> str | None:
    """Return the setting by which reset is on, typed or by default, or None where it is not."""
    if plant.has("reset"):
        entry = plant.entries.get("reset")
        on = plant.default("reset") if entry is not None and entry.left == "default" else plant.typed("reset")
        return "reset" if on is True else None
    name = FIRST_SETTING.get(plant.reset_style)
    return name if name is not None and isinstance(plant.typed(name), float) else None


@rule(
    "reset-without-outdoor-sensor",
    severity=OUTAGE,
    needs=("accessories.outdoor_sensor",),
    cautions=("heating",),
    source=COMMON_PRACTICE,
    trips="accessories.outdoor_sensor = false",
    passes="accessories.outdoor_sensor = true",
)
def reset_without_outdoor_sensor(plant: Plant) -> Drafts:
    """Outdoor reset is switched on, and no outdoor sensor is fitted.

    The control shows a fault, ignores the line or runs at a fixed fallback.
    """
    at = _switched_on_by(plant)
    if at is None or follows(plant):
        raise DoesNotApply("reset is not switched on")
    if plant.flag("accessories.outdoor_sensor"):
        return
    loss = plant.known("outdoor_sensor_loss")
    then = f"control {LOSS[str(loss)]}" if loss is not None else "what the control then does is not recorded"
    yield found(
        at,
        f"reset is on and no outdoor sensor is fitted: {then}",
        remedy="fit the sensor, or switch reset off and set the supply for the design day",
    )


@rule(
    "outdoor-sensor-unused",
    severity=WASTE,
    only_if={"accessories.outdoor_sensor": (True,)},
    cautions=("heating", "law"),
    source=(APPLIANCE_RULE, COMMON_PRACTICE),
    trips="settings.reset = false",
    passes='settings.reset = { value = false, why = "process load, see drawing 4" }',
)
def outdoor_sensor_unused(plant: Plant) -> Drafts:
    """An outdoor sensor is fitted and outdoor reset is off, with no reason recorded.

    Paid for and never switched on, or switched off after one complaint. Not asked where coils, pools or a shared target
    need the same supply in all weathers; a reason beside the setting (`why`) clears it.
    """
    at = "reset" if plant.has("reset") else FIRST_SETTING.get(plant.reset_style)
    if at is None or plant.reset_style == "none" or follows(plant):
        raise DoesNotApply("this control has no reset")
    off = plant.is_off("reset") if at == "reset" else plant.typed(at) == OFF
    if not off:
        return
    entry = plant.entries.get(at)
    if (entry is not None and entry.why) or fixed_supply_is_ordinary(plant):
        return
    yield found(
        at,
        "outdoor sensor is fitted and reset is off, no reason recorded",
        remedy=Remedy(
            "ask what the complaint was, then switch reset on and adjust it; or record why it is off",
            {"reset": True} if at == "reset" else {},
        ),
    )


@rule(
    "sensor-loss-stops-heat",
    severity=OUTAGE,
    needs=("outdoor_sensor_loss", "site.occupants"),
    applies=own_reset,
    cautions=("freeze",),
    source=COMMON_PRACTICE,
    trips='settings.outdoor_sensor_loss = "stop", site.occupants = "vulnerable"',
    passes='settings.outdoor_sensor_loss = "fixed outdoor temperature"',
)
def sensor_loss_stops_heat(plant: Plant) -> Drafts:
    """The control stops heating when the outdoor sensor fails, where people depend on heat or nobody would notice.

    A broken wire to the outdoor sensor then means no heat, or the coolest supply, at a vulnerable, vacant or seasonal
    site.
    """
    loss, occupants = plant.word("outdoor_sensor_loss"), plant.word("site.occupants")
    if loss not in ("stop", "minimum") or occupants not in ("vulnerable", "vacant", "seasonal"):
        return
    yield found(
        "outdoor_sensor_loss",
        f"if the outdoor sensor fails the control {LOSS[loss]}; occupants: {occupants}",
        remedy=Remedy(
            "on loss of the sensor use a fixed outdoor temperature; wire an alarm",
            {"outdoor_sensor_loss": "fixed outdoor temperature"},
        ),
    )


@rule(
    "sensor-loss-overheats-emitter",
    severity=DAMAGE,
    certainty=LIKELY,
    needs=("outdoor_sensor_loss", "heating_setpoint", "emitter"),
    applies=own_reset,
    cautions=("heating", "limit"),
    source=COMMON_PRACTICE,
    assumes="the outdoor sensor can fail",
    trips=(
        'emitter = [{ kind = "heated floor", design_supply = 104, design_return = 90, maximum_supply = 120, '
        "mixed = false }], "
        'settings.outdoor_sensor_loss = "set point", control.control.reset_style = "two points"'
    ),
    passes='settings.outdoor_sensor_loss = "minimum"',
)
def sensor_loss_overheats_emitter(plant: Plant) -> Drafts:
    """When the outdoor sensor fails the control runs at the set point, which is hotter than an emitter may take.

    The line itself stays below the emitter's maximum; the set point is above it.
    """
    if plant.word("outdoor_sensor_loss") != "set point":
        return
    limits = [
        limit
        for index in plant.emitters
        if isinstance(limit := plant.known(f"emitter[{index}].maximum_supply"), float)
        and not plant.flag(f"emitter[{index}].mixed")
    ]
    if not limits:
        raise DoesNotApply("no unmixed emitter has a limit")
    limit, highest = min(limits), top(plant)[0]
    if highest <= limit + TOLERANCE:
        return
    yield found(
        "outdoor_sensor_loss",
        f"if the outdoor sensor fails supply goes to {plant.show(Kind.POINT, highest)}; unmixed emitter: at most"
        f" {plant.show(Kind.POINT, limit)}",
        {"set point": celsius_of(highest), "limit": celsius_of(limit)},
        Remedy(
            "on loss of the sensor use a fixed outdoor temperature, or lower the maximum supply",
            {"outdoor_sensor_loss": "fixed outdoor temperature"},
        ),
    )


@rule(
    "outdoor-correction-large",
    severity=WASTE,
    certainty=ASK,
    needs=("outdoor_correction",),
    cautions=("heating", "mask"),
    source=COMMON_PRACTICE,
    thresholds=(CORRECTION,),
    trips="settings.outdoor_correction = 6",
    passes="settings.outdoor_correction = -2",
)
def outdoor_correction_large(plant: Plant) -> Drafts:
    """The outdoor sensor is corrected by so much that the sensor or its place may be bad.

    The supply moves by correction x fall of the line per degree, half way between design day and balance point. The
    sensor belongs out of sun and draught, its cable away from mains.
    """
    correction = plant.difference("outdoor_correction")
    if abs(correction) <= plant.threshold(CORRECTION) + TOLERANCE:
        return
    effective, moved = own_line(plant), ""
    numbers = {"correction": kelvin_of(correction)}
    if effective.style is not None:
        middle = Celsius((plant.point("site.design_outdoor") + plant.point("building.balance_point")) / 2)
        shifted = Kelvin(effective.style.supply(Celsius(middle + correction)) - effective.style.supply(middle))
        numbers["supply moves"] = kelvin_of(shifted)
        moved = f", which moves the supply by {plant.show(Kind.DIFFERENCE, shifted)}"
    yield found(
        "outdoor_correction",
        f"outdoor sensor is corrected by {plant.show('outdoor_correction')}{moved}",
        numbers,
        "compare the sensor with a thermometer; move it out of sun and draught",
    )


@rule(
    "outdoor-averaging-unlike-building",
    severity=WASTE,
    certainty=ASK,
    needs=("outdoor_averaging", "building.mass"),
    applies=own_reset,
    cautions=("heating",),
    source=COMMON_PRACTICE,
    thresholds=(LIGHT_AVERAGING, HEAVY_AVERAGING),
    trips='building.mass = "light", settings.outdoor_averaging = 12',
    passes="settings.outdoor_averaging = 4",
)
def outdoor_averaging_unlike_building(plant: Plant) -> Drafts:
    """The outdoor averaging time does not suit how fast the building cools.

    Too slow: cold mornings after a snap. Too fast: the line hunts after sun and wind.
    """
    hours, mass = plant.number("outdoor_averaging"), plant.word("building.mass")
    constant = plant.known("building.cooldown_time_constant")
    longest = plant.threshold(LIGHT_AVERAGING) if mass == "light" else None
    if longest is None and isinstance(constant, float):
        longest = constant
    shortest = plant.threshold(HEAVY_AVERAGING) if mass == "heavy" else 0.0
    if longest is not None and hours > longest + TOLERANCE:
        value, text = attainable(plant, "outdoor_averaging", at_most=longest), "too slow"
    elif hours < shortest - TOLERANCE:
        value, text = attainable(plant, "outdoor_averaging", at_least=shortest), "too fast"
    else:
        return
    yield found(
        "outdoor_averaging",
        f"{title_of('outdoor_averaging')} of {plant.show('outdoor_averaging')} looks {text} for a {mass} building",
        {"averaging": Quantity(hours, Kind.HOURS)},
        Remedy(
            f"ask about complaints after cold snaps and in sun; try {plant.show('outdoor_averaging', value)}",
            {"outdoor_averaging": value},
        )
        if value
        else Remedy("ask about complaints after cold snaps and in sun"),
    )


RULES: Final[tuple[Rule, ...]] = (
    reset_without_outdoor_sensor,
    outdoor_sensor_unused,
    sensor_loss_stops_heat,
    sensor_loss_overheats_emitter,
    outdoor_correction_large,
    outdoor_averaging_unlike_building,
)
