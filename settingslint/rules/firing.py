"""Rules: fan speeds, rates, fuel, ignition. They say what is not as the maker left it or not proved; never a figure."""

from __future__ import annotations

from typing import Final

from settingslint.model.treatment import TOLERANCE, same
from settingslint.model.values import Value, title_of
from settingslint.physics.cycling import cycling_starts_at
from settingslint.rules.base import (
    ASK,
    DANGER,
    LIKELY,
    OUTAGE,
    WASTE,
    DoesNotApply,
    Drafts,
    Missing,
    Quantity,
    Rule,
    Threshold,
    celsius_of,
    found,
    kelvin_of,
    rule,
    watts_of,
)
from settingslint.rules.derived import heating_output, inputs
from settingslint.rules.firing_record import RULES as RECORD_RULES
from settingslint.rules.plant import Plant
from settingslint.units import Kind, kelvin
from settingslint.vocabulary.sources import ARITHMETIC, COMMON_PRACTICE, CONTROL_FILE, NFPA_54

TITLE: Final = "firing"
CAUTION: Final = ("firing", "combustion")
RESTORE: Final = "restore the maker's value; licensed person; prove combustion at high and low fire"

OVERSIZED: Final = Threshold("oversized", 2.0, Kind.RATIO, COMMON_PRACTICE, "output over design load, much too big")
RATING_ENDS: Final = Threshold(
    "elevation_counts_from", 2000 * 0.3048, Kind.LENGTH, NFPA_54, "elevation up to which the rating stands"
)
VENT_OFF: Final = Threshold(
    "vent_length_off", 10 * 0.3048, Kind.LENGTH, COMMON_PRACTICE, "how far the vent length set may be from the recorded"
)
CLOCKED_OFF: Final = Threshold(
    "clocked_input_off", 0.05, Kind.RATIO, COMMON_PRACTICE, "share by which the clocked input may differ"
)
SEASONS: Final = Threshold(
    "one_season_range", kelvin(60), Kind.DIFFERENCE, COMMON_PRACTICE, "outdoor range over which one reading is doubtful"
)
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
)
def heating_rate_unlimited_on_oversized_boiler(plant: Plant) -> Drafts:
    """A boiler much bigger than the house fires at full rate for heating though the control offers a limit.

    Output at high fire / design load above 2, and the heating rate at its top. A lower top does not lower the bottom:
    low fire still decides how long it burns.

    Trips:
        [settings]
        heating_maximum_rate = 100
        [building]
        design_load = 54000
    Passes:
        [settings]
        heating_maximum_rate = 100
        [building]
        design_load = 55000
    """
    if plant.number("heating_maximum_rate") < 100.0 - TOLERANCE:
        return
    design = plant.number("building.design_load")
    ratio = heating_output(plant) / design if design > 0 else 0.0
    if ratio > plant.threshold(OVERSIZED) + TOLERANCE:
        yield found(
            "heating_maximum_rate",
            f"about {plant.show(Kind.POWER, heating_output(plant))} at high fire for a load of"
            f" {plant.show('building.design_load')}: {ratio:.1f} times, and heating is not limited",
            {"times the load": Quantity(ratio, Kind.RATIO)},
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
)  # fmt: skip
def heating_rate_below_load(plant: Plant) -> Drafts:
    """As set, high fire does not carry the design load.

    Output at the effective rate and fan speed, against the load; runs out at balance - output/load (balance - design).

    Trips:
        [settings]
        heating_maximum_rate = 81
    Passes:
        [settings]
        heating_maximum_rate = 82
    """
    output, design = heating_output(plant), plant.number("building.design_load")
    if output >= design - TOLERANCE * design:
        return
    out = cycling_starts_at(output, design, plant.point("building.balance_point"), plant.point("site.design_outdoor"))
    at = "heating_maximum_rate" if plant.known("heating_maximum_rate") is not None else "maximum_fan_speed"
    yield found(
        at,
        f"about {plant.show(Kind.POWER, output)} at high fire for a load of"
        f" {plant.show(Kind.POWER, design)}: it runs out"
        f" below {plant.show(Kind.POINT, out)} outdoors",
        {"output": watts_of(output), "load": watts_of(design), "runs out at": celsius_of(out)},
        "look at the load again; a higher limit by the maker's table, licensed person, combustion proved",
    )


@rule(
    "derate-in-ignored-band",
    severity=OUTAGE,
    cautions=CAUTION,
    source=CONTROL_FILE,
)
def derate_in_ignored_band(plant: Plant) -> Drafts:
    """A rate or fan speed was typed into a band that this control ignores: the boiler fires as if nobody had typed it.

    The control file states the band and what it runs at instead.

    Trips:
        [control.setting.heating_maximum_rate]
        treatments = [{ does = "ignore", low = 91, high = 99, becomes = 100 }]
        [settings]
        heating_maximum_rate = 91
    Passes:
        [control.setting.heating_maximum_rate]
        treatments = [{ does = "ignore", low = 91, high = 99, becomes = 100 }]
        [settings]
        heating_maximum_rate = 90
    """
    for name in RATES:
        effect = plant.effects.get(name)
        if effect is None or name not in plant.profile.settings:
            continue
        plant.touched.add(name)
        if effect.band is None and effect.effective is None and effect.typed is not None and effect.state == "unknown":
            yield Missing(name, effect.reasons[-1].text if effect.reasons else "")
        if effect.band is not None:
            low, high = effect.band
            runs = effect.effective
            what = f"it runs at {plant.show(name, runs)}" if runs is not None else "what it runs at is not known"
            yield found(
                name,
                f"{plant.show(name, effect.typed)} lies in the band from {plant.show(name, low)} to"
                f" {plant.show(name, high)} that this control ignores: {what}",
                {},
                "leave the band or put back what was there, so that the record is true; licensed"
                " person; combustion proof",
            )


@rule(
    "low-fire-raised",
    severity=WASTE,
    needs=("minimum_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
)
def low_fire_raised(plant: Plant) -> Drafts:
    """Low fire stands above the maker's value: turndown is lost and the burner cycles more.

    Compared: the effective minimum fan speed, with the control's default for this size. Often done against a noise; the
    cause of the noise is what wants finding.

    Trips:
        [settings]
        minimum_fan_speed = 1301
    Passes:
        [settings]
        minimum_fan_speed = 1300
    """
    default, now = plant.default("minimum_fan_speed"), plant.number("minimum_fan_speed")
    if isinstance(default, float) and now > default + TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire was raised to {plant.show('minimum_fan_speed', now)}, above what the control"
            f" file states for this"
            " size",
            {},
            f"find what it was raised against (noise, gas pressure, vent, condensate); {RESTORE}",
        )


@rule(
    "low-fire-below-makers",
    severity=DANGER,
    needs=("minimum_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
)
def low_fire_below_makers(plant: Plant) -> Drafts:
    """Low fire stands below the maker's value: the flame can be lost or burn badly.

    Compared: the effective minimum fan speed, with the least that the control file states for the size, else its
    default.

    Trips:
        [settings]
        minimum_fan_speed = 1299
    Passes:
        [settings]
        minimum_fan_speed = 1300
    """
    size = plant.control.sizes.get(plant.profile.size or "")
    floor: Value | None = size.fan_at_minimum if size else None
    if floor is None:
        floor = plant.default("minimum_fan_speed")
    now = plant.number("minimum_fan_speed")
    if isinstance(floor, float) and now < floor - TOLERANCE:
        yield found(
            "minimum_fan_speed",
            f"low fire at {plant.show('minimum_fan_speed', now)} is below the least that the control"
            f" file states for this"
            " size",
            {},
            RESTORE,
        )


@rule(
    "fan-speed-order-broken",
    severity=DANGER,
    needs=SPEEDS,
    cautions=CAUTION,
    source=COMMON_PRACTICE,
)
def fan_speed_order_broken(plant: Plant) -> Drafts:
    """The fan speeds are not in order: minimum, ignition, maximum.

    Some burners light outside their range; then the control file's defaults are out of order too and nothing is said.

    Trips:
        [settings]
        ignition_fan_speed = 1299
    Passes:
        [settings]
        ignition_fan_speed = 1300
    """
    low, light, high = (plant.number(name) for name in SPEEDS)
    if low <= light + TOLERANCE and light <= high + TOLERANCE:
        return
    try:
        defaults = [plant.default(name) for name in SPEEDS]
    except Missing:
        defaults = []
    numbers = [one for one in defaults if isinstance(one, float)]
    if len(numbers) == len(SPEEDS) and sorted(numbers) != numbers:
        raise DoesNotApply("this control lights outside its range")
    at = "ignition_fan_speed" if low <= high else "minimum_fan_speed"
    yield found(
        at,
        f"minimum {plant.show(SPEEDS[0])}, ignition {plant.show(SPEEDS[1])}, maximum {plant.show(SPEEDS[2])}:"
        " out of order",
        {},
        RESTORE,
    )


@rule(
    "ignition-speed-not-makers",
    severity=DANGER,
    needs=("ignition_fan_speed",),
    cautions=CAUTION,
    source=CONTROL_FILE,
)
def ignition_speed_not_makers(plant: Plant) -> Drafts:
    """The ignition fan speed is not the maker's: hard or delayed lighting can blow a vent apart.

    Compared: the effective ignition fan speed, with the control's default for this size.

    Trips:
        [settings]
        ignition_fan_speed = 2901
    Passes:
        [settings]
        ignition_fan_speed = 2900
    """
    default, now = plant.default("ignition_fan_speed"), plant.value("ignition_fan_speed")
    if not same(default, now):
        yield found(
            "ignition_fan_speed",
            f"{plant.show('ignition_fan_speed')} is not what the control file states for this size",
            {},
            f"{RESTORE}; unless a bulletin of the maker says otherwise and is named here",
        )


@rule(
    "fuel-setting-unlike-gas",
    severity=DANGER,
    needs=("fuel_setting", "gas.fuel"),
    cautions=CAUTION,
    source=ARITHMETIC,
)
def fuel_setting_unlike_gas(plant: Plant) -> Drafts:
    """The control is set for another gas than the one on site. A setting is no conversion.

    Trips:
        [gas]
        fuel = "propane"
    Passes:
        [gas]
        fuel = "natural gas"
    """
    if plant.word("fuel_setting") != plant.word("gas.fuel"):
        yield found(
            "fuel_setting",
            f"the control is set for {plant.show('fuel_setting')}, on site is {plant.show('gas.fuel')}",
            {},
            "stop it; a licensed conversion with parts, label and test, or the setting of the gas that is there",
        )


@rule(
    "elevation-not-set-or-counted-twice",
    severity=DANGER,
    needs=("elevation_setting", "site.elevation"),
    cautions=CAUTION,
    source=NFPA_54,
    thresholds=(RATING_ENDS,),
)
def elevation_not_set_or_counted_twice(plant: Plant) -> Drafts:
    """The site lies high and the control is not told, or it adapts by itself and was told as well.

    The rating stands up to 2,000 ft; above, two readings of the rule are in use, and the listing governs.

    Trips:
        [site]
        elevation = 2100
        [settings]
        elevation_setting = 0
    Passes:
        [site]
        elevation = 2000
        [settings]
        elevation_setting = 0
    """
    height, told = plant.number("site.elevation"), plant.number("elevation_setting")
    edge = plant.threshold(RATING_ENDS)
    itself = plant.control.notes.get("compensates_elevation")
    if itself is True:
        if told > edge + TOLERANCE:
            yield found(
                "elevation_setting",
                f"this control adapts to elevation by itself, and {plant.show('elevation_setting')} is set as well",
                {},
                f"one method, by the listing; {RESTORE}",
            )
    elif height > edge + TOLERANCE and told <= edge + TOLERANCE:
        if itself is None:
            raise Missing("elevation_setting", "the control file does not say whether it adapts to elevation by itself")
        yield found(
            "elevation_setting",
            f"the site lies at {plant.show('site.elevation')}, the control is set to {plant.show('elevation_setting')}",
            {},
            f"set what the listing asks for at this elevation; {RESTORE}",
        )


@rule(
    "vent-length-setting-off",
    severity=DANGER,
    certainty=LIKELY,
    needs=("vent_length_setting", "vent.equivalent_length"),
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    assumes="the recorded equivalent length",
    thresholds=(VENT_OFF,),
)
def vent_length_setting_off(plant: Plant) -> Drafts:
    """The control is set for another vent length than the one that is there.

    Trips:
        [settings]
        vent_length_setting = 51
    Passes:
        [settings]
        vent_length_setting = 50
    """
    told, is_ = plant.number("vent_length_setting"), plant.number("vent.equivalent_length")
    if abs(told - is_) > plant.threshold(VENT_OFF) + TOLERANCE:
        yield found(
            "vent_length_setting",
            f"set for {plant.show('vent_length_setting')}; the vent is {plant.show('vent.equivalent_length')} long",
            {},
            f"set the class of the vent that is there, by the maker's papers; {RESTORE}",
        )


@rule(
    "size-code-unlike-plate",
    severity=DANGER,
    needs=("size_setting", "boiler.size_on_plate"),
    cautions=(*CAUTION, "board"),
    source=ARITHMETIC,
)
def size_code_unlike_plate(plant: Plant) -> Drafts:
    """The board takes the boiler for another size than the rating plate says.

    After a board was replaced the fan can turn too fast or too slowly for this burner.

    Trips:
        [settings]
        size_setting = "large"
    Passes:
        [settings]
        size_setting = "middle"
    """
    if plant.word("size_setting").casefold() != plant.word("boiler.size_on_plate").casefold():
        yield found(
            "size_setting",
            f"the board is set to {plant.show('size_setting')}, the plate says {plant.show('boiler.size_on_plate')}",
            {},
            f"stop it and identify it again; {RESTORE}",
        )


@rule(
    "plate-input-unlike-size",
    severity=DANGER,
    certainty=LIKELY,
    needs=("boiler.input_maximum",),
    cautions=(*CAUTION, "board"),
    source=CONTROL_FILE,
    assumes="the control file's inputs for this size",
    thresholds=(CLOCKED_OFF,),
)
def plate_input_unlike_size(plant: Plant) -> Drafts:
    """The input on the plate is not that of the size recorded for the control.

    Compared: the recorded rated input, with what the control file states for the size, within 5 %.

    Trips:
        [boiler]
        input_maximum = 124000
    Passes:
        [boiler]
        input_maximum = 123900
    """
    size = plant.control.sizes.get(plant.profile.size or "")
    if size is None or size.input_maximum is None:
        raise Missing("plant.size", "the control file states no input for this size")
    rated = plant.number("boiler.input_maximum")
    if abs(rated / size.input_maximum - 1) > plant.threshold(CLOCKED_OFF) + TOLERANCE:
        yield found(
            "boiler.input_maximum",
            f"rated input {plant.show(Kind.POWER, rated)}; size {plant.profile.size} has"
            f" {plant.show(Kind.POWER, size.input_maximum)}",
            {"rated": watts_of(rated), "size": watts_of(size.input_maximum)},
            "read the plate again and identify the size; no firing on a wrong size",
        )


@rule(
    "manual-fire-left-on",
    severity=OUTAGE,
    needs=("service_mode",),
    cautions=("limit", "firing"),
    source=COMMON_PRACTICE,
)
def manual_fire_left_on(plant: Plant) -> Drafts:
    """The manual fire mode was left on: the boiler fires by hand and not by demand.

    Trips:
        [settings]
        service_mode = true
    Passes:
        [settings]
        service_mode = false
    """
    if plant.flag("service_mode"):
        no_end = "service_mode_limit" in plant.control.rows and plant.known("service_mode_limit") == "off"
        yield found(
            "service_mode",
            "the manual fire mode was left on" + (", and it has no time limit" if no_end else ""),
            {},
            "end it, and see that the boiler follows its demand again",
        )


@rule(
    "manual-fire-without-time-limit",
    severity=OUTAGE,
    certainty=ASK,
    needs=("service_mode_limit",),
    cautions=("limit",),
    source=COMMON_PRACTICE,
)
def manual_fire_without_time_limit(plant: Plant) -> Drafts:
    """Nothing ends the manual fire mode by itself.

    Trips:
        [settings]
        service_mode_limit = "off"
    Passes:
        [settings]
        service_mode_limit = 15
    """
    if plant.is_off("service_mode_limit"):
        yield found(
            "service_mode_limit",
            "the manual fire mode has no time limit: who ends it when the technician is called away?",
            {},
            "set a time limit where the control has one, else write its end on the visit sheet",
        )


@rule(
    "clocked-input-off",
    severity=DANGER,
    certainty=LIKELY,
    needs=("gas.clocked_input", "gas.heating_value_basis"),
    cautions=CAUTION,
    source="clocking a gas meter: general practice; heating value basis as recorded",
    assumes="the meter was clocked at high fire with nothing else burning",
    thresholds=(CLOCKED_OFF,),
)
def clocked_input_off(plant: Plant) -> Drafts:
    """The input clocked at the meter is not what the effective settings should take.

    Compared: the clocked input, with the input at the effective maximum fan speed by the control file, within 5 %.

    Trips:
        [gas]
        clocked_input = 112000
    Passes:
        [gas]
        clocked_input = 112200
    """
    clocked, set_ = plant.number("gas.clocked_input"), inputs(plant)[1]
    off = clocked / set_ - 1 if set_ > 0 else 0.0
    if abs(off) > plant.threshold(CLOCKED_OFF) + TOLERANCE:
        yield found(
            "gas.clocked_input",
            f"clocked {plant.show(Kind.POWER, clocked)} ({plant.show('gas.heating_value_basis')}); about"
            f" {plant.show(Kind.POWER, set_)} by the effective fan speed: {off * 100:+.0f} %",
            {"clocked": watts_of(clocked), "by fan speed": watts_of(set_)},
            "gas pressure, orifice, size code and heating value looked at by a licensed person, with an analyser",
        )


@rule(
    "one-season-combustion",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.outdoor_air", "site.coldest", "site.hottest", "combustion.high.on"),
    only_if={"vent.outdoor_air": (True,)},
    cautions=CAUTION,
    source=COMMON_PRACTICE,
    thresholds=(SEASONS,),
)
def one_season_combustion(plant: Plant) -> Drafts:
    """Air comes straight from outside over a wide range, and one reading in one season stands for all of them.

    Range from the coldest to the hottest outdoor temperature above 60 F.

    Trips:
        [vent]
        outdoor_air = true
        [site]
        coldest = 34
        hottest = 95
    Passes:
        [vent]
        outdoor_air = true
        [site]
        coldest = 35
        hottest = 95
    """
    span = plant.point("site.hottest") - plant.point("site.coldest")
    if span > plant.threshold(SEASONS) + TOLERANCE:
        month = plant.day("combustion.high.on").strftime("%Y-%m")
        yield found(
            "combustion.high.on",
            f"air straight from outside over {plant.show(Kind.DIFFERENCE, span)}, and the reading is of {month}:"
            " was it ever read in the other season?",
            {"outdoor range": kelvin_of(span)},
            "read it in cold and in warm weather; licensed person",
        )


@rule(
    "low-fire-changed-on-common-vent",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.common", "minimum_fan_speed"),
    only_if={"vent.common": (True,)},
    cautions=(*CAUTION, "cascade"),
    source=COMMON_PRACTICE,
)
def low_fire_changed_on_common_vent(plant: Plant) -> Drafts:
    """Low fire was changed under a vent that several boilers share.

    Trips:
        [vent]
        common = true
        common_damper = true
        [settings]
        minimum_fan_speed = 1310
    Passes:
        [vent]
        common = true
        common_damper = true
    """
    default = plant.default("minimum_fan_speed")
    if not same(default, plant.value("minimum_fan_speed")):
        yield found(
            "minimum_fan_speed",
            f"low fire is not the maker's ({title_of('minimum_fan_speed')} {plant.show('minimum_fan_speed')}) under a"
            " common vent: did the vent's designer agree?",
            {},
            f"ask the vent's designer; {RESTORE}",
        )


@rule(
    "common-vent-without-damper-proof",
    severity=DANGER,
    certainty=ASK,
    needs=("vent.common", "vent.common_damper"),
    only_if={"vent.common": (True,)},
    cautions=(*CAUTION, "cascade"),
    source=COMMON_PRACTICE,
)
def common_vent_without_damper_proof(plant: Plant) -> Drafts:
    """Several boilers share a vent, and nothing proves that an idle one is closed off.

    Trips:
        [vent]
        common = true
        common_damper = false
    Passes:
        [vent]
        common = true
        common_damper = true
    """
    if not plant.flag("vent.common_damper"):
        yield found(
            "vent.common_damper",
            "boilers share a vent and an idle one is not proved closed: where does its neighbour's flue gas go?",
            {},
            "the vent's designer and a licensed person; carbon monoxide alarm in the room meanwhile",
        )


RULES: Final[tuple[Rule, ...]] = (
    heating_rate_unlimited_on_oversized_boiler,
    heating_rate_below_load,
    derate_in_ignored_band,
    low_fire_raised,
    low_fire_below_makers,
    fan_speed_order_broken,
    ignition_speed_not_makers,
    fuel_setting_unlike_gas,
    elevation_not_set_or_counted_twice,
    vent_length_setting_off,
    size_code_unlike_plate,
    plate_input_unlike_size,
    manual_fire_left_on,
    manual_fire_without_time_limit,
    clocked_input_off,
    one_season_combustion,
    low_fire_changed_on_common_vent,
    common_vent_without_damper_proof,
    *RECORD_RULES,
)
