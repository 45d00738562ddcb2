"""Rules: fan speeds, rates and the manual fire mode. They say what is not as the maker left it; never a figure."""

from __future__ import annotations

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
from settingslint.vocabulary.settings import OFF
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE

OVERSIZED: Final = Threshold(
    "oversized", 2.0, Kind.RATIO, COMMON_PRACTICE, "output over design load, much too big",
    1.2, 4.0, "common practice, no source: one fifth is a usual reserve, four times is never meant", looser="up",
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
    """A boiler much bigger than the house fires at full rate for heating though the control offers a limit.

    Output at high fire / design load above 2, and the heating rate at its top. A lower top does not lower the bottom:
    low fire still decides how long it burns.
    """
    if plant.number("heating_maximum_rate") < 100.0 - TOLERANCE:
        return
    output, design = heating_output(plant), plant.number("building.design_load")
    most = plant.threshold(OVERSIZED)
    if design > 0 and output > most * design * (1 + TOLERANCE):
        yield found(
            "heating_maximum_rate",
            f"about {plant.show(Kind.POWER, output)} at high fire for a load of"
            f" {plant.show('building.design_load')}: {output / design:.1f} times, and heating is not limited",
            {"times the load": Quantity(output / design, Kind.RATIO)},
            "ask the maker's table for a heating limit; licensed person; low fire and volume decide about cycling",
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
    """As set, high fire does not carry the design load.

    Output at the effective rate and fan speed, against the load; runs out at balance - output/load (balance - design).
    Nothing is said of one boiler of several that carry the load together.
    """
    output, design = heating_output(plant), plant.number("building.design_load")
    if output >= design * (1 - TOLERANCE):
        return
    out = cycling_starts_at(output, design, plant.point("building.balance_point"), plant.point("site.design_outdoor"))
    yield found(
        _what_limits(plant),
        f"about {plant.show(Kind.POWER, output)} at high fire for a load of {plant.show(Kind.POWER, design)}: it runs"
        f" out below {plant.show(Kind.POINT, out)} outdoors",
        {"output": watts_of(output), "load": watts_of(design), "runs out at": celsius_of(out)},
        "look at the load again; a higher limit by the maker's table, licensed person, combustion proved",
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
    """A rate or fan speed was typed into a band that this control ignores: the boiler fires as if nobody had typed it.

    The control file states the band and, where it is known, what it runs at instead.
    """
    looked = False
    for name in RATES:
        row, effect = plant.row(name), plant.effects.get(name)
        if row is None or effect is None:
            continue
        if row.treatments is None:
            yield Missing(name, f"the control file does not say what this control makes of {title_of(name)}")
        elif any(one.does == "ignore" for one in row.treatments):
            looked = True
            if effect.band is not None and effect.typed is not None:
                low, high = effect.band
                runs = effect.effective
                what = f"it runs at {plant.show(name, runs)}" if runs is not None else "what it runs at is not known"
                yield found(
                    name,
                    f"{plant.show(name, effect.typed)} lies in the band from {plant.show(name, low)} to"
                    f" {plant.show(name, high)} that this control ignores: {what}",
                    {},
                    "leave the band or put back what was there, so that the record is true; licensed person;"
                    " combustion proof",
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
    """Low fire stands above the maker's value: turndown is lost and the burner cycles more.

    Compared: the effective minimum fan speed, with the control's default for this size. Often done against a noise; the
    cause of the noise is what wants finding.
    """
    default, now = plant.default("minimum_fan_speed"), plant.number("minimum_fan_speed")
    if isinstance(default, float) and now > default + TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire was raised to {plant.show('minimum_fan_speed')}, above what the control file states for this"
            " size",
            {},
            f"find what it was raised against (noise, gas pressure, vent, condensate); {RESTORE_FIRING}",
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
    """Low fire stands below the maker's value: the flame can be lost or burn badly.

    Compared: the effective minimum fan speed, with the least that the control file states for the size, else its
    default.
    """
    now = plant.number("minimum_fan_speed")
    if now < _stated(plant, "minimum_fan_speed") - TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire at {plant.show('minimum_fan_speed')} is below the least that the control file states for this"
            " size",
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
    """High fire stands above the maker's value: the burner takes more gas than the boiler and its vent are made for.

    Compared: the effective maximum fan speed, with the most that the control file states for the size, else its
    default.
    """
    now = plant.number("maximum_fan_speed")
    if now > _stated(plant, "maximum_fan_speed") + TOLERANCE:
        yield found(
            "maximum_fan_speed",
            f"high fire at {plant.show('maximum_fan_speed')} is above the most that the control file states for this"
            " size",
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
    """The fan speeds are not in order: minimum, ignition, maximum.

    Some burners light outside their range; then the control file's defaults are out of order too and nothing is said.
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
        f"minimum {plant.show(SPEEDS[0])}, ignition {plant.show(SPEEDS[1])}, maximum {plant.show(SPEEDS[2])}:"
        " out of order",
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

    Compared: the effective ignition fan speed, with the control's default for this size.
    """
    if not same(plant.default("ignition_fan_speed"), plant.value("ignition_fan_speed")):
        yield found(
            "ignition_fan_speed",
            f"{plant.show('ignition_fan_speed')} is not what the control file states for this size",
            {},
            f"{RESTORE_FIRING}; unless a bulletin of the maker says otherwise and is named here",
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

    It is damage where nothing ends the mode by itself.
    """
    if plant.flag("service_mode"):
        no_end = plant.known("service_mode_limit") == OFF
        yield found(
            "service_mode",
            "the manual fire mode was left on" + (", and it has no time limit" if no_end else ""),
            {},
            "end it, and see that the boiler follows its demand again",
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
    """Nothing ends the manual fire mode by itself."""
    if plant.is_off("service_mode_limit"):
        yield found(
            "service_mode_limit",
            "the manual fire mode has no time limit: who ends it when the technician is called away?",
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
