"""Rules: fan speeds, rates and the manual fire mode. They say what is not as the maker left it; never a figure."""

from __future__ import annotations

from functools import partial
from typing import Final

from settingslint.model.effect import IGNORED, NOT_APPLICABLE, TOLERANCE, same
from settingslint.model.values import title_of
from settingslint.physics.cycling import cycling_starts_at
from settingslint.rules.base import (
    ASK,
    DAMAGE,
    DANGER,
    LIKELY,
    OUTAGE,
    RESTORE_FIRING,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Threshold,
    celsius_of,
    found,
    watts_of,
)
from settingslint.rules.derived.line import carries_house
from settingslint.rules.derived.output import heating_output
from settingslint.rules.firing.record import CAUTION
from settingslint.rules.plant import Plant
from settingslint.rules.rule import Rule, rule
from settingslint.units import Kind
from settingslint.vocabulary.settings import OFF, SETTINGS
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

OVERSIZED: Final = Threshold(
    "oversized", 2.0, Kind.RATIO, COMMON_PRACTICE, "output divided by design load, above which a boiler is oversized",
    1.2, 4.0, "common practice, no source: one fifth is a usual reserve, nobody means four times", looser="up",
)  # fmt: skip
SPEEDS: Final = ("minimum_fan_speed", "ignition_fan_speed", "maximum_fan_speed")
RATES: Final = (
    "maximum_fan_speed", "minimum_fan_speed", "ignition_fan_speed", "heating_maximum_rate", "hot_water_maximum_rate",
)  # fmt: skip


@rule(
    "heating-rate-unlimited-on-oversized-boiler",
    severity=WASTE,
    certainty=LIKELY,
    needs=("heating_maximum_rate", "building.design_load", "boiler.efficiency", "boiler.input_maximum"),
    cautions=("firing",),
    source=COMMON_PRACTICE,
    assumes="the recorded design load",
    thresholds=(OVERSIZED,),
    trips="settings.heating_maximum_rate = 100, building.design_load = 54200",
    passes="building.design_load = 54300",
)
def heating_rate_unlimited_on_oversized_boiler(plant: Plant) -> Drafts:
    """An oversized boiler heats at full rate although its control offers a limit.

    Output at high fire / design load above 2, and the heating rate at 100 %. A limit does not lower low fire, and low
    fire decides about short cycling.
    """
    if plant.number("heating_maximum_rate") < 100.0 - TOLERANCE:
        return
    output, design = heating_output(plant), plant.number("building.design_load")
    most = plant.threshold(OVERSIZED)
    if design > 0 and output > most * design * (1 + TOLERANCE):
        yield found(
            "heating_maximum_rate",
            f"output {plant.show(Kind.POWER, output)} is {output / design:,.1f} times the design load, heating rate not"
            " limited",
            {"times the load": Quantity(output / design, Kind.RATIO)},
            "limit the heating rate by the maker's table (licensed gas technician)",
        )


@rule(
    "heating-rate-below-load",
    severity=OUTAGE,
    certainty=LIKELY,
    needs=(
        "building.design_load", "building.balance_point", "site.design_outdoor", "boiler.efficiency",
        "boiler.input_maximum",
    ),
    cautions=("firing", "heating"),
    source=ARITHMETIC,
    assumes="the recorded design load and efficiency",
    applies=carries_house,
    trips='settings.heating_maximum_rate = 81',
    passes='settings.heating_maximum_rate = 82',
)  # fmt: skip
def heating_rate_below_load(plant: Plant) -> Drafts:
    """High fire, as set, gives less than the design load.

    Output at the rate and fan speed that it runs at, against the design load; too little below
    balance - output/load (balance - design) outdoors. Not for one boiler of several that carry the load together.
    """
    output, design = heating_output(plant), plant.number("building.design_load")
    if output >= design * (1 - TOLERANCE):
        return
    out = cycling_starts_at(output, design, plant.point("building.balance_point"), plant.point("site.design_outdoor"))
    yield found(
        _what_limits(plant),
        f"high fire {plant.show(Kind.POWER, output)}, design load {plant.show(Kind.POWER, design)}: too little heat"
        f" below {plant.show(Kind.POINT, out)} outdoors",
        {"output": watts_of(output), "design load": watts_of(design), "too little below": celsius_of(out)},
        "check the design load; a licensed gas technician may raise the limit by the maker's table",
    )


def _what_limits(plant: Plant) -> str:
    """Return the setting that holds high fire down, or the rating where no setting does."""
    rate, speed = plant.known("heating_maximum_rate"), plant.known("maximum_fan_speed")
    if isinstance(rate, float) and rate < 100.0 - TOLERANCE:
        return "heating_maximum_rate"
    default = plant.default_of("maximum_fan_speed")
    lowered = isinstance(speed, float) and isinstance(default, float) and speed < default - TOLERANCE
    return "maximum_fan_speed" if lowered else "boiler.input_maximum"


@rule(
    "derate-in-ignored-band",
    severity=OUTAGE,
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips=(
        'control.setting.heating_maximum_rate = { treatments = [{ does = "ignore", low = 91, high = 99, '
        "becomes = 100 }] }, "
        "settings.heating_maximum_rate = 91"
    ),
    passes="settings.heating_maximum_rate = 90",
)
def derate_in_ignored_band(plant: Plant) -> Drafts:
    """A rate or fan speed is set in a band that this control ignores.

    The boiler fires as if nobody had typed it. The control file states the band and, where it is known, what it runs at
    instead.
    """
    looked = False
    for name in RATES:
        row, effect = plant.row(name), plant.effects.get(name)
        if row is None or effect is None:
            continue
        if row.treatments is None:
            yield Missing(name, f"the control file does not say what this control does with {title_of(name)}")
        elif any(one.does == "ignore" for one in row.treatments):
            looked = True
            if effect.band is not None and effect.typed is not None:
                low, high = effect.band
                kind = SETTINGS[name].kind
                shown = partial(plant.show, kind if kind is Kind.PERCENT else name)
                runs = effect.effective
                what = f"runs at {shown(runs)}" if runs is not None else "not known what it runs at"
                yield found(
                    name,
                    f"{title_of(name)} {shown(effect.typed)} is in the ignored band {shown(low)} to {shown(high)}:"
                    f" {what}",
                    {},
                    "set it outside the band (licensed gas technician); prove combustion at high and low fire",
                )
            elif effect.effective is None and effect.state not in (IGNORED, NOT_APPLICABLE):
                yield Missing(name, effect.reasons[-1].text if effect.reasons else "")
    if not looked:
        raise DoesNotApply("no band of a rate or a fan speed is ignored")


@rule(
    "low-fire-raised",
    severity=WASTE,
    needs=("minimum_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips="settings.minimum_fan_speed = 1301",
    passes="settings.minimum_fan_speed = 1300",
)
def low_fire_raised(plant: Plant) -> Drafts:
    """Low fire runs above the maker's value: less turndown and more short cycling.

    Compared: the minimum fan speed it runs at, with the control's default for this size. Often done against a noise;
    find the cause of the noise.
    """
    default, now = plant.default("minimum_fan_speed"), plant.number("minimum_fan_speed")
    if isinstance(default, float) and now > default + TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire at {plant.show('minimum_fan_speed')} is above the control file's value for this size",
            {},
            "find out why it was raised; have a licensed gas technician restore the maker's value",
        )


@rule(
    "low-fire-below-makers",
    severity=DANGER,
    needs=("minimum_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips="settings.minimum_fan_speed = 1299",
    passes="settings.minimum_fan_speed = 1300",
)
def low_fire_below_makers(plant: Plant) -> Drafts:
    """Low fire runs below the maker's value: the flame can be lost or burn badly.

    Compared: the minimum fan speed it runs at, with the minimum that the control file states for the size, else its
    default.
    """
    now = plant.number("minimum_fan_speed")
    if now < _stated(plant, "minimum_fan_speed") - TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire at {plant.show('minimum_fan_speed')} is below the control file's minimum for this size",
            {},
            RESTORE_FIRING,
        )


@rule(
    "high-fire-above-makers",
    severity=DANGER,
    needs=("maximum_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips="settings.maximum_fan_speed = 6101",
    passes="settings.maximum_fan_speed = 6100",
)
def high_fire_above_makers(plant: Plant) -> Drafts:
    """High fire runs above the maker's value: the burner takes more gas than boiler and vent are made for.

    Compared: the maximum fan speed it runs at, with the maximum that the control file states for the size, else its
    default.
    """
    now = plant.number("maximum_fan_speed")
    if now > _stated(plant, "maximum_fan_speed") + TOLERANCE:
        yield found(
            "maximum_fan_speed",
            f"high fire at {plant.show('maximum_fan_speed')} is above the control file's maximum for this size",
            {},
            RESTORE_FIRING,
        )


def _stated(plant: Plant, name: str) -> float:
    """Return what the control file states of low or high fire: for the size, else the default."""
    stated = plant.known("size.fan_at_minimum" if name == "minimum_fan_speed" else "size.fan_at_maximum")
    if stated is None:
        stated = plant.default(name)
    if not isinstance(stated, float):
        raise Missing(name, f"the control file states no number for {title_of(name)}")
    return stated


@rule(
    "fan-speed-order-broken",
    severity=DANGER,
    needs=SPEEDS,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    trips="settings.ignition_fan_speed = 1299",
    passes="settings.ignition_fan_speed = 1300",
)
def fan_speed_order_broken(plant: Plant) -> Drafts:
    """The fan speeds are out of order: minimum, ignition, maximum.

    Some burners light outside their range; then the control file's defaults are out of order too, and this is no
    finding.
    """
    low, light, high = (plant.number(name) for name in SPEEDS)
    between = low <= light + TOLERANCE and light <= high + TOLERANCE
    if low <= high + TOLERANCE:
        if between:
            return
        makers = [one for name in SPEEDS if isinstance(one := plant.default_of(name), float)]
        if len(makers) == len(SPEEDS) and sorted(makers) != makers:
            raise DoesNotApply("this control lights outside its range")
    yield found(
        "ignition_fan_speed" if low <= high + TOLERANCE else "minimum_fan_speed",
        f"fan speeds out of order: minimum {plant.show(SPEEDS[0])}, ignition {plant.show(SPEEDS[1])}, maximum"
        f" {plant.show(SPEEDS[2])}",
        {},
        RESTORE_FIRING,
    )


@rule(
    "ignition-speed-not-makers",
    severity=DANGER,
    needs=("ignition_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
    trips="settings.ignition_fan_speed = 2901",
    passes="settings.ignition_fan_speed = 2900",
)
def ignition_speed_not_makers(plant: Plant) -> Drafts:
    """The ignition fan speed is not the maker's: hard or delayed lighting can blow a vent apart.

    Compared: the ignition fan speed it runs at, with the control's default for this size. Where a bulletin of the maker
    asks for another, accept the finding and name the bulletin.
    """
    if not same(plant.default("ignition_fan_speed"), plant.value("ignition_fan_speed")):
        yield found(
            "ignition_fan_speed",
            f"ignition fan speed {plant.show('ignition_fan_speed')} is not the control file's value for this size",
            {},
            RESTORE_FIRING,
        )


@rule(
    "manual-fire-left-on",
    severity=OUTAGE,
    needs=("service_mode",),
    cautions=("limit", "firing"),
    source=COMMON_PRACTICE,
    trips="settings.service_mode = true",
    passes="settings.service_mode = false",
)
def manual_fire_left_on(plant: Plant) -> Drafts:
    """The manual fire mode was left on: the boiler fires by hand and not by demand.

    Damage, where no time limit ends it.
    """
    if plant.flag("service_mode"):
        no_end = plant.known("service_mode_limit") == OFF
        yield found(
            "service_mode",
            "manual fire mode was left on" + (" and has no time limit" if no_end else ""),
            {},
            "end it, and check that the boiler follows its demand again",
            severity=DAMAGE if no_end else None,
        )


@rule(
    "manual-fire-without-time-limit",
    severity=OUTAGE,
    certainty=ASK,
    needs=("service_mode_limit",),
    cautions=("limit",),
    source=COMMON_PRACTICE,
    trips='settings.service_mode_limit = "off"',
    passes="settings.service_mode_limit = 15",
)
def manual_fire_without_time_limit(plant: Plant) -> Drafts:
    """The manual fire mode has no time limit."""
    if plant.is_off("service_mode_limit"):
        yield found(
            "service_mode_limit",
            "manual fire mode has no time limit: who ends it when the technician is called away?",
            {},
            "set a time limit where the control has one, else write its end on the visit sheet",
        )


RULES: Final[tuple[Rule, ...]] = (
    heating_rate_unlimited_on_oversized_boiler,
    heating_rate_below_load,
    derate_in_ignored_band,
    low_fire_raised,
    low_fire_below_makers,
    high_fire_above_makers,
    fan_speed_order_broken,
    ignition_speed_not_makers,
    manual_fire_left_on,
    manual_fire_without_time_limit,
)
